// SPDX-License-Identifier: MIT
// A choice between two values is one event with its reason; it has no way back but another choice.

import { again, changesOf, write } from "./record.js";

for (const form of document.querySelectorAll("form[data-settle]")) {
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const said = form.dataset.said;
    if (await write(changesOf(form), { reason: form.elements.reason.value.trim(), said, undo: false }) === "sent") again({ text: said });
  });
}
