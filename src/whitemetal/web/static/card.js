// The card form: a limit's figures show the unit of the quantity chosen, and only its own bases are offered.
"use strict";
for (const group of document.querySelectorAll("[data-limit]")) {
  const quantity = group.querySelector("[data-quantity]"), basis = group.querySelector("select[data-bases]");
  const follow = () => {
    const chosen = quantity.selectedOptions[0];
    const unit = chosen.dataset.unit === undefined ? "mm" : chosen.dataset.unit;
    for (const input of group.querySelectorAll("[data-figure]")) input.placeholder = unit ? "… " + unit : "…";
    if (chosen.dataset.bases === undefined) return;
    const kept = basis.value, bases = chosen.dataset.bases.split("|");
    for (const option of [...basis.options].slice(1)) option.remove();
    for (const one of bases) basis.add(new Option(one, one, false, one === kept));
  };
  quantity.addEventListener("change", follow);
}
