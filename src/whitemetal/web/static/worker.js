// Pages that were opened before, when the record cannot be reached. The record comes first, always: what is kept
// here is shown only when there is no answer. Nothing is sent from here.
"use strict";
const SHELF = "whitemetal-{version}";
const BEGUN = "whitemetal-begun";  // pages of checks begun on this device that the record has not heard of yet
const PATIENCE = 6000, LATE = "late";
const FRAME = ["/static/sheet.css", "/static/page.js", "/static/begun.js", "/static/queue.js", "/static/bench.js", "/static/carried.js", "/static/grid.js", "/static/hand.js", "/static/nuts.js", "/static/nuts.css", "/static/mark.svg", "/drawing.css", "/on-this-device"];

async function frame() {
  const shelf = await caches.open(SHELF);
  await Promise.all(FRAME.map((address) => shelf.add(new Request(address, { cache: "no-store", credentials: "omit" })).catch(() => {})));
}
self.addEventListener("install", (event) => event.waitUntil(frame().then(() => self.skipWaiting())));
self.addEventListener("activate", (event) => event.waitUntil((async () => {
  for (const name of await caches.keys()) if (name !== SHELF && name !== BEGUN) await caches.delete(name);
  await self.clients.claim();
})()));

// A page of one person is not shown to another: signing out empties the shelf. The frame is nobody's.
self.addEventListener("message", (event) => {
  if (event.data.forget) event.waitUntil(Promise.all([caches.delete(SHELF), caches.delete(BEGUN)]).then(frame));
  if (event.data.along) event.waitUntil(take(event.data.along, event.data.begin, event.source));
});
// Pages of checks not begun yet are the same until the card changes: with the same key they are here already. Without
// all of them there is no key, and what is missing comes the next time.
async function take(addresses, begin, client) {
  await Promise.all([fetchAll(addresses), begin && freshly(begin)]).then(([kept]) => client && client.postMessage({ along: kept }));
}
async function freshly({ key, pages }) {
  const shelf = await caches.open(SHELF), mark = pages[0].replace(/[^/]*$/, "key"), before = await shelf.match(mark);
  if (before && (await before.text()) === key) return;
  if ((await fetchAll(pages)) === pages.length) await shelf.put(mark, new Response(key));
}
async function fetchAll(addresses) {
  const shelf = await caches.open(SHELF);
  let kept = 0;
  for (const address of addresses) {
    const json = address.startsWith("/api/");
    try {
      const answer = await fetch(address, { headers: json ? { Accept: "application/json" } : {}, credentials: "same-origin" });
      if (answer.ok && !answer.redirected) { await shelf.put(address, answer); await heard(address); kept += 1; }
    } catch { break; }
  }
  return kept;
}

self.addEventListener("fetch", (event) => {
  const request = event.request, at = new URL(request.url);
  if (request.method !== "GET" || at.origin !== location.origin || /\/live$|\.(pdf|zip|xlsx|ics|csv|json)$/.test(at.pathname)) return;
  event.respondWith(recordFirst(request, at));
});
async function recordFirst(request, at) {
  const shelf = await caches.open(SHELF), coming = fetch(request);
  try {
    const answer = await within(coming, request.mode === "navigate" ? PATIENCE : PATIENCE * 4);
    if (answer.ok && !answer.redirected && keeps(at)) shelf.put(request, answer.clone()).then(() => heard(request.url)).catch(() => {});
    if (answer.status === 404) return (await begun(request, at)) || answer;
    if (answer.status < 502) return answer;
    return (await held(shelf, request, at)) || answer;
  } catch (error) {
    const before = await held(shelf, request, at);
    if (before) return before;
    if (error.message === LATE) return coming.catch(() => nothing(shelf));
    if (request.mode !== "navigate") throw error;
    return nothing(shelf);
  }
}
async function nothing(shelf) { return (await shelf.match("/on-this-device")) || new Response("", { status: 503 }); }
const keeps = (at) => /^\/($|jobs\/|bearings\/|static\/|drawing\.css)/.test(at.pathname) || /\/carried$/.test(at.pathname);
// Once the record shows a check by any of its pages, the empty pages it was begun with are not its pages any more.
// Its weights alone are no page.
const checkOf = (address) => (/^(?:\/api\/1)?(\/jobs\/[^/]+\/checks\/[^/]+)/.exec(new URL(address, location.origin).pathname) || [])[1];
async function heard(address) {
  const check = checkOf(address);
  if (!check || new URL(address, location.origin).pathname.startsWith("/api/") || !(await caches.has(BEGUN))) return;
  const shelf = await caches.open(BEGUN);
  for (const one of await shelf.keys()) if (checkOf(one.url) === check) await shelf.delete(one);
}
async function begun(request, at) {
  if (!(await caches.has(BEGUN))) return undefined;
  const shelf = await caches.open(BEGUN);
  return (await shelf.match(request)) || (request.mode === "navigate" && !at.searchParams.has("squeeze") ? plain(shelf, at) : undefined);
}
async function held(shelf, request, at) {
  const other = at.searchParams.has("gauge") || at.searchParams.has("squeeze");  // readings of another hand or squeeze
  const own = (await shelf.match(request)) || (at.search && !other && request.mode === "navigate" ? await plain(shelf, at) : undefined);
  return own || begun(request, at);
}
// A page without what its address asks for besides; of nuts, the page of the pass, for each has forms of its own.
async function plain(shelf, at) {
  const pass = at.searchParams.get("pass");
  return (pass && (await shelf.match(`${at.pathname}?pass=${pass}`))) || shelf.match(at.pathname);
}
function within(answer, patience) {
  return Promise.race([answer, new Promise((_, late) => setTimeout(() => late(new Error(LATE)), patience))]);
}
