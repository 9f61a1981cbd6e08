// A tester's pages: every field goes to the server as it is typed. What could not go yet waits on this phone, a
// visit at a time, and goes out once there is a line. Where another page wrote the same field meanwhile, the tester
// chooses. Without this file the pages are plain forms.
"use strict";

(() => {
  const PREFIX = "toile:";
  const SAID = "toilesaid:";
  const PAGES = "toile-pages:";
  const LOOKS = "toile-looks";
  const TRIES_KEPT = 8;
  const KEEP_MS = 14 * 24 * 60 * 60 * 1000;
  const TYPING_MS = 600;
  const FIRST_RETRY_MS = 2000;
  const LAST_RETRY_MS = 60000;
  const NOT_A_FIELD = /^(was\.|csrfmiddlewaretoken$|unit$|stay$)/;

  document.documentElement.classList.add("js");
  const phone = document.querySelector(".phone");
  if (!phone) return;
  const place = phone.dataset.place || "";
  const form = document.querySelector("form.answers[data-page]");
  const mark = document.getElementById("saved");
  const words = document.getElementById("words-for-phone").dataset;

  // What waits: {field: {text, unit, at, tried, both}}, in this phone's storage, or in memory where there is none.
  // `tried` begins with what the page showed and goes on with what was sent; `both` is there while two texts stand
  // against each other. Beside it, for pages that are opened without a line, what was saved: {field: {text, unit, at}}.

  const memory = new Map();
  const storage = {
    keys(prefix) {
      try {
        return Object.keys(localStorage).filter((key) => key.startsWith(prefix));
      } catch {
        return [...memory.keys()].filter((key) => key.startsWith(prefix));
      }
    },
    read(key) {
      try {
        return JSON.parse(localStorage.getItem(key)) || {};
      } catch {
        return memory.get(key) || {};
      }
    },
    write(key, waiting) {
      const empty = Object.keys(waiting).length === 0;
      try {
        if (empty) localStorage.removeItem(key);
        else localStorage.setItem(key, JSON.stringify(waiting));
      } catch {
        if (empty) memory.delete(key);
        else memory.set(key, waiting);
      }
    },
  };
  const key = PREFIX + place;
  const waiting = () => (place ? storage.read(key) : {});
  const nothingWaits = () => Object.keys(waiting()).length === 0;

  const unitOf = () => (form ? form.elements.unit.value : "");

  // A visit's copies, or with `whole` those of both garments of its place.
  function forget(ref, whole = true) {
    const first = ref.split(".")[0];
    const same = (name) => name === ref || (whole && name.split(".")[0] === first);
    for (const prefix of [PREFIX, SAID]) {
      for (const name of storage.keys(prefix)) if (same(name.slice(prefix.length))) storage.write(name, {});
    }
    forgetPages(same);
  }

  async function forgetPages(same) {
    if (!window.caches) return;
    for (const name of await caches.keys()) {
      if (name.startsWith(PAGES) && same(name.slice(PAGES.length))) await caches.delete(name);
    }
  }

  function forgetTheOld() {
    const limit = Date.now() - KEEP_MS;
    for (const prefix of [PREFIX, SAID]) {
      for (const name of storage.keys(prefix)) {
        const kept = Object.entries(storage.read(name)).filter(([, one]) => one.at > limit);
        storage.write(name, Object.fromEntries(kept));
      }
    }
  }

  function keep(name, text) {
    const all = waiting();
    const before = all[name];
    const showed = fieldsNamed(`was.${name}`).map((hidden) => hidden.value);
    all[name] = { text, unit: unitOf(), at: Date.now(), tried: before ? before.tried || [] : showed.slice(0, 1) };
    if (before && before.both) all[name].both = { ...before.both, here_words: wordsFor(name, text) };
    storage.write(key, all);
    // "Saved" is never said of what is still on its way.
    if (shown === "saved") show("saving");
    if (all[name].both) showBoth();
  }

  function wordsFor(name, text) {
    const picked = fieldsNamed(name).find((input) => input.checked);
    return picked && picked.labels.length ? picked.labels[0].textContent.trim() : text;
  }

  // Remember what is about to be sent: if the answer is lost, the next try knows its own words.
  function trying(sent) {
    const all = waiting();
    for (const [name, one] of sent) {
      const waits = all[name];
      if (!waits || !waits.tried || !waits.tried.length) continue;
      const [showed, ...tries] = waits.tried;
      waits.tried = [showed, ...[...tries.filter((text) => text !== one.text), one.text].slice(-TRIES_KEPT)];
    }
    storage.write(key, all);
  }

  function drop(sent) {
    const all = waiting();
    for (const [name, one] of sent) {
      if (!all[name]) continue;
      if (all[name].text === one.text && all[name].at === one.at) delete all[name];
      else if (all[name].tried && all[name].tried.length) all[name].tried = [one.text];
    }
    storage.write(key, all);
  }

  function remember(sent, at) {
    if (!phone.dataset.worker) return;
    const all = storage.read(SAID + place);
    for (const [name, one] of sent) {
      if (!name.startsWith("body")) all[name] = { text: one.text, unit: one.unit, at };
    }
    storage.write(SAID + place, all);
  }

  // The mark at the top: saved, or not sent yet.

  let shown = "";

  function show(state, at) {
    if (!mark) return;
    shown = state;
    const head = document.createElement("b");
    const below = document.createElement("span");
    below.className = "soft";
    mark.className = `saved ${state}`;
    if (state === "saved") {
      head.append(tick(), ` ${mark.dataset.saved}`);
      below.textContent = at.toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
    } else {
      head.textContent = mark.dataset[state];
      if (state === "unsent") below.textContent = mark.dataset.kept;
    }
    mark.replaceChildren(head, " ", below);
  }

  function tick() {
    const ns = "http://www.w3.org/2000/svg";
    const svg = document.createElementNS(ns, "svg");
    const path = document.createElementNS(ns, "path");
    for (const [name, value] of Object.entries({ width: 14, height: 14, viewBox: "0 0 14 14", "aria-hidden": "true", class: "tick" })) svg.setAttribute(name, value);
    for (const [name, value] of Object.entries({ d: "M1.5 7.5L5.2 11.5L12.5 2.5", fill: "none", stroke: "currentColor", "stroke-width": 2.2 })) path.setAttribute(name, value);
    svg.append(path);
    return svg;
  }

  function tell(sentence) {
    const bar = document.querySelector(".stick") || phone.lastElementChild;
    let note = document.getElementById("stick-note");
    if (!note) {
      note = document.createElement("p");
      note.id = "stick-note";
      note.setAttribute("role", "alert");
      bar.before(note);
    }
    note.textContent = sentence;
    note.hidden = !sentence;
  }

  // Sending.

  let sending = null;
  let retry = 0;
  let retryTimer = 0;
  let typingTimer = 0;

  function soon() {
    clearTimeout(typingTimer);
    typingTimer = setTimeout(flush, TYPING_MS);
  }

  function flush() {
    clearTimeout(typingTimer);
    if (!place || nothingWaits()) return sending || Promise.resolve();
    sending = (sending || Promise.resolve()).then(() => oneAtATime(sendAll));
    const mine = sending;
    return mine.finally(() => {
      if (sending === mine) sending = null;
    });
  }

  function oneAtATime(work) {
    return navigator.locks ? navigator.locks.request(key, work) : work();
  }

  // What waits for the tester's choice does not go out by itself.
  const toSend = () => Object.entries(waiting()).filter(([, one]) => !one.both);

  async function sendAll() {
    const units = new Set(toSend().map(([, one]) => one.unit));
    for (const unit of units) {
      const sent = toSend().filter(([, one]) => one.unit === unit);
      if (sent.length && !(await send(unit, sent))) return;
    }
  }

  async function send(unit, sent) {
    const slow = setTimeout(() => show("saving"), 800);
    try {
      const body = new URLSearchParams(sent.map(([name, one]) => [name, one.text]));
      for (const [name, one] of sent) for (const text of one.tried || []) body.append(`was.${name}`, text);
      trying(sent);
      body.set("unit", unit);
      if (form) {
        body.set("page", form.dataset.page);
        body.set("at", form.dataset.at);
      }
      const token = document.querySelector("input[name=csrfmiddlewaretoken]");
      const answer = await fetch(phone.dataset.save, {
        method: "POST",
        body,
        headers: { "X-CSRFToken": token ? token.value : "" },
        credentials: "same-origin",
        keepalive: body.toString().length < 60000,
      });
      return await heard(answer, sent);
    } catch {
      return tryLater();
    } finally {
      clearTimeout(slow);
    }
  }

  async function heard(answer, sent) {
    if (answer.ok) {
      const said = await answer.json();
      const written = sent.filter(([name]) => !(name in said.both));
      drop(written);
      retry = 0;
      tell("");
      remember(written, Date.parse(said.at));
      for (const [name, one] of written) setWas(name, one.text);
      setAgainst(said.both);
      for (const [name, beside] of Object.entries(said.beside)) sayBeside(name, beside);
      for (const [id, html] of Object.entries(said.live)) swap(id, html);
      fillIn();
      showBoth();
      if (sent.some(([name]) => name === "units") && form) location.reload();
      if (nothingWaits()) show("saved", new Date(said.at));
      return true;
    }
    if (answer.status === 404) {
      forget(place);
      return stopHere(words.ended);
    }
    if (answer.status === 409 || answer.status === 400) {
      if (answer.status === 409) storage.write(key, {});
      else drop(sent);
      return stopHere((await answer.json()).closed);
    }
    if (answer.status === 403) {
      show("unsent");
      tell(words.reload);
      return false;
    }
    return tryLater();
  }

  function stopHere(sentence) {
    for (const part of document.querySelectorAll("fieldset.all")) part.disabled = true;
    if (mark) mark.replaceChildren();
    tell(sentence);
    return false;
  }

  function tryLater() {
    show("unsent");
    clearTimeout(retryTimer);
    retryTimer = setTimeout(flush, Math.min(LAST_RETRY_MS, FIRST_RETRY_MS * 2 ** retry));
    retry += 1;
    return false;
  }

  // Two texts in one field: both are shown, and a button for each.

  function setAgainst(both) {
    const all = waiting();
    for (const [name, one] of Object.entries(both)) if (all[name]) all[name].both = one;
    storage.write(key, all);
  }

  function showBoth() {
    const open = Object.entries(waiting()).filter(([, one]) => one.both);
    for (const box of document.querySelectorAll(".both")) if (!open.some(([name]) => name === box.dataset.for)) box.remove();
    for (const [name, one] of open) {
      const old = [...document.querySelectorAll(".both")].find((box) => box.dataset.for === name);
      const box = bothBox(name, one.both);
      const field = form && form.querySelector(`[data-field="${CSS.escape(name)}"]`);
      if (old && old.textContent === box.textContent) continue;
      if (old) old.replaceWith(box);
      else if (field) field.append(box);
      else document.getElementById("main").prepend(box);
    }
    if (open.length) show("refused");
  }

  function bothBox(name, both) {
    const box = document.createElement("div");
    box.className = "both";
    box.dataset.for = name;
    box.setAttribute("role", "alert");
    const said = document.createElement("p");
    const title = document.createElement("b");
    title.textContent = `${both.title}.`;
    said.append(title, ` ${words.elsewhere} “${both.stands_words}”. ${words.here} “${both.here_words}”.`);
    box.append(said, choice(words.mine, () => mine(name)), choice(words.theirs, () => theirs(name)));
    return box;
  }

  function choice(label, act) {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "act";
    button.textContent = label;
    button.addEventListener("click", act);
    return button;
  }

  function mine(name) {
    const all = waiting();
    if (!all[name] || !all[name].both) return showBoth();
    all[name].tried = [all[name].both.stands];
    delete all[name].both;
    storage.write(key, all);
    showBoth();
    flush();
  }

  function theirs(name) {
    const all = waiting();
    if (!all[name] || !all[name].both) return showBoth();
    const stands = all[name].both.stands;
    delete all[name];
    storage.write(key, all);
    fill(name, stands);
    setWas(name, stands);
    showBoth();
    if (nothingWaits()) show("saved", new Date());
    if (navigator.onLine) location.reload();
  }

  // The page follows what the server said.

  function fieldsNamed(name) {
    return form ? [...form.querySelectorAll(`[name="${CSS.escape(name)}"]`)] : [];
  }

  function setWas(name, text) {
    for (const hidden of fieldsNamed(`was.${name}`)) hidden.value = text;
  }

  function sayBeside(name, { error, ask, echo, label }) {
    const box = form && form.querySelector(`[data-field="${CSS.escape(name)}"]`);
    const asked = box && box.querySelector("[data-live-label]");
    if (asked) asked.textContent = label;
    const line = box && box.querySelector(".beside");
    if (!line) return;
    const said = error || ask || echo;
    if (line.textContent !== said) line.textContent = said;
    line.className = `beside${error ? " error" : ask ? " ask" : ""}`;
    box.classList.toggle("wrong", Boolean(error));
    const input = box.querySelector("input:not([type=hidden]),textarea");
    if (input && input.type !== "radio" && error) input.setAttribute("aria-invalid", "true");
    else if (input) input.removeAttribute("aria-invalid");
  }

  function swap(id, html) {
    const old = document.getElementById(id);
    if (!old) return;
    const focused = old.contains(document.activeElement) ? document.activeElement : null;
    if (focused && focused.matches("input[type=text],textarea")) return;
    const holder = document.createElement("template");
    holder.innerHTML = html.trim();
    const fresh = holder.content.firstElementChild;
    if (!fresh || fresh.outerHTML === old.outerHTML) return;
    const open = [...old.querySelectorAll("details")].map((one) => one.open);
    [...fresh.querySelectorAll("details")].forEach((one, index) => {
      if (open[index]) one.open = true;
    });
    old.replaceWith(fresh);
    if (focused && focused.id) document.getElementById(focused.id)?.focus({ preventScroll: true });
  }

  function fillIn() {
    for (const [name, one] of Object.entries(waiting())) {
      if (unitOf() === one.unit || !isLength(name)) fill(name, one.text);
    }
  }

  const isLength = (name) => Boolean(form && form.querySelector(`[data-field="${CSS.escape(name)}"].f-length`));

  function fill(name, text) {
    for (const input of fieldsNamed(name)) {
      if (input === document.activeElement) continue;
      if (input.type === "radio") input.checked = input.value === text;
      else if (input.type === "checkbox") input.checked = text === input.value;
      else input.value = text;
    }
  }

  // A page that was kept on the phone is older than what was saved since.
  function catchUpWithSaved() {
    const drawn = Date.parse(phone.dataset.drawn);
    for (const [name, one] of Object.entries(storage.read(SAID + place))) {
      if (one.at < drawn || (one.unit !== unitOf() && isLength(name))) continue;
      fill(name, one.text);
      setWas(name, one.text);
    }
  }

  // Typing.

  function typed(event) {
    const input = event.target;
    if (!form || input.form !== form || !input.name || NOT_A_FIELD.test(input.name)) return;
    const picked = input.type === "radio" || input.type === "checkbox" || input.tagName === "SELECT" || input.type === "date";
    if (event.type === "input" && picked) return;
    if (event.type === "input" || picked) keep(input.name, input.type === "checkbox" && !input.checked ? "" : input.value);
    if (event.type === "change") flush();
    else soon();
  }

  // Over a slow line a field may have been answered before this file had come.

  function catchUp() {
    for (const input of form.elements) {
      if (!input.name || input.type === "hidden" || NOT_A_FIELD.test(input.name) || !answeredSince(input)) continue;
      keep(input.name, input.type === "checkbox" && !input.checked ? "" : input.value);
    }
  }

  function answeredSince(input) {
    if (input.type === "radio") return input.checked && !input.defaultChecked;
    if (input.type === "checkbox") return input.checked !== input.defaultChecked;
    if (input.tagName === "SELECT") {
      return input.selectedIndex !== Math.max(0, [...input.options].findIndex((one) => one.defaultSelected));
    }
    return "defaultValue" in input && input.value !== input.defaultValue;
  }

  function step(button) {
    const input = button.parentElement.querySelector("input[type=text]");
    const inches = form.elements.unit.value === "in";
    const size = inches ? 0.25 : 0.5;
    const now = readNumber(input.value);
    if (now === null) return;
    const next = Math.max(0, now + size * Number(button.dataset.step));
    input.value = next === 0 ? "" : inches ? asInches(next) : String(Math.round(next * 10) / 10);
    keep(input.name, input.value);
    soon();
  }

  function readNumber(text) {
    const plain = text.trim().replace(",", ".").replace(/\s*(cm|in|")$/, "");
    if (plain === "") return 0;
    const found = /^(?:(\d+)[\s-]+)?(\d+)\/(\d+)$/.exec(plain);
    if (found) return Number(found[1] || 0) + Number(found[2]) / Number(found[3]);
    return /^\d*\.?\d+$/.test(plain) ? Number(plain) : null;
  }

  function asInches(value) {
    const whole = Math.floor(value);
    const part = { 0: "", 0.25: "1/4", 0.5: "1/2", 0.75: "3/4" }[Math.round((value - whole) * 4) / 4];
    return [whole || (part ? "" : "0"), part].filter(Boolean).join(" ");
  }

  // The form and its question: a tap brings the question into view.

  function zoneLink(target) {
    if (!form || form.dataset.page !== "fit" || !target.closest) return null;
    const link = target.closest("a.dform-zone,a.dform-name,a[data-zone],a[data-side]");
    return link && form.contains(link) ? link : null;
  }

  async function open(link) {
    const address = link.href.baseVal === undefined ? link.href : link.href.baseVal;
    const url = new URL(address, location.href);
    const side = link.dataset.side;
    const zone = document.getElementById("question").dataset.zone;
    if (side && zone) url.pathname = `${url.pathname}${encodeURIComponent(zone)}/`;
    await flush();
    let answer;
    try {
      answer = await fetch(url, { headers: { "HX-Request": "true" }, credentials: "same-origin" });
    } catch {
      if (!openKept(link.dataset.zone || zoneOf(url), side)) tell(words.noLine);
      return;
    }
    if (!answer.ok) {
      location.assign(url);
      return;
    }
    tell("");
    form.dataset.at = answer.headers.get("X-At") || "";
    history.replaceState(null, "", side ? location.href : url);
    const parts = document.createElement("template");
    parts.innerHTML = await answer.text();
    for (const part of [...parts.content.children]) swap(part.id, part.outerHTML);
    fillIn();
    ready();
    if (!side) bringIntoView(document.getElementById("question"));
  }

  // Every question of the form, fetched once, so that a tap is answered without a line too.

  const questions = new Map();

  const zoneOf = (url) => decodeURIComponent(url.pathname.split("/").filter(Boolean).pop());

  async function fetchQuestions() {
    if (!form || form.dataset.page !== "fit" || questions.size) return;
    try {
      const answer = await fetch(form.dataset.questions, { headers: { "HX-Request": "true" }, credentials: "same-origin" });
      if (!answer.ok) return;
      const parts = document.createElement("template");
      parts.innerHTML = await answer.text();
      for (const part of parts.content.children) questions.set(part.dataset.zone, part.outerHTML);
    } catch {
      // Without them a tap waits for the line.
    }
  }

  function openKept(zone, side) {
    if (side || !questions.has(zone)) return false;
    tell("");
    form.dataset.at = zone;
    swap("question", questions.get(zone));
    catchUpWithSaved();
    fillIn();
    showBoth();
    ready();
    bringIntoView(document.getElementById("question"));
    return true;
  }

  function bringIntoView(question) {
    const calm = matchMedia("(prefers-reduced-motion: reduce)").matches;
    const beside = matchMedia("(min-width: 900px)").matches;
    question.scrollIntoView({ block: beside ? "nearest" : "start", behavior: calm ? "auto" : "smooth" });
    question.focus({ preventScroll: true });
  }

  // Going on, sending, leaving: first everything goes out.

  let warned = false;

  async function goOn(event) {
    event.preventDefault();
    const wrong = form.querySelector(".field.wrong input:not([type=hidden]),.field.wrong textarea");
    await flush();
    if (!nothingWaits()) {
      const both = document.querySelector(".both button");
      tell(both ? words.choose : words.noLine);
      if (both) both.focus();
      return;
    }
    const stillWrong = form.querySelector(".field.wrong input:not([type=hidden]),.field.wrong textarea");
    if (stillWrong && !(warned && wrong)) {
      warned = true;
      stillWrong.focus();
      show("refused");
      return;
    }
    const to = event.submitter && event.submitter.dataset.to;
    location.assign(to || form.dataset.next || location.pathname);
  }

  let leaving = false;

  async function leaveBy(event) {
    const going = event.target;
    if (leaving) {
      event.preventDefault();
      return;
    }
    leaving = true;
    if (nothingWaits()) {
      forget(place, "leave" in going.dataset);
      return;
    }
    event.preventDefault();
    await flush();
    if (nothingWaits()) {
      forget(place, "leave" in going.dataset);
      going.submit();
    } else {
      leaving = false;
      tell(document.querySelector(".both") ? words.choose : words.noLine);
    }
  }

  function ready() {
    for (const button of document.querySelectorAll("[data-step]")) button.hidden = false;
  }

  document.addEventListener("input", typed);
  document.addEventListener("change", typed);
  document.addEventListener("click", (event) => {
    const button = event.target.closest && event.target.closest("[data-step]");
    if (button) step(button);
    const link = zoneLink(event.target);
    if (link && !event.metaKey && !event.ctrlKey && !event.shiftKey && event.button === 0) {
      event.preventDefault();
      open(link);
    }
  });
  document.addEventListener("submit", (event) => {
    if (event.target === form) goOn(event);
    else if (event.target.matches("[data-send],[data-leave]")) leaveBy(event);
    else if (event.target.dataset.forgetFields) {
      const kept = Object.entries(waiting()).filter(([name]) => !name.startsWith(event.target.dataset.forgetFields));
      storage.write(key, Object.fromEntries(kept));
    }
  });
  addEventListener("online", flush);
  addEventListener("offline", () => nothingWaits() || show("unsent"));
  addEventListener("pagehide", flush);
  addEventListener("pageshow", (event) => {
    leaving = false;
    if (event.persisted && navigator.onLine) location.reload();
  });
  addEventListener("storage", (event) => {
    if (event.key !== key) return;
    fillIn();
    showBoth();
    // The other page may have sent what was typed here.
    if (event.oldValue && nothingWaits()) show("saved", new Date());
  });
  document.addEventListener("visibilitychange", flush);

  // The pages of a visit are kept by a worker of the browser's, so that they open without a line.

  async function keepPages() {
    if (!("serviceWorker" in navigator) || !phone.dataset.worker || !window.caches) return;
    await navigator.serviceWorker.register(phone.dataset.worker, { scope: "/test/" });
    await navigator.serviceWorker.ready;
    const looks = await caches.open(LOOKS);
    const now = [...document.querySelectorAll("script[src],link[rel=stylesheet]")].map((one) => one.src || one.href);
    for (const old of await looks.keys()) if (/\.(js|css)$/.test(old.url) && !now.includes(old.url)) await looks.delete(old);
    for (const address of now) if (!(await looks.match(address))) await looks.add(address);
    const kept = await caches.open(PAGES + place);
    for (const address of phone.dataset.keep.split(" ")) {
      if (await kept.match(address)) continue;
      const answer = await fetch(address, { credentials: "same-origin" });
      if (!answer.ok || !answer.headers.has("X-May-Keep")) continue;
      const headers = { "Content-Type": answer.headers.get("Content-Type"), "X-Kept-At": String(Date.now()) };
      await kept.put(address, new Response(await answer.blob(), { headers }));
    }
  }

  const whenIdle = window.requestIdleCallback || ((work) => setTimeout(work, 500));

  forgetTheOld();
  if (phone.dataset.forget) forget(phone.dataset.forget);
  ready();
  if (place) {
    if (phone.dataset.sent) forget(place, false);
    if (form) {
      catchUpWithSaved();
      catchUp();
    }
    fillIn();
    if (!nothingWaits()) show("unsent");
    if (phone.dataset.zone === "" && !waiting().timezone) keep("timezone", Intl.DateTimeFormat().resolvedOptions().timeZone || "");
    flush();
    showBoth();
    addEventListener("load", () => whenIdle(() => fetchQuestions().then(keepPages).catch(() => {})));
  }
})();
