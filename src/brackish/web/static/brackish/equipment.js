// SPDX-License-Identifier: MIT
// A check of a meter, written into every job in which the meter stands; a blank, written into one.

import { again, inUnit, onSubmit, tell, write } from "./record.js";
import { stamp } from "./timer.js";

const author = document.body.dataset.author;

document.addEventListener("click", async (event) => {
  const button = event.target.closest("[data-record]");
  if (!button || button.getAttribute("aria-disabled") === "true") return;
  button.setAttribute("aria-disabled", "true");
  const [check, mark, at] = [JSON.parse(button.dataset.check), button.dataset.mark, stamp()]; // one check, whatever jobs it stands in
  const states = new Set();
  for (const target of JSON.parse(button.dataset.targets)) {
    const entries = { ...check, at, ...(target.bottle ? { bottle: target.bottle } : {}) };
    const changes = Object.entries(entries).map(([name, value]) => ({ path: [...target.path, mark, name], value }));
    states.add(await write(changes, { where: { job: target.job, author }, base: target.base, quiet: true }));
  }
  if (states.has("refused")) button.removeAttribute("aria-disabled");
  else if (states.has("waiting")) tell(document.getElementById("messages").dataset.waiting);
  else again({ text: button.dataset.said, to: `${location.pathname}#verify` });
});

onSubmit(document.querySelector("[data-blank]"), async (event) => {
  const field = (name) => document.getElementById(`blank-${name}`);
  const chosen = field("job").selectedOptions[0];
  const path = ["blank", chosen.dataset.next];
  const entries = { id: chosen.dataset.next, kind: field("kind").value, at: stamp(), reading: [inUnit(field("reading").value.trim(), "uS/cm")] };
  if (field("temperature").value) entries.temperature = inUnit(field("temperature").value.trim(), "degC");
  if (field("volume").value && entries.kind === "full-kit") entries.solution_volume = inUnit(field("volume").value.trim(), "mL");
  const changes = Object.entries(entries).map(([name, value]) => ({ path: [...path, name], value }));
  const state = await write(changes, { where: { job: chosen.value, author }, base: JSON.parse(chosen.dataset.base), undo: false });
  if (state === "sent") again({ text: event.target.dataset.said });
});
