// A tester's pages: every field goes to the server as it is typed. What could not go yet waits on this phone, a
// visit at a time, and goes out once there is a line. Where another page wrote the same field meanwhile, the tester
// chooses. Without these files the pages are plain forms. The parts stand in report-*.js and share one object.
"use strict";

(() => {
  const LOOKS = "toile-looks";

  document.documentElement.classList.add("js");
  const phone = document.querySelector(".phone");
  if (!phone) return;
  const place = phone.dataset.place || "";
  const form = document.querySelector("form.answers[data-page]");
  const mark = document.getElementById("saved");
  const words = document.getElementById("words-for-phone").dataset;

  const report = { phone, place, form, mark, words, shown: "" };
  [reportKept, reportPage, reportBoth, reportSend, reportZones, reportTyping].forEach((part) => Object.assign(report, part(report)));

  // Going on, sending, leaving: first everything goes out.

  let warned = false;

  async function goOn(event) {
    event.preventDefault();
    const wrong = form.querySelector(".field.wrong input:not([type=hidden]),.field.wrong textarea");
    await report.flush();
    if (!report.nothingWaits()) {
      const both = document.querySelector(".both button");
      report.tell(both ? words.choose : words.noLine);
      if (both) both.focus();
      return;
    }
    const stillWrong = form.querySelector(".field.wrong input:not([type=hidden]),.field.wrong textarea");
    if (stillWrong && !(warned && wrong)) {
      warned = true;
      stillWrong.focus();
      report.show("refused");
      return;
    }
    const to = event.submitter && event.submitter.dataset.to;
    location.assign(to || form.dataset.next || location.pathname);
  }

  let leaving = false;

  async function leaveBy(event) {
    const going = event.target;
    if (leaving) {
      event.preventDefault();
      return;
    }
    leaving = true;
    if (report.nothingWaits()) {
      report.forget(place, "leave" in going.dataset);
      return;
    }
    event.preventDefault();
    await report.flush();
    if (report.nothingWaits()) {
      report.forget(place, "leave" in going.dataset);
      going.submit();
    } else {
      leaving = false;
      report.tell(document.querySelector(".both") ? words.choose : words.noLine);
    }
  }

  document.addEventListener("input", report.typed);
  document.addEventListener("change", report.typed);
  document.addEventListener("click", (event) => {
    const button = event.target.closest && event.target.closest("[data-step]");
    if (button) report.step(button);
    const link = report.zoneLink(event.target);
    if (link && !event.metaKey && !event.ctrlKey && !event.shiftKey && event.button === 0) {
      event.preventDefault();
      report.open(link);
    }
  });
  document.addEventListener("submit", (event) => {
    if (event.target === form) goOn(event);
    else if (event.target.matches("[data-send],[data-leave]")) leaveBy(event);
    else if (event.target.dataset.forgetFields) {
      const kept = Object.entries(report.waiting()).filter(([name]) => !name.startsWith(event.target.dataset.forgetFields));
      report.storage.write(report.key, Object.fromEntries(kept));
    }
  });
  addEventListener("online", report.flush);
  addEventListener("offline", () => report.nothingWaits() || report.show("unsent"));
  addEventListener("pagehide", report.flush);
  addEventListener("pageshow", (event) => {
    leaving = false;
    if (event.persisted && navigator.onLine) location.reload();
  });
  addEventListener("storage", (event) => {
    if (event.key !== report.key) return;
    report.fillIn();
    report.showBoth();
    // The other page may have sent what was typed here.
    if (event.oldValue && report.nothingWaits()) report.show("saved", new Date());
  });
  document.addEventListener("visibilitychange", report.flush);

  // The pages of a visit are kept by a worker of the browser's, so that they open without a line.

  async function keepPages() {
    if (!("serviceWorker" in navigator) || !phone.dataset.worker || !window.caches) return;
    await navigator.serviceWorker.register(phone.dataset.worker, { scope: "/test/" });
    await navigator.serviceWorker.ready;
    const looks = await caches.open(LOOKS);
    const now = [...document.querySelectorAll("script[src],link[rel=stylesheet]")].map((one) => one.src || one.href);
    for (const old of await looks.keys()) if (/\.(js|css)$/.test(old.url) && !now.includes(old.url)) await looks.delete(old);
    for (const address of now) if (!(await looks.match(address))) await looks.add(address);
    const kept = await caches.open(report.PAGES + place);
    for (const address of phone.dataset.keep.split(" ")) {
      if (await kept.match(address)) continue;
      const answer = await fetch(address, { credentials: "same-origin" });
      if (!answer.ok || !answer.headers.has("X-May-Keep")) continue;
      const headers = { "Content-Type": answer.headers.get("Content-Type"), "X-Kept-At": String(Date.now()) };
      await kept.put(address, new Response(await answer.blob(), { headers }));
    }
  }

  const whenIdle = window.requestIdleCallback || ((work) => setTimeout(work, 500));

  report.forgetTheOld();
  if (phone.dataset.forget) report.forget(phone.dataset.forget);
  report.ready();
  if (place) {
    if (phone.dataset.sent) report.forget(place, false);
    if (form) {
      report.catchUpWithSaved();
      report.catchUp();
    }
    report.fillIn();
    if (!report.nothingWaits()) report.show("unsent");
    if (phone.dataset.zone === "" && !report.waiting().timezone) report.keep("timezone", Intl.DateTimeFormat().resolvedOptions().timeZone || "");
    report.flush();
    report.showBoth();
    addEventListener("load", () => whenIdle(() => report.fetchQuestions().then(keepPages).catch(() => {})));
  }
})();
