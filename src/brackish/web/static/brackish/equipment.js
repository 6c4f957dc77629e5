// SPDX-License-Identifier: MIT
// A check of a meter, written into the jobs that are ticked, or taken back from them; a blank, written into one.

import { again, inUnit, onSubmit, ready, tell, write } from "./record.js";
import { stamp } from "./timer.js";

const author = document.body.dataset.author;

/** Act on a press of a button, once, and show the page anew when all that it wrote has arrived; `act` gives what became of each writing. */
async function pressed(button, act) {
  if (!button || button.getAttribute("aria-disabled") === "true") return;
  button.setAttribute("aria-disabled", "true");
  const states = new Set(await act(button));
  if (states.has("sent") && states.size === 1) {
    const meter = new URLSearchParams({ meter: document.getElementById("meter").value });
    again({ text: button.dataset.said, to: `${location.pathname}?${meter}#verify` });
    return;
  }
  if (states.has("refused") || states.has("failed") || !states.size) button.removeAttribute("aria-disabled");
  else tell(document.getElementById("messages").dataset.waiting);
}

async function record(button) {
  const targets = [...document.querySelectorAll("[data-target]:checked")].map((box) => JSON.parse(box.dataset.target));
  if (!targets.length) tell(button.dataset.none);
  const at = stamp(); // one check, whatever jobs it stands in,
  const mark = `#${Math.floor(Date.parse(at) / 1000).toString(16)}`; // and named by its time: so it is found again to be taken back
  const states = [];
  for (const { job, base, path, bottle } of targets) {
    const entries = { ...JSON.parse(button.dataset.check), at, ...(bottle ? { bottle } : {}) };
    const changes = Object.entries(entries).map(([name, value]) => ({ path: [...path, mark, name], value }));
    states.push(await write(changes, { where: { job, author }, base, quiet: true }));
  }
  return states;
}

async function takeBack(button) {
  const reason = document.getElementById("messages").dataset.takeBack;
  const states = [];
  for (const { job, base, path } of JSON.parse(button.dataset.back)) states.push(await write([{ path }], { where: { job, author }, base, reason, quiet: true }));
  return states;
}

document.addEventListener("click", (event) => {
  pressed(event.target.closest("[data-record]"), record);
  pressed(event.target.closest("[data-back]"), takeBack);
});

onSubmit(document.querySelector("[data-blank]"), async (event) => {
  const field = (name) => document.getElementById(`blank-${name}`);
  const chosen = field("job").selectedOptions[0];
  const path = ["blank", chosen.dataset.next];
  const entries = { id: chosen.dataset.next, kind: field("kind").value, at: stamp(), reading: [inUnit(field("reading").value.trim(), "uS/cm")] };
  if (field("temperature").value) entries.temperature = inUnit(field("temperature").value.trim(), "degC");
  if (field("volume").value && entries.kind === "full-kit") entries.solution_volume = inUnit(field("volume").value.trim(), "mL");
  const changes = Object.entries(entries).map(([name, value]) => ({ path: [...path, name], value }));
  for (const [name, last] of [["reading", "reading"], ["temperature", "temperature"], ["volume", "solution_volume"]]) field(name).dataset.path = JSON.stringify([...path, last]);
  const where = { job: chosen.value, author };
  if (!await ready(event, changes, where)) return;
  const state = await write(changes, { where, base: JSON.parse(chosen.dataset.base), undo: false });
  if (state === "sent") again({ text: event.target.dataset.said });
});
