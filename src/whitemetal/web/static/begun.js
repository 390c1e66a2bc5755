// A check begun where there is no connection: its id is made here, its page is the empty bench that came along, with
// that id and the purpose put in. The record hears of the check first and of what was entered in it after that.
"use strict";
(() => {
  const SHELF = "whitemetal-begun", NO_ID = "not-begun-yet", NO_PURPOSE = "purpose-not-said";
  const can = "caches" in globalThis && globalThis.isSecureContext && "serviceWorker" in navigator;

  // What a form begins: its check gets its id here, whether the record can be reached or not.
  function of(to, fields) {
    const at = /^(\/jobs\/[^/]+)\/(checks|close-up)$/.exec(new URL(to).pathname), said = new Map(fields);
    if (!at || !said.get("method")) return null;
    const check = whitemetalId(), method = said.get("method");
    fields.push(["id", check]);
    return { job: at[1], check, method, purpose: said.get("purpose") || "as left", seen: said.get("seen") || "", at: `${at[1]}/checks/${check}` };
  }

  // Every page that came along for this method is put under the address that the check will have.
  async function make(begun) {
    if (!can) return "";
    const made = await caches.open(SHELF), from = `${begun.job}/begin/${encodeURIComponent(begun.method)}`;
    let first = "";
    for (const name of await caches.keys()) {
      const shelf = await caches.open(name);
      for (const request of name === SHELF ? [] : await shelf.keys()) {
        const at = new URL(request.url), path = at.pathname.replace(/^\/api\/1/, "");
        if (path !== from && !path.startsWith(from + "/")) continue;
        const page = await shelf.match(request), to = at.pathname.replace(from, begun.at) + at.search;
        const text = (await page.text()).replace(/(name="seen" value|data-seen)="[0-9a-f ]*"/g, `$1="${begun.seen}"`);
        const body = text.replaceAll(NO_ID, begun.check).replaceAll(NO_PURPOSE, escaped(begun.purpose));
        await made.put(to, new Response(body, { headers: page.headers }));
        if (to.endsWith("/nuts") || (!first && to === begun.at)) first = to;
      }
    }
    return first;
  }
  function escaped(text) { const box = document.createElement("i"); box.textContent = text; return box.innerHTML; }

  // What was begun here is told on the page of its job: there is no other way back to it.
  async function show(items) {
    const part = document.querySelector("section[aria-labelledby=h-checks]"), say = document.querySelector("script[data-begun]").dataset;
    if (!part) return;
    const lines = [];
    for (const { begun } of items.filter((item) => item.begun && item.begun.job === document.body.dataset.here)) {
      if (!can || !(await caches.match(begun.at))) continue;
      const line = document.createElement("p"), link = document.createElement("a");
      line.className = "begun-here finding warning";
      link.href = begun.at;
      link.textContent = `${begun.title} · ${begun.purpose}`;
      line.append(say.begun + " ", link);
      lines.push(line);
    }
    const there = [...part.querySelectorAll(".begun-here")], texts = (all) => all.map((one) => one.innerHTML).join();
    if (texts(there) === texts(lines)) return;  // nothing moves under a thumb
    for (const old of there) old.remove();
    part.querySelector("h2").after(...lines);
  }
  globalThis.whitemetalBegun = { of, make, show };
})();
