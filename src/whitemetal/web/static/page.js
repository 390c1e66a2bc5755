// On every page: the clock's offset for the record, and the way back to where a form was sent from.
"use strict";
document.documentElement.classList.add("scripted");
document.cookie = "whitemetal_offset=" + (-new Date().getTimezoneOffset()) + ";path=/;samesite=strict;max-age=34560000";
const firstProblem = document.getElementById("problems");
if (firstProblem) firstProblem.focus();
for (const select of document.querySelectorAll("form.gauge select")) {
  select.addEventListener("change", () => select.form.requestSubmit());
}
// A form that cannot reach the server keeps its text and says so, instead of giving way to an error page.
