// The verdict where there is no record to ask: readings times weights that came with the page, and a comparison.
// There is no engine here. What this short sum cannot tell it leaves to the record.
"use strict";
(() => {
  // A reading as it was typed: plain digits in the unit of the bearing, or null when the record must read it.
  function parse(text, unit) {
    const found = /^\s*(\d+)(?:[.,](\d+))?\s*(\S*)\s*$/.exec(text);
    if (!found || (found[3] && found[3] !== unit)) return null;
    if (/^[1-9]\d{0,2}(,\d{3})+$/.test(text.trim())) return null;
    return { value: Number(found[1] + "." + (found[2] || "0")), decimals: (found[2] || "").length };
  }
  function median(values) {
    const sorted = [...values].sort((a, b) => a - b), n = sorted.length;
    return n % 2 ? sorted[(n - 1) / 2] : (sorted[n / 2 - 1] + sorted[n / 2]) / 2;
  }
  const times = (row, r) => row.reduce((sum, w, i) => sum + w * r[i], 0);
  // As the record prints it: within a millionth of a step of the middle counts as the middle.
  const shown = (value, along) => Number((value / along.scale).toFixed(along.digits + 6)).toFixed(along.digits);

  function reckon(along, texts) {
    if (along.why_not) return { asks: along.why_not };
    const read = texts.map((text) => parse(text, along.unit));
    if (read.some((one) => one === null) || new Set(read.map((one) => one.decimals)).size > 1) return { asks: "other" };
    const r = read.map((one) => one.value * along.scale);
    if (r.some((one, i) => one < along.least[i] || one > along.most[i])) return { asks: "other" };
    const middle = median(r);
    const set = along.sets.find((one) => one.decimals === read[0].decimals && middle < one.below);
    if (!set) return { asks: "other" };
    const rows = set.weights.map((row, i) => set.constant[i] + times(row, r));
    const chi = times(set.chi_a.map((row) => times(row, r)), r) + times(set.chi_b, r) + set.chi_c;
    if (rows[0] < along.mean_least || rows[0] > along.mean_most || (set.most !== null && chi > set.most)) return { asks: "other" };
    const apart = (limit, sign) => limit === null ? Infinity : Math.min(...rows.slice(1).map((value, i) => sign * (value - limit) / set.u[i + 1]));
    const low = apart(along.low, 1), high = apart(along.high, -1);
    let word = "not proven";
    if (!along.against.length && Math.min(low, high) <= -set.beyond) word = "outside limits";
    if (!along.against.length && Math.min(low, high) >= set.near && Math.max(low, high) >= set.far) word = "within limits";
    return { asks: "", word, diametral: shown(rows[0], along), radial: shown(rows[0] / 2, along), u: set.shown_u, places: rows.slice(1).map((value) => shown(value, along)) };
  }
  globalThis.whitemetalReckon = reckon;

  const form = document.getElementById("bench"), script = document.querySelector("script[data-carried]");
  if (!form || !script) return;
  const say = script.dataset, at = "/api/1" + document.body.dataset.here + "/carried?gauge=" + encodeURIComponent(form.dataset.instrument);
  const part = document.getElementById("carried");
  let along = null;
  async function fetchAlong() {
    try { const answer = await fetch(at, { headers: { Accept: "application/json" } }); if (answer.ok) along = await answer.json(); } catch { /* what came before still counts */ }
  }
  addEventListener("load", () => setTimeout(fetchAlong, 300));
  document.addEventListener("bench-sent", fetchAlong);
  document.addEventListener("bench-alone", (event) => {
    part.hidden = !event.detail.alone;
    if (part.hidden) return;
    const boxes = along ? along.places.map((place) => form.querySelector(`input.reading[data-place="${CSS.escape(place)}"]`)) : [];
    const empty = boxes.filter((box) => box && !box.value.trim()).length;
    const line = part.querySelector("[data-line]"), why = part.querySelector("[data-why]");
    why.textContent = "";
    if (!along || boxes.some((box) => !box)) { line.textContent = say.nothing; return; }
    if (event.detail.more) { line.textContent = say.asks; return; }  // a fact, a hold point or a repeat waits: the weights know nothing of it
    if (along.why_not) { line.textContent = along.why_not; return; }
    if (form.dataset.squeeze !== "1") { line.textContent = say.asks; return; }
    if (empty) { line.textContent = say.empty.replace("{count}", empty); return; }
    const made = reckon(along, boxes.map((box) => box.value));
    if (made.asks) { line.textContent = say.asks; return; }
    line.textContent = say.line.replace("{diametral}", made.diametral).replace("{radial}", made.radial).replaceAll("{unit}", along.unit).replace("{u}", made.u).replace("{word}", made.word);
    why.textContent = made.word === "not proven" ? along.against.join(" ") || say.between : "";
    part.dataset.word = made.word;
  });
})();
