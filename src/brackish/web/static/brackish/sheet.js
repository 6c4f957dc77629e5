// SPDX-License-Identifier: MIT
// The button that prints.

document.querySelector("[data-print]")?.addEventListener("click", () => print());
