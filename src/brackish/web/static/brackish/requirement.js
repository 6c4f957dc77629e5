// SPDX-License-Identifier: MIT
// Times of answers: a person picks one of this device's clock, the record wants it with its offset from UTC.
// A mark that points into a closed part opens it.

import { stamp } from "./timer.js";

for (const hidden of document.querySelectorAll("[data-moment-of]")) {
  const picked = document.getElementById(hidden.dataset.momentOf);
  const keep = () => { hidden.value = picked.value ? stamp(Date.parse(picked.value)) : ""; };
  picked.value = stamp(hidden.value ? Date.parse(hidden.value) : undefined).slice(0, 16);
  picked.addEventListener("input", keep);
  if (!hidden.value) keep();
}

for (const button of document.querySelectorAll("[data-adopts]")) {
  button.addEventListener("click", () => { button.form.closest("details").open = true; }); // so that a browser can show what is wrong
}
