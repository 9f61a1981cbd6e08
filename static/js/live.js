// A live part of a page is replaced by its newer self: what the reader had opened stays open.
"use strict";
document.addEventListener("htmx:beforeSwap", (event) => {
  const open = [...event.target.querySelectorAll("details[open][id]")].map((one) => one.id);
  const checked = [...event.target.querySelectorAll("input[type=checkbox][id]")].filter((one) => one.checked);
  const ids = checked.map((one) => one.id);
  document.addEventListener(
    "htmx:afterSwap",
    () => {
      open.forEach((id) => document.getElementById(id)?.setAttribute("open", ""));
      ids.forEach((id) => {
        const box = document.getElementById(id);
        if (box) box.checked = true;
      });
    },
    { once: true },
  );
});
