// Photos of a toile: each goes out by itself with its progress; what has no line waits and tries again.
"use strict";

(() => {
  const words = document.getElementById("photo-words");
  if (!words) return;
  const say = words.dataset;
  const AT_ONCE = 2;
  const RETRY_MS = 15000;
  const waiting = [];
  let running = 0;

  function name() {
    return crypto.randomUUID ? crypto.randomUUID() : `${Date.now()}-${Math.random().toString(36).slice(2)}`;
  }

  function megabytes(bytes) {
    return (bytes / 1e6).toFixed(1);
  }

  function element(tag, className, text) {
    const made = document.createElement(tag);
    if (className) made.className = className;
    if (text) made.textContent = text;
    return made;
  }

  // One photo on its way: its tile, its file, its name, which stays the same however often it is sent.

  function begin(form, file) {
    const tile = element("li", "shot");
    const frame = element("div", "pic up");
    const picture = element("img");
    const bar = element("progress");
    const line = element("p", "soft");
    const acts = element("div", "shot-acts");
    picture.alt = file.name;
    picture.src = URL.createObjectURL(file);
    picture.addEventListener("error", () => picture.replaceWith(element("div", "wait")), { once: true });
    bar.max = 100;
    bar.value = 0;
    bar.setAttribute("aria-label", file.name);
    line.setAttribute("role", "status");
    frame.append(picture, bar);
    tile.append(frame, line, acts);
    form.closest("li").before(tile);
    const one = { form, file, key: name(), tile, bar, line, acts, picture, request: null, gone: false };
    waiting.push(one);
    next();
  }

  function next() {
    while (running < AT_ONCE && waiting.length) {
      const one = waiting.shift();
      if (!one.gone) send(one);
    }
  }

  function send(one) {
    running += 1;
    const request = new XMLHttpRequest();
    const body = new FormData();
    body.set("csrfmiddlewaretoken", one.form.elements.csrfmiddlewaretoken.value);
    body.set("view", one.form.elements.view.value);
    body.set("key", one.key);
    body.set("photo", one.file);
    one.request = request;
    one.line.textContent = say.sending;
    acts(one, [[say.stop, () => remove(one)]]);
    request.upload.addEventListener("progress", (event) => {
      if (!event.lengthComputable) return;
      const share = Math.round((100 * event.loaded) / event.total);
      one.bar.value = share;
      one.line.textContent = `${share} %, ${megabytes(event.loaded)} / ${megabytes(event.total)} MB`;
    });
    request.addEventListener("loadend", () => {
      running -= 1;
      ended(one, request);
      next();
    });
    request.open("POST", one.form.action);
    request.setRequestHeader("X-Requested-With", "photos.js");
    request.send(body);
  }

  function ended(one, request) {
    if (one.gone) return;
    if (request.status === 200) {
      arrived(one, JSON.parse(request.responseText).tile);
    } else if (request.status === 422) {
      refused(one, JSON.parse(request.responseText).refused);
    } else if (request.status === 404) {
      refused(one, document.getElementById("words-for-phone").dataset.ended);
    } else if (request.status === 403) {
      refused(one, document.getElementById("words-for-phone").dataset.reload);
    } else {
      waits(one);
    }
  }

  function arrived(one, html) {
    const holder = document.createElement("template");
    holder.innerHTML = html.trim();
    const fresh = holder.content.firstElementChild;
    URL.revokeObjectURL(one.picture.src);
    const same = document.getElementById(fresh.id);
    if (same) one.tile.remove();
    else one.tile.replaceWith(fresh);
    if (!same && window.htmx) window.htmx.process(fresh);
  }

  function refused(one, sentence) {
    one.bar.remove();
    one.line.className = "error";
    one.line.textContent = sentence;
    acts(one, [[say.remove, () => remove(one)]]);
  }

  function waits(one) {
    one.bar.value = 0;
    one.line.textContent = say.waits;
    clearTimeout(one.timer);
    one.again = () => {
      clearTimeout(one.timer);
      one.again = null;
      if (!one.gone) waiting.push(one);
      next();
    };
    one.timer = setTimeout(() => one.again && one.again(), RETRY_MS);
    acts(one, [[say.again, () => one.again && one.again()], [say.remove, () => remove(one)]]);
    held.add(one);
  }

  const held = new Set();

  function remove(one) {
    one.gone = true;
    clearTimeout(one.timer);
    held.delete(one);
    if (one.request) one.request.abort();
    URL.revokeObjectURL(one.picture.src);
    one.tile.remove();
  }

  function acts(one, buttons) {
    held.delete(one);
    one.acts.replaceChildren(
      ...buttons.map(([label, work]) => {
        const button = element("button", "act quiet", label);
        button.type = "button";
        button.addEventListener("click", work);
        return button;
      }),
    );
  }

  function take(input) {
    const form = input.closest("form[data-photos]");
    if (!form || input.type !== "file") return;
    for (const file of input.files) begin(form, file);
    input.value = "";
  }

  document.addEventListener("change", (event) => take(event.target));
  // Over a slow line photos may have been chosen before this file had come.
  for (const input of document.querySelectorAll("form[data-photos] input[type=file]")) take(input);
  addEventListener("online", () => {
    for (const one of [...held]) if (one.again) one.again();
  });
  addEventListener("beforeunload", (event) => {
    if (running || waiting.length || held.size) event.preventDefault();
  });
})();
