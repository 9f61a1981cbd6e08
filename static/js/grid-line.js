// The line over the grid: all about the cell that has the focus; where two texts stand in it, it asks.
"use strict";

function gridLine(sheet) {
  const { words, line, copy, make, length, fill, MARKED } = sheet;

  function describe() {
    const [i, j] = sheet.at;
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
    if (asking) (line.querySelector("button") || sheet.element(sheet.at)).focus();
    sheet.offer();
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
        sheet.put([[row.id, size[0], mended]]);
        sheet.element(sheet.at).focus();
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
        sheet.element(sheet.at).focus();
      });
      acts.append(button);
    });
    asked.append(acts);
    return asked;
  }

  return { describe };
}
