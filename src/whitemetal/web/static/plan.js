// On the plan page: a slider beside each number of the work of one's own; what it comes to is asked of the
// server when the hand rests, the film apart and later. Without this the form does the same with its button.
"use strict";
const own = document.getElementById("own-form");
if (own) {
  const says = document.getElementById("own");
  const film = document.getElementById("own-film");
  let asked = 0;
  let soon = 0;
  let later = 0;

  const ask = (address, into) => {
    const mine = asked;
    const query = new URLSearchParams(new FormData(own));
    into.setAttribute("aria-busy", "true");
    fetch(`${address}?${query}`, { credentials: "same-origin" })
      .then((answer) => (answer.ok ? answer.text() : Promise.reject(answer.status)))
      .then((part) => {
        if (mine !== asked) return;
        const read = new DOMParser().parseFromString(part, "text/html");
        into.replaceChildren(...read.body.childNodes);
      })
      .catch(() => { if (mine === asked) into.textContent = own.dataset.failed; })
      .finally(() => { if (mine === asked) into.removeAttribute("aria-busy"); });
  };

  const changed = () => {
    asked += 1;
    clearTimeout(soon);
    clearTimeout(later);
    soon = setTimeout(() => ask(own.dataset.part, says), 250);
    later = setTimeout(() => {
      film.textContent = own.dataset.waits;
      ask(own.dataset.film, film);
    }, 900);
  };

  for (const box of own.querySelectorAll("input[type=number]")) {
    const slider = document.createElement("input");
    for (const name of ["min", "max", "step"]) slider.setAttribute(name, box.getAttribute(name));
    slider.type = "range";
    slider.value = box.value;
    slider.setAttribute("aria-label", box.labels[0].textContent);
    slider.addEventListener("input", () => { box.value = slider.value; changed(); });
    box.addEventListener("input", () => { slider.value = box.value; changed(); });
    box.after(slider);
  }
}
