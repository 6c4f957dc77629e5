// SPDX-License-Identifier: MIT
// A choice between two values is one event with its reason; it has no way back but another choice.

import { again, changesOf, onSubmit, write } from "./record.js";

for (const form of document.querySelectorAll("form[data-settle]")) {
  onSubmit(form, async () => {
    const said = form.dataset.said;
    if (await write(changesOf(form), { reason: form.elements.reason.value.trim(), said, undo: false }) === "sent") again({ text: said });
  });
}
