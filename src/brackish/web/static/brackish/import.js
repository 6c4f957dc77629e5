// SPDX-License-Identifier: MIT
// Rows of a pasted table that change what is written: whoever ticks one says why.

for (const form of document.querySelectorAll("form[data-overwrites]")) {
  const need = () => { form.elements.reason.required = form.querySelector("[data-changes]:checked") !== null; };
  form.addEventListener("change", need);
  need(); // a browser keeps ticks over a reload
}
