// The nuts where there is no record to ask: whose turn it is follows from what waits on this device, and a page that
// was kept for one nut serves the nut that was asked for. A tick for another nut than the one shown must not happen.
"use strict";
(() => {
  const script = document.querySelector("script[data-turn]"), list = document.querySelector("ol.turns"), head = document.getElementById("next");
  const queue = globalThis.whitemetalQueue;
  if (!script || !list || !head || !queue || document.querySelector(".question[role=alert]")) return;
  const say = script.dataset, asked = new URLSearchParams(location.search);
  const rows = [...list.querySelectorAll("li")].map((row) => {
    const link = row.querySelector("a");
    return { row, place: new URLSearchParams(new URL(link.href).search).get("nut"), number: link.querySelector("b").textContent, said: link.querySelector("span"), pulled: Boolean(row.querySelector(".fix")) };
  });
  const forms = [...document.querySelectorAll("main form")].filter((form) => form.querySelector("input[name=place]"));

  function choose(one) {
    for (const { row } of rows) row.classList.toggle("now", Boolean(one) && row === one.row);
    for (const form of forms) (form.closest("details") || form).hidden = !one;
    if (!one) { head.textContent = say.through; return; }
    head.textContent = say.turn.replace("{number}", one.number);
    for (const form of forms) {
      form.querySelector("input[name=place]").value = one.place;
      form.querySelector("input[name=id]").value = whitemetalId();
      const pull = form.querySelector("button.pull"), label = form.querySelector("label[for=read]");
      if (pull) pull.textContent = say.pull.replace("{number}", one.number);
      if (label) label.textContent = say.read.replace("{number}", one.number);
    }
  }
  // A tick that waits: it stands in the list, said to be only here.
  function take(item) {
    const said = new Map(item.fields);
    if (item.stuck || new URL(item.to).pathname !== location.pathname || said.get("squeeze") !== say.pass) return false;
    const one = rows.find(({ place }) => place === said.get("place"));
    if (!one) return false;
    one.pulled = true;
    one.said.textContent = `${said.get("text")} · ${say.here}`;
    return true;
  }
  async function follow() {
    const waiting = (await queue.all()).filter(take).length > 0;
    if (asked.has("pass") && asked.get("pass") !== say.pass) { choose(null); head.textContent = say.otherpass; return; }
    const tapped = rows.find(({ place }) => place === asked.get("nut"));
    const shown = forms[0] && forms[0].querySelector("input[name=place]").value;
    if (tapped && tapped.place !== shown) choose(tapped);
    else if (waiting && !tapped) choose(rows.find(({ pulled }) => !pulled) || null);
  }
  document.addEventListener("kept-here", (event) => {
    if (take(event.detail.item)) choose(rows.find(({ pulled }) => !pulled) || null);
  });
  follow().catch(() => {});
})();
