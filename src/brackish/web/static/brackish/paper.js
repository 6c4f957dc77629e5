// SPDX-License-Identifier: MIT
// A paper sheet typed in: its own times, who and with what, and its facts, each written as it is typed.

import { facts } from "./facts.js";
import { write } from "./record.js";
import { stamp } from "./timer.js";

const main = document.getElementById("typed");
const run = JSON.parse(main.dataset.run);
let marked = run.paper;

/** That it came from paper is written with the first entry. */
const paper = () => (marked ? [] : ((marked = true), [{ path: [...run.test, "x-paper"], value: true }]));

facts(main, run, () => paper());

for (const field of main.querySelectorAll("[data-moment]")) {
  let was = field.dataset.atValue || undefined;
  if (was) field.value = stamp(Date.parse(was)).slice(0, 16);
  field.addEventListener("change", async () => {
    const value = field.value ? stamp(new Date(field.value).getTime()) : undefined;
    const reason = value ? "" : document.getElementById("messages").dataset.takeBack;
    await write([{ path: [...run.test, field.dataset.moment], value, was, reason }, ...paper()], { quiet: true });
    was = value;
  });
}

for (const form of main.querySelectorAll("[data-kit]")) {
  const was = JSON.parse(form.dataset.was);
  form.addEventListener("change", async (event) => {
    const { name } = event.target;
    const value = name === "equipment" ? [...form.querySelectorAll("input:checked")].map((input) => input.value) : event.target.value;
    await write([{ path: [...run.test, name], value, was: was[name] }, ...paper()], { quiet: true });
    was[name] = value;
  });
}
