// A file goes up in parts: with progress, and on from where it stopped when the line comes back.
"use strict";

(() => {
  const words = document.getElementById("upload-words");
  const form = document.querySelector("form[data-upload]");
  if (!words || !form) return;
  const say = words.dataset;
  const RETRY_MS = 5000;

  const box = document.createElement("div");
  const bar = document.createElement("progress");
  const line = document.createElement("p");
  const acts = document.createElement("div");
  box.className = "uploading";
  box.hidden = true;
  bar.max = 100;
  bar.setAttribute("aria-label", form.querySelector("h2")?.textContent || "PDF");
  line.setAttribute("role", "status");
  acts.className = "acts";
  box.append(bar, line, acts);
  form.querySelector(".acts").before(box);

  let running = null;

  function button(label, work) {
    const made = document.createElement("button");
    made.type = "button";
    made.className = "act quiet";
    made.textContent = label;
    made.addEventListener("click", work);
    return made;
  }

  function show(one, part = 0) {
    const share = Math.floor((100 * (one.received + part)) / one.file.size);
    bar.value = share;
    line.textContent = say.progress.replace("%share%", share).replace("%size%", (one.file.size / 1e6).toFixed(1));
  }

  function request(one, method, address, body, done) {
    const asked = new XMLHttpRequest();
    one.request = asked;
    asked.upload.addEventListener("progress", (event) => {
      if (one.part) show(one, Math.min(event.loaded, one.part));
    });
    asked.addEventListener("loadend", () => {
      if (one.gone) return;
      let told = {};
      try {
        told = JSON.parse(asked.responseText || "{}");
      } catch {
        told = {};
      }
      if (asked.status === 200) done(told);
      else if (asked.status === 422) refused(told.refused);
      else if (asked.status === 403 || asked.status === 404) refused(say.signIn);
      else waits(one);
    });
    asked.open(method, address);
    asked.setRequestHeader("X-CSRFToken", form.elements.csrfmiddlewaretoken.value);
    asked.setRequestHeader("X-Requested-With", "upload.js");
    if (body instanceof Blob) asked.setRequestHeader("Content-Type", "application/octet-stream");
    asked.send(body);
  }

  function begin(one) {
    const body = new FormData();
    body.set("csrfmiddlewaretoken", form.elements.csrfmiddlewaretoken.value);
    body.set("kind", form.elements.kind.value);
    body.set("name", one.file.name);
    body.set("size", one.file.size);
    body.set("changed", one.file.lastModified);
    one.part = 0;
    request(one, "POST", form.dataset.upload, body, (told) => {
      one.where = told.where;
      one.most = told.part;
      one.received = told.received;
      acts.replaceChildren(button(say.stop, () => stop(one)));
      next(one);
    });
  }

  function next(one) {
    show(one);
    const part = one.file.slice(one.received, one.received + one.most);
    one.part = part.size;
    if (one.received + part.size >= one.file.size) line.textContent = say.checking;
    request(one, "POST", `${one.where}?from=${one.received}`, part, (told) => {
      if (told.done) {
        running = null;
        location.assign(told.done);
      } else {
        one.received = told.received;
        next(one);
      }
    });
  }

  function waits(one) {
    line.textContent = say.waits;
    clearTimeout(one.timer);
    one.again = () => {
      clearTimeout(one.timer);
      one.again = null;
      begin(one);
    };
    one.timer = setTimeout(() => one.again && one.again(), RETRY_MS);
    acts.replaceChildren(button(say.again, () => one.again && one.again()));
    if (one.where) acts.append(button(say.stop, () => stop(one)));
  }

  function refused(sentence) {
    running = null;
    bar.hidden = true;
    line.className = "error";
    line.textContent = sentence;
    acts.replaceChildren();
    sending(false);
  }

  function stop(one) {
    one.gone = true;
    clearTimeout(one.timer);
    one.request?.abort();
    running = null;
    const last = { gone: false, part: 0 };
    request(last, "POST", `${one.where}stop/`, "", (told) => location.assign(told.done));
  }

  function sending(now) {
    for (const field of form.querySelectorAll("input:not([type=hidden]), select, button.main")) field.disabled = now;
  }

  form.addEventListener("submit", (event) => {
    const file = form.elements.file.files[0];
    if (!file || !file.size || running) return;
    event.preventDefault();
    box.hidden = false;
    bar.hidden = false;
    line.className = "";
    running = { file, received: 0, part: 0, gone: false };
    begin(running);
    sending(true);
  });
  addEventListener("online", () => running?.again?.());
  addEventListener("beforeunload", (event) => {
    if (running) event.preventDefault();
  });
})();
