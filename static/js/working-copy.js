// A chart's working copy as this window knows it: what the server said, what waits to be sent, what can be taken back.
// Every change goes out at once; what others changed comes with each answer, and by asking every few seconds.
"use strict";

class WorkingCopy {
  static FIRST_RETRY_MS = 1000;
  static LAST_RETRY_MS = 30000;

  // `token` is the field with the form's token. `heard` is told {shape, rows, news} after each answer; `tell` shows a state: saving, saved, noLine, shutOut.
  constructor(data, { cells, since, token, pollMs }, heard, tell) {
    Object.assign(this, { cellsAddress: cells, sinceAddress: since, token, heard, tell });
    this.rows = new Map();
    this.typed = new Map(); // what was typed and has no answer yet, by cell
    this.waiting = new Map(); // of that, what is not on its way: {text, was}
    this.sending = new Map();
    this.jobs = []; // choices and changes of shape, in their order
    this.done = [];
    this.undone = [];
    this.busy = false;
    this.retryMs = WorkingCopy.FIRST_RETRY_MS;
    this.idle = [];
    this.take(data);
    setInterval(() => this.ask(), pollMs);
    document.addEventListener("visibilitychange", () => this.ask());
    window.addEventListener("online", () => this.send());
    window.addEventListener("beforeunload", (event) => {
      if (!this.quiet()) event.preventDefault();
    });
  }

  static key(row, size) {
    return row + "\n" + size;
  }

  cell(row, size) {
    const found = this.rows.get(row);
    return (found && found.by.get(size)) || {};
  }

  text(row, size) {
    const key = WorkingCopy.key(row, size);
    return this.typed.has(key) ? this.typed.get(key) : this.cell(row, size).t || "";
  }

  quiet() {
    return !this.busy && !this.waiting.size && !this.jobs.length;
  }

  // Resolves once everything is on the server.
  settled() {
    return this.quiet() ? Promise.resolve() : new Promise((resolve) => this.idle.push(resolve));
  }

  // Changing: `list` holds [row, size, text] with, where it is not what stands now, the text that was seen before.

  set(list, history = true) {
    const step = [];
    for (const [row, size, text, seen] of list) {
      const before = this.text(row, size);
      if (text === before && seen === undefined) continue;
      const key = WorkingCopy.key(row, size);
      const waits = this.waiting.get(key);
      const under = this.sending.get(key);
      const was = waits ? waits.was : under ? under.text : seen === undefined ? before : seen;
      this.typed.set(key, text);
      this.waiting.set(key, { text, was });
      step.push([row, size, seen === undefined ? before : seen, text]);
    }
    if (!step.length) return 0;
    if (history) this.remember({ cells: step });
    this.send();
    return step.length;
  }

  choose(number, take) {
    this.jobs.push({ body: { choose: [number, take] } });
    this.send();
  }

  change(change, history = "do") {
    this.jobs.push({ body: { change }, change, history });
    this.send();
  }

  remember(step) {
    this.done.push(step);
    this.undone = [];
  }

  // One's own last step taken back, or done again. Answers with the number of cells, 0 for a change of shape.
  undo() {
    return this.back(this.done, this.undone, "undo");
  }

  redo() {
    return this.back(this.undone, this.done, "redo");
  }

  back(from, to, history) {
    const step = from.pop();
    if (!step) return null;
    if (step.change) {
      this.change(step.change, history);
      return 0;
    }
    // What was seen is what this person wrote: where somebody changed it since, both texts will stand there.
    this.set(step.cells.map(([row, size, before, after]) => [row, size, before, after]), false);
    to.push({ cells: step.cells.map(([row, size, before, after]) => [row, size, after, before]) });
    return step.cells.length;
  }

  // Sending: one request at a time, so that what was seen is always known.

  async send() {
    if (this.busy) return;
    const job = this.waiting.size ? null : this.jobs[0];
    if (!this.waiting.size && !job) return;
    if (!job) [this.sending, this.waiting] = [this.waiting, new Map()];
    const cells = [...this.sending].map(([key, one]) => [...key.split("\n"), one.text, one.was]);
    this.busy = true;
    this.tell("saving");
    let answer = null;
    let status = 0;
    try {
      const body = new FormData();
      body.set("csrfmiddlewaretoken", this.token.value);
      body.set("edit", JSON.stringify({ ...this.known(), ...(job ? job.body : { cells }) }));
      const sent = await fetch(this.cellsAddress, { method: "POST", body, credentials: "same-origin" });
      status = sent.status;
      if (sent.ok) answer = await sent.json();
    } catch {
      status = status || 0;
    }
    this.busy = false;
    if (answer) this.arrived(job, answer);
    else this.failed(status);
  }

  arrived(job, answer) {
    this.retryMs = WorkingCopy.FIRST_RETRY_MS;
    for (const key of this.sending.keys()) if (!this.waiting.has(key)) this.typed.delete(key);
    const touched = [...this.sending.keys()];
    this.sending = new Map();
    if (job) {
      this.jobs.shift();
      if (answer.back && job.history === "undo") this.undone.push({ change: answer.back });
      else if (answer.back && job.history === "redo") this.done.push({ change: answer.back });
      else if (answer.back) this.remember({ change: answer.back });
    }
    this.take(answer, touched);
    if (this.quiet()) {
      this.tell("saved");
      this.idle.splice(0).forEach((resolve) => resolve());
    } else this.send();
  }

  failed(status) {
    for (const [key, one] of this.sending) {
      const later = this.waiting.get(key);
      this.waiting.set(key, later ? { text: later.text, was: one.was } : one);
    }
    this.sending = new Map();
    if (status === 403) this.renew();
    this.tell(status >= 400 && status < 500 ? "shutOut" : "noLine");
    setTimeout(() => this.send(), this.retryMs);
    this.retryMs = Math.min(this.retryMs * 2, WorkingCopy.LAST_RETRY_MS);
  }

  // Whoever signed in again has another token; the one of this page is taken from the page as it is now.
  async renew() {
    try {
      const page = await fetch(location.pathname, { credentials: "same-origin" });
      const field = new DOMParser().parseFromString(await page.text(), "text/html").getElementById("save-form");
      if (page.ok && field) this.token.value = field.elements.csrfmiddlewaretoken.value;
    } catch {
      // The next try asks again.
    }
  }

  // Hearing.

  known() {
    const rows = this.order.map((id) => this.rows.get(id).print).join(".");
    return { copy: this.copy, seq: String(this.seq), revision: String(this.revision), shape: this.shape, rows };
  }

  async ask() {
    if (document.hidden || !this.quiet() || this.asking) return;
    this.asking = true;
    try {
      const address = `${this.sinceAddress}?${new URLSearchParams(this.known())}`;
      const answer = await fetch(address, { credentials: "same-origin" });
      if (answer.status === 200) this.take(await answer.json());
      if (answer.status === 404) this.tell("shutOut");
    } catch {
      // Without a line nothing is heard; the next one asks again.
    }
    this.asking = false;
  }

  take(answer, touched = []) {
    // An answer that was overtaken by a later one tells nothing new.
    if (answer.copy === this.copy && answer.seq < this.seq) return;
    const shape = answer.shape !== this.shape;
    const news = [];
    for (const row of answer.rows) {
      const old = this.rows.get(row.id);
      row.by = new Map(row.cells.map((cell, j) => [answer.sizes[j][0], cell]));
      for (const [size, cell] of row.by) {
        const was = (old && old.by.get(size)) || {};
        if (old && cell.w && cell.t !== was.t) news.push({ row: row.id, size, who: cell.w, text: cell.t || "" });
      }
      this.rows.set(row.id, row);
    }
    Object.assign(this, {
      copy: answer.copy, seq: answer.seq, revision: answer.revision, shape: answer.shape,
      sizes: answer.sizes, order: answer.order, whole: answer,
    });
    if (this.started) this.heard({ shape, rows: answer.rows.map((row) => row.id), touched, news, answer });
    this.started = true;
  }
}
