// The verdict where there is no record to ask: readings times weights that came with the page, and a comparison.
// There is no engine here. What this short sum cannot tell it leaves to the record.
"use strict";
(() => {
  const FORMAT = "whitemetal.carried/4";
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

  // A fact as it was typed against an answer: the same words, or the same number in the same unit.
  function number(text) { const found = /^([+-]?\d+(?:[.,]\d+)?)\s*(.*)$/.exec(text.trim()); return found && [Number(found[1].replace(",", ".")), found[2]]; }
  function same(text, answer) {
    const one = number(text), other = number(answer);
    return text.trim() === answer || Boolean(one && other && one[0] === other[0] && one[1] === other[1]);
  }
  // What was typed here and the record does not know yet: it must be one of the answers that the weights rest on.
  function told(along, facts) {
    const known = new Set(), zeros = [], alike = { ...along.alike };
    let at = "", other = "";
    for (const [key, text] of Object.entries(facts)) {
      const open = along.presumed.find((one) => one.key === key), range = key === along.key && along.ranges.find((one) => one.at && (same(text, one.at) || same(text, `${one.at} ${along.unit}`)));
      if (open && open.texts.some((answer) => same(text, answer))) known.add(key);
      else if (range) at = range.at;
      else if (along.zeros.includes(key) && zero(along, text) !== null) zeros.push(zero(along, text));
      else if (key in alike && /^\d+$/.test(text.trim())) alike[key] = text.trim();
      else other = key;
    }
    const counts = Object.values(alike).filter((text) => text);
    if (counts.some((text) => text !== counts[0])) other = "alike";
    return { known, zeros, at, other };
  }
  // What the gauge showed at nothing [m]; null when the record must read it.
  function zero(along, text) {
    const found = number(text);
    return found && (found[0] === 0 || found[1] === along.unit) ? found[0] * along.scale : null;
  }
  // Whether a set of weights is for these zeros of the gauge: as many, and as far apart in steps of its scale.
  function forZeros(set, along, told) {
    const all = [...along.zeros_kept, ...told], steps = Math.abs(all[1] - all[0]) / (10 ** -set.decimals * along.scale);
    if (set.zeros !== all.length) return false;
    return told.length && all.length > 1 ? Math.abs(steps - set.drift) < 1e-6 : set.drift === null;
  }
  // Readings that the record holds and those typed here, by squeeze and place.
  function grouped(along, readings) {
    const groups = new Map();
    for (const one of readings) {
      const name = one.squeeze + "\n" + one.place;
      groups.set(name, [...(groups.get(name) || []), one.read]);
    }
    const most = Math.max(1, ...readings.map((one) => one.squeeze)), order = [];
    for (let squeeze = 1; squeeze <= most; squeeze++) for (const place of along.places) order.push(groups.get(squeeze + "\n" + place) || []);
    return { squeezes: most, order };
  }
  const mean = (values) => values.reduce((sum, one) => sum + one, 0) / values.length;
  // Repeats at a place count with their mean while they differ by no more than the scale of the gauge explains.
  function scattered(groups, step) {
    const dof = groups.reduce((sum, one) => sum + one.length - 1, 0);
    if (!dof) return false;
    const sd = Math.sqrt(groups.reduce((sum, one) => sum + one.reduce((all, r) => all + (r - mean(one)) ** 2, 0), 0) / dof);
    return groups.some((one) => sd / Math.sqrt(one.length) > step / Math.sqrt(12) * (1 - 1e-9));
  }

  // By distance: every place so many standard uncertainties from each limit.
  function proven(along, set, places) {
    const apart = (limit, sign) => limit === null ? Infinity : Math.min(...places.map((value, i) => sign * (value - limit) / set.u[i + 1]));
    const low = apart(along.low, 1), high = apart(along.high, -1);
    if (Math.min(low, high) <= -set.beyond) return "outside limits";
    return Math.min(low, high) >= set.near && Math.max(low, high) >= set.far ? "within limits" : "not proven";
  }
  // By simple acceptance: every place inside, or not; "" right at the edge.
  function accepted(along, places) {
    const over = Math.max(along.low === null ? -Infinity : along.low - Math.min(...places), along.high === null ? -Infinity : Math.max(...places) - along.high);
    if (Math.abs(over - along.edge) < along.edge / 10) return "";
    return over <= along.edge ? "within limits" : "outside limits";
  }

  // readings: [{ place, squeeze, text, gauge }], all that live; facts: those typed here, text by key.
  function reckon(along, readings, facts = {}) {
    if (along.why_not) return { asks: along.why_not };
    const said = told(along, facts);
    if (said.other || (along.gauge !== null && readings.some((one) => one.gauge !== along.gauge))) return { asks: "other" };
    const typed = readings.map((one) => ({ ...one, parsed: parse(one.text, along.unit) }));
    if (typed.some((one) => one.parsed === null) || (!along.finer && new Set(typed.map((one) => one.parsed.decimals)).size > 1)) return { asks: "other" };
    const { squeezes, order } = grouped(along, typed.map((one) => ({ ...one, read: one.parsed.value * along.scale })));
    const empty = order.filter((one) => !one.length).length;
    if (empty) return { asks: "empty", empty };
    const decimals = Math.min(...typed.map((one) => one.parsed.decimals)), range = along.ranges.find((one) => one.at === said.at), n = along.places.length;
    if (!range) return { asks: along.lacking || "other" };
    if (!along.twice && order.some((one) => one.length > 1)) return { asks: "other" };
    if (along.twice && scattered(order, 10 ** -decimals * along.scale)) return { asks: "scatter" };
    const middle = median(order.flat()), zeros = [...along.zeros_kept, ...said.zeros], shift = zeros.length ? mean(zeros) : 0;
    const set = along.sets.find((one) => (along.finer ? one.decimals <= decimals : one.decimals === decimals) && (!one.at || one.at === said.at) && one.squeezes === squeezes && middle < one.below && forZeros(one, along, said.zeros));
    if (!set) return { asks: squeezes > 1 && !along.sets.some((one) => one.squeezes === squeezes) ? "squeezes" : "other" };
    const taken = order.map((one, i) => one.map((value) => value - set.zero[i] * shift)), r = taken.map(mean);
    const odd = (all) => all.some((one, i) => one.some((value) => value < range.least[i % n] || value > range.most[i % n]));
    if (odd(order) || odd(taken)) return { asks: "other" };
    const rows = set.weights.map((row, i) => set.constant[i] + times(row, r));
    const chi = times(set.chi_a.map((row) => times(row, r)), r) + times(set.chi_b, r) + set.chi_c;
    if (rows[0] < range.mean_least || rows[0] > range.mean_most || (set.most !== null && chi > set.most)) return { asks: "other" };
    const lacking = along.presumed.filter((one) => one.lacking && one.squeeze <= squeezes && !said.known.has(one.key)).map((one) => one.lacking);
    const against = [...along.against, ...lacking, ...(along.lacking && !said.at ? [along.lacking] : [])];
    const word = against.length ? "not proven" : along.simple ? accepted(along, rows.slice(1)) : proven(along, set, rows.slice(1));
    if (!word) return { asks: "other" };
    return { asks: "", word, against, diametral: shown(rows[0], along), radial: shown(rows[0] / 2, along), u: set.shown_u, places: rows.slice(1).map((value) => shown(value, along)) };
  }
  globalThis.whitemetalReckon = reckon;

  const form = document.getElementById("bench"), script = document.querySelector("script[data-carried]");
  if (!form || !script) return;
  const say = script.dataset, at = "/api/1" + document.body.dataset.here + "/carried?gauge=" + encodeURIComponent(form.dataset.instrument);
  const part = document.getElementById("carried");
  const REST = 3000;
  let along = null, since = [], asking = 0, last = null;
  async function fetchAlong() {
    const before = since.length, mine = ++asking;
    try {
      const answer = await fetch(at, { headers: { Accept: "application/json" } });
      const found = answer.ok ? await answer.json() : {};
      if (found.format === FORMAT && mine === asking) { along = found; since = since.slice(before); if (last) tell(last); }
    } catch { /* what came before still counts */ }
  }
  addEventListener("load", () => setTimeout(fetchAlong, 300));
  let rest = null;  // weights take the record a second or two: they are asked for when the hand rests
  document.addEventListener("bench-sent", () => { clearTimeout(rest); rest = setTimeout(fetchAlong, REST); });
  document.addEventListener("bench-kept", (event) => { since.push(event.detail); });

  // What this device knows: what the record held when it was last asked, and all that was entered here since then.
  function known(items) {
    const entered = [...since, ...items], facts = {}, struck = new Set();
    let readings = along.readings.map((one) => ({ ...one })), stuck = false;
    for (const item of entered) {
      const { body, where } = item;
      if (item.stuck) stuck = true;
      else if (item.place) {
        if (body.mode === "strike") struck.add(body.entry);
        if (!readings.some((one) => one.entry === body.id)) readings.push({ entry: body.id, place: item.place, squeeze: body.squeeze, text: body.text, gauge: body.instrument });
      } else if (where.startsWith("fact ")) facts[body.key] = body.text && /\d\s*$/.test(body.text) && body.unit ? `${body.text.trim()} ${body.unit}` : body.text;
      else if (where.startsWith("hold ")) { if (body.state === "closed") facts[body.hold] = facts[body.hold] || "yes"; }
      else stuck = true;
    }
    const asked = new Set(along.presumed.map((one) => one.key)), holds = new Set(entered.filter((one) => one.where.startsWith("hold ")).map((one) => one.body.hold));
    for (const key of holds) if (!asked.has(key) && !entered.some((one) => one.where === "fact " + key)) delete facts[key];  // a tick that no figure rests on
    readings = readings.filter((one) => !struck.has(one.entry));
    return { readings, facts, stuck };
  }
  function said(items) {
    if (!along) return { line: say.nothing };
    const { readings, facts, stuck } = known(items);
    const made = stuck ? { asks: "other" } : reckon(along, readings, facts);
    if (made.asks === "empty") return { line: say.empty.replace("{count}", made.empty) };
    if (made.asks) return { line: { other: say.asks, scatter: say.scatter, squeezes: say.squeezes }[made.asks] || made.asks };
    const strip = say.strip.replace("{diametral}", made.diametral).replaceAll("{unit}", along.unit).replace("{word}", made.word);
    const line = say.line.replace("{diametral}", made.diametral).replace("{radial}", made.radial).replaceAll("{unit}", along.unit).replace("{u}", made.u).replace("{word}", made.word);
    return { line, strip, word: made.word, why: made.word === "not proven" ? made.against.join(" ") || say.between : along.simple };
  }
  document.addEventListener("bench-alone", (event) => tell(event.detail));
  // Also when weights come late, after the last reading was typed.
  function tell(detail) {
    last = detail;
    part.hidden = !detail.alone;
    if (part.hidden) return;
    const { line, strip, word, why } = said(detail.items);
    document.getElementById("strip").textContent = strip || line;
    part.querySelector("[data-line]").textContent = line;
    part.querySelector("[data-why]").textContent = why || "";
    if (word) part.dataset.word = word; else delete part.dataset.word;
  }
})();
