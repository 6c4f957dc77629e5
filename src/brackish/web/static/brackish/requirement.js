// SPDX-License-Identifier: MIT
// Times of answers: a person picks one of this device's clock, the record wants it with its offset from UTC.
// A mark that points into a closed part opens it.

const two = (number) => String(number).padStart(2, "0");

/** The same moment with its offset: 2026-03-04T09:05 to 2026-03-04T09:05:00+01:00. */
function withOffset(local) {
  const minutes = -new Date(local).getTimezoneOffset();
  const size = Math.abs(minutes);
  return `${local}:00${minutes < 0 ? "-" : "+"}${two(Math.floor(size / 60))}:${two(size % 60)}`;
}

for (const hidden of document.querySelectorAll("[data-moment-of]")) {
  const picked = document.getElementById(hidden.dataset.momentOf);
  const now = new Date();
  now.setMinutes(now.getMinutes() - now.getTimezoneOffset());
  picked.value = hidden.value ? hidden.value.slice(0, 16) : now.toISOString().slice(0, 16);
  const keep = () => { hidden.value = picked.value ? withOffset(picked.value) : ""; };
  picked.addEventListener("input", keep);
  if (!hidden.value) keep();
}

for (const button of document.querySelectorAll("[data-adopts]")) {
  button.addEventListener("click", () => { button.form.closest("details").open = true; }); // so that a browser can show what is wrong
}
