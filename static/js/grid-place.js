// Where the reader is in the grid: the cell that has the focus, the block that is chosen, on a phone the one size that shows.
"use strict";

function gridPlace(sheet) {
  const { words, bar, over, narrow, copy, make } = sheet;

  const inside = ([i, j]) => [
    Math.max(-1, Math.min(i, copy.order.length - 1)),
    Math.max(-1, Math.min(j, copy.sizes.length - 1)),
  ];
  const element = ([i, j]) => sheet.grid[i + 1] && sheet.grid[i + 1][j + 1];

  function go(to, { extend = false, focus = true } = {}) {
    let [i, j] = inside(to);
    if (i < 0 && j < 0) [i, j] = sheet.at[0] < 0 ? [0, -1] : [-1, 0];
    const next = element([i, j]);
    if (!next) return;
    const old = element(sheet.at);
    if (old) {
      old.tabIndex = -1;
      old.removeAttribute("aria-describedby");
    }
    sheet.at = [i, j];
    sheet.here = { row: i < 0 ? null : copy.order[i], size: j < 0 ? null : copy.sizes[j][0] };
    if (!extend) sheet.anchor = sheet.at;
    next.tabIndex = 0;
    next.setAttribute("aria-describedby", "cell-line");
    select();
    if (narrow.matches) showOne(Math.max(0, j));
    sheet.describe();
    if (!focus) return;
    next.focus();
    uncover();
  }

  // The sizes' labels never stay under the bar that sticks to the window's edge.
  function uncover() {
    if (narrow.matches) return;
    const covered = bar.getBoundingClientRect().bottom - over.getBoundingClientRect().top;
    if (covered > 1) window.scrollBy(0, -covered);
  }

  function block() {
    const [top, bottom] = [sheet.at[0], sheet.anchor[0]].sort((a, b) => a - b);
    const [left, right] = [sheet.at[1], sheet.anchor[1]].sort((a, b) => a - b);
    return { top: Math.max(0, top), bottom, left: Math.max(0, left), right };
  }

  function select() {
    const next = [];
    if (sheet.at[0] !== sheet.anchor[0] || sheet.at[1] !== sheet.anchor[1]) {
      const { top, bottom, left, right } = block();
      for (let i = top; i <= bottom; i += 1) for (let j = left; j <= right; j += 1) next.push(sheet.grid[i + 1][j + 1]);
    }
    if (!next.length && !sheet.chosen.length) return;
    const now = new Set(next);
    sheet.chosen.forEach((td) => {
      if (now.has(td)) return;
      td.classList.remove("sel");
      td.removeAttribute("aria-selected");
    });
    next.forEach((td) => {
      td.classList.add("sel");
      td.setAttribute("aria-selected", "true");
    });
    sheet.chosen = next;
  }

  function places() {
    const { top, bottom, left, right } = block();
    const found = [];
    for (let i = top; i <= bottom; i += 1) for (let j = left; j <= right; j += 1) found.push([i, j]);
    return found;
  }

  const fenced = () => sheet.at[0] >= 0 && sheet.at[1] >= 0;

  function nameOf(row, size) {
    const found = copy.sizes.find((one) => one[0] === size);
    return `${(copy.rows.get(row) || {}).label || row}, ${found ? found[1] : size}`;
  }

  // On a narrow screen one size is shown at a time.

  function buildPicks() {
    document.getElementById("one-size").replaceChildren(
      ...copy.sizes.map(([, label, base], j) => {
        const button = make("button", "act", label || "–");
        button.type = "button";
        if (base) button.append(make("small", "", words.base));
        button.addEventListener("click", () => {
          sheet.commit();
          go([Math.max(0, sheet.at[0]), j], { focus: false });
        });
        return button;
      }),
    );
    showOne(Math.max(0, sheet.at[1]));
  }

  let shown = -1;
  function showOne(j) {
    const picks = document.getElementById("one-size").children;
    if (shown === j && picks[j] && picks[j].hasAttribute("aria-current") && sheet.grid[0][j + 1].classList.contains("on")) return;
    shown = j;
    sheet.grid.forEach((cells) => cells.forEach((cell, i) => cell.classList.toggle("on", i === j + 1)));
    [...picks].forEach((pick, i) => {
      if (i === j) pick.setAttribute("aria-current", "true");
      else pick.removeAttribute("aria-current");
    });
  }
  narrow.addEventListener("change", () => showOne(Math.max(0, sheet.at[1])));

  return { inside, element, go, block, select, places, fenced, nameOf, buildPicks };
}
