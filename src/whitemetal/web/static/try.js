// On the film's page: a slider beside the clearance to try; what a trial comes to is asked of the server when the
// hand rests. Without this the form does the same with its button.
"use strict";
const trial = document.getElementById("try-form");
if (trial) {
  const says = document.getElementById("tried");
  const box = document.getElementById("t-clearance");
  let asked = 0;
  let soon = 0;

  const ask = () => {
    const mine = asked;
    const query = new URLSearchParams(new FormData(trial));
    says.setAttribute("aria-busy", "true");
    fetch(`${trial.dataset.part}?${query}`, { credentials: "same-origin" })
      .then((answer) => (answer.ok ? answer.text() : Promise.reject(answer.status)))
      .then((part) => {
        if (mine !== asked) return;
        const read = new DOMParser().parseFromString(part, "text/html");
        says.replaceChildren(...read.body.childNodes);
      })
      .catch(() => { if (mine === asked) says.textContent = trial.dataset.failed; })
      .finally(() => { if (mine === asked) says.removeAttribute("aria-busy"); });
  };

  const changed = () => {
    asked += 1;
    clearTimeout(soon);
    soon = setTimeout(ask, 250);
  };

  const slider = document.createElement("input");
  for (const name of ["min", "max", "step"]) slider.setAttribute(name, box.getAttribute(name));
  slider.type = "range";
  slider.value = box.value || box.dataset.middle;
  slider.setAttribute("aria-label", box.labels[0].textContent);
  slider.addEventListener("input", () => { box.value = slider.value; changed(); });
  box.after(slider);
  for (const each of trial.querySelectorAll("input:not([type=range])")) {
    each.addEventListener("input", () => {
      if (each === box && box.value) slider.value = box.value;
      changed();
    });
  }
}
