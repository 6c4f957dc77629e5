// SPDX-License-Identifier: MIT
// Facts of a run: each is an event the moment it is typed. The server says how it reads and which rule of the
// method it breaks; that is shown under the field and keeps nothing from being written. Once the test is done, what
// is written was judged: a change of it asks for a reason.

import { call, inUnit, write } from "./record.js";

const valueNow = (field) => JSON.parse(field.dataset.value || "null");

/** What stands in a field, as the record holds it; undefined where it is empty. */
function valueOf(field) {
  const { kind, unit, repeats } = field.dataset;
  if (kind === "flag" || kind === "choice") {
    const chosen = field.querySelector("input:checked");
    return chosen === null ? undefined : kind === "flag" ? chosen.value === "true" : chosen.value;
  }
  if (kind === "count") return Number(field.querySelector("[data-count]").textContent);
  const typed = [...field.querySelectorAll(".well input")].map((input) => input.value.trim()).filter(Boolean);
  const texts = typed.map((text) => (kind === "quantity" ? inUnit(text, unit) : kind === "ph" ? text.replace(",", ".") : text));
  if (!texts.length) return undefined;
  return repeats === "true" ? texts : texts[0];
}

function remark(kind, head, text) {
  const shown = document.createElement("p");
  shown.className = "remark";
  const word = document.createElement("b");
  word.textContent = `${head} `;
  const mark = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  mark.setAttribute("class", "mark");
  mark.setAttribute("viewBox", "0 0 24 24");
  mark.setAttribute("aria-hidden", "true");
  const use = document.createElementNS("http://www.w3.org/2000/svg", "use");
  for (const [name, value] of [["href", `#m-${kind}`], ["width", "24"], ["height", "24"]]) use.setAttribute(name, value);
  mark.append(use);
  const words = document.createElement("span");
  words.append(word, text);
  shown.append(mark, words);
  return shown;
}

function showRemarks(field, answer, main) {
  const place = field.querySelector(".fact-remarks");
  const errors = answer?.body?.errors ?? [];
  const findings = (answer?.body?.findings ?? []).filter((each) => each.severity !== "note");
  place.replaceChildren(
    ...errors.map((each) => remark("void", main.dataset.error, each.message)),
    ...findings.map((each) => remark(each.severity, main.dataset.warning, each.message)),
  );
  field.classList.toggle("field-error", errors.length > 0);
  field.classList.toggle("field-warning", !errors.length && findings.length > 0);
}

/** Why changes are made to a test: "" while it runs or where nothing was written yet, null where the person leaves it as it was. */
export function reasonFor(run, changes) {
  if (!(run.done || run.times?.end) || changes.every((change) => change.was === undefined)) return "";
  const [dialog, input] = [document.getElementById("why"), document.getElementById("why-reason")];
  [dialog.returnValue, input.value] = ["", ""];
  dialog.showModal();
  return new Promise((answer) => { dialog.addEventListener("close", () => answer(dialog.returnValue === "write" ? input.value.trim() : null), { once: true }); });
}

/** A further input of a fact that is read several times. */
function addWell(field) {
  const wells = field.querySelectorAll(".well");
  const well = wells[0].cloneNode(true);
  const input = well.querySelector("input");
  input.value = "";
  input.removeAttribute("id");
  input.setAttribute("aria-label", `${field.querySelector("[data-repeat]").dataset.label} ${wells.length + 1}`);
  field.querySelector(".wells").append(well);
  return input;
}

/** Whether a count goes on: nobody asks why it is low before its step is left. */
function goesOn(field, run) {
  const panel = field.closest("[data-panel]");
  if (field.dataset.kind !== "count" || !panel.hasAttribute("data-timed") || run.done) return false;
  const later = run.steps.slice(run.steps.indexOf(panel.dataset.panel) + 1);
  return ![...later, "end"].some((name) => run.times[name]);
}

/**
 * Make the fields of a run write; `run` is what the page knows of it, `more()` gives further changes of a measured fact.
 * What is given back asks again what is to be said of a field.
 */
export function facts(main, run, more) {
  const look = async (field, value) => {
    if (value === undefined || goesOn(field, run)) return showRemarks(field, null, main);
    const body = { test: run.id, facts: { [field.dataset.fact]: value }, ...(run.portion ? { determination: run.portion - 1 } : {}) };
    const answer = await call("POST", `/jobs/${document.body.dataset.job}/remarks`, body);
    if (JSON.stringify(valueOf(field)) === JSON.stringify(value)) showRemarks(field, answer?.ok ? answer : null, main); // else it was typed anew meanwhile
  };
  const keep = async (field) => {
    let value = valueOf(field);
    const was = valueNow(field) ?? undefined;
    if (JSON.stringify(value) === JSON.stringify(was)) return;
    const change = { path: JSON.parse(field.dataset.path), value, was };
    change.reason = field.dataset.why ?? await reasonFor(run, [change]);
    if (change.reason === null) { showValue(field, was); return; }
    if (change.reason && field.dataset.kind === "count") field.dataset.why = change.reason; // one for every press
    field.dataset.value = JSON.stringify(value ?? null);
    if (value === undefined && !change.reason) change.reason = document.getElementById("messages").dataset.takeBack;
    const state = await write([change, ...more(field, value)], { quiet: true });
    if (state === "refused") {
      field.dataset.value = JSON.stringify(was ?? null);
      if (JSON.stringify(valueOf(field)) === JSON.stringify(value)) showValue(field, was); // what does not stand in the record does not stand here
      value = was;
    }
    if (state === "failed") field.dataset.value = JSON.stringify(was ?? null); // it stands nowhere else
    for (const fill of field.querySelectorAll("[data-fill]")) fill.hidden = value !== undefined;
    field.dispatchEvent(new CustomEvent("kept", { bubbles: true, detail: state }));
    await look(field, value);
  };
  for (const field of main.querySelectorAll("[data-fact]")) {
    field.addEventListener("change", () => keep(field));
    field.addEventListener("click", (event) => {
      const { step, fill, sign, repeat } = event.target.dataset;
      const first = field.querySelector(".well input");
      if (step) {
        const count = field.querySelector("[data-count]");
        count.textContent = String(Math.max(0, Number(count.textContent) + Number(step)));
        field.dispatchEvent(new CustomEvent("count", { bubbles: true, detail: Number(count.textContent) }));
        keep(field);
      } else if (fill) {
        first.value = fill.endsWith(` ${field.dataset.unit}`) ? fill.slice(0, -field.dataset.unit.length - 1) : fill;
        keep(field);
      } else if (sign) {
        first.value = `${sign}${first.value.replace(/^[<>]\s*/, "")}`;
        first.focus();
        if (first.value.length > 1) keep(field);
      } else if (repeat !== undefined) {
        addWell(field).focus();
      }
    });
    if (valueNow(field) !== null) look(field, valueNow(field));
  }
  return (field) => look(field, valueNow(field) ?? undefined);
}

/** A value of the record in its field. */
function showValue(field, value) {
  const texts = [value ?? []].flat().map(String);
  const bare = texts.map((text) => (field.dataset.unit && text.endsWith(` ${field.dataset.unit}`) ? text.slice(0, -field.dataset.unit.length - 1) : text));
  if (field.dataset.kind === "count") {
    field.querySelector("[data-count]").textContent = bare[0] ?? "0";
    field.dispatchEvent(new CustomEvent("count", { bubbles: true, detail: Number(bare[0] ?? 0) }));
  } else if (field.dataset.kind === "flag" || field.dataset.kind === "choice") {
    for (const input of field.querySelectorAll("input")) input.checked = input.value === bare[0];
  } else {
    const inputs = [...field.querySelectorAll(".well input")];
    while (inputs.length < bare.length) inputs.push(addWell(field)); // what had no place on the screen would be gone with the next change
    inputs.forEach((input, index) => { input.value = bare[index] ?? ""; });
  }
}

/** Fill what was typed on this device and has not reached the server yet. */
export function overlay(main, events) {
  for (const event of events) {
    const field = [...main.querySelectorAll("[data-fact]")].find((each) => JSON.stringify(JSON.parse(each.dataset.path)) === JSON.stringify(event.path));
    if (!field) continue;
    const value = event.kind === "withdraw" ? null : event.value;
    field.dataset.value = JSON.stringify(value);
    showValue(field, value);
  }
}

/** What is left out of a part of the page although somebody will ask for it: name, cost and step of each. */
export function leftOut(part) {
  const stands = ([name, value]) => [...document.querySelectorAll(`[data-fact="${name}"]`)].some((field) => (value ? valueNow(field) === value : valueNow(field) !== null));
  const told = (field) => JSON.parse(field.dataset.givenBy ?? "[]");
  return [...part.querySelectorAll("[data-cost]")].flatMap((field) => {
    const { label, cost, needed, short, ofAll, target } = field.dataset;
    const value = valueNow(field);
    const step = field.closest("[data-panel]").dataset.panel;
    if (value === null) return told(field).length && told(field).every(stands) ? [] : [{ name: label, cost, step, needed: needed !== undefined }];
    return target > value ? [{ name: `${label}: ${value} ${ofAll}`, cost: short, step, needed: false }] : [];
  });
}

/**
 * Give a time fact, where nobody typed one, what the recorded times say: full tenths of a minute that have passed,
 * seconds below that, and nothing where none has passed or a clock was set back. That no person wrote it is written too.
 */
export function elapsedChange(run, panel, begin, until) {
  const field = [...panel.querySelectorAll('[data-fact][data-unit="min"]')].find((each) => valueNow(each) === null);
  const [seconds, tenths] = [Math.floor((until - begin) / 1_000), Math.floor((until - begin) / 6_000)];
  if (!field || !begin || seconds < 1) return [];
  const value = tenths ? `${Math.floor(tenths / 10)}.${tenths % 10} min` : `${seconds} s`;
  field.dataset.value = JSON.stringify(value);
  showValue(field, value);
  return [{ path: JSON.parse(field.dataset.path), value }, { path: [...run.path, "x-from-times", field.dataset.fact], value }];
}
