// On the judgement page: the oil film is fetched after the verdict stands, so that it never delays it.
"use strict";
const film = document.getElementById("film");
if (film) {
  const says = film.querySelector("[role=status]");
  const own = film.querySelector("a");
  says.textContent = film.dataset.waits;
  fetch(film.dataset.part, { credentials: "same-origin" })
    .then((answer) => (answer.ok ? answer.text() : Promise.reject(answer.status)))
    .then((part) => {
      const read = new DOMParser().parseFromString(part, "text/html");
      says.textContent = "";
      own.closest("p").before(...read.body.childNodes);
    })
    .catch(() => { says.textContent = film.dataset.failed; });
}
