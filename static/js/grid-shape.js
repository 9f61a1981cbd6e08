// The panel of sizes, measurements and breaks: each button changes the chart at the cell that has the focus.
"use strict";

function gridShape(sheet) {
  const { words, copy, write, fill } = sheet;

  const panel = document.getElementById("shape-panel");
  const field = (name) => panel.querySelector(`[name=${name}]`);

  const doings = {
    base: () => ({ do: "base", key: copy.sizes[sheet.at[1]][2] ? "" : copy.sizes[sheet.at[1]][0] }),
    "break": () => {
      const [row, size] = [copy.order[sheet.at[0]], copy.sizes[sheet.at[1]][0]];
      return { do: "break", row, key: size, on: !copy.cell(row, size).b };
    },
    "add-size": () => ({ do: "add", axis: "size", label: field("size-label").value.trim(), at: Math.max(-1, sheet.at[1]) + 1 }),
    "drop-size": () => ({ do: "drop", axis: "size", key: copy.sizes[sheet.at[1]][0] }),
    "size-left": () => ({ do: "move", axis: "size", key: copy.sizes[sheet.at[1]][0], at: Math.max(0, sheet.at[1] - 1) }),
    "size-right": () => ({ do: "move", axis: "size", key: copy.sizes[sheet.at[1]][0], at: sheet.at[1] + 1 }),
    "add-row": () => ({ do: "add", axis: "row", label: field("row-label").value.trim(), at: Math.max(-1, sheet.at[0]) + 1 }),
    "drop-row": () => ({ do: "drop", axis: "row", key: copy.order[sheet.at[0]] }),
    "row-up": () => ({ do: "move", axis: "row", key: copy.order[sheet.at[0]], at: Math.max(0, sheet.at[0] - 1) }),
    "row-down": () => ({ do: "move", axis: "row", key: copy.order[sheet.at[0]], at: sheet.at[0] + 1 }),
  };

  panel.addEventListener("click", (event) => {
    const button = event.target.closest("button[data-do]");
    if (!button) return;
    const change = doings[button.dataset.do]();
    const wanted = button.dataset.field && field(button.dataset.field);
    if (wanted && !change.label) {
      wanted.focus();
      sheet.say(words.labelFirst);
      return;
    }
    if (wanted) wanted.value = "";
    if (change.do === "add") {
      const [i, j] = sheet.at;
      sheet.wish = () => (change.axis === "size" ? [i, change.at] : [change.at, j]);
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
    const size = sheet.at[1] >= 0 ? copy.sizes[sheet.at[1]] : null;
    const row = sheet.at[0] >= 0 ? copy.rows.get(copy.order[sheet.at[0]]) : null;
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

  return { offer };
}
