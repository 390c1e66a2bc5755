// The run-in: the live part is fetched anew as the record moves on, so that a warning is seen in time.
"use strict";
const live = document.getElementById("run-live");
if (live) {
  const lost = document.getElementById("run-lost");
  const title = document.title;
  const every = 5000;
  const others = document.getElementById("others");
  let failed = 0;
  async function look() {
    try {
      const address = document.body.dataset.here + "/live?run=" + encodeURIComponent(live.dataset.run) + "&seen=" + encodeURIComponent(live.dataset.seen);
      const answer = await fetch(address, { credentials: "same-origin", headers: { Accept: "application/json" } });
      if (!answer.ok) throw new Error(answer.status);
      if (answer.status === 200) {
        const part = await answer.json();
        live.replaceChildren(...new DOMParser().parseFromString(part.html, "text/html").body.childNodes);
        live.dataset.seen = part.seen;
        // A line of a logger is shown above and so was seen; what changed elsewhere is said, and seen when shown.
        if (part.marks !== live.dataset.marks) others.hidden = false;
        else for (const box of document.querySelectorAll("input[name=seen]")) box.value = part.seen;
        document.title = (part.standing === "stop" ? "✕ " : "") + title;
      }
      failed = 0;
      lost.hidden = true;
    } catch {
      failed += 1;
      lost.textContent = live.dataset.lost;
      lost.hidden = failed < 2;
    }
    setTimeout(look, every);
  }
  setTimeout(look, every);
}
