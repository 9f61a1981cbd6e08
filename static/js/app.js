// Small things for every page. Pages work without it.
"use strict";

// A form that comes back with a question: the first field that asks has the focus, and so comes into view.
(() => {
  const asking = document.querySelectorAll(
    "body:not(.with-tester) main :is(:is(input, select, textarea)[aria-invalid=true], td:is(.doubt, .unread) input)",
  );
  const first = [...asking].find((field) => field.offsetParent);
  if (first) first.focus();
})();
