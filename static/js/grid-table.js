// The cells of the grid: they are made once, and painted again where something changed.
"use strict";

function gridTable(sheet) {
  const { words, table, copy } = sheet;

  const fill = (text, said) => text.replace(/\{(\w+)\}/g, (_, name) => said[name]);

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
    sheet.grid = [[corner]];
    copy.sizes.forEach(([, label, base, doubt]) => {
      const th = make("th", "size" + (doubt ? " doubt" : ""));
      th.scope = "col";
      th.tabIndex = -1;
      th.append(make("span", base ? "t base" : "t", label || "–"));
      if (base) th.append(make("small", "", words.base));
      heads.append(th);
      sheet.grid[0].push(th);
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
      sheet.grid.push([th]);
      copy.sizes.forEach(() => {
        const td = make("td");
        td.tabIndex = -1;
        ["t", "o", "d", "w"].forEach((name) => td.append(make(name === "t" ? "span" : "small", name)));
        tr.append(td);
        sheet.grid[sheet.grid.length - 1].push(td);
      });
      body.append(tr);
    });
    const columns = make("colgroup");
    columns.append(make("col", "head"), ...copy.sizes.map(() => make("col", "cell")));
    table.replaceChildren(columns, head, body);
    table.classList.toggle("fill", copy.sizes.length > 7);
    sheet.grid.forEach((cells, i) => cells.forEach((cell, j) => Object.assign(cell, { place: [i - 1, j - 1] })));
    copy.order.forEach((id) => paintRow(id));
    sheet.buildPicks();
  }

  function paintRow(id) {
    const i = copy.order.indexOf(id);
    if (i < 0) return;
    const row = copy.rows.get(id);
    const head = sheet.grid[i + 1][0];
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
    const td = sheet.grid[i + 1][j + 1];
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

  return { make, build, paintRow, paint, write, length, fill, MARKED };
}
