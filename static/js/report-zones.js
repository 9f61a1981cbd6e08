// The dress form and its question: a tap brings the question into view.
"use strict";

function reportZones(report) {
  const { form, words } = report;

  // Every question of the form, fetched once, so that a tap is answered without a line too.
  const questions = new Map();
  const zoneOf = (url) => decodeURIComponent(url.pathname.split("/").filter(Boolean).pop());

  function zoneLink(target) {
    if (!form || form.dataset.page !== "fit" || !target.closest) return null;
    const link = target.closest("a.dform-zone,a.dform-name,a[data-zone],a[data-side]");
    return link && form.contains(link) ? link : null;
  }

  async function open(link) {
    const address = link.href.baseVal === undefined ? link.href : link.href.baseVal;
    const url = new URL(address, location.href);
    const side = link.dataset.side;
    const zone = document.getElementById("question").dataset.zone;
    if (side && zone) url.pathname = `${url.pathname}${encodeURIComponent(zone)}/`;
    await report.flush();
    let answer;
    try {
      answer = await fetch(url, { headers: { "HX-Request": "true" }, credentials: "same-origin" });
    } catch {
      if (!openKept(link.dataset.zone || zoneOf(url), side)) report.tell(words.noLine);
      return;
    }
    if (!answer.ok) {
      location.assign(url);
      return;
    }
    report.tell("");
    form.dataset.at = answer.headers.get("X-At") || "";
    history.replaceState(null, "", side ? location.href : url);
    const parts = document.createElement("template");
    parts.innerHTML = await answer.text();
    for (const part of [...parts.content.children]) report.swap(part.id, part.outerHTML);
    report.fillIn();
    report.ready();
    if (!side) bringIntoView(document.getElementById("question"));
  }

  async function fetchQuestions() {
    if (!form || form.dataset.page !== "fit" || questions.size) return;
    try {
      const answer = await fetch(form.dataset.questions, { headers: { "HX-Request": "true" }, credentials: "same-origin" });
      if (!answer.ok) return;
      const parts = document.createElement("template");
      parts.innerHTML = await answer.text();
      for (const part of parts.content.children) questions.set(part.dataset.zone, part.outerHTML);
    } catch {
      // Without them a tap waits for the line.
    }
  }

  function openKept(zone, side) {
    if (side || !questions.has(zone)) return false;
    report.tell("");
    form.dataset.at = zone;
    report.swap("question", questions.get(zone));
    report.catchUpWithSaved();
    report.fillIn();
    report.showBoth();
    report.ready();
    bringIntoView(document.getElementById("question"));
    return true;
  }

  function bringIntoView(question) {
    const calm = matchMedia("(prefers-reduced-motion: reduce)").matches;
    const beside = matchMedia("(min-width: 900px)").matches;
    question.scrollIntoView({ block: beside ? "nearest" : "start", behavior: calm ? "auto" : "smooth" });
    question.focus({ preventScroll: true });
  }

  return { zoneLink, open, fetchQuestions };
}
