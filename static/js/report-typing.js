// Every field is kept as it is typed, and goes out soon after.
"use strict";

function reportTyping(report) {
  const { form } = report;

  const NOT_A_FIELD = /^(was\.|csrfmiddlewaretoken$|unit$|stay$)/;

  function typed(event) {
    const input = event.target;
    if (!form || input.form !== form || !input.name || NOT_A_FIELD.test(input.name)) return;
    const picked = input.type === "radio" || input.type === "checkbox" || input.tagName === "SELECT" || input.type === "date";
    if (event.type === "input" && picked) return;
    if (event.type === "input" || picked) report.keep(input.name, input.type === "checkbox" && !input.checked ? "" : input.value);
    if (event.type === "change") report.flush();
    else report.soon();
  }

  // Over a slow line a field may have been answered before this file had come.
  function catchUp() {
    for (const input of form.elements) {
      if (!input.name || input.type === "hidden" || NOT_A_FIELD.test(input.name) || !answeredSince(input)) continue;
      report.keep(input.name, input.type === "checkbox" && !input.checked ? "" : input.value);
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
    report.keep(input.name, input.value);
    report.soon();
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

  return { typed, catchUp, step };
}
