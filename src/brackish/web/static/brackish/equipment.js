// SPDX-License-Identifier: MIT
// A check of a meter, written into every job in which the meter stands; a blank, written into one.

import { again, write } from "./record.js";
import { stamp } from "./timer.js";

const author = document.body.dataset.author;
const withUnit = (text, unit) => `${text.trim().replace(",", ".")} ${unit}`;

document.addEventListener("click", async (event) => {
  const button = event.target.closest("[data-record]");
  if (!button || button.getAttribute("aria-disabled") === "true") return;
  button.setAttribute("aria-disabled", "true");
  const [check, mark] = [JSON.parse(button.dataset.check), button.dataset.mark];
  let all = "sent";
  for (const target of JSON.parse(button.dataset.targets)) {
    const entries = { ...check, at: stamp(), ...(target.bottle ? { bottle: target.bottle } : {}) };
    const changes = Object.entries(entries).map(([name, value]) => ({ path: [...target.path, mark, name], value }));
    const state = await write(changes, { where: { job: target.job, author }, base: target.base, quiet: true });
    if (state !== "sent") all = state;
  }
  if (all === "sent") again({ text: button.dataset.said, to: `${location.pathname}#verify` });
  else button.removeAttribute("aria-disabled");
});

document.querySelector("[data-blank]")?.addEventListener("submit", async (event) => {
  event.preventDefault();
  const field = (name) => document.getElementById(`blank-${name}`);
  const chosen = field("job").selectedOptions[0];
  const path = ["blank", chosen.dataset.next];
  const entries = { id: chosen.dataset.next, kind: field("kind").value, at: stamp(), reading: [withUnit(field("reading").value, "uS/cm")] };
  if (field("temperature").value) entries.temperature = withUnit(field("temperature").value, "degC");
  if (field("volume").value && entries.kind === "full-kit") entries.solution_volume = withUnit(field("volume").value, "mL");
  const changes = Object.entries(entries).map(([name, value]) => ({ path: [...path, name], value }));
  const state = await write(changes, { where: { job: chosen.value, author }, base: JSON.parse(chosen.dataset.base), quiet: true });
  if (state === "sent") again({ text: event.target.dataset.said });
});
