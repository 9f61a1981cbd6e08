// What a page says while it is filled in: the mark at the top, the sentence beside a field, the parts that change.
"use strict";

function reportPage(report) {
  const { phone, form, mark } = report;

  function show(state, at) {
    if (!mark) return;
    report.shown = state;
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
    for (const [name, one] of Object.entries(report.waiting())) {
      if (report.unitOf() === one.unit || !isLength(name)) fill(name, one.text);
    }
  }

  function fill(name, text) {
    for (const input of fieldsNamed(name)) {
      if (input === document.activeElement) continue;
      if (input.type === "radio") input.checked = input.value === text;
      else if (input.type === "checkbox") input.checked = text === input.value;
      else input.value = text;
    }
  }

  const isLength = (name) => Boolean(form && form.querySelector(`[data-field="${CSS.escape(name)}"].f-length`));

  // A page that was kept on the phone is older than what was saved since.
  function catchUpWithSaved() {
    const drawn = Date.parse(phone.dataset.drawn);
    for (const [name, one] of Object.entries(report.saved())) {
      if (one.at < drawn || (one.unit !== report.unitOf() && isLength(name))) continue;
      fill(name, one.text);
      setWas(name, one.text);
    }
  }

  function ready() {
    for (const button of document.querySelectorAll("[data-step]")) button.hidden = false;
  }

  return { show, tell, fieldsNamed, setWas, sayBeside, swap, fillIn, fill, isLength, catchUpWithSaved, ready };
}
