// What is said beside the grid: the doubts of the whole, the open choices, what must be ticked; taking back, what is shown, saving.
"use strict";

function gridAround(sheet) {
  const { words, table, aloud, mark, form, copy, make, fill } = sheet;

  function say(text) {
    aloud.textContent = text;
  }

  function tell(state) {
    mark.textContent = words[state];
    mark.classList.toggle("err", state === "noLine" || state === "shutOut");
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
      button.setAttribute("aria-label", `${words.goThere}: ${sheet.nameOf(row, size)}`);
      button.addEventListener("click", () => sheet.go([place[0], Math.max(0, place[1])]));
      li.append(button);
    }
    return li;
  }

  document.querySelector("#grid-held button").addEventListener("click", () => {
    const all = copy.order.flatMap((row, i) => copy.sizes.map(([size], j) => [copy.cell(row, size).h, i, j]));
    const open = all.filter(([held]) => held);
    const next = open.find(([, i, j]) => i > sheet.at[0] || (i === sheet.at[0] && j > sheet.at[1])) || open[0];
    if (next) sheet.go([next[1], next[2]]);
  });

  ["undo", "redo"].forEach((name) => {
    const button = document.getElementById(name);
    button.addEventListener("click", () => {
      sheet.takeBack(name === "redo");
      if (button.disabled) sheet.element(sheet.at).focus();
    });
  });
  ["inches", "steps"].forEach((name) => {
    const box = document.getElementById("show-" + name);
    const show = () => table.classList.toggle("with-" + name, box.checked);
    box.addEventListener("change", show);
    show();
  });

  // Saving waits until every cell is on the server.
  let sure = false;
  form.addEventListener("submit", async (event) => {
    sheet.commit();
    if (sure || copy.quiet()) return;
    event.preventDefault();
    const { submitter } = event;
    await copy.settled();
    sure = true;
    form.requestSubmit(submitter);
  });

  return { say, tell, notice, whole };
}
