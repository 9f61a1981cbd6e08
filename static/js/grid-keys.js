// The keys and the pointer: what each does in the grid, typed in or not.
"use strict";

function gridKeys(sheet) {
  const { words, table, line, copy } = sheet;

  let leaving = false; // Escape was pressed: the next Tab leaves the grid

  const arrows = { ArrowUp: [-1, 0], ArrowDown: [1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1], PageUp: [-10, 0], PageDown: [10, 0] };

  function typingKey(event) {
    if (event.isComposing) return;
    const step = { Enter: [event.shiftKey ? -1 : 1, 0], Tab: [0, event.shiftKey ? -1 : 1], ArrowUp: [-1, 0], ArrowDown: [1, 0] }[event.key];
    if (event.key === "Escape") {
      event.preventDefault();
      sheet.cancel();
      return;
    }
    if (!step || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    sheet.commit();
    sheet.go([sheet.at[0] + step[0], sheet.at[1] + step[1]]);
  }

  function tabbed(event) {
    if (leaving) return;
    const step = event.shiftKey ? -1 : 1;
    const last = copy.sizes.length - 1;
    let [i, j] = [sheet.at[0], sheet.at[1] + step];
    if (j > last) [i, j] = [i + 1, 0];
    if (j < (i < 0 ? 0 : -1)) [i, j] = [i - 1, last];
    if (i >= copy.order.length || i < -1) return; // past either end Tab leaves the grid
    event.preventDefault();
    sheet.go([i, j]);
  }

  table.addEventListener("keydown", (event) => {
    if (sheet.editor) {
      typingKey(event);
      return;
    }
    const { key } = event;
    const command = event.ctrlKey || event.metaKey;
    if (key === "Tab") {
      if (!command && !event.altKey) tabbed(event);
      return;
    }
    if (key !== "Shift") leaving = false;
    if (command && !event.altKey && key.toLowerCase() === "z") sheet.takeBack(event.shiftKey);
    else if (command && !event.altKey && key.toLowerCase() === "y") sheet.takeBack(true);
    else if (command && !event.altKey && key.toLowerCase() === "a") {
      sheet.anchor = [0, 0];
      sheet.go([copy.order.length - 1, copy.sizes.length - 1], { extend: true });
    } else if (arrows[key] && !event.altKey) {
      const [down, right] = arrows[key];
      if (command) sheet.go([down ? (down < 0 ? 0 : copy.order.length - 1) : sheet.at[0], right ? (right < 0 ? 0 : copy.sizes.length - 1) : sheet.at[1]], { extend: event.shiftKey });
      else sheet.go(extended([sheet.at[0] + down, sheet.at[1] + right], event.shiftKey), { extend: event.shiftKey });
    } else if (key === "Home") sheet.go([command ? 0 : sheet.at[0], 0], { extend: event.shiftKey });
    else if (key === "End") sheet.go([command ? copy.order.length - 1 : sheet.at[0], copy.sizes.length - 1], { extend: event.shiftKey });
    else if (command || event.altKey) return;
    else if (key === "Enter") {
      const asked = line.querySelector(".two-texts button");
      if (asked && !event.shiftKey) asked.focus();
      else sheet.go([sheet.at[0] + (event.shiftKey ? -1 : 1), sheet.at[1]]);
    } else if (key === "F2") sheet.edit();
    else if (key === "Delete" || key === "Backspace") {
      if (sheet.fenced()) sheet.clear();
    } else if (key === "Escape") {
      leaving = true;
      sheet.go(sheet.at);
      sheet.say(words.leaving);
      return;
    } else if (key.length === 1 && !event.isComposing) {
      sheet.edit(key);
    } else return;
    event.preventDefault();
  });

  // A block is of cells, never of heads.
  const extended = ([i, j], extend) => (extend ? [Math.max(0, i), Math.max(0, j)] : [i, j]);

  table.addEventListener("pointerdown", (event) => {
    const cell = event.target.closest("td,th");
    if (!cell || !cell.place || (sheet.editor && sheet.editor.input === event.target)) return;
    if (cell.classList.contains("corner")) return;
    const touch = event.pointerType === "touch";
    if (touch) return;
    event.preventDefault();
    sheet.commit();
    sheet.go(extended(cell.place, event.shiftKey), { extend: event.shiftKey });
    if (event.shiftKey || !sheet.fenced()) return;
    const drag = (moved) => {
      const above = document.elementFromPoint(moved.clientX, moved.clientY);
      const under = above && above.closest("td");
      if (under && under.place && (under.place[0] !== sheet.at[0] || under.place[1] !== sheet.at[1])) sheet.go(under.place, { extend: true });
    };
    document.addEventListener("pointermove", drag);
    document.addEventListener("pointerup", () => document.removeEventListener("pointermove", drag), { once: true });
  });
  table.addEventListener("dblclick", (event) => {
    if (!sheet.editor && event.target.closest("td,th") === sheet.element(sheet.at)) sheet.edit();
  });
  // A finger types at once: there is no key to begin with.
  table.addEventListener("click", (event) => {
    const cell = event.target.closest("td,th");
    if (event.pointerType !== "touch" || !cell || !cell.place || cell.classList.contains("corner")) return;
    if (sheet.editor && sheet.editor.input === event.target) return;
    sheet.commit();
    sheet.go(cell.place);
    sheet.edit();
  });
}
