// The bench: every reading and fact is sent as it is typed. What could not be sent stays in its box,
// is marked, is kept in this browser's own store and is sent again until it is acknowledged.
"use strict";
(() => {
  const form = document.getElementById("bench");
  if (!form) return;
  const script = document.querySelector("script[data-unsaved]");
  const say = script.dataset;
  const queue = globalThis.whitemetalQueue;
  const word = form.querySelector("input[name=token]");
  const base = document.body.dataset.here;
  const storeKey = "whitemetal:unsaved:" + base;
  const unsaved = document.getElementById("unsaved");
  const said = document.getElementById("said");
  const strip = document.getElementById("strip");
  const ask = document.getElementById("ask");
  let seen = form.dataset.seen;
  let pending = recall();
  let sending = false;
  let wait = 0;
  let timer = null;

  // --- what is not saved yet, in the order in which it was typed
  function recall() {
    try { return JSON.parse(localStorage.getItem(storeKey) || "[]"); } catch { return []; }
  }
  const held = new Set(), named = (one) => one.where + " " + one.written;
  function keep() {
    for (const one of pending) held.add(named(one));
    try {
      const all = [...recall().filter((one) => !held.has(named(one))), ...pending];  // also what another window of this check waits with
      if (all.length) localStorage.setItem(storeKey, JSON.stringify(all));
      else localStorage.removeItem(storeKey);
    } catch { unsaved.dataset.nostore = say.nostore; }
    const count = pending.length;
    unsaved.hidden = !count;
    document.dispatchEvent(new CustomEvent("bench-alone", { detail: { alone: count > 0 && wait > 0, items: pending } }));
    unsaved.textContent = count ? say.many.replace("{count}", count) + (unsaved.dataset.nostore ? " " + say.nostore : "") : "";
  }
  function put(item) {
    const answered = (other) => item.place && other.stuck && other.place === item.place && other.body.squeeze === item.body.squeeze;
    pending = pending.filter((other) => other.where !== item.where && !answered(other));
    Object.assign(item, queue.stamped());
    item.word = word ? word.value : "";
    pending.push(item);
    keep();
    send();
  }

  // --- sending, one after the other, so that the record has the order in which it was typed
  async function send() {
    if (sending) return;
    sending = true;
    clearTimeout(timer);
    while (pending.length) {
      const item = pending.find((one) => !one.stuck);
      if (!item) break;
      mark(item, say.saving);
      let answer = null;
      try {
        if (await queue.earlier(item)) await queue.send();
        if (await queue.earlier(item)) throw new Error("not its turn yet");
        const response = await queue.postTyped(item);
        answer = await response.json();
        answer.status = response.status;
      } catch { answer = null; }
      if (answer === null || answer.status >= 500 || answer.status === 401) {
        mark(item, say.unsaved, answer && answer.problem);
        if (!item.told) { item.told = true; tell(item, null, true); }
        wait = Math.min(30000, wait ? wait * 2 : 1500);
        timer = setTimeout(send, wait);
        keep();
        break;
      }
      wait = 0;
      if (answer.kept) {
        pending = pending.filter((one) => one !== item);
        if (!answer.problem) mark(item, say.saved);
        document.dispatchEvent(new CustomEvent("bench-kept", { detail: { where: item.where, place: item.place, body: item.body } }));
        tell(item, answer.problem);
        show(answer, item);
      } else {
        item.stuck = true;
        if (item.was && item.input()) Object.assign(item.input().dataset, item.was);
        mark(item, say.unsaved, answer.problem);
        if (answer.ask && item.input()) openAsk(item.input());
      }
      keep();
      if (!pending.length) document.dispatchEvent(new CustomEvent("bench-sent"));
    }
    sending = false;
  }
  function tell(item, problem, alone) {
    document.dispatchEvent(new CustomEvent("bench-saved", { detail: { place: item.place || item.title || "", text: item.body.text || item.body.state || "", problem, alone: Boolean(alone) } }));
  }
  addEventListener("online", () => { wait = 0; send(); });

  // --- marks at the field
  function here(item) { return !item.place || item.body.squeeze === Number(form.dataset.squeeze); }
  function holderOf(item) { return here(item) ? document.querySelector(item.holder) : null; }
  function mark(item, state, problem) {
    const holder = holderOf(item);
    if (!holder) return;
    holder.dataset.state = state === say.saved ? "saved" : state === say.saving ? "saving" : "unsaved";
    let note = holder.querySelector(".state");
    if (!note) { note = document.createElement("span"); note.className = "state"; holder.append(note); }
    const box = holder.matches(".box");
    note.textContent = problem && !box ? state + ": " + problem : state;
    if (box && (problem || said.dataset.place === item.place)) {
      said.dataset.place = problem ? item.place : "";
      said.textContent = problem ? item.place + ", " + (state === say.saved ? say.unread : state) + ": " + problem : "";
    }
    if (holder.dataset.state === "saved" && (box || !problem)) setTimeout(() => { if (holder.dataset.state === "saved") { note.textContent = ""; delete holder.dataset.state; } }, 2500);
    const input = holder.querySelector("input:not([type=hidden])");
    if (input && problem && (!box || input.value === item.body.text)) input.setAttribute("aria-invalid", "true");
    else if (input) input.removeAttribute("aria-invalid");
  }
  function revive(item) {
    Object.defineProperty(item, "input", { value: () => { const h = holderOf(item); return h && h.querySelector("input.reading"); }, enumerable: false });
    return item;
  }

  // --- what is pressed stays until it is let go of: a button made anew between the two would not be pressed
  const late = new Map(), LONGEST = 30000;  // a hand that never let go is not waited for, in milliseconds
  let pressed = null;
  function press(target) { pressed = target; setTimeout(letGo, LONGEST); }
  function letGo() { setTimeout(() => { pressed = null; for (const [id, html] of late) renew(id, html); late.clear(); }); }
  document.addEventListener("pointerdown", (event) => press(event.target), true);
  for (const end of ["pointerup", "pointercancel"]) document.addEventListener(end, letGo, true);
  document.addEventListener("keydown", (event) => { if (event.key === " ") press(event.target); }, true);
  document.addEventListener("keyup", (event) => { if (event.key === " ") letGo(); }, true);
  addEventListener("blur", letGo);

  // --- the page follows the record
  function renew(id, html) {
    const part = document.getElementById(id);
    if (!part) return;
    if (pressed && part.contains(pressed)) { late.set(id, html); return; }
    const focused = part.contains(document.activeElement) ? document.activeElement : null;
    const holdOf = (one) => one.closest("[data-hold]") && one.closest("[data-hold]").querySelector("[name=hold]").value;
    const mine = focused && holdOf(focused), caret = focused && focused.selectionStart;
    const opened = [...part.querySelectorAll("details[id][open]")].map((one) => one.id);
    const typed = [...part.querySelectorAll("[data-hold] [name=text]")].filter((one) => one.value !== one.defaultValue).map((one) => [holdOf(one), one.value]);
    part.innerHTML = html;
    const formOf = (hold) => { const again = part.querySelector(`[name=hold][value="${CSS.escape(hold)}"]`); return again && again.form; };
    const noteOf = (hold) => formOf(hold) && formOf(hold).querySelector("[name=text]");
    for (const [hold, text] of typed) if (noteOf(hold)) noteOf(hold).value = text;
    for (const one of opened) { const again = document.getElementById(one); if (again) again.open = true; }
    if (mine) {
      const again = formOf(mine), fold = again && again.closest("details:not([open])"), note = focused.name === "text" && noteOf(mine);
      if (again) (fold ? fold.querySelector("summary") : note || again.querySelector("button")).focus();
      if (note && !fold) note.setSelectionRange(caret, caret);
    }
    else if (focused) { part.tabIndex = -1; part.focus({ preventScroll: true }); }
  }
  function show(answer, item) {
    if (answer.seen !== undefined) {
      seen = answer.seen;
      for (const hidden of document.querySelectorAll("input[name=seen]")) hidden.value = seen;
    }
    for (const [id, html] of Object.entries(answer.parts || {})) { late.delete(id); renew(id, html); }
    if (answer.summary !== undefined && strip.textContent !== answer.summary) strip.textContent = answer.summary;
    for (const box of answer.boxes || []) follow(box, item);
    const waiting = pending.flatMap((one) => (one.body.cells || []).map((cell) => cell.place));
    document.dispatchEvent(new CustomEvent("bench-boxes", { detail: { ...answer, waiting } }));
    if (answer.problem && item) mark(item, say.saved, answer.problem);
  }
  function follow(box, item) {
    const input = form.querySelector(`input.reading[data-place="${CSS.escape(box.place)}"]`);
    if (!input) return;
    const old = input.dataset.kept;
    const own = item && item.place === box.place && input.value === item.body.text;
    const waiting = pending.some((one) => one.place === box.place);
    input.dataset.kept = box.text;
    input.dataset.entry = box.entry;
    if (!waiting && !input.dataset.asking && (input.value === old || (own && box.entry))) input.value = box.text;
    if (box.wrong) input.setAttribute("aria-invalid", "true");
    else if (!waiting) input.removeAttribute("aria-invalid");
    fit(input);
    const holder = input.closest(".box");
    holder.querySelector(".mark").textContent = box.sign;
    holder.querySelector("[id^=said]").textContent = box.said;
  }

  // --- readings
  function fit(input) {
    const text = input.value.trim();
    input.closest(".box").classList.toggle("long", text.length > 6);
    input.closest(".box").classList.toggle("own-unit", /[^\d.,+\s-]/.test(text));
  }
  const boxes = [...form.querySelectorAll("input.reading")];
  function reading(input, more, stuck) {
    const id = whitemetalId(), was = { kept: input.dataset.kept, entry: input.dataset.entry };
    put(revive({
      stuck, was,
      where: "reading " + form.dataset.squeeze + " " + input.dataset.place + " " + id, title: input.dataset.place,
      place: input.dataset.place,
      holder: "#" + input.closest(".box").id,
      to: form.action,
      body: {
        id, place: input.dataset.place, text: input.value, unit: input.dataset.unit,
        squeeze: Number(form.dataset.squeeze), instrument: form.dataset.instrument,
        entry: input.dataset.entry, seen: input.dataset.seen || seen, ...more,
      },
    }));
    delete input.dataset.seen;
    if (!stuck) mine(input, id);
  }
  // What was typed stands in its box as a kept reading does, sent or not: the next one is asked about.
  function mine(input, id) { input.dataset.entry = id; input.dataset.kept = input.value; delete input.dataset.touched; }
  function commit(input, pressed) {
    const text = input.value.trim(), again = pressed && input.dataset.touched && input.dataset.entry;
    if ((text === input.dataset.kept.trim() && !(text && again)) || input.dataset.asking) return true;
    if (!text) { if (input.dataset.kept) input.value = input.dataset.kept; return true; }
    if (input.dataset.entry) { reading(input, { mode: "" }, true); openAsk(input); return false; }
    reading(input, { mode: "" });
    return true;
  }
  function next(input) {
    const at = boxes.indexOf(input);
    const after = boxes[at + 1] || [...document.querySelectorAll("section[aria-labelledby=h-after] .fields input:not([type=hidden]), #holds-after :is(summary, button)")].find((one) => one.offsetParent) || strip.parentElement;
    after.focus();
    if (after.select) after.select();
  }
  for (const input of boxes) {
    fit(input);
    input.addEventListener("input", () => { fit(input); input.dataset.touched = "1"; if (!input.dataset.seen) input.dataset.seen = seen; });
    input.addEventListener("change", () => commit(input));
    input.addEventListener("keydown", (event) => {
      if (event.key !== "Enter") return;
      event.preventDefault();
      if (commit(input, true)) next(input);
    });
  }
  form.addEventListener("submit", (event) => { event.preventDefault(); for (const input of boxes) commit(input); });

  // --- a second reading at a place: measured again, or struck out and written again
  const why = document.getElementById("ask-why"), other = document.getElementById("ask-other");
  let asked = null;
  function openAsk(input) {
    if (asked && asked !== input) closeAsk(false);
    asked = input;
    input.dataset.asking = "1";
    document.getElementById("ask-text").textContent = say.asktext
      .replace("{place}", input.dataset.place).replace("{old}", input.dataset.kept).replace("{new}", input.value);
    ask.hidden = false;
    ask.scrollIntoView({ block: "nearest" });
    ask.querySelector("button").focus();
  }
  function closeAsk(restore) {
    if (!asked) return;
    const input = asked;
    asked = null;
    delete input.dataset.asking;
    ask.hidden = true;
    if (restore) {
      input.value = input.dataset.kept;
      pending = pending.filter((one) => one.place !== input.dataset.place || !one.stuck || !here(one));
      keep();
      const note = input.closest(".box").querySelector(".state");
      if (note) note.textContent = "";
      delete input.closest(".box").dataset.state;
    }
    return input;
  }
  if (ask) why.addEventListener("change", () => { other.hidden = why.value !== ""; if (!other.hidden) other.focus(); });
  if (ask) ask.addEventListener("click", (event) => {
    const mode = event.target.dataset && event.target.dataset.mode;
    if (!mode || !asked) return;
    const reason = why.value || other.value.trim();
    if (mode === "strike" && !reason) { other.hidden = false; other.focus(); return; }
    const input = closeAsk(mode === "leave");
    if (mode === "leave") { input.focus(); return; }
    reading(input, { mode, why: reason });
    next(input);
  });
  if (ask) ask.addEventListener("keydown", (event) => {
    if (event.key === "Escape") { const input = closeAsk(true); if (input) input.focus(); }
  });

  // --- facts, answers, hold points
  function titleOf(formOf, key) {
    const label = formOf.querySelector(`[data-key="${CSS.escape(key)}"] :is(legend, label)`);
    return label && label.firstChild ? label.firstChild.textContent.trim() : key;
  }
  function fact(formOf, key, text, holder) {
    const unit = formOf.querySelector(`[name="unit.${CSS.escape(key)}"]`);
    put(revive({
      where: "fact " + key, title: titleOf(formOf, key), holder: holder || `[data-key="${CSS.escape(key)}"]`, to: base + "/facts",
      body: { id: whitemetalId(), key, text, unit: unit ? unit.value : "", seen, squeeze: Number(form.dataset.squeeze), gauge: form.dataset.instrument },
    }));
  }
  document.addEventListener("change", (event) => {
    const input = event.target;
    const facts = input.form && input.form.matches("[data-facts]") && input.name.startsWith("fact.");
    if (!facts || (input.type !== "radio" && input.dataset.sent === input.value)) return;
    input.dataset.sent = input.value;
    fact(input.form, input.name.slice(5), input.value);
  });
  document.addEventListener("keydown", (event) => {
    const input = event.target;
    if (event.key !== "Enter" || !input.form || !input.form.matches("[data-facts]") || input.tagName !== "INPUT") return;
    event.preventDefault();
    input.dispatchEvent(new Event("change", { bubbles: true }));
    const all = [...document.querySelectorAll("[data-facts] input:not([type=hidden]), [data-facts] select, input.reading")].filter((one) => one.offsetParent);
    const after = all[all.indexOf(input) + 1];
    if (after) after.focus();
  });
  document.addEventListener("submit", (event) => {
    const formOf = event.target;
    const button = event.submitter;
    if (formOf.matches("[data-facts]")) { event.preventDefault(); return; }
    if (formOf.matches("[data-answer]") && button) {
      event.preventDefault();
      fact(formOf, button.name.slice(5), button.value, "#live");
    }
    if (formOf.matches("[data-hold]") && button) {
      event.preventDefault();
      const note = formOf.querySelector("[name=text]");
      const hold = formOf.querySelector("[name=hold]").value;
      formOf.id = "hold-" + hold;
      put(revive({
        where: "hold " + hold, title: ((button.querySelector("span:last-child") || button).firstChild || button).textContent.trim(), holder: "#" + CSS.escape("hold-" + hold), to: base + "/holds",
        body: { id: whitemetalId(), hold, state: button.value, text: note ? note.value : "", seen, squeeze: Number(form.dataset.squeeze), gauge: form.dataset.instrument },
      }));
    }
  });

  // --- a grid of words (grid.js) sends through here
  document.addEventListener("bench-send", (event) => {
    const item = event.detail;
    put(revive({ ...item, body: { ...item.body, seen } }));
  });

  // --- what waited from before
  pending = pending.map((item) => { delete item.stuck; return revive(item); });
  for (const item of pending) {
    const input = item.place ? item.input() : null;
    if (input) { input.value = item.body.text; fit(input); mine(input, item.body.id); }
    mark(item, say.unsaved);
  }
  keep();
  addEventListener("DOMContentLoaded", () => {
    document.dispatchEvent(new CustomEvent("bench-waits", { detail: pending }));
    send();
  });

  // --- what others wrote meanwhile
  async function look() {
    if (document.hidden || sending || pending.length) return;
    try {
      const response = await fetch(form.dataset.live + "?squeeze=" + form.dataset.squeeze + "&gauge=" + encodeURIComponent(form.dataset.instrument) + "&seen=" + encodeURIComponent(seen), { headers: { "Accept": "application/json" } });
      if (response.status === 200) show(await response.json(), null);
    } catch { /* the next look may succeed */ }
  }
  addEventListener("focus", look);
  addEventListener("whitemetal-changed", look);
  setInterval(look, 15000);
})();
