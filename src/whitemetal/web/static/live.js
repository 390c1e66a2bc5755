// Says that others wrote while this page stood open. Nothing on the page is changed: what is being typed stays.
(() => {
  "use strict";
  const own = document.currentScript.dataset;
  const url = (seen) => `/api/1/books/${encodeURIComponent(own.book)}/changed?wait=20&seen=${seen}`;
  const pause = (time) => new Promise((on) => setTimeout(on, time));
  const shown = () => document.hidden ? new Promise((on) => addEventListener("visibilitychange", on, { once: true })) : null;

  // What is shown for it is the page's own: the bar at the top of a job's pages, the boxes of a bench.
  function say() { dispatchEvent(new CustomEvent("whitemetal-changed")); }

  async function ask() {
    let seen = own.seen, wrong = 0;
    await pause(2000);
    for (;;) {
      await shown();
      try {
        const answer = await fetch(url(seen), { headers: { Accept: "application/json" } });
        if (answer.status === 401 || answer.status === 403 || answer.status === 404) return;
        const told = await answer.json();
        if (told.changed) { seen = told.digest; say(); }
        wrong = 0;
        await pause(500);
      } catch { wrong = Math.min(wrong + 1, 6); await pause(5000 * wrong); }
    }
  }
  ask();
})();
