// Everything that waits goes to the server, one visit at a time; what finds no line is tried again.
"use strict";

function reportSend(report) {
  const { phone, place, form, mark, words } = report;

  const TYPING_MS = 600;
  const FIRST_RETRY_MS = 2000;
  const LAST_RETRY_MS = 60000;

  let sending = null;
  let retry = 0;
  let retryTimer = 0;
  let typingTimer = 0;

  function soon() {
    clearTimeout(typingTimer);
    typingTimer = setTimeout(flush, TYPING_MS);
  }

  function flush() {
    clearTimeout(typingTimer);
    if (!place || report.nothingWaits()) return sending || Promise.resolve();
    sending = (sending || Promise.resolve()).then(() => oneAtATime(sendAll));
    const mine = sending;
    return mine.finally(() => {
      if (sending === mine) sending = null;
    });
  }

  function oneAtATime(work) {
    return navigator.locks ? navigator.locks.request(report.key, work) : work();
  }

  // What waits for the tester's choice does not go out by itself.
  const toSend = () => Object.entries(report.waiting()).filter(([, one]) => !one.both);

  async function sendAll() {
    const units = new Set(toSend().map(([, one]) => one.unit));
    for (const unit of units) {
      const sent = toSend().filter(([, one]) => one.unit === unit);
      if (sent.length && !(await send(unit, sent))) return;
    }
  }

  async function send(unit, sent) {
    const slow = setTimeout(() => report.show("saving"), 800);
    try {
      const body = new URLSearchParams(sent.map(([name, one]) => [name, one.text]));
      for (const [name, one] of sent) for (const text of one.tried || []) body.append(`was.${name}`, text);
      report.trying(sent);
      body.set("unit", unit);
      if (form) {
        body.set("page", form.dataset.page);
        body.set("at", form.dataset.at);
      }
      const token = document.querySelector("input[name=csrfmiddlewaretoken]");
      const answer = await fetch(phone.dataset.save, {
        method: "POST",
        body,
        headers: { "X-CSRFToken": token ? token.value : "" },
        credentials: "same-origin",
        keepalive: body.toString().length < 60000,
      });
      return await heard(answer, sent);
    } catch {
      return tryLater();
    } finally {
      clearTimeout(slow);
    }
  }

  async function heard(answer, sent) {
    if (answer.ok) {
      const said = await answer.json();
      const written = sent.filter(([name]) => !(name in said.both));
      report.drop(written);
      retry = 0;
      report.tell("");
      report.remember(written, Date.parse(said.at));
      for (const [name, one] of written) report.setWas(name, one.text);
      report.setAgainst(said.both);
      for (const [name, beside] of Object.entries(said.beside)) report.sayBeside(name, beside);
      for (const [id, html] of Object.entries(said.live)) report.swap(id, html);
      report.fillIn();
      report.showBoth();
      if (sent.some(([name]) => name === "units") && form) location.reload();
      if (report.nothingWaits()) report.show("saved", new Date(said.at));
      return true;
    }
    if (answer.status === 404) {
      report.forget(place);
      return stopHere(words.ended);
    }
    if (answer.status === 409 || answer.status === 400) {
      if (answer.status === 409) report.storage.write(report.key, {});
      else report.drop(sent);
      return stopHere((await answer.json()).closed);
    }
    if (answer.status === 403) {
      report.show("unsent");
      report.tell(words.reload);
      return false;
    }
    return tryLater();
  }

  function stopHere(sentence) {
    for (const part of document.querySelectorAll("fieldset.all")) part.disabled = true;
    if (mark) mark.replaceChildren();
    report.tell(sentence);
    return false;
  }

  function tryLater() {
    report.show("unsent");
    clearTimeout(retryTimer);
    retryTimer = setTimeout(flush, Math.min(LAST_RETRY_MS, FIRST_RETRY_MS * 2 ** retry));
    retry += 1;
    return false;
  }

  return { soon, flush };
}
