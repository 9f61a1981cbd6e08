// Small things for every page. Pages work without it.
"use strict";

// A form that comes back with a question: the first field that asks has the focus, and so comes into view.
(() => {
  const asking = document.querySelectorAll("body:not(.with-tester) main :is(input, select, textarea)[aria-invalid=true]");
  const first = [...asking].find((field) => field.offsetParent);
  if (first) first.focus();
})();
