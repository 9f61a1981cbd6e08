// A live part of a page is replaced by its newer self: what the reader had opened stays open.
"use strict";
let opened = [];
document.addEventListener("htmx:beforeSwap", (event) => {
  if (!event.detail.shouldSwap) return; // nothing has changed: the page stays as it is
  opened = [...event.target.querySelectorAll("details[open][id], input:checked[id]")].map((one) => one.id);
});
document.addEventListener("htmx:afterSwap", () => {
  for (const id of opened) {
    const one = document.getElementById(id);
    if (one instanceof HTMLDetailsElement) one.open = true;
    else if (one) one.checked = true;
  }
  opened = [];
});
