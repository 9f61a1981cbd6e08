// Typing into a chart: arrow keys move between cells, Enter goes down, a pasted block fills the cells from here on.
// Without this script every cell is a plain field, and "Read again" does the rest.
"use strict";
(function () {
  function place(input) {
    const found = /^c(\d+)\.(\d+)$/.exec(input.name || "");
    return found ? [Number(found[1]), Number(found[2])] : null;
  }

  function cell(table, row, column) {
    return table.querySelector('input[name="c' + row + "." + column + '"]');
  }

  // What a text was read as is out of date once the text changes.
  function forget(input) {
    const td = input.closest("td");
    const echo = td.parentElement.nextElementSibling;
    if (echo && echo.classList.contains("echo")) echo.cells[td.cellIndex].textContent = "";
  }

  function atEdge(input, key) {
    if (key === "ArrowUp" || key === "ArrowDown") return true;
    if (input.selectionStart !== input.selectionEnd) return input.selectionEnd - input.selectionStart === input.value.length;
    return key === "ArrowLeft" ? input.selectionStart === 0 : input.selectionEnd === input.value.length;
  }

  const steps = { ArrowUp: [-1, 0], ArrowDown: [1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1], Enter: [1, 0] };

  document.querySelectorAll("table[data-grid]").forEach(function (table) {
    table.addEventListener("keydown", function (event) {
      const from = place(event.target);
      const step = steps[event.key];
      if (!from || !step || event.altKey || event.ctrlKey || event.metaKey || event.isComposing) return;
      if (event.key !== "Enter" && !atEdge(event.target, event.key)) return;
      const next = cell(table, from[0] + step[0], from[1] + step[1]);
      event.preventDefault();
      if (next) {
        next.focus();
        next.select();
      }
    });
    table.addEventListener("input", function (event) {
      if (place(event.target)) forget(event.target);
    });
    table.addEventListener("paste", function (event) {
      const from = place(event.target);
      const text = event.clipboardData ? event.clipboardData.getData("text/plain") : "";
      if (!from || !/[\t\n]/.test(text.trim())) return;
      event.preventDefault();
      text.replace(/\r\n?/g, "\n").replace(/\n+$/, "").split("\n").forEach(function (line, i) {
        line.split("\t").forEach(function (value, j) {
          const input = cell(table, from[0] + i, from[1] + j);
          if (!input) return;
          input.value = value.trim();
          forget(input);
        });
      });
    });
  });
})();
