// What waits on this phone: {field: {text, unit, at, tried, both}}, in its storage, or in memory where there is none.
// `tried` begins with what the page showed and goes on with what was sent; `both` is there while two texts stand
// against each other. Beside it, for pages that are opened without a line, what was saved: {field: {text, unit, at}}.
"use strict";

function reportKept(report) {
  const { phone, place, form } = report;

  const PREFIX = "toile:";
  const SAID = "toilesaid:";
  const PAGES = "toile-pages:";
  const TRIES_KEPT = 8;
  const KEEP_MS = 14 * 24 * 60 * 60 * 1000;

  const memory = new Map();
  const storage = {
    keys(prefix) {
      try {
        return Object.keys(localStorage).filter((key) => key.startsWith(prefix));
      } catch {
        return [...memory.keys()].filter((key) => key.startsWith(prefix));
      }
    },
    read(key) {
      try {
        return JSON.parse(localStorage.getItem(key)) || {};
      } catch {
        return memory.get(key) || {};
      }
    },
    write(key, waiting) {
      const empty = Object.keys(waiting).length === 0;
      try {
        if (empty) localStorage.removeItem(key);
        else localStorage.setItem(key, JSON.stringify(waiting));
      } catch {
        if (empty) memory.delete(key);
        else memory.set(key, waiting);
      }
    },
  };
  const key = PREFIX + place;
  const waiting = () => (place ? storage.read(key) : {});
  const nothingWaits = () => Object.keys(waiting()).length === 0;
  const saved = () => storage.read(SAID + place);
  const unitOf = () => (form ? form.elements.unit.value : "");

  // A visit's copies, or with `whole` those of both garments of its place.
  function forget(ref, whole = true) {
    const first = ref.split(".")[0];
    const same = (name) => name === ref || (whole && name.split(".")[0] === first);
    for (const prefix of [PREFIX, SAID]) {
      for (const name of storage.keys(prefix)) if (same(name.slice(prefix.length))) storage.write(name, {});
    }
    forgetPages(same);
  }

  async function forgetPages(same) {
    if (!window.caches) return;
    for (const name of await caches.keys()) {
      if (name.startsWith(PAGES) && same(name.slice(PAGES.length))) await caches.delete(name);
    }
  }

  function forgetTheOld() {
    const limit = Date.now() - KEEP_MS;
    for (const prefix of [PREFIX, SAID]) {
      for (const name of storage.keys(prefix)) {
        const kept = Object.entries(storage.read(name)).filter(([, one]) => one.at > limit);
        storage.write(name, Object.fromEntries(kept));
      }
    }
  }

  function keep(name, text) {
    const all = waiting();
    const before = all[name];
    const showed = report.fieldsNamed(`was.${name}`).map((hidden) => hidden.value);
    all[name] = { text, unit: unitOf(), at: Date.now(), tried: before ? before.tried || [] : showed.slice(0, 1) };
    if (before && before.both) all[name].both = { ...before.both, here_words: wordsFor(name, text) };
    storage.write(key, all);
    // "Saved" is never said of what is still on its way.
    if (report.shown === "saved") report.show("saving");
    if (all[name].both) report.showBoth();
  }

  function wordsFor(name, text) {
    const picked = report.fieldsNamed(name).find((input) => input.checked);
    return picked && picked.labels.length ? picked.labels[0].textContent.trim() : text;
  }

  // Remember what is about to be sent: if the answer is lost, the next try knows its own words.
  function trying(sent) {
    const all = waiting();
    for (const [name, one] of sent) {
      const waits = all[name];
      if (!waits || !waits.tried || !waits.tried.length) continue;
      const [showed, ...tries] = waits.tried;
      waits.tried = [showed, ...[...tries.filter((text) => text !== one.text), one.text].slice(-TRIES_KEPT)];
    }
    storage.write(key, all);
  }

  function drop(sent) {
    const all = waiting();
    for (const [name, one] of sent) {
      if (!all[name]) continue;
      if (all[name].text === one.text && all[name].at === one.at) delete all[name];
      else if (all[name].tried && all[name].tried.length) all[name].tried = [one.text];
    }
    storage.write(key, all);
  }

  function remember(sent, at) {
    if (!phone.dataset.worker) return;
    const all = storage.read(SAID + place);
    for (const [name, one] of sent) {
      if (!name.startsWith("body")) all[name] = { text: one.text, unit: one.unit, at };
    }
    storage.write(SAID + place, all);
  }

  return { storage, key, PAGES, waiting, nothingWaits, unitOf, forget, forgetTheOld, keep, trying, drop, remember, saved };
}
