{% load i18n %}// Opens a tester's pages without a line: what the server allows to be kept is kept per visit, asked anew whenever
// there is a line, and gone when the link has ended or after a fortnight. static/js/report-kept.js removes it on sending,
// signing out and taking leave.
"use strict";

const PAGES = "toile-pages:";
const LOOKS = "toile-looks";
const KEEP_MS = 14 * 24 * 60 * 60 * 1000;
const NO_LINE = "{% filter force_escape|escapejs %}{% translate 'There is no connection just now. This page was not opened on this phone before. What you typed is kept and goes out by itself.' %}{% endfilter %}";
const BACK = "{% filter force_escape|escapejs %}{% translate 'Back to your round' %}{% endfilter %}";

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== location.origin) return;
  const visit = /^\/test\/([^/]+)\//.exec(url.pathname);
  if (request.mode === "navigate" && visit) event.respondWith(page(request, PAGES + visit[1], `/test/${visit[1]}/`));
  else if (["style", "script", "font"].includes(request.destination)) event.respondWith(look(request));
});

async function page(request, name, own) {
  let answer;
  try {
    answer = await fetch(request);
  } catch {
    await forgetTheOld(name);
    return (await found(name, request)) || noLine(own);
  }
  if (answer.status === 404) await caches.delete(name);
  else if (answer.ok && answer.headers.has("X-May-Keep")) await keep(name, request, answer.clone());
  return answer;
}

async function look(request) {
  try {
    const answer = await fetch(request);
    if (answer.ok) await keep(LOOKS, request, answer.clone());
    return answer;
  } catch {
    return (await found(LOOKS, request)) || Response.error();
  }
}

async function keep(name, request, answer) {
  const kept = await caches.open(name);
  const headers = { "Content-Type": answer.headers.get("Content-Type"), "X-Kept-At": String(Date.now()) };
  await kept.put(request.url, new Response(await answer.blob(), { headers }));
}

async function found(name, request) {
  if (!(await caches.has(name))) return undefined;
  const kept = await caches.open(name);
  return kept.match(request.url, { ignoreVary: true });
}

async function forgetTheOld(name) {
  if (!(await caches.has(name))) return;
  const kept = await caches.open(name);
  for (const request of await kept.keys()) {
    const answer = await kept.match(request);
    if (!(Date.now() - Number(answer.headers.get("X-Kept-At")) < KEEP_MS)) await kept.delete(request);
  }
}

function noLine(own) {
  const html = `<!doctype html><meta charset="utf-8"><meta name="viewport" content="width=device-width"><title>${NO_LINE}</title><main><h1>${NO_LINE}</h1><p><a href="${own}">${BACK}</a></p></main>`;
  return new Response(html, { status: 503, headers: { "Content-Type": "text/html; charset=utf-8" } });
}
