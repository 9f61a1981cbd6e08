// Two texts in one field: both are shown, and a button for each.
"use strict";

function reportBoth(report) {
  const { form, words } = report;

  function setAgainst(both) {
    const all = report.waiting();
    for (const [name, one] of Object.entries(both)) if (all[name]) all[name].both = one;
    report.storage.write(report.key, all);
  }

  function showBoth() {
    const open = Object.entries(report.waiting()).filter(([, one]) => one.both);
    for (const box of document.querySelectorAll(".both")) if (!open.some(([name]) => name === box.dataset.for)) box.remove();
    for (const [name, one] of open) {
      const old = [...document.querySelectorAll(".both")].find((box) => box.dataset.for === name);
      const box = bothBox(name, one.both);
      const field = form && form.querySelector(`[data-field="${CSS.escape(name)}"]`);
      if (old && old.textContent === box.textContent) continue;
      if (old) old.replaceWith(box);
      else if (field) field.append(box);
      else document.getElementById("main").prepend(box);
    }
    if (open.length) report.show("refused");
  }

  function bothBox(name, both) {
    const box = document.createElement("div");
    box.className = "both";
    box.dataset.for = name;
    box.setAttribute("role", "alert");
    const said = document.createElement("p");
    const title = document.createElement("b");
    title.textContent = `${both.title}.`;
    said.append(title, ` ${words.elsewhere} “${both.stands_words}”. ${words.here} “${both.here_words}”.`);
    box.append(said, choice(words.mine, () => mine(name)), choice(words.theirs, () => theirs(name)));
    return box;
  }

  function choice(label, act) {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "act";
    button.textContent = label;
    button.addEventListener("click", act);
    return button;
  }

  function mine(name) {
    const all = report.waiting();
    if (!all[name] || !all[name].both) return showBoth();
    all[name].tried = [all[name].both.stands];
    delete all[name].both;
    report.storage.write(report.key, all);
    showBoth();
    report.flush();
  }

  function theirs(name) {
    const all = report.waiting();
    if (!all[name] || !all[name].both) return showBoth();
    const stands = all[name].both.stands;
    delete all[name];
    report.storage.write(report.key, all);
    report.fill(name, stands);
    report.setWas(name, stands);
    showBoth();
    if (report.nothingWaits()) report.show("saved", new Date());
    if (navigator.onLine) location.reload();
  }

  return { setAgainst, showBoth };
}
