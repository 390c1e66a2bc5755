// For one hand with oil on it: large keys with the unit on them, a buzz, a tone or a voice when a reading is kept,
// a screen that stays on while a check is open, and a gauge that types into the next empty place. The same on every
// page that takes readings.
"use strict";
(() => {
  const FIELDS = "main #bench input.reading, main [data-facts] input[inputmode=decimal], main input[data-gauge]";
  const bench = document.getElementById("bench"), script = document.querySelector("script[data-hand]");
  const TOLD = "whitemetal:told";
  try { const told = sessionStorage.getItem(TOLD); if (told) { sessionStorage.removeItem(TOLD); speak(told); } } catch { /* then it is only shown */ }
  if (!script || !(bench || document.querySelector(FIELDS))) return;
  const say = script.dataset, NAME = "whitemetal:hand:", USUAL = ["keys", "buzz", "tone", "awake"];
  const panel = document.getElementById("this-device");
  const likes = (what) => { try { const kept = localStorage.getItem(NAME + what); return kept === null ? USUAL.includes(what) : kept === "1"; } catch { return USUAL.includes(what); } };
  for (const box of panel ? panel.querySelectorAll("input[type=checkbox]") : []) {
    box.checked = likes(box.name);
    box.addEventListener("change", () => { try { localStorage.setItem(NAME + box.name, box.checked ? "1" : "0"); } catch { /* for this page only */ } if (box.name === "keys") hide(); });
  }
  const wants = (what) => { const box = panel && panel.querySelector(`[name=${what}]`); return box ? box.checked : likes(what); };

  // --- what a kept reading does to hand, ear and eye
  // A browser complains of a buzz, and keeps a tone back, before anybody has touched the page.
  const touchedOnce = () => !navigator.userActivation || navigator.userActivation.hasBeenActive;
  function buzz(how) { if (navigator.vibrate && wants("buzz") && touchedOnce()) navigator.vibrate(how); }
  let tones = null;
  function tone(good) {
    try {
      tones = tones || new AudioContext();
      const sound = tones.createOscillator(), loud = tones.createGain();
      sound.frequency.value = good ? 880 : 220;
      loud.gain.setValueAtTime(0.2, tones.currentTime);
      loud.gain.exponentialRampToValueAtTime(0.001, tones.currentTime + (good ? 0.12 : 0.4));
      sound.connect(loud).connect(tones.destination);
      sound.start();
      sound.stop(tones.currentTime + 0.4);
    } catch { /* a device without sound */ }
  }
  function speak(text) {
    if (!("speechSynthesis" in globalThis)) return;
    speechSynthesis.cancel();
    const told = new SpeechSynthesisUtterance(text);
    told.lang = document.documentElement.lang;
    speechSynthesis.speak(told);
  }
  const aloud = (place, text, more) => `${place}: ${text.replace(/[.,]/g, ` ${say.point} `)}. ${more}`;
  function felt(problem) {
    buzz(problem ? [80, 60, 80] : 40);
    if (wants("tone") && touchedOnce()) tone(!problem);
  }
  document.addEventListener("bench-saved", (event) => {
    const { place, text, problem, alone } = event.detail;
    felt(problem);
    if (wants("voice") && place) speak(aloud(place, text, problem ? problem : alone ? say.alone : ""));
  });
  // A reading sent with a form is felt before its page goes on, and read back on the page that follows.
  const REST = 160;
  function readBack({ form, item }, more) {
    const said = new Map(item.fields), typed = [...form.querySelectorAll("input[data-gauge]")].filter((one) => said.get(one.name));
    if (said.get("place")) return aloud(said.get("place"), said.get("text") || "", more);
    return typed.map((one) => aloud(headOf(one), said.get(one.name), "")).join(" ") + more;
  }
  const takes = (form) => form.querySelector("input[data-gauge], input[name=place]");
  document.addEventListener("form-kept", (event) => {
    if (!takes(event.detail.form)) return;
    event.detail.rest = REST;
    felt();
    if (wants("voice")) try { sessionStorage.setItem(TOLD, readBack(event.detail, "")); } catch { /* then it is only shown */ }
  });
  document.addEventListener("kept-here", (event) => {
    if (!takes(event.detail.form)) return;
    felt();
    if (wants("voice")) speak(readBack(event.detail, say.alone));
  });

  // --- the screen stays on while the check is open
  let awake = null;
  async function stayAwake() {
    if (!("wakeLock" in navigator) || document.hidden || !wants("awake")) return;
    try { awake = await navigator.wakeLock.request("screen"); } catch { awake = null; }
  }
  document.addEventListener("visibilitychange", stayAwake);
  stayAwake();
  addEventListener("pointerdown", () => { if (!awake || awake.released) stayAwake(); }, { passive: true });

  // --- a gauge that types: digits with nothing in focus go to the next place that is empty, be it folded away
  document.addEventListener("keydown", (event) => {
    if (!/^[\d.,-]$/.test(event.key) || event.ctrlKey || event.metaKey || event.altKey) return;
    const focused = document.activeElement;
    if (focused && focused.matches("input, select, textarea, [contenteditable]")) return;
    const places = [...document.querySelectorAll("main #bench input.reading, main input[data-gauge]")];
    const fields = (places.length ? places : [...document.querySelectorAll(FIELDS)]).filter((input) => !input.value.trim());
    const empty = fields.find((input) => input.offsetParent) || fields[0];
    if (!empty) return;
    for (let fold = empty.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
    empty.focus();
    empty.select();
  });

  // --- large keys
  const keys = document.createElement("div");
  keys.id = "hand-keys";
  keys.hidden = true;
  keys.setAttribute("role", "group");
  keys.setAttribute("aria-label", say.keys);
  let into = null;
  const order = ["7", "8", "9", "4", "5", "6", "1", "2", "3", ".", "0", "back"];
  function key(name, text, label) {
    const made = document.createElement("button");
    made.type = "button";
    made.dataset.key = name;
    made.textContent = text;
    if (label) made.setAttribute("aria-label", label);
    return made;
  }
  const head = document.createElement("p");
  head.className = "head";
  keys.append(head, ...order.map((name) => name === "back" ? key(name, "⌫", say.rub) : key(name, name)), key("letters", say.letters), key("next", say.next));
  document.body.append(keys);
  function hide() { keys.hidden = true; document.body.classList.remove("with-keys"); if (into) into.inputMode = "decimal"; into = null; }
  // Over the keys stand the place or the question, and the unit.
  function headOf(input) {
    const label = input.labels && input.labels[0], beside = input.parentElement.querySelector(".unit"), chosen = input.form && input.form.querySelector("select[name=unit]");
    const name = input.dataset.place || (label ? (label.firstChild && label.firstChild.textContent.trim()) || label.textContent.trim() : "");
    const unit = input.dataset.unit || (beside && beside.textContent.trim()) || (chosen && chosen.value) || "";
    return name + (unit ? " · " + unit : "");
  }
  function showFor(input) {
    if (!wants("keys")) return;
    into = input;
    into.inputMode = "none";
    head.textContent = headOf(input);
    keys.hidden = false;
    document.body.classList.add("with-keys");
    input.scrollIntoView({ block: "center" });
  }
  const field = (target) => Boolean(target.matches && (target.matches(FIELDS) || target === into));
  // The keys come with the click, once the finger is up: what they move or cover before, the finger would hit.
  let touched = null;
  document.addEventListener("pointerdown", (event) => {
    touched = event.pointerType === "touch" && field(event.target) ? event.target : null;
    if (touched && wants("keys")) touched.inputMode = "none";
  });
  document.addEventListener("pointercancel", () => { if (touched && touched !== into) touched.inputMode = "decimal"; touched = null; });
  document.addEventListener("click", (event) => {
    if (touched && event.target === touched) showFor(touched);
    touched = null;
  });
  document.addEventListener("focusin", (event) => {
    if (keys.hidden || keys.contains(event.target) || event.target === touched) return;
    if (field(event.target)) { if (event.target !== into) { hide(); showFor(event.target); } } else hide();
  });
  // What keys wrote a browser does not call a change: it is said here, so that a reading that is left is sent.
  document.addEventListener("focusout", (event) => {
    if (!event.target.dataset || !event.target.dataset.keyed) return;
    delete event.target.dataset.keyed;
    event.target.dispatchEvent(new Event("change", { bubbles: true }));
  });
  // The next place: as the Enter key does on a bench; elsewhere the next field of the form, and after the last it is sent.
  function onward(input) {
    const own = input.form, taken = !input.dispatchEvent(new KeyboardEvent("keydown", { key: "Enter", bubbles: true, cancelable: true }));
    if (!taken) {
      const fields = [...own.querySelectorAll("input[data-gauge]")].filter((one) => one.offsetParent), after = fields[fields.indexOf(input) + 1];
      if (after) after.focus(); else { hide(); own.requestSubmit(); }
    }
    if (field(document.activeElement)) { if (document.activeElement !== into) showFor(document.activeElement); } else hide();
  }
  keys.addEventListener("pointerdown", (event) => event.preventDefault());
  keys.addEventListener("click", (event) => {
    const name = event.target.dataset && event.target.dataset.key;
    if (!name || !into) return;
    buzz(8);
    const input = into;
    if (name === "letters") { hide(); input.blur(); input.focus(); return; }
    if (name === "next") { onward(input); return; }
    const all = input.selectionStart === 0 && input.selectionEnd === input.value.length && input.value !== "";
    const before = all ? "" : input.value;
    input.value = name === "back" ? before.slice(0, -1) : before + name;
    input.dataset.keyed = "1";
    input.dispatchEvent(new Event("input", { bubbles: true }));
  });
})();
