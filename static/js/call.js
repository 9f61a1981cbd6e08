// The application to a call: a decimal keypad for centimetres; fractions of an inch need the full one.
"use strict";

(() => {
  const form = document.getElementById("apply");
  if (!form) return;
  const keypads = { cm: "decimal", in: "text" };
  form.addEventListener("change", (event) => {
    if (event.target.name !== "units") return;
    for (const field of form.querySelectorAll(".measure input")) field.inputMode = keypads[event.target.value];
  });
})();
