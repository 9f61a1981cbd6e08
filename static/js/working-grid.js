// The grid in which a chart is edited, by keys as in a spreadsheet. The page's words stand in the template.
// Its parts stand in files of their own, grid-*.js, and share one object: what the page holds, and where the reader is.
"use strict";

(() => {
  const area = document.getElementById("live-grid");
  if (!area) return;
  const words = document.getElementById("grid-words").dataset;
  const table = document.getElementById("live-table");
  const form = document.getElementById("save-form");

  const sheet = {
    words,
    table,
    form,
    line: document.getElementById("cell-line"),
    bar: document.getElementById("grid-head"),
    over: document.getElementById("grid-over"),
    aloud: document.getElementById("grid-says"),
    mark: document.getElementById("saved"),
    narrow: matchMedia("(max-width: 760px)"),
    grid: [], // [row + 1][column + 1]: the elements, heads included
    at: [0, 0],
    anchor: [0, 0], // the other corner of the block that is chosen
    chosen: [],
    editor: null,
    here: { row: null, size: null }, // the ids of the cell that has the focus
    wish: null, // where the focus goes once a change of one's own has arrived
  };
  const copy = (sheet.copy = new WorkingCopy(
    JSON.parse(document.getElementById("chart-data").textContent),
    {
      cells: area.dataset.cells,
      since: area.dataset.since,
      token: form.elements.csrfmiddlewaretoken,
      pollMs: Number(area.dataset.poll) * 1000,
    },
    heard,
    (state) => sheet.tell(state),
  ));
  [gridTable, gridPlace, gridLine, gridTyping, gridAround, gridShape, gridKeys].forEach((part) => Object.assign(sheet, part(sheet)));
  const { fill } = sheet;

  // What an answer changed.
  function heard({ shape, rows, touched, news, answer }) {
    if (shape) rebuild();
    else {
      rows.forEach(sheet.paintRow);
      touched.forEach((key) => {
        const [row, size] = key.split("\n");
        const place = [copy.order.indexOf(row), copy.sizes.findIndex((one) => one[0] === size)];
        if (place[0] >= 0 && place[1] >= 0) sheet.paint(...place);
      });
      sheet.describe();
    }
    sheet.whole();
    if (answer.lost && answer.lost.length) {
      sheet.say(answer.refused);
      sheet.notice(`${answer.refused} ${answer.lost.map(([row, size, text]) => `${sheet.nameOf(row, size)}: ${text}`).join("; ")}`);
    } else if (answer.refused) sheet.notice(answer.refused);
    else if (answer.ending) sheet.notice(answer.ending);
    else if (touched.some((key) => (copy.cell(...key.split("\n")).h || []).some((held) => !held[2]))) sheet.say(words.twoSaid);
    else if (news.length === 1) {
      sheet.say(fill(words.news, { who: news[0].who, cell: sheet.nameOf(news[0].row, news[0].size), text: news[0].text || words.empty }));
    } else if (news.length) sheet.say(fill(words.newsMany, { who: news[0].who, count: news.length }));
  }

  // Sizes or rows changed, perhaps by somebody else: the focus stays with its cell, and so does what is being typed.
  function rebuild() {
    const focused = table.contains(document.activeElement);
    const typing = sheet.editor && { ...sheet.editor, text: sheet.editor.input.value };
    sheet.close();
    sheet.chosen = [];
    sheet.build();
    const placed = sheet.wish ? sheet.wish() : [copy.order.indexOf(sheet.here.row), copy.sizes.findIndex((one) => one[0] === sheet.here.size)];
    if (sheet.here.row && placed[0] < 0) placed[0] = sheet.at[0];
    if (sheet.here.size && placed[1] < 0) placed[1] = sheet.at[1];
    sheet.wish = null;
    sheet.anchor = sheet.at = sheet.inside(placed);
    sheet.go(sheet.at, { focus: focused });
    if (!typing) return;
    const still = (!typing.row || copy.rows.has(typing.row)) && (!typing.size || copy.sizes.some((one) => one[0] === typing.size));
    if (still) {
      sheet.edit(typing.text);
      sheet.editor.was = typing.was;
    } else sheet.notice(fill(words.lost, { text: typing.text }));
  }

  sheet.build();
  sheet.go([0, 0], { focus: false });
  sheet.whole();
  document.documentElement.classList.add("with-grid");
  area.classList.add("ready");
})();
