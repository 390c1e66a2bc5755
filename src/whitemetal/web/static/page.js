// On every page: the clock's offset for the record, and the way back to where a form was sent from.
"use strict";
document.documentElement.classList.add("scripted");
document.cookie = "whitemetal_offset=" + (-new Date().getTimezoneOffset()) + ";path=/;samesite=strict;max-age=34560000";
// Ids: 128 random bits in base32, also on plain http where randomUUID is absent.
globalThis.whitemetalId = () => {
  const letters = "abcdefghijklmnopqrstuvwxyz234567";
  let bits = 0, held = 0, text = "";
  for (const byte of crypto.getRandomValues(new Uint8Array(16))) {
    held = (held << 8) | byte;
    bits += 8;
    while (bits >= 5) { bits -= 5; text += letters[(held >>> bits) & 31]; held &= (1 << bits) - 1; }
  }
  return text + letters[(held << (5 - bits)) & 31];
};
// Where an entry stands among those of this device: it grows with each, also when the device's clock is put back.
globalThis.whitemetalTurn = () => {
  const name = "whitemetal:turn";
  try {
    const next = Math.max(Number(localStorage.getItem(name) || 0) + 1, Date.now());
    localStorage.setItem(name, String(next));
    return next;
  } catch { return Date.now(); }
};
const firstProblem = document.getElementById("problems");
if (firstProblem) firstProblem.focus();
for (const select of document.querySelectorAll("form.gauge select")) {
  select.addEventListener("change", () => select.form.requestSubmit());
}
// A page of photographs that was kept for the whole job is asked for one thing of it: that stands chosen.
const askedOf = new URLSearchParams(location.search).get("of");
for (const select of document.querySelectorAll("main form select[name=of]")) {
  if ([...select.options].some((one) => one.value === askedOf)) select.value = askedOf;
}
// What others write meanwhile is said, and shown when asked for: a page never changes under a hand that writes.
const others = document.getElementById("others"), shownHeads = document.querySelector("main input[name=seen]");
const ofJob = /^\/jobs\/[^/]+/.exec(document.body.dataset.here);
if (others) others.querySelector("button").addEventListener("click", () => location.reload());
if (others && document.querySelector("script[data-book]")) {
  if (!document.getElementById("bench")) addEventListener("whitemetal-changed", () => { others.hidden = false; });
} else if (others && shownHeads && ofJob && !document.getElementById("run-live")) {
  const first = shownHeads.value;
  const look = async () => {
    if (document.hidden || !others.hidden) return;
    try {
      const answer = await fetch("/api/1" + ofJob[0] + "/heads", { headers: { Accept: "application/json" } });
      if (answer.ok && (await answer.json()).seen !== first) others.hidden = false;
    } catch { /* the next look may succeed */ }
  };
  addEventListener("focus", look);
  setInterval(look, 15000);
}
