// Photos of a toile: chosen, changed if one likes, then sent in parts; what has no line waits and goes on where it stopped.
"use strict";

(() => {
  const words = document.getElementById("photo-words");
  if (!words) return;
  const say = words.dataset;
  const AT_ONCE = 2;
  const RETRY_MS = 15000;
  const chosen = new Set();
  const waiting = [];
  const held = new Set();
  let running = 0;

  function megabytes(bytes) {
    return (bytes / 1e6).toFixed(1);
  }

  function element(tag, className, text) {
    const made = document.createElement(tag);
    if (className) made.className = className;
    if (text) made.textContent = text;
    return made;
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

  // Chosen: a tile with its picture, nothing sent yet.

  function choose(form, file) {
    const tile = element("li", "shot");
    const frame = element("div", "pic");
    const picture = element("img");
    const line = element("p", "soft", say.here);
    const own = element("div", "shot-acts");
    const one = { form, file, tile, frame, line, acts: own, picture, edits: "", request: null, gone: false };
    line.setAttribute("role", "status");
    picture.alt = file.name;
    picture.src = URL.createObjectURL(file);
    picture.addEventListener("error", () => unseen(one), { once: true });
    frame.append(picture);
    tile.append(frame, line, own);
    form.closest("li").before(tile);
    chosen.add(one);
    acts(one, [[say.change, () => change(one)], [say.remove, () => remove(one)]]);
    count();
  }

  function unseen(one) {
    one.picture.replaceWith(element("div", "wait"));
    if (!chosen.has(one)) return;
    one.line.textContent = say.unseen;
    acts(one, [[say.remove, () => remove(one)]]);
  }

  function remove(one) {
    one.gone = true;
    clearTimeout(one.timer);
    chosen.delete(one);
    held.delete(one);
    if (one.request) one.request.abort();
    if (one.where) stopped(one);
    URL.revokeObjectURL(one.picture.src);
    one.tile.remove();
    count();
  }

  function stopped(one) {
    const body = new FormData();
    body.set("csrfmiddlewaretoken", one.form.elements.csrfmiddlewaretoken.value);
    fetch(`${one.where}stop/`, { method: "POST", body, redirect: "manual" }).catch(() => {});
  }

  // The one button that lets them go.

  const send = document.getElementById("send-photos");
  const after = document.getElementById("after-photos");

  function count() {
    const many = chosen.size;
    send.hidden = !many;
    send.textContent = many === 1 ? say.sendOne : say.sendMany.replace("%n%", many);
    after.classList.toggle("main", !many);
  }

  send.addEventListener("click", () => {
    for (const one of [...chosen]) begin(one);
    count();
  });

  // Changed before it leaves.

  const dialog = document.getElementById("photo-dialog");
  const editor = dialog && window.photoEditor?.attach(dialog.querySelector("[data-editor]"));
  let changing = null;

  function change(one) {
    changing = one;
    const picture = new Image();
    picture.addEventListener("load", () => {
      editor.load(picture);
      dialog.showModal();
    });
    picture.src = one.picture.src;
    changing.shown = picture;
  }

  async function keep() {
    const edits = editor.edits();
    if (!edits) return;
    const one = changing;
    const made = await window.photoEditor.made(one.shown, edits);
    dialog.close();
    if (!made || one.gone) return;
    URL.revokeObjectURL(one.picture.src);
    one.edits += JSON.stringify(edits);
    one.changed ??= one.file.lastModified;
    one.name ??= one.file.name;
    one.file = made;
    one.picture.src = URL.createObjectURL(made);
  }

  dialog?.querySelector("[data-keep]").addEventListener("click", keep);
  dialog?.querySelector("[data-cancel]").addEventListener("click", () => dialog.close());

  // On its way: first it is announced, then it goes part by part.

  function begin(one) {
    chosen.delete(one);
    one.frame.classList.add("up");
    one.bar = element("progress");
    one.bar.max = 100;
    one.bar.value = 0;
    one.bar.setAttribute("aria-label", one.picture.alt);
    one.frame.append(one.bar);
    waiting.push(one);
    next();
  }

  function next() {
    while (running < AT_ONCE && waiting.length) {
      const one = waiting.shift();
      if (!one.gone) announce(one);
    }
  }

  function announce(one) {
    running += 1;
    one.line.textContent = say.sending;
    acts(one, [[say.stop, () => remove(one)]]);
    const body = new FormData();
    body.set("view", one.form.elements.view.value);
    body.set("size", one.file.size);
    body.set("name", one.name ?? one.file.name);
    body.set("changed", one.changed ?? one.file.lastModified);
    body.set("edits", digest(one.edits));
    ask(one, one.form.dataset.photos, body, (told) => {
      one.where = told.where;
      one.most = told.part;
      part(one, told.received);
    });
  }

  // A short name for what was changed: the same change of the same photo goes on where it stopped.

  function digest(text) {
    let a = 5381;
    let b = 52711;
    for (const char of text) {
      a = (Math.imul(a, 33) ^ char.codePointAt(0)) >>> 0;
      b = (Math.imul(b, 31) + char.codePointAt(0)) >>> 0;
    }
    return text && `${a}.${b}`;
  }

  function part(one, received) {
    one.received = received;
    show(one, 0);
    const piece = one.file.slice(received, received + one.most);
    ask(one, `${one.where}?from=${received}`, piece, (told) => part(one, told.received));
  }

  function show(one, more) {
    const there = Math.min(one.received + more, one.file.size);
    const share = Math.floor((100 * there) / one.file.size);
    one.bar.value = share;
    one.line.textContent = `${share} %, ${megabytes(there)} / ${megabytes(one.file.size)} MB`;
  }

  function ask(one, address, body, going) {
    const request = new XMLHttpRequest();
    one.request = request;
    if (body instanceof Blob) {
      request.upload.addEventListener("progress", (event) => show(one, Math.min(event.loaded, body.size)));
    }
    request.addEventListener("loadend", () => {
      let told = {};
      try {
        told = JSON.parse(request.responseText || "{}");
      } catch {
        told = {};
      }
      if (!one.gone && request.status === 200 && !told.tile) {
        going(told);
        return;
      }
      running -= 1;
      if (!one.gone) ended(one, request.status, told);
      next();
    });
    request.open("POST", address);
    request.setRequestHeader("X-Requested-With", "photos.js");
    request.setRequestHeader("X-CSRFToken", one.form.elements.csrfmiddlewaretoken.value);
    if (body instanceof Blob) request.setRequestHeader("Content-Type", "application/octet-stream");
    request.send(body);
  }

  function ended(one, status, told) {
    const phone = document.getElementById("words-for-phone").dataset;
    if (told.tile) arrived(one, told.tile);
    else if (status === 422) refused(one, told.refused);
    else if (status === 404 && !one.where) refused(one, phone.ended);
    else if (status === 403) refused(one, phone.reload);
    else waits(one);
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
    one.where = "";
    one.line.className = "error";
    one.line.textContent = sentence;
    acts(one, [[say.remove, () => remove(one)]]);
  }

  function waits(one) {
    one.line.textContent = say.waits;
    // It is announced anew, and told how much is there.
    one.where = "";
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

  function take(input) {
    const form = input.closest("form[data-photos]");
    if (!form || input.type !== "file") return;
    for (const file of input.files) choose(form, file);
    input.value = "";
  }

  document.addEventListener("change", (event) => take(event.target));
  // Over a slow line photos may have been chosen before this file had come.
  for (const input of document.querySelectorAll("form[data-photos] input[type=file]")) take(input);
  addEventListener("online", () => {
    for (const one of [...held]) if (one.again) one.again();
  });
  addEventListener("beforeunload", (event) => {
    if (running || waiting.length || held.size || chosen.size) event.preventDefault();
  });
})();
