// Typing in the grid, emptying, taking back, copying and pasting.
"use strict";

function gridTyping(sheet) {
  const { words, table, copy, make, fill } = sheet;

  function edit(text) {
    const [i, j] = sheet.at;
    const row = i >= 0 ? copy.order[i] : null;
    const size = j >= 0 ? copy.sizes[j] : null;
    const was = row && size ? copy.text(row, size[0]) : row ? copy.rows.get(row).label : size[1];
    const input = make("input", "edit");
    input.type = "text";
    input.autocomplete = "off";
    input.spellcheck = false;
    input.maxLength = row && size ? 60 : row ? 120 : 20;
    if (row && size) input.inputMode = copy.rows.get(row).unit === "in" ? "text" : "decimal";
    input.setAttribute("aria-label", row && size ? sheet.nameOf(row, size[0]) : row ? words.nameOfRow : words.nameOfSize);
    input.value = text === undefined ? was : text;
    sheet.editor = { input, row, size: size && size[0], was };
    sheet.element(sheet.at).append(input);
    input.focus();
    if (text === undefined) input.select();
    input.addEventListener("blur", () => commit());
  }

  function close() {
    const done = sheet.editor;
    sheet.editor = null;
    if (done) done.input.remove();
    return done;
  }

  function cancel() {
    const cell = sheet.editor && sheet.editor.input.closest("td,th");
    close();
    if (cell) cell.focus();
  }

  function commit() {
    const done = close();
    if (!done) return;
    const text = done.input.value.trim().replace(/\s+/g, " ");
    if (text === done.was) return;
    if (done.row && done.size) put([[done.row, done.size, text, done.was]]);
    else if (text) copy.change({ do: "name", axis: done.row ? "row" : "size", key: done.row || done.size, label: text });
  }

  // Where nobody else changed the cell while it was typed in, what was seen is what stands.
  function put(list) {
    const edits = list.map(([row, size, text, seen]) =>
      seen === undefined || seen === copy.text(row, size) ? [row, size, text] : [row, size, text, seen],
    );
    const count = copy.set(edits);
    edits.forEach(([row, size]) => {
      const place = [copy.order.indexOf(row), copy.sizes.findIndex((one) => one[0] === size)];
      if (place[0] >= 0 && place[1] >= 0) sheet.paint(...place);
    });
    sheet.describe();
    sheet.whole();
    return count;
  }

  function clear() {
    const count = put(sheet.places().map(([i, j]) => [copy.order[i], copy.sizes[j][0], ""]));
    if (count > 1) sheet.say(fill(words.cleared, { count }));
  }

  function takeBack(again) {
    const count = again ? copy.redo() : copy.undo();
    if (count === null) {
      sheet.say(again ? words.nothingToRedo : words.nothingToUndo);
      return;
    }
    copy.order.forEach((id) => sheet.paintRow(id));
    sheet.describe();
    sheet.whole();
    sheet.say(fill(again ? words.redone : words.undone, { count }));
  }

  function pasted(text) {
    const lines = text.replace(/\r\n?/g, "\n").replace(/\n$/, "").split("\n").map((one) => one.split("\t"));
    const { top, left, bottom, right } = sheet.block();
    const single = lines.length === 1 && lines[0].length === 1;
    const list = [];
    let beyond = 0;
    if (single) sheet.places().forEach(([i, j]) => list.push([copy.order[i], copy.sizes[j][0], tidy(lines[0][0])]));
    else {
      lines.forEach((cells, i) => cells.forEach((value, j) => {
        const [row, size] = [copy.order[top + i], copy.sizes[left + j]];
        if (row && size) list.push([row, size[0], tidy(value)]);
        else if (tidy(value)) beyond += 1;
      }));
      sheet.anchor = [top, left];
      const end = [top + lines.length - 1, left + Math.max(...lines.map((cells) => cells.length)) - 1];
      sheet.at = sheet.inside(end);
      sheet.go(sheet.at, { extend: true });
    }
    if (single && (bottom > top || right > left)) sheet.select();
    const count = put(list);
    const told = fill(words.pasted, { count });
    sheet.say(told);
    sheet.notice(beyond ? `${told} ${fill(words.beyond, { count: beyond })}` : "");
  }

  const tidy = (value) => value.trim().replace(/^"(.*)"$/s, (_, quoted) => quoted.replace(/""/g, '"')).replace(/\s+/g, " ");

  const ready = () => !sheet.editor && table.contains(document.activeElement) && sheet.fenced();

  function copied(event) {
    if (!ready()) return false;
    const { top, bottom, left, right } = sheet.block();
    const lines = [];
    for (let i = top; i <= bottom; i += 1) {
      const texts = [];
      for (let j = left; j <= right; j += 1) texts.push(copy.text(copy.order[i], copy.sizes[j][0]));
      lines.push(texts.join("\t"));
    }
    event.clipboardData.setData("text/plain", lines.join("\n"));
    event.preventDefault();
    sheet.say(fill(words.copied, { count: sheet.places().length }));
    return true;
  }
  document.addEventListener("copy", copied);
  document.addEventListener("cut", (event) => {
    if (copied(event)) clear();
  });
  document.addEventListener("paste", (event) => {
    const text = event.clipboardData ? event.clipboardData.getData("text/plain") : "";
    if (!text) return;
    // A block that is pasted while a cell is typed in goes to the cells as well.
    if (sheet.editor && table.contains(document.activeElement) && /[\t\n]/.test(text.trim())) cancel();
    if (!ready()) return;
    event.preventDefault();
    pasted(text);
  });

  return { edit, close, cancel, commit, put, clear, takeBack };
}
