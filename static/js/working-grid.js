// The grid in which a chart is edited, by keys as in a spreadsheet. The page's words stand in the template.
"use strict";

(() => {
  const area = document.getElementById("live-grid");
  if (!area) return;
  const words = document.getElementById("grid-words").dataset;
  const table = document.getElementById("live-table");
  const line = document.getElementById("cell-line");
  const bar = document.getElementById("grid-head");
  const over = document.getElementById("grid-over");
  const aloud = document.getElementById("grid-says");
  const mark = document.getElementById("saved");
  const narrow = matchMedia("(max-width: 760px)");
  const form = document.getElementById("save-form");
  const fill = (text, said) => text.replace(/\{(\w+)\}/g, (_, name) => said[name]);

  let grid = []; // [row + 1][column + 1]: the elements, heads included
  let at = [0, 0];
  let anchor = [0, 0];
  let chosen = [];
  let editor = null;
  let here = { row: null, size: null }; // the ids of the cell that has the focus
  let wish = null; // where the focus goes once a change of one's own has arrived
  let leaving = false;

  const copy = new WorkingCopy(
    JSON.parse(document.getElementById("chart-data").textContent),
    {
      cells: area.dataset.cells,
      since: area.dataset.since,
      token: form.elements.csrfmiddlewaretoken,
      pollMs: Number(area.dataset.poll) * 1000,
    },
    heard,
    tell,
  );

  // Building and painting.

  function make(tag, className, text) {
    const made = document.createElement(tag);
    if (className) made.className = className;
    if (text) made.textContent = text;
    return made;
  }

  function build() {
    const heads = make("tr");
    const corner = make("th", "corner");
    corner.append(make("span", "vh", words.measurement));
    heads.append(corner);
    grid = [[corner]];
    copy.sizes.forEach(([, label, base, doubt]) => {
      const th = make("th", "size" + (doubt ? " doubt" : ""));
      th.scope = "col";
      th.tabIndex = -1;
      th.append(make("span", base ? "t base" : "t", label || "–"));
      if (base) th.append(make("small", "", words.base));
      heads.append(th);
      grid[0].push(th);
    });
    const head = make("thead");
    head.append(heads);
    const body = make("tbody");
    copy.order.forEach((id) => {
      const tr = make("tr");
      const th = make("th");
      th.scope = "row";
      th.tabIndex = -1;
      tr.append(th);
      grid.push([th]);
      copy.sizes.forEach(() => {
        const td = make("td");
        td.tabIndex = -1;
        ["t", "o", "d", "w"].forEach((name) => td.append(make(name === "t" ? "span" : "small", name)));
        tr.append(td);
        grid[grid.length - 1].push(td);
      });
      body.append(tr);
    });
    const columns = make("colgroup");
    columns.append(make("col", "head"), ...copy.sizes.map(() => make("col", "cell")));
    table.replaceChildren(columns, head, body);
    table.classList.toggle("fill", copy.sizes.length > 7);
    grid.forEach((cells, i) => cells.forEach((cell, j) => Object.assign(cell, { place: [i - 1, j - 1] })));
    copy.order.forEach((id) => paintRow(id));
    buildPicks();
  }

  function paintRow(id) {
    const i = copy.order.indexOf(id);
    if (i < 0) return;
    const row = copy.rows.get(id);
    const head = grid[i + 1][0];
    const label = make("span", "t", row.label || "–");
    head.className = row.n ? "doubt" : "";
    const unit = make("small", "u", row.unit);
    head.replaceChildren(label, unit);
    copy.sizes.forEach((_, j) => paint(i, j));
  }

  function write(node, text) {
    if (node.textContent !== text) node.textContent = text;
  }

  // A text with the fractions in it set as fractions.
  function length(node, text) {
    if (node.textContent === text) return node;
    node.replaceChildren(...text.split(/(\d+\/\d+)/).map((part, i) => (i % 2 ? make("span", "fr", part) : part)));
    return node;
  }

  function paint(i, j) {
    const row = copy.order[i];
    const size = copy.sizes[j][0];
    const cell = copy.cell(row, size);
    const key = WorkingCopy.key(row, size);
    const going = copy.typed.has(key);
    const td = grid[i + 1][j + 1];
    const [text, other, step, who] = td.children;
    write(text, copy.text(row, size));
    length(other, going ? "" : cell.o || "");
    length(step, going ? "" : (cell.d || "") + (cell.b ? " " + words.breakHere : ""));
    const held = cell.h && cell.h[0];
    write(who, held ? fill(words.or, { text: held[1] || "–" }) : first(cell.w));
    const names = [going ? "going" : held ? "clash" : cell.s];
    if (cell.w === "") names.push("mine");
    if (cell.w) names.push("theirs");
    if (cell.b) names.push("break");
    if (cell.g && MARKED.has(cell.g[0])) names.push(cell.g[4] ? "turn" : "slip");
    if (td.classList.contains("sel")) names.push("sel");
    if (td.classList.contains("on")) names.push("on");
    const className = names.filter(Boolean).join(" ");
    if (td.className !== className) td.className = className;
    if ((cell.s === "unread") !== td.hasAttribute("aria-invalid")) {
      if (cell.s === "unread") td.setAttribute("aria-invalid", "true");
      else td.removeAttribute("aria-invalid");
    }
  }

  // What stands in one cell is marked in it; what is said of a whole row is only told at its cells.
  const MARKED = new Set(["slip", "break"]);

  const first = (name) => (name ? name.split(" ")[0] : "");

  // Moving and selecting.

  const inside = ([i, j]) => [
    Math.max(-1, Math.min(i, copy.order.length - 1)),
    Math.max(-1, Math.min(j, copy.sizes.length - 1)),
  ];
  const element = ([i, j]) => grid[i + 1] && grid[i + 1][j + 1];

  function go(to, { extend = false, focus = true } = {}) {
    let [i, j] = inside(to);
    if (i < 0 && j < 0) [i, j] = at[0] < 0 ? [0, -1] : [-1, 0];
    const next = element([i, j]);
    if (!next) return;
    const old = element(at);
    if (old) {
      old.tabIndex = -1;
      old.removeAttribute("aria-describedby");
    }
    at = [i, j];
    here = { row: i < 0 ? null : copy.order[i], size: j < 0 ? null : copy.sizes[j][0] };
    if (!extend) anchor = at;
    next.tabIndex = 0;
    next.setAttribute("aria-describedby", "cell-line");
    select();
    if (narrow.matches) showOne(Math.max(0, j));
    describe();
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
    const [top, bottom] = [at[0], anchor[0]].sort((a, b) => a - b);
    const [left, right] = [at[1], anchor[1]].sort((a, b) => a - b);
    return { top: Math.max(0, top), bottom, left: Math.max(0, left), right };
  }

  function select() {
    const next = [];
    if (at[0] !== anchor[0] || at[1] !== anchor[1]) {
      const { top, bottom, left, right } = block();
      for (let i = top; i <= bottom; i += 1) for (let j = left; j <= right; j += 1) next.push(grid[i + 1][j + 1]);
    }
    if (!next.length && !chosen.length) return;
    const now = new Set(next);
    chosen.forEach((td) => {
      if (now.has(td)) return;
      td.classList.remove("sel");
      td.removeAttribute("aria-selected");
    });
    next.forEach((td) => {
      td.classList.add("sel");
      td.setAttribute("aria-selected", "true");
    });
    chosen = next;
  }

  function places() {
    const { top, bottom, left, right } = block();
    const found = [];
    for (let i = top; i <= bottom; i += 1) for (let j = left; j <= right; j += 1) found.push([i, j]);
    return found;
  }

  // The line over the grid tells all about the cell that has the focus; where two texts stand, it asks.

  function describe() {
    const [i, j] = at;
    const size = j >= 0 ? copy.sizes[j] : null;
    const row = i >= 0 ? copy.rows.get(copy.order[i]) : null;
    const name = [row && row.label, size && size[1]].filter(Boolean).join(", ");
    const parts = [make("b", "", name)];
    const more = [];
    if (row && size) {
      const cell = copy.cell(row.id, size[0]);
      const text = copy.text(row.id, size[0]);
      const bare = /^[\d\s.,/½¼¾⅛⅜⅝⅞-]+$/.test(text);
      parts.push(make("span", "num", text ? (bare ? `${text} ${row.unit}` : text) : words.empty));
      if (cell.o) parts.push(length(make("span", "num soft"), `${cell.o} ${row.unit === "in" ? "cm" : "in"}`));
      if (cell.d) parts.push(length(make("span", "num soft"), fill(words.step, { step: `${cell.d} ${row.unit}` })));
      if (cell.b) parts.push(make("span", "", words.breakSaid));
      if (cell.w === "") parts.push(make("span", "soft", words.changedByYou));
      else if (cell.w) parts.push(make("span", "", fill(words.changedBy, { who: cell.w })));
      if (cell.n) more.push(make("p", "said", cell.n));
      if (cell.g) more.push(finding(cell, row, size, text));
      (cell.h || []).forEach((held) => more.push(choice(held, text, cell.w)));
    } else if (row) {
      if (row.n) more.push(make("p", "said", row.n));
    } else if (size && size[3]) more.push(make("p", "said", size[3]));
    const head = make("p", "cell-head");
    parts.forEach((part) => head.append(part, " "));
    const asking = line.contains(document.activeElement);
    line.replaceChildren(head, ...more);
    if (asking) (line.querySelector("button") || element(at)).focus();
    offer();
  }

  // What the grade check says of a cell, with its proposal one click away.
  function finding(cell, row, size, text) {
    const [kind, name, says, mended, onStep] = cell.g;
    const told = make("p", MARKED.has(kind) ? "said" : "soft");
    told.append(make("b", "", name), ` ${says} `);
    const act = make("button", "act quiet");
    act.type = "button";
    if (mended && mended !== text) {
      act.textContent = fill(words.setTo, { text: mended });
      act.addEventListener("click", () => {
        put([[row.id, size[0], mended]]);
        element(at).focus();
      });
      told.append(act);
    } else if (onStep && !cell.b) {
      act.textContent = fill(words.breakOn, { size: size[1] });
      act.addEventListener("click", () => copy.change({ do: "break", row: row.id, key: size[0], on: true }));
      told.append(act);
    }
    return told;
  }

  function choice([number, text, who], stands, whose) {
    const asked = make("div", "two-texts");
    asked.append(make("p", "", who ? fill(words.twoTheirs, { who, text: text || "–" }) : fill(words.twoYours, { who: whose || words.somebody, stands: stands || "–", text: text || "–" })));
    const acts = make("p", "acts");
    const keep = make("button", "act", fill(words.keep, { text: stands || "–" }));
    const take = make("button", "act", fill(words.take, { text: text || "–" }));
    [[keep, false], [take, true]].forEach(([button, taken]) => {
      button.type = "button";
      button.addEventListener("click", () => {
        copy.choose(number, taken);
        element(at).focus();
      });
      acts.append(button);
    });
    asked.append(acts);
    return asked;
  }

  function say(text) {
    aloud.textContent = text;
  }

  function tell(state) {
    mark.textContent = words[state];
    mark.classList.toggle("err", state === "noLine" || state === "shutOut");
  }

  function nameOf(row, size) {
    const found = copy.sizes.find((one) => one[0] === size);
    return `${(copy.rows.get(row) || {}).label || row}, ${found ? found[1] : size}`;
  }

  // What an answer changed.

  function heard({ shape, rows, touched, news, answer }) {
    if (shape) rebuild();
    else {
      rows.forEach(paintRow);
      touched.forEach((key) => {
        const [row, size] = key.split("\n");
        const place = [copy.order.indexOf(row), copy.sizes.findIndex((one) => one[0] === size)];
        if (place[0] >= 0 && place[1] >= 0) paint(...place);
      });
      describe();
    }
    whole();
    if (answer.lost && answer.lost.length) {
      say(answer.refused);
      notice(`${answer.refused} ${answer.lost.map(([row, size, text]) => `${nameOf(row, size)}: ${text}`).join("; ")}`);
    } else if (answer.refused) notice(answer.refused);
    else if (answer.ending) notice(answer.ending);
    else if (touched.some((key) => (copy.cell(...key.split("\n")).h || []).some((held) => !held[2]))) say(words.twoSaid);
    else if (news.length === 1) {
      say(fill(words.news, { who: news[0].who, cell: nameOf(news[0].row, news[0].size), text: news[0].text || words.empty }));
    } else if (news.length) say(fill(words.newsMany, { who: news[0].who, count: news.length }));
  }

  // Sizes or rows changed, perhaps by somebody else: the focus stays with its cell, and so does what is being typed.
  function rebuild() {
    const focused = table.contains(document.activeElement);
    const typing = editor && { ...editor, text: editor.input.value };
    close();
    chosen = [];
    build();
    const placed = wish ? wish() : [copy.order.indexOf(here.row), copy.sizes.findIndex((one) => one[0] === here.size)];
    if (here.row && placed[0] < 0) placed[0] = at[0];
    if (here.size && placed[1] < 0) placed[1] = at[1];
    wish = null;
    anchor = at = inside(placed);
    go(at, { focus: focused });
    if (!typing) return;
    const still = (!typing.row || copy.rows.has(typing.row)) && (!typing.size || copy.sizes.some((one) => one[0] === typing.size));
    if (still) {
      edit(typing.text);
      editor.was = typing.was;
    } else notice(fill(words.lost, { text: typing.text }));
  }

  function notice(text) {
    const place = document.getElementById("grid-notice");
    place.textContent = text;
    place.hidden = !text;
  }

  // What stands beside the grid: doubts of the whole, the open choices, what must be ticked to save.
  function whole() {
    const told = copy.whole;
    document.getElementById("tally").textContent = told.tally;
    const doubts = document.getElementById("grid-doubts");
    doubts.replaceChildren(...told.doubts.map((doubt) => make("li", "", doubt)));
    doubts.hidden = !told.doubts.length;
    const findings = document.getElementById("grid-findings");
    findings.hidden = !told.findings.length;
    findings.querySelector("summary").textContent = fill(told.findings.length === 1 ? words.findingOne : words.findingMany, { count: told.findings.length });
    findings.querySelector("ul").replaceChildren(...told.findings.map(found));
    const held = document.getElementById("grid-held");
    held.hidden = !told.held;
    held.querySelector("span").textContent = fill(told.held === 1 ? words.heldOne : words.heldMany, { count: told.held });
    // A tick holds for what was there when it was set.
    const seen = new Set(form.elements.seen.value.split(" "));
    if (told.seen.split(" ").some((doubt) => !seen.has(doubt))) form.elements.looked.checked = false;
    form.elements.seen.value = told.seen;
    form.elements.seq.value = told.seq;
    form.elements.copy.value = told.copy;
    form.querySelector("button[value=save]").textContent = fill(words.saveAs, { number: told.revision + 1 });
    document.getElementById("drop-all").hidden = !told.copy;
    document.getElementById("look-unread").hidden = !told.unread;
    document.getElementById("look-doubts").hidden = !told.seen;
    document.getElementById("undo").disabled = !copy.done.length;
    document.getElementById("redo").disabled = !copy.undone.length;
  }

  function found([name, says, row, size]) {
    const li = make("li");
    const p = make("p");
    p.append(make("b", "", name), ` ${says}`);
    li.append(p);
    const place = [copy.order.indexOf(row), copy.sizes.findIndex((one) => one[0] === size)];
    if (place[0] >= 0) {
      const button = make("button", "act quiet", words.goThere);
      button.type = "button";
      button.setAttribute("aria-label", `${words.goThere}: ${nameOf(row, size)}`);
      button.addEventListener("click", () => go([place[0], Math.max(0, place[1])]));
      li.append(button);
    }
    return li;
  }

  document.querySelector("#grid-held button").addEventListener("click", () => {
    const all = copy.order.flatMap((row, i) => copy.sizes.map(([size], j) => [copy.cell(row, size).h, i, j]));
    const open = all.filter(([held]) => held);
    const next = open.find(([, i, j]) => i > at[0] || (i === at[0] && j > at[1])) || open[0];
    if (next) go([next[1], next[2]]);
  });

  // Typing.

  function edit(text) {
    const [i, j] = at;
    const row = i >= 0 ? copy.order[i] : null;
    const size = j >= 0 ? copy.sizes[j] : null;
    const was = row && size ? copy.text(row, size[0]) : row ? copy.rows.get(row).label : size[1];
    const input = make("input", "edit");
    input.type = "text";
    input.autocomplete = "off";
    input.spellcheck = false;
    input.maxLength = row && size ? 60 : row ? 120 : 20;
    if (row && size) input.inputMode = copy.rows.get(row).unit === "in" ? "text" : "decimal";
    input.setAttribute("aria-label", row && size ? nameOf(row, size[0]) : row ? words.nameOfRow : words.nameOfSize);
    input.value = text === undefined ? was : text;
    editor = { input, row, size: size && size[0], was };
    element(at).append(input);
    input.focus();
    if (text === undefined) input.select();
    input.addEventListener("blur", () => commit());
  }

  function close() {
    const done = editor;
    editor = null;
    if (done) done.input.remove();
    return done;
  }

  function cancel() {
    const cell = editor && editor.input.closest("td,th");
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
      if (place[0] >= 0 && place[1] >= 0) paint(...place);
    });
    describe();
    whole();
    return count;
  }

  function clear() {
    const count = put(places().map(([i, j]) => [copy.order[i], copy.sizes[j][0], ""]));
    if (count > 1) say(fill(words.cleared, { count }));
  }

  function takeBack(again) {
    const count = again ? copy.redo() : copy.undo();
    if (count === null) {
      say(again ? words.nothingToRedo : words.nothingToUndo);
      return;
    }
    copy.order.forEach((id) => paintRow(id));
    describe();
    whole();
    say(fill(again ? words.redone : words.undone, { count }));
  }

  const fenced = () => at[0] >= 0 && at[1] >= 0;

  function pasted(text) {
    const lines = text.replace(/\r\n?/g, "\n").replace(/\n$/, "").split("\n").map((one) => one.split("\t"));
    const { top, left, bottom, right } = block();
    const single = lines.length === 1 && lines[0].length === 1;
    const list = [];
    let beyond = 0;
    if (single) places().forEach(([i, j]) => list.push([copy.order[i], copy.sizes[j][0], tidy(lines[0][0])]));
    else {
      lines.forEach((cells, i) => cells.forEach((value, j) => {
        const [row, size] = [copy.order[top + i], copy.sizes[left + j]];
        if (row && size) list.push([row, size[0], tidy(value)]);
        else if (tidy(value)) beyond += 1;
      }));
      anchor = [top, left];
      const end = [top + lines.length - 1, left + Math.max(...lines.map((cells) => cells.length)) - 1];
      at = inside(end);
      go(at, { extend: true });
    }
    if (single && (bottom > top || right > left)) select();
    const count = put(list);
    const told = fill(words.pasted, { count });
    say(told);
    notice(beyond ? `${told} ${fill(words.beyond, { count: beyond })}` : "");
  }

  const tidy = (value) => value.trim().replace(/^"(.*)"$/s, (_, quoted) => quoted.replace(/""/g, '"')).replace(/\s+/g, " ");

  // Keys.

  const arrows = { ArrowUp: [-1, 0], ArrowDown: [1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1], PageUp: [-10, 0], PageDown: [10, 0] };

  function typingKey(event) {
    if (event.isComposing) return;
    const step = { Enter: [event.shiftKey ? -1 : 1, 0], Tab: [0, event.shiftKey ? -1 : 1], ArrowUp: [-1, 0], ArrowDown: [1, 0] }[event.key];
    if (event.key === "Escape") {
      event.preventDefault();
      cancel();
      return;
    }
    if (!step || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    commit();
    go([at[0] + step[0], at[1] + step[1]]);
  }

  function tabbed(event) {
    if (leaving) return;
    const step = event.shiftKey ? -1 : 1;
    const last = copy.sizes.length - 1;
    let [i, j] = [at[0], at[1] + step];
    if (j > last) [i, j] = [i + 1, 0];
    if (j < (i < 0 ? 0 : -1)) [i, j] = [i - 1, last];
    if (i >= copy.order.length || i < -1) return; // past either end Tab leaves the grid
    event.preventDefault();
    go([i, j]);
  }

  table.addEventListener("keydown", (event) => {
    if (editor) {
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
    if (command && !event.altKey && key.toLowerCase() === "z") takeBack(event.shiftKey);
    else if (command && !event.altKey && key.toLowerCase() === "y") takeBack(true);
    else if (command && !event.altKey && key.toLowerCase() === "a") {
      anchor = [0, 0];
      go([copy.order.length - 1, copy.sizes.length - 1], { extend: true });
    } else if (arrows[key] && !event.altKey) {
      const [down, right] = arrows[key];
      if (command) go([down ? (down < 0 ? 0 : copy.order.length - 1) : at[0], right ? (right < 0 ? 0 : copy.sizes.length - 1) : at[1]], { extend: event.shiftKey });
      else go(extended([at[0] + down, at[1] + right], event.shiftKey), { extend: event.shiftKey });
    } else if (key === "Home") go([command ? 0 : at[0], 0], { extend: event.shiftKey });
    else if (key === "End") go([command ? copy.order.length - 1 : at[0], copy.sizes.length - 1], { extend: event.shiftKey });
    else if (command || event.altKey) return;
    else if (key === "Enter") {
      const asked = line.querySelector(".two-texts button");
      if (asked && !event.shiftKey) asked.focus();
      else go([at[0] + (event.shiftKey ? -1 : 1), at[1]]);
    } else if (key === "F2") edit();
    else if (key === "Delete" || key === "Backspace") {
      if (fenced()) clear();
    } else if (key === "Escape") {
      leaving = true;
      go(at);
      say(words.leaving);
      return;
    } else if (key.length === 1 && !event.isComposing) {
      edit(key);
    } else return;
    event.preventDefault();
  });

  // A block is of cells, never of heads.
  const extended = ([i, j], extend) => (extend ? [Math.max(0, i), Math.max(0, j)] : [i, j]);

  table.addEventListener("pointerdown", (event) => {
    const cell = event.target.closest("td,th");
    if (!cell || !cell.place || (editor && editor.input === event.target)) return;
    if (cell.classList.contains("corner")) return;
    const touch = event.pointerType === "touch";
    if (touch) return;
    event.preventDefault();
    commit();
    go(extended(cell.place, event.shiftKey), { extend: event.shiftKey });
    if (event.shiftKey || !fenced()) return;
    const drag = (moved) => {
      const over = document.elementFromPoint(moved.clientX, moved.clientY);
      const under = over && over.closest("td");
      if (under && under.place && (under.place[0] !== at[0] || under.place[1] !== at[1])) go(under.place, { extend: true });
    };
    document.addEventListener("pointermove", drag);
    document.addEventListener("pointerup", () => document.removeEventListener("pointermove", drag), { once: true });
  });
  table.addEventListener("dblclick", (event) => {
    if (!editor && event.target.closest("td,th") === element(at)) edit();
  });
  // A finger types at once: there is no key to begin with.
  table.addEventListener("click", (event) => {
    const cell = event.target.closest("td,th");
    if (event.pointerType !== "touch" || !cell || !cell.place || cell.classList.contains("corner")) return;
    if (editor && editor.input === event.target) return;
    commit();
    go(cell.place);
    edit();
  });

  const ready = () => !editor && table.contains(document.activeElement) && fenced();

  function copied(event) {
    if (!ready()) return false;
    const { top, bottom, left, right } = block();
    const lines = [];
    for (let i = top; i <= bottom; i += 1) {
      const texts = [];
      for (let j = left; j <= right; j += 1) texts.push(copy.text(copy.order[i], copy.sizes[j][0]));
      lines.push(texts.join("\t"));
    }
    event.clipboardData.setData("text/plain", lines.join("\n"));
    event.preventDefault();
    say(fill(words.copied, { count: places().length }));
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
    if (editor && table.contains(document.activeElement) && /[\t\n]/.test(text.trim())) cancel();
    if (!ready()) return;
    event.preventDefault();
    pasted(text);
  });

  // What stands around the grid: taking back, what is shown, sizes and measurements.

  ["undo", "redo"].forEach((name) => {
    const button = document.getElementById(name);
    button.addEventListener("click", () => {
      takeBack(name === "redo");
      if (button.disabled) element(at).focus();
    });
  });
  ["inches", "steps"].forEach((name) => {
    const box = document.getElementById("show-" + name);
    const show = () => table.classList.toggle("with-" + name, box.checked);
    box.addEventListener("change", show);
    show();
  });

  const panel = document.getElementById("shape-panel");
  const field = (name) => panel.querySelector(`[name=${name}]`);

  const doings = {
    base: () => ({ do: "base", key: copy.sizes[at[1]][2] ? "" : copy.sizes[at[1]][0] }),
    "break": () => {
      const [row, size] = [copy.order[at[0]], copy.sizes[at[1]][0]];
      return { do: "break", row, key: size, on: !copy.cell(row, size).b };
    },
    "add-size": () => ({ do: "add", axis: "size", label: field("size-label").value.trim(), at: Math.max(-1, at[1]) + 1 }),
    "drop-size": () => ({ do: "drop", axis: "size", key: copy.sizes[at[1]][0] }),
    "size-left": () => ({ do: "move", axis: "size", key: copy.sizes[at[1]][0], at: Math.max(0, at[1] - 1) }),
    "size-right": () => ({ do: "move", axis: "size", key: copy.sizes[at[1]][0], at: at[1] + 1 }),
    "add-row": () => ({ do: "add", axis: "row", label: field("row-label").value.trim(), at: Math.max(-1, at[0]) + 1 }),
    "drop-row": () => ({ do: "drop", axis: "row", key: copy.order[at[0]] }),
    "row-up": () => ({ do: "move", axis: "row", key: copy.order[at[0]], at: Math.max(0, at[0] - 1) }),
    "row-down": () => ({ do: "move", axis: "row", key: copy.order[at[0]], at: at[0] + 1 }),
  };

  panel.addEventListener("click", (event) => {
    const button = event.target.closest("button[data-do]");
    if (!button) return;
    const change = doings[button.dataset.do]();
    const wanted = button.dataset.field && field(button.dataset.field);
    if (wanted && !change.label) {
      wanted.focus();
      say(words.labelFirst);
      return;
    }
    if (wanted) wanted.value = "";
    if (change.do === "add") {
      const [i, j] = at;
      wish = () => (change.axis === "size" ? [i, change.at] : [change.at, j]);
    }
    copy.change(change);
  });
  panel.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || event.target.tagName !== "INPUT") return;
    event.preventDefault();
    panel.querySelector(`button[data-field=${event.target.name}]`).click();
  });

  // Which buttons mean something for the cell that has the focus, and what they speak of.
  function offer() {
    const size = at[1] >= 0 ? copy.sizes[at[1]] : null;
    const row = at[0] >= 0 ? copy.rows.get(copy.order[at[0]]) : null;
    const said = { size: size ? size[1] : "–", row: row ? row.label : "–" };
    panel.querySelectorAll("[data-of]").forEach((node) => {
      const part = node.dataset.of;
      if (node.tagName === "BUTTON") node.disabled = (part.includes("size") && !size) || (part.includes("row") && !row);
    });
    panel.querySelectorAll("[data-words]").forEach((node) => write(node, fill(node.dataset.words, said)));
    const broken = row && size && copy.cell(row.id, size[0]).b;
    write(panel.querySelector("[data-do=break]"), fill(broken ? words.breakOff : words.breakOn, said));
    write(panel.querySelector("[data-do=base]"), fill(size && size[2] ? words.baseOff : words.baseOn, said));
  }

  // On a narrow screen one size is shown at a time.

  function buildPicks() {
    document.getElementById("one-size").replaceChildren(
      ...copy.sizes.map(([, label, base], j) => {
        const button = make("button", "act", label || "–");
        button.type = "button";
        if (base) button.append(make("small", "", words.base));
        button.addEventListener("click", () => {
          commit();
          go([Math.max(0, at[0]), j], { focus: false });
        });
        return button;
      }),
    );
    showOne(Math.max(0, at[1]));
  }

  let shown = -1;
  function showOne(j) {
    const picks = document.getElementById("one-size").children;
    if (shown === j && picks[j] && picks[j].hasAttribute("aria-current") && grid[0][j + 1].classList.contains("on")) return;
    shown = j;
    grid.forEach((cells) => cells.forEach((cell, i) => cell.classList.toggle("on", i === j + 1)));
    [...picks].forEach((pick, i) => {
      if (i === j) pick.setAttribute("aria-current", "true");
      else pick.removeAttribute("aria-current");
    });
  }
  narrow.addEventListener("change", () => showOne(Math.max(0, at[1])));

  // Saving waits until every cell is on the server.
  let sure = false;
  form.addEventListener("submit", async (event) => {
    commit();
    if (sure || copy.quiet()) return;
    event.preventDefault();
    const { submitter } = event;
    await copy.settled();
    sure = true;
    form.requestSubmit(submitter);
  });

  build();
  go([0, 0], { focus: false });
  whole();
  document.documentElement.classList.add("with-grid");
  area.classList.add("ready");
})();
