// SPDX-License-Identifier: MIT
// A paper sheet typed in: its own times, who and with what, and its facts, each written as it is typed.

import { facts, reasonFor } from "./facts.js";
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
  const showWas = () => { field.value = was ? stamp(Date.parse(was)).slice(0, 16) : ""; };
  showWas();
  field.addEventListener("change", async () => {
    const value = field.value ? stamp(new Date(field.value).getTime()) : undefined;
    const reason = await reasonFor(run, [{ was }]);
    if (reason === null) return showWas();
    const change = { path: [...run.test, field.dataset.moment], value, was, reason: reason || (value ? "" : document.getElementById("messages").dataset.takeBack) };
    await write([change, ...paper()], { quiet: true });
    was = value;
  });
}

for (const form of main.querySelectorAll("[data-kit]")) {
  const [was, naming] = [JSON.parse(form.dataset.was), JSON.parse(form.dataset.naming ?? "{}")];
  form.addEventListener("change", async (event) => {
    const { name } = event.target;
    const value = name === "equipment" ? [...form.querySelectorAll("input:checked")].map((input) => input.value) : event.target.value;
    const reason = await reasonFor(run, [{ was: was[name] }]);
    if (reason === null) {
      for (const input of form.querySelectorAll(`input[name="${name}"]`)) input.checked = [was[name]].flat().includes(input.value);
      return;
    }
    await write([...naming[value] ?? [], { path: [...run.test, name], value, was: was[name], reason }, ...paper()], { quiet: true });
    was[name] = value;
  });
}
