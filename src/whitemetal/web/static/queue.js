// What is entered where there is no connection: kept on this device, in order, each under a key of its own, and
// sent when there is one. Sending twice changes nothing (the key). What the record refuses stays here with what
// was typed and why, until a person has looked at it.
"use strict";
(() => {
  const script = document.querySelector("script[data-queue]"), say = script.dataset;
  const badge = document.getElementById("only-here");
  const ahead = document.getElementById("clock-wrong");
  const BENCH = "whitemetal:unsaved:", AHEAD = "whitemetal:ahead", LAST = "whitemetal:last";
  const LONGEST_SIDE = 2560;
  const TURN = 8000;  // a form waits this long for what is being sent before it, in milliseconds
  const EVERY = 3 * 60 * 1000;  // a job's pages are taken along anew when this long has passed, in milliseconds

  // --- the store
  const opened = new Promise((done, failed) => {
    const asked = indexedDB.open("whitemetal", 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore("kept", { keyPath: "order", autoIncrement: true });
    asked.onsuccess = () => done(asked.result);
    asked.onerror = () => failed(asked.error);
  });
  async function store(mode, use) {
    const database = await opened;
    return new Promise((done, failed) => {
      const work = database.transaction("kept", mode), answer = use(work.objectStore("kept"));
      work.oncomplete = () => done(answer && answer.result);
      work.onerror = work.onabort = () => failed(work.error);
    });
  }
  const all = () => store("readonly", (kept) => kept.getAll());
  const add = (item) => store("readwrite", (kept) => kept.add(item));
  const change = (item) => store("readwrite", (kept) => kept.put(item));
  const drop = (order) => store("readwrite", (kept) => kept.delete(order));

  // --- readings that a bench keeps while its page is closed
  function ofBenches() {
    const found = [];
    for (let i = 0; i < localStorage.length; i++) {
      const key = localStorage.key(i);
      if (!key.startsWith(BENCH)) continue;
      try { for (const item of JSON.parse(localStorage.getItem(key))) found.push({ key, item }); } catch { /* not ours */ }
    }
    return found;
  }
  const openHere = (key) => key === BENCH + document.body.dataset.here && Boolean(document.getElementById("bench"));
  function dropOfBench(key, item) {
    const left = JSON.parse(localStorage.getItem(key) || "[]").filter((one) => one.where !== item.where || one.written !== item.written);
    if (left.length) localStorage.setItem(key, JSON.stringify(left)); else localStorage.removeItem(key);
  }
  function whyOfBench(key, item, stuck) {
    const all = JSON.parse(localStorage.getItem(key) || "[]").map((one) => one.where === item.where && one.written === item.written ? { ...one, stuck } : one);
    if (all.length) localStorage.setItem(key, JSON.stringify(all));
  }

  // --- one line of all that waits, in the order in which it was entered. The record takes what a device sends later
  // for what it knew later: a reading must not come after an opening of the cap that it was taken before.
  async function line() {
    const forms = (await all()).map((item) => ({
      item, send: () => post(item), done: () => drop(item.order),
      refused: async (answer) => change({ ...item, stuck: await problemOf(answer) }),
    }));
    const typed = ofBenches().map(({ key, item }) => ({
      item, key, send: () => postTyped(item),
      done: async (answer) => { const told = await answer.json(); if (told.kept && !(told.refused || []).length) dropOfBench(key, item); },
      refused: async (answer) => { const told = await answer.json().catch(() => ({})); whyOfBench(key, item, told.problem || String(answer.status)); },
    }));
    return [...forms, ...typed].filter(({ item, key }) => !item.stuck || (key && !openHere(key))).sort((one, other) => place(one.item) - place(other.item));
  }
  const place = (item) => item.turn || item.written || 0;
  async function earlier(item) {
    return (await all().catch(() => [])).some((one) => !one.stuck && place(one) < place(item));
  }
  // When something was entered, by this device's clock and by how far that was ahead of the record's when last compared;
  // and under whose name: who takes the device next signs nothing that was entered before.
  const stamped = () => { putBack(); return { written: Date.now(), turn: whitemetalTurn(), ahead: aheadBy(), by: nameNow() }; };
  const nameNow = () => (/(?:^|; )whitemetal_name="?([^;"]*)/.exec(document.cookie) || ["", ""])[1];
  // A clock that is put back where there is no record to compare it with is noticed by what it said before.
  function putBack() {
    try {
      const now = Date.now(), last = Number(localStorage.getItem(LAST) || 0), kept = aheadBy();
      if (kept !== null && last - now > 2000) localStorage.setItem(AHEAD, String(kept + now - last));
      localStorage.setItem(LAST, String(now));
    } catch { /* then ages are as the clock has them */ }
  }
  function aheadBy() { try { const kept = localStorage.getItem(AHEAD); return kept === null ? null : Number(kept); } catch { return null; } }

  // --- sending
  let wait = 0, timer = null, busy = false, compared = false;
  const pause = (time) => new Promise((on) => setTimeout(on, time));
  // How long ago it was entered; a clock that was put right or wrong since then does not count.
  function age(item) {
    const now = aheadBy(), moved = now !== null && typeof item.ahead === "number" ? now - item.ahead : 0;
    return String(Math.max(0, Date.now() - (item.written || Date.now()) - (Math.abs(moved) < 5000 ? 0 : moved)));
  }
  function stamp(item) { return { "Written-Ago": age(item), ...(item.by ? { "Written-By": item.by } : {}) }; }
  async function post(item) {
    if (!compared) await compare();
    const body = item.files ? formOf(item) : new URLSearchParams(item.fields);
    return sent(item.to, { method: "POST", headers: { "Idempotency-Key": item.id, ...stamp(item) }, body });
  }
  // What a bench sends carries the word of the page it was typed on: another account cannot send it as its own.
  async function postTyped(item) {
    if (!compared) await compare();
    const headers = { "Content-Type": "application/json", "Accept": "application/json", ...stamp(item) };
    if (item.to.endsWith("/holds")) headers["Idempotency-Key"] = item.body.id;
    if (item.word) headers["X-Form-Word"] = item.word;
    return sent(item.to, { method: "POST", headers, body: JSON.stringify(item.body) });
  }
  async function sent(to, request) {
    const answer = await fetch(to, request);
    clock(answer);
    return answer;
  }
  function formOf(item) {
    const form = new FormData();
    for (const [name, value] of item.fields) form.append(name, value);
    for (const [name, file, called] of item.files) form.append(name, file, called);
    return form;
  }
  async function problemOf(answer) {
    const told = new DOMParser().parseFromString(await answer.text(), "text/html");
    const list = told.getElementById("problems") || told.querySelector("main");
    return list ? list.textContent.replace(/\s+/g, " ").trim().slice(0, 300) : String(answer.status);
  }
  // One round at a time, in this window and, where the browser can, in all of them.
  async function turn(work) {
    for (const until = Date.now() + TURN; busy && Date.now() < until;) await pause(50);
    if (busy) return null;
    busy = true;
    try {
      return await (navigator.locks ? navigator.locks.request("whitemetal-queue", { ifAvailable: true }, (lock) => lock ? work() : later()) : work());
    } finally { busy = false; }
  }
  function later() { clearTimeout(timer); timer = setTimeout(send, 2000); return null; }
  async function send() {
    if (busy) return;
    clearTimeout(timer);
    try {
      await turn(round);
      wait = 0;
    } catch {
      wait = Math.min(60000, wait ? wait * 2 : 2000);
      timer = setTimeout(send, wait);
    }
    show();
  }
  // own: the order of an entry whose page waits for the answer; it comes back, null when it was not its turn yet.
  async function round(own) {
    for (const { item, key, send: out, done, refused } of await line()) {
      if (key && openHere(key)) return later();
      const answer = await out(), waited = own && item.order === own;
      if (asksWho(answer)) return null;
      if (waited && (answer.status < 500 || answer.status === 503)) { await drop(own); return answer; }
      if (answer.status > 500) throw new Error("later");
      await (answer.ok ? done(answer) : refused(answer));
      if (waited) return null;
    }
    return null;
  }

  // --- nobody is signed in: all stays here until somebody is
  let who = false;
  function asksWho(answer) { who = answer.status === 401; return who; }

  // --- what is only here
  async function show() {
    const items = await all().catch(() => []), count = items.length + ofBenches().length;
    badge.hidden = !count;
    badge.dataset.count = count;  // none before it has been counted
    badge.firstElementChild.textContent = say.badge.replace("{count}", count) + (who ? " · " + say.who : "");
    badge.classList.toggle("stuck", [...items, ...ofBenches().map((one) => one.item)].some((item) => typeof item.stuck === "string"));
    whitemetalBegun.show(items);
    const list = document.getElementById("kept-here");
    if (!list) return;
    const rows = [...items.map((item) => [place(item), row(item)]), ...ofBenches().map(({ key, item }) => [place(item), plainRow(item, key)])];
    list.replaceChildren(...rows.sort((one, other) => one[0] - other[0]).map(([, made]) => made));
    document.getElementById("nothing-here").hidden = Boolean(count);
  }
  function tag(name, text, className) { const made = document.createElement(name); made.textContent = text; if (className) made.className = className; return made; }
  function when(item) { return item.written ? new Date(item.written).toLocaleString() : ""; }
  function titled(item) {
    if (!item.begun) return tag("b", item.title);
    const link = tag("a", item.begun.title);
    link.href = item.begun.at;
    return link;
  }
  function row(item) {
    const made = document.createElement("li");
    made.append(titled(item), tag("small", when(item)));
    made.append(tag("p", item.fields.filter(([name]) => !["seen", "shown", "back", "id", "token"].includes(name)).map(([name, value]) => name + ": " + value).join(" · ")));
    if (item.stuck) {
      const again = tag("button", say.again);
      again.addEventListener("click", async () => { const { stuck, ...rest } = item; await change(rest); send(); });
      notTaken(made, item, () => drop(item.order), again);
    }
    return made;
  }
  function notTaken(made, item, throwAway, ...more) {
    const away = tag("button", say.away, "quiet"), both = tag("p", "", "row");
    away.addEventListener("click", async () => { if (confirm(say.sure)) { await throwAway(); show(); } });
    both.append(...more, away);
    made.append(tag("p", say.stuck + " " + item.stuck, "finding hold"), both);
  }
  function plainRow(item, key) {
    const made = document.createElement("li"), at = key.slice(BENCH.length), link = tag("a", item.title || item.where);
    link.href = at;
    made.append(link, tag("small", when(item)), tag("p", item.body.text || item.body.state || ""));
    if (typeof item.stuck === "string") notTaken(made, item, () => dropOfBench(key, item));  // else a question of the bench is open
    return made;
  }

  // --- a clock that is wrong is noticed: entries keep the time of the record, reckoned from how long ago it was
  function clock(answer) {
    const theirs = Date.parse(answer.headers.get("date") || "");
    if (!theirs) return;
    compared = true;
    try { localStorage.setItem(AHEAD, String(Date.now() - theirs)); } catch { /* then ages are as the clock has them */ }
    if (!ahead) return;
    const minutes = Math.round((Date.now() - theirs) / 60000);
    ahead.hidden = Math.abs(minutes) < 2;
    ahead.textContent = (minutes > 0 ? say.ahead : say.behind).replace("{count}", Math.abs(minutes));
  }

  async function compare() { clock(await fetch("/worker.js", { cache: "no-store" })); sessionStorage.setItem(AHEAD, "1"); }

  // --- forms: sent as ever while the record can be reached, kept here when it cannot
  const ofBench = (form) => document.getElementById("bench") && form.matches("#bench, [data-facts], [data-answer], [data-hold]");
  const ours = (form) => !ofBench(form) && form.getAttribute("method") === "post" && /^\/(jobs|bearings)\//.test(new URL(form.action).pathname) && !form.hasAttribute("data-straight") && !form.querySelector("input[type=password]");
  document.addEventListener("submit", async (event) => {
    const form = event.target, button = event.submitter;
    if (event.defaultPrevented || !ours(form)) return;
    event.preventDefault();
    if (form.dataset.sending) return;
    form.dataset.sending = "1";
    if (form.hasAttribute("data-signs") && await waits(new URL(form.action).pathname)) { noted(form, say.unsent); delete form.dataset.sending; return; }
    const before = textOf(form), when = stamped();
    const data = new FormData(form);
    if (button && button.name) data.append(button.name, button.value);
    const fields = [...data].filter(([, value]) => typeof value === "string");
    const files = [];
    for (const [name, file] of data) if (typeof file !== "string" && file.size) files.push([name, await smaller(file, fields), file.name]);
    const to = button && button.hasAttribute("formaction") ? button.formAction : form.action;
    const item = { id: whitemetalId(), to, fields, files: files.length ? files : null, ...when, title: titleOf(form, button), begun: whitemetalBegun.of(to, fields) };
    if (item.begun) item.begun.title = ((button && button.querySelector("b")) || button || form).textContent.trim();
    let answer = null;
    try {
      item.order = await add(item).catch(() => 0);  // before it goes out: a page that is closed meanwhile loses nothing
      answer = await (item.order ? turn(() => round(item.order)) : post(item));
    } catch { /* it waits here */ }
    if (answer && answer.ok) { await felt(form, item); go(answer.url); return; }
    if (answer && (answer.status < 500 || answer.status === 503) && !asksWho(answer)) natively(form, button, item);
    else if (!(await beganHere(item))) keptHere(form, item, before);
    delete form.dataset.sending;
  });
  // Whoever minds how a kept form is felt says how long the page must stay for it, in milliseconds.
  async function felt(form, item) {
    const detail = { form, item, rest: 0 };
    document.dispatchEvent(new CustomEvent("form-kept", { detail }));
    if (detail.rest) await pause(detail.rest);
  }
  async function beganHere(item) {
    const at = item.begun && item.order && await whitemetalBegun.make(item.begun).catch(() => "");
    if (at) location.assign(at);
    return Boolean(at);
  }
  // A photograph is made upright and smaller here, before it goes anywhere: nothing but the picture leaves the device.
  async function smaller(file, fields) {
    if (!file.type.startsWith("image/")) return file;
    fields.push(["taken", file.lastModified ? new Date(file.lastModified).toISOString() : ""]);
    if (typeof createImageBitmap !== "function") return file;
    try {
      const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
      const share = Math.min(1, LONGEST_SIDE / Math.max(picture.width, picture.height));
      const canvas = document.createElement("canvas");
      canvas.width = Math.round(picture.width * share);
      canvas.height = Math.round(picture.height * share);
      canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
      picture.close();
      const made = await new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.88));
      if (!made) return file;
      return new File([made], file.name.replace(/\.\w+$/, "") + ".jpg", { type: "image/jpeg" });
    } catch { return file; }
  }
  function go(url) {
    const same = url.split("#")[0] === location.href.split("#")[0];
    if (same && url.includes("#")) { history.replaceState(null, "", url); location.reload(); }
    else if (same) location.replace(url);
    else location.assign(url);
  }
  function natively(form, button, item) {
    if (button && button.name) {
      const hidden = document.createElement("input");
      hidden.type = "hidden"; hidden.name = button.name; hidden.value = button.value;
      form.append(hidden);
    }
    const to = new URL(item.to);
    to.searchParams.set("sent", item.id);  // what was kept of it, though refused, is not kept twice
    form.action = to;
    HTMLFormElement.prototype.submit.call(form);
  }
  function titleOf(form, button) {
    const legend = form.querySelector("legend, label"), text = (button && button.textContent) || (legend && legend.textContent) || "";
    return (document.querySelector("h1") || document.body).textContent.trim().slice(0, 80) + ": " + text.replace(/\s+/g, " ").trim().slice(0, 80);
  }
  const textOf = (form) => JSON.stringify([...new FormData(form)].filter(([, value]) => typeof value === "string"));
  function noted(form, text) {
    let note = form.querySelector(".kept-here");
    if (!note) { note = tag("p", "", "kept-here finding warning"); note.setAttribute("role", "status"); form.append(note); }
    note.textContent = text;
  }
  // What is still only here is not in what the page shows: nobody signs for it unseen.
  async function waits(path) {
    const of = (to) => new URL(to, location.href).pathname.split("/").slice(0, 3).join("/") === path.split("/").slice(0, 3).join("/");
    return [...(await all().catch(() => [])), ...ofBenches().map((one) => one.item)].some((item) => !item.stuck && of(item.to));
  }
  // What is only here is not to be thrown away for want of room; asked once a page, when there is something to keep.
  let held = false;
  function mayNotGo() {
    if (held || !navigator.storage || !navigator.storage.persist) return;
    held = true;
    navigator.storage.persist().catch(() => {});
  }
  function keptHere(form, item, before) {
    noted(form, item.order ? say.kept : say.nostore);
    mayNotGo();
    if (item.order && textOf(form) === before) form.reset();  // what was typed since then stays
    if (item.order) document.dispatchEvent(new CustomEvent("kept-here", { detail: { form, item } }));
    show();
    later();
  }

  // --- what must be confirmed in the record itself is not kept here: a sentence says so, and what was typed stays
  const STRAIGHT = 6000;
  async function reached() {
    try { return (await fetch("/worker.js", { cache: "no-store", signal: AbortSignal.timeout(STRAIGHT) })).status < 502; } catch { return false; }
  }
  document.addEventListener("submit", async (event) => {
    const form = event.target, button = event.submitter, secret = form.querySelector("input[type=password]");
    const straight = form.getAttribute("method") === "post" && /^\/(jobs|bearings)\//.test(new URL(form.action).pathname) && (form.hasAttribute("data-straight") || secret);
    if (event.defaultPrevented || !straight) return;
    if (form.dataset.reached) { delete form.dataset.reached; return; }
    event.preventDefault();
    if (!(await reached())) { noted(form, secret ? say.secret : say.straight); return; }
    form.dataset.reached = "1";
    form.requestSubmit(button);
  });

  // --- taking a job along, where the browser allows it
  const secure = "serviceWorker" in navigator && globalThis.isSecureContext;
  async function takeAlong() {
    const job = /^\/jobs\/[^/]+/.exec(document.body.dataset.here);
    if (!secure || !job || !navigator.onLine) return;
    const name = "whitemetal:along:" + job[0], last = Number(sessionStorage.getItem(name) || 0);
    if (Date.now() - last < EVERY) return;
    await navigator.serviceWorker.ready;
    const answer = await fetch("/api/1" + job[0] + "/along", { headers: { Accept: "application/json" } });
    if (!answer.ok) return;
    const worker = (await navigator.serviceWorker.ready).active;
    const { pages, begin } = await answer.json();
    worker.postMessage({ along: pages, begin });
    sessionStorage.setItem(name, String(Date.now()));  // not before: a page that is left meanwhile has asked for nothing
  }
  if (secure) {
    navigator.serviceWorker.register("/worker.js").then(() => setTimeout(() => takeAlong().catch(() => {}), 800)).catch(() => {});
    navigator.serviceWorker.addEventListener("message", (event) => {
      const told = document.getElementById("along");
      if (told && event.data.along) { told.hidden = false; told.textContent = say.along.replace("{count}", event.data.along); }
    });
  }
  addEventListener("online", () => { wait = 0; send(); });
  document.addEventListener("bench-alone", (event) => { if (event.detail.alone) mayNotGo(); show(); });
  document.addEventListener("bench-sent", send);
  globalThis.whitemetalQueue = { all, earlier, postTyped, send, stamped };
  putBack();
  setInterval(putBack, 30000);
  // Once a session is enough for a clock that is right; one that is wrong is said on every page.
  if (!sessionStorage.getItem(AHEAD) || Math.abs(aheadBy()) > 60000) compare().catch(() => {});
  show();
  send();
})();
