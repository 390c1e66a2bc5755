// A grid whose cells are marked with words: tap for the next word, drag to mark many, or by keyboard.
// What was marked is sent in one go when the hand rests; bench.js carries it and keeps it until it is kept.
"use strict";
(() => {
  const plan = document.querySelector(".plan.cells");
  if (!plan) return;
  const say = document.querySelector("script[data-empty]").dataset;
  const words = plan.dataset.choices.split("|");
  const form = document.getElementById("bench");
  const REST = 900;
  const cells = [...plan.querySelectorAll(".cell")].map(cellOf);
  const at = new Map(cells.map((cell) => [cell.place, cell]));
  let brush = null, timer = null;

  function cellOf(holder) {
    const select = holder.querySelector("select");
    const button = document.createElement("button");
    button.type = "button";
    button.className = "mark-it";
    button.tabIndex = -1;
    select.before(button);
    select.hidden = true;
    const cell = { holder, button, place: select.dataset.place, title: select.dataset.title, select, dirty: false };
    button.cell = cell;
    paint(cell, select.dataset.kept.trim().toLowerCase());
    return cell;
  }

  function paint(cell, word) {
    const index = words.indexOf(word);
    cell.word = index < 0 ? "" : words[index];
    cell.select.value = cell.word;
    cell.button.dataset.k = index;
    cell.button.textContent = index > 2 ? words[index] : index === 2 ? "·" : "";
    cell.button.setAttribute("aria-label", cell.place + ", " + (cell.title ? cell.title + ": " : "") + (cell.word || say.empty));
  }
  function following(cell) { return words[(words.indexOf(cell.word) + 1) % words.length]; }
  function mark(cell, word) {
    if (cell.word === word) return;
    paint(cell, word);
    cell.dirty = cell.word !== kept(cell);
    cell.holder.dataset.state = cell.dirty ? "unsaved" : "";
    rest();
  }
  function kept(cell) { return cell.select.dataset.kept.trim().toLowerCase(); }

  // --- sending what has changed, once the hand rests
  function rest() { clearTimeout(timer); timer = setTimeout(flush, REST); }
  function flush() {
    clearTimeout(timer);
    const changed = cells.filter((cell) => cell.dirty);
    if (!changed.length || brush !== null) return;
    const sent = changed.map((cell) => {
      cell.dirty = false;
      const entry = cell.select.dataset.entry;
      return { id: whitemetalId(), place: cell.place, text: cell.word, entry };
    });
    document.dispatchEvent(new CustomEvent("bench-send", { detail: {
      where: "cells " + sent[0].id, holder: "#readings .row.script-only", to: form.action,
      body: { cells: sent, squeeze: Number(form.dataset.squeeze), instrument: form.dataset.instrument },
    } }));
  }
  addEventListener("pagehide", flush);
  document.addEventListener("visibilitychange", () => { if (document.hidden) flush(); });

  // --- what is kept, by this hand or another's
  document.addEventListener("bench-boxes", (event) => {
    const refused = new Set(event.detail.refused || []);
    const waiting = new Set(event.detail.waiting || []);
    for (const box of event.detail.boxes || []) {
      const cell = at.get(box.place);
      if (!cell) continue;
      cell.select.dataset.kept = box.text;
      cell.select.dataset.entry = box.entry;
      if (cell.dirty) cell.dirty = cell.word !== kept(cell);
      else if (!waiting.has(cell.place)) paint(cell, kept(cell));
      const wrong = refused.has(cell.place) || box.wrong;
      cell.holder.dataset.state = cell.dirty || waiting.has(cell.place) || wrong ? "unsaved" : "";
    }
    if (cells.some((cell) => cell.dirty)) rest();
  });
  document.addEventListener("bench-waits", (event) => {
    for (const item of event.detail) for (const sent of item.body.cells || []) {
      const cell = at.get(sent.place);
      if (cell) { paint(cell, sent.text); cell.holder.dataset.state = "unsaved"; }
    }
  });

  // --- thumb and mouse
  plan.addEventListener("pointerdown", (event) => {
    const button = event.target.closest(".mark-it");
    if (!button || event.button > 0) return;
    event.preventDefault();
    focus(button.cell);
    brush = following(button.cell);
    if (plan.setPointerCapture) plan.setPointerCapture(event.pointerId);
    mark(button.cell, brush);
  });
  plan.addEventListener("pointermove", (event) => {
    if (brush === null) return;
    for (const one of event.getCoalescedEvents ? [...event.getCoalescedEvents(), event] : [event]) {
      const under = document.elementFromPoint(one.clientX, one.clientY);
      const button = under && under.closest(".mark-it");
      if (button) mark(button.cell, brush);
    }
  });
  for (const end of ["pointerup", "pointercancel"]) {
    plan.addEventListener(end, () => { if (brush !== null) { brush = null; rest(); } });
  }

  // --- keyboard: one stop for the Tab key, arrows inside
  function focus(cell) {
    for (const one of cells) one.button.tabIndex = one === cell ? 0 : -1;
    cell.button.focus({ preventScroll: true });
  }
  function beside(cell, dx, dy) {
    const here = cell.button.getBoundingClientRect();
    const x = here.left + here.width / 2, y = here.top + here.height / 2;
    let best = null, least = Infinity;
    for (const other of cells) {
      const there = other.button.getBoundingClientRect();
      const along = (there.left + there.width / 2 - x) * dx + (there.top + there.height / 2 - y) * dy;
      const aside = Math.abs((there.left + there.width / 2 - x) * dy) + Math.abs((there.top + there.height / 2 - y) * dx);
      if (along > 2 && along + 4 * aside < least) { least = along + 4 * aside; best = other; }
    }
    return best;
  }
  const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
  plan.addEventListener("keydown", (event) => {
    const button = event.target.closest(".mark-it");
    if (!button || event.ctrlKey || event.altKey || event.metaKey) return;
    const cell = button.cell, arrow = ARROWS[event.key];
    const word = words.find((one) => one[0] === event.key.toLowerCase());
    if (arrow) {
      const other = beside(cell, ...arrow);
      if (other) { focus(other); other.button.scrollIntoView({ block: "nearest" }); }
    } else if (word !== undefined) mark(cell, word);
    else if (event.key === " " || event.key === "Enter") mark(cell, following(cell));
    else if (event.key === "Delete" || event.key === "Backspace") mark(cell, "");
    else return;
    event.preventDefault();
  });
  if (cells.length) cells[0].button.tabIndex = 0;

  document.getElementById("grid-rest").addEventListener("click", () => {
    for (const cell of cells) if (!cell.word) mark(cell, words[words.length - 1]);
    flush();
  });
})();
