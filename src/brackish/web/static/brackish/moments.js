// SPDX-License-Identifier: MIT
// Times that are written: a person picks one of this device's clock, the record wants it with its offset from UTC.
// Where none is written yet it is now, or stays open where the field may be left empty.

import { stamp } from "./timer.js";

for (const hidden of document.querySelectorAll("[data-moment-of]")) {
  const picked = document.getElementById(hidden.dataset.momentOf);
  const keep = () => { hidden.value = picked.value ? stamp(Date.parse(picked.value)) : ""; };
  picked.addEventListener("input", keep);
  if (hidden.value ? Number.isNaN(Date.parse(hidden.value)) : hidden.dataset.left === "open") continue;
  picked.value = stamp(hidden.value ? Date.parse(hidden.value) : undefined).slice(0, 16);
  if (!hidden.value) keep();
}
