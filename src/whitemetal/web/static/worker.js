// Pages that were opened before, when the record cannot be reached. The record comes first, always: what is kept
// here is shown only when there is no answer. Nothing is sent from here.
"use strict";
const SHELF = "whitemetal-{version}";
const PATIENCE = 6000;
const FRAME = ["/static/sheet.css", "/static/page.js", "/static/queue.js", "/static/bench.js", "/static/carried.js", "/static/grid.js", "/static/hand.js", "/static/mark.svg", "/drawing.css", "/on-this-device"];

self.addEventListener("install", (event) => event.waitUntil((async () => {
  const shelf = await caches.open(SHELF);
  await Promise.all(FRAME.map((address) => shelf.add(new Request(address, { cache: "no-store" })).catch(() => {})));
  await self.skipWaiting();
})()));
self.addEventListener("activate", (event) => event.waitUntil((async () => {
  for (const name of await caches.keys()) if (name !== SHELF) await caches.delete(name);
  await self.clients.claim();
})()));

// Pages differ by where they are and not by who asks, but a page of one person is not shown to another: signing
// out empties the shelf.
self.addEventListener("message", (event) => {
  if (event.data.forget) event.waitUntil(caches.delete(SHELF));
  if (event.data.along) event.waitUntil(take(event.data.along, event.source));
});
async function take(addresses, client) {
  const shelf = await caches.open(SHELF);
  let kept = 0;
  for (const address of addresses) {
    const json = address.startsWith("/api/");
    try {
      const answer = await fetch(address, { headers: json ? { Accept: "application/json" } : {}, credentials: "same-origin" });
      if (answer.ok && !answer.redirected) { await shelf.put(address, answer); kept += 1; }
    } catch { break; }
  }
  if (client) client.postMessage({ along: kept });
}

self.addEventListener("fetch", (event) => {
  const request = event.request, at = new URL(request.url);
  if (request.method !== "GET" || at.origin !== location.origin || /\/live$|\.pdf$/.test(at.pathname)) return;
  event.respondWith(recordFirst(request, at));
});
async function recordFirst(request, at) {
  const shelf = await caches.open(SHELF);
  try {
    const answer = await within(fetch(request), request.mode === "navigate" ? PATIENCE : PATIENCE * 4);
    if (answer.ok && !answer.redirected && keeps(at)) shelf.put(request, answer.clone()).catch(() => {});
    if (answer.status < 502) return answer;
    return (await held(shelf, request, at)) || answer;
  } catch (error) {
    const before = await held(shelf, request, at);
    if (before) return before;
    if (request.mode !== "navigate") throw error;
    return (await shelf.match("/on-this-device")) || new Response("", { status: 503 });
  }
}
const keeps = (at) => /^\/($|jobs\/|bearings\/|static\/|drawing\.css|on-this-device)/.test(at.pathname) || /\/carried$/.test(at.pathname);
async function held(shelf, request, at) {
  return (await shelf.match(request)) || (at.search && request.mode === "navigate" ? shelf.match(at.pathname) : undefined);
}
function within(answer, patience) {
  return Promise.race([answer, new Promise((_, late) => setTimeout(() => late(new Error("late")), patience))]);
}
