// SPDX-License-Identifier: MIT
// The control of a lesson asks the API and shows what it says: numbers, words and places come from there.

import { call } from "./record.js";

const lesson = document.querySelector("[data-lesson]");
const control = lesson.querySelector("input");
let latest = 0;

/** A number and its unit, the unit smaller; the page's own two parts are used again. */
function showValue(shown) {
  const place = lesson.querySelector("[data-value]");
  const [number, unit = ""] = shown.split("\u00a0");
  const small = place.querySelector(".unit");
  if (small) { small.previousSibling.textContent = number; small.textContent = unit; } else place.textContent = shown;
  control.setAttribute("aria-valuetext", shown);
}

function showRow(line, row) {
  line.querySelector("[data-number]").textContent = row.number;
  const dot = line.querySelector("[data-dot]");
  dot.setAttribute("x", `${row.at}%`);
  dot.querySelector("use").setAttribute("href", `#m-${row.kind}`);
  line.querySelector("[data-reach]").setAttribute("x2", `${row.at}%`);
  line.querySelector("[data-group]").setAttribute("class", `is-${row.kind}`);
  const verdict = line.querySelector("[data-verdict]");
  if (!verdict) return;
  verdict.className = `verdict is-${row.kind}`;
  verdict.querySelector("use").setAttribute("href", `#m-${row.kind}`);
  verdict.querySelector("[data-word]").textContent = row.word;
}

control.addEventListener("input", async () => {
  const mine = (latest += 1);
  const answer = await call("GET", `/lessons/${lesson.dataset.lesson}?value=${control.value}`);
  if (!answer?.ok || mine !== latest) return;
  showValue(answer.body.shown);
  lesson.querySelectorAll("[data-row]").forEach((line, index) => showRow(line, answer.body.rows[index]));
  lesson.querySelector("[data-told]").textContent = answer.body.told;
});
control.form.addEventListener("submit", (event) => event.preventDefault());
