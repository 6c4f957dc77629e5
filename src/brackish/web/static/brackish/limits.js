// SPDX-License-Identifier: MIT
// The card goes to paper; without scripts the browser's own command does it.

for (const button of document.querySelectorAll("[data-prints]")) {
  button.hidden = false;
  button.addEventListener("click", () => print());
}
