// SPDX-License-Identifier: MIT
// A mark that points into a closed part opens it. An answer about one field is that field's choice, in its own words.

import { inUnit } from "./record.js";
import "./moments.js";

for (const button of document.querySelectorAll("[data-adopts]")) {
  button.addEventListener("click", () => { button.form.closest("details").open = true; }); // so that a browser can show what is wrong
}

/** What stands in a field, in its own words, with the unit as it is printed beside it. */
const wordsOf = (field) => field.value && (field.selectedOptions?.[0].text ?? inUnit(field.value.trim(), field.closest(".well")?.querySelector(".well-unit")?.textContent));

for (const part of document.querySelectorAll("[data-answers]")) {
  const [field, answer] = [part.querySelector("[data-path]"), document.getElementById(part.dataset.answers)];
  const say = () => { answer.value = wordsOf(field); };
  field.addEventListener("input", say);
  if (!answer.value) say();
}

for (const form of document.querySelectorAll("form[data-units]")) {
  const fields = (name) => [...form.querySelectorAll("[data-path]")].filter((each) => JSON.parse(each.dataset.path).at(-1) === name);
  // A question is answered by the fields that it is about, once somebody is named who agreed.
  form.addEventListener("input", () => {
    const who = form.querySelector("[data-who]").value.trim();
    for (const answer of form.querySelectorAll("[data-closed-by]")) {
      const [first, ...more] = JSON.parse(answer.dataset.closedBy).flatMap(fields).map(wordsOf);
      answer.value = who && first ? [first, ...more].filter(Boolean).join(", ") : "";
      answer.nextElementSibling.value = answer.value && who;
    }
  });
  // The unit beside limit and guard band is that of the quantity that is chosen.
  const [chosen] = fields("quantity");
  chosen?.addEventListener("change", () => {
    const [unit, shown] = JSON.parse(form.dataset.units)[chosen.value] ?? ["", ""];
    for (const field of [...fields("limit"), ...fields("guard_band")]) {
      const well = field.closest(".well");
      const beside = well.querySelector(".well-unit") ?? well.appendChild(Object.assign(document.createElement("span"), { className: "well-unit" }));
      well.classList.toggle("well-text", !unit);
      beside.hidden = !unit;
      beside.textContent = shown;
      field.dataset.unit = unit;
    }
  });
}
