// Sizes signed from the keyboard. Without this script the same links and buttons are there.
"use strict";
(function () {
  const form = document.querySelector("[data-sign-form]");
  const note = form && form.querySelector("[data-sign-note]");
  const same = { ArrowRight: "j", ArrowLeft: "k" };
  let send = null;

  function typing(target) {
    return target.matches("input:not([type=hidden]), textarea, select") || target.isContentEditable;
  }

  document.addEventListener("keydown", function (event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.target === note) {
      if (event.key === "Escape") note.blur();
      if (event.key === "Enter") {
        event.preventDefault();
        (send || form.querySelector('[value="noted"]')).click();
      }
      return;
    }
    if (typing(event.target)) return;
    // A region that scrolls sideways keeps its arrow keys.
    if (event.key in same && event.target.closest(".over")) return;
    const key = same[event.key] || event.key.toLowerCase();
    if (!/^[a-z]$/.test(key)) return;
    const noted = document.querySelector('[data-sign-note-key="' + key + '"]');
    if (noted && note) {
      event.preventDefault();
      send = noted;
      note.focus();
      return;
    }
    const found = document.querySelector('[data-sign-key="' + key + '"]');
    if (found) {
      event.preventDefault();
      found.click();
    }
  });
})();
