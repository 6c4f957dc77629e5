// SPDX-License-Identifier: MIT
// One run on the screen: which step is shown, its time, and what is written of it. Steps need no network;
// what is written waits on this device until it is sent (`record.js`). Facts: `facts.js`. Time: `timer.js`.

import { elapsedChange, facts, leftOut, overlay, reasonFor } from "./facts.js";
import { keepFile, sendKept } from "./files.js";
import { again, flush, queued, tell, waiting, write } from "./record.js";
import { LATE, everyMoment, firstTime, localTimes, minutes, now, ring, showAlarms, showTimer, stamp, stayAwake } from "./timer.js";

const main = document.getElementById("main");
const run = JSON.parse(main.dataset.run);
const panels = new Map([...main.querySelectorAll("[data-panel]")].map((panel) => [panel.dataset.panel, panel]));
const looks = (name) => run.steps.includes(name) || (name === "end" && run.done); // what there is to see for whoever may not write here
const order = [...panels.keys()].filter((name) => (run.reads ? looks(name) : !["refused", "void"].includes(name)));
const announce = main.querySelector("[data-announce]");
const TWICE = 400; // ms within which a second press in gloves belongs to the first
let open = main.dataset.open;

// ---- what waits on this device counts too

for (const event of queued()) {
  const path = JSON.stringify(event.path);
  const steps = JSON.stringify([...run.path, "x-steps"]).slice(0, -1);
  if (path.startsWith(steps) && event.path.length === run.path.length + 2) run.times[event.path.at(-1)] = event.value;
  if (path === JSON.stringify([...run.test, "x-devices"])) open = event.value === "allowed" ? "cautions" : "refused";
  if (path === JSON.stringify([...run.test, "started"])) run.started = event.value;
  if (path === JSON.stringify([...run.test, "read_at"])) run.readAt = event.value;
}
overlay(main, queued());
if (!["void", "refused"].includes(open)) {
  const begun = run.steps.filter((name) => run.times[name]);
  if (run.times.end || run.done) open = "end"; else if (begun.length) open = begun.at(-1);
}

// ---- one screen at a time

function show(name, { focus = true } = {}) {
  for (const [key, panel] of panels) panel.hidden = key !== name;
  open = name;
  const panel = panels.get(name);
  main.querySelector("[data-left-out]").textContent = ""; // it was said of another step
  window.scrollTo(0, 0);
  if (focus) panel.querySelector("h1").focus({ preventScroll: true });
  stayAwake(run.steps.includes(open));
  if (name === "end") showMissing(panel);
  if (focus) rest(panel.querySelector(".run-act .do-field"));
  if (focus && panel.querySelector("[data-fresh]")) refresh();
  const next = panel.querySelector("[data-next]");
  if (over() && run.steps.includes(name)) next.textContent = next.dataset.words = main.dataset.toEnd;
  moment();
}

/** The loud button of a screen that has just appeared stands where the last one was pressed: a second press of that one does not count. */
function rest(button) {
  button.inert = true;
  setTimeout(() => { button.inert = false; }, TWICE);
}

/** What nobody wrote, each with its cost and the way to its step. */
function showMissing(panel) {
  const part = panel.querySelector("[data-missing]");
  const rows = leftOut(main).map(({ name, cost, step }) => {
    const row = part.querySelector("template").content.cloneNode(true);
    const button = row.querySelector("button");
    [button.textContent, row.querySelector("span").textContent] = [name, cost];
    button.addEventListener("click", () => show(step));
    return row;
  });
  part.hidden = rows.length === 0;
  part.querySelector("ul").replaceChildren(...rows);
}

const over = () => Boolean(run.done || run.times.end);
const here = () => panels.get(open);
const beside = (by) => order[order.indexOf(open) + by];

/** Changes that begin a step, once; whoever looks at the steps of a test that is done begins none. */
function begins(name, at) {
  if (run.times[name] || run.done) return [];
  const time = stamp(at);
  run.times[name] = time;
  const changes = [{ path: [...run.path, "x-steps", name], value: time }];
  if (name === run.first && !run.started) changes.push({ path: [...run.test, "started"], value: run.started = time });
  if (run.portion && !run.mark) {
    changes.unshift({ path: [...run.path, "x-portion"], value: run.portion });
    run.mark = true;
  }
  return changes;
}

/** What was left empty, first what costs most. */
function inWords(left) {
  if (!left.length) return "";
  const [first, ...others] = [...left].sort((one, other) => Number(other.needed) - Number(one.needed));
  const also = others.length ? ` ${main.dataset.alsoEmpty} ${others.map(({ name }) => name).join(", ")}.` : "";
  return `${main.dataset.leftEmpty} ${first.name}. ${first.cost}${also}`;
}

async function forward() {
  const panel = here();
  const to = over() && run.steps.includes(open) ? "end" : beside(1);
  if (run.reads) return show(to);
  const at = now();
  const changes = panel.dataset.panel === "kit" ? kit(panel) : [];
  const reason = await reasonFor(run, changes);
  if (reason === null) {
    for (const form of panel.querySelectorAll("form")) form.reset();
    return;
  }
  if (panel.hasAttribute("data-timed") && !run.times[to] && !run.done) changes.push(...elapsedChange(run, panel, Date.parse(run.times[open]), at));
  if (run.steps.includes(to) || to === "end") changes.push(...begins(to, at));
  const left = over() ? [] : leftOut(panel);
  show(to);
  main.querySelector("[data-left-out]").textContent = inWords(left);
  if (changes.length) await write(changes, { quiet: true, reason });
  for (const count of panel.querySelectorAll('[data-kind="count"]')) look(count);
}

function kit(panel) {
  const [was, naming] = [JSON.parse(panel.querySelector("[data-next]").dataset.was), JSON.parse(panel.querySelector("[data-next]").dataset.naming)];
  const chosen = (name) => panel.querySelector(`input[name="${name}"]:checked`)?.value;
  const equipment = [...panel.querySelectorAll('input[name="equipment"]:checked')].map((input) => input.value);
  const found = { tester: chosen("tester"), blank: chosen("blank"), equipment: equipment.length ? equipment : undefined };
  const changed = Object.entries(found).filter(([name, value]) => value !== undefined && JSON.stringify(value) !== JSON.stringify(was[name]));
  return [...naming[found.tester] ?? [], ...changed.map(([name, value]) => ({ path: [...run.test, name], value, was: was[name] }))];
}

for (const panel of panels.values()) {
  panel.querySelector("[data-next]")?.addEventListener("click", (event) => {
    if (event.currentTarget.getAttribute("aria-disabled") === "true") return;
    forward();
  });
  panel.querySelector("[data-early]")?.addEventListener("click", forward);
  panel.querySelector("[data-back]")?.addEventListener("click", () => show(beside(-1)));
}
if (run.reads) {
  for (const control of main.querySelectorAll(".run-side :is(input, .stepper button)")) control.disabled = true;
  for (const way of main.querySelectorAll(".run-side :is(button:not([data-step], [data-alarm], [data-back]), .more-details)")) way.hidden = true;
  panels.get(order[0]).querySelector("[data-back]").hidden = true;
  if (!run.done) panels.get(order.at(-1)).querySelector("[data-next]").hidden = true;
}

for (const button of main.querySelectorAll("[data-devices]")) {
  button.addEventListener("click", async () => {
    const value = button.dataset.devices;
    show(value === "allowed" ? "cautions" : "refused");
    await write([{ path: [...run.test, "x-devices"], value }], { quiet: true });
  });
}

// ---- facts; a reading writes its time with it

const look = facts(main, run, (field, value) => {
  if (value === undefined || run.readAt || !field.closest("[data-measures]") || !["quantity"].includes(field.dataset.kind)) return [];
  return [{ path: [...run.test, "read_at"], value: run.readAt = stamp() }];
});
main.addEventListener("count", (event) => {
  const dots = event.target.closest("[data-panel]").querySelectorAll("[data-pump]");
  dots.forEach((dot, index) => dot.setAttribute("class", index < event.detail ? "pump-done" : "pump"));
});

/** What the server says of meters and of the reading's limit, as it stands now; without a network it stays. */
async function refresh() {
  const page = await fetch(location.href, { signal: AbortSignal.timeout(20_000) }).then((answer) => (answer.ok ? answer.text() : "")).catch(() => "");
  const fresh = new DOMParser().parseFromString(page, "text/html");
  for (const part of main.querySelectorAll("[data-fresh]")) {
    const same = fresh.querySelector(`[data-fresh="${part.dataset.fresh}"]`);
    if (same) part.replaceChildren(...same.children);
  }
}

/** What the reading may be hangs on the water and the area of this very test. */
main.addEventListener("kept", (event) => {
  const parts = [...main.querySelectorAll("[data-limits]")].filter((part) => JSON.parse(part.dataset.limits).includes(event.target.dataset.fact));
  for (const part of parts) part.replaceChildren(); // what stood there was for another volume
  if (parts.length && event.detail === "sent") refresh();
});
addEventListener("pageshow", (event) => { if (event.persisted) location.reload(); }); // whoever comes back has written elsewhere meanwhile

// ---- void, deviation, photo, a new test

document.querySelector("[data-void]").addEventListener("submit", async (event) => {
  event.preventDefault();
  const reason = document.getElementById("void-reason").value.trim();
  const by = document.body.dataset.author;
  document.getElementById("void").close();
  show("void");
  await write(Object.entries({ reason, by, at: stamp() }).map(([name, value]) => ({ path: [...run.test, "void", name], value })), { said: main.dataset.voidSaid });
});

document.querySelector("[data-deviation]").addEventListener("submit", async (event) => {
  event.preventDefault();
  const text = (name) => document.getElementById(`deviation-${name}`).value.trim();
  const entries = Object.entries({ what: text("what"), why: text("why"), agreed_by: text("by") }).filter(([, value]) => value);
  document.getElementById("deviation").close();
  event.target.reset();
  const path = [...run.test, "deviations", mark()];
  await write(entries.map(([name, value]) => ({ path: [...path, name], value })), { said: main.dataset.deviationSaid });
});

const mark = () => `#${Math.random().toString(36).slice(2, 10)}`; // no time in it: two people may write at the same moment

main.querySelector("[data-again]")?.addEventListener("click", async (event) => {
  const { again: made, then } = event.currentTarget.dataset;
  const state = await write(JSON.parse(made).changes, { undo: false });
  if (state === "sent") again({ to: then });
});

main.querySelector("[data-result]")?.addEventListener("click", async (event) => {
  if (!waiting()) return;
  event.preventDefault(); // the result is judged with what was written just now
  const { href } = event.currentTarget;
  await flush();
  location.assign(href);
});

for (const chooser of main.querySelectorAll("[data-photo]")) {
  chooser.addEventListener("change", async () => {
    const [file] = chooser.files;
    if (!file) return;
    const step = open; // the photo belongs to the step at which it was taken
    const extension = file.name.split(".").at(-1).replace(/[^a-z0-9]/gi, "").slice(0, 5) || "jpg";
    const named = new File([file], `${run.id}-${step}-${stamp(file.lastModified).replace(/\D/g, "").slice(8, 14)}.${extension}`, { type: file.type });
    const failed = (error) => tell(`${main.dataset.photoFailed} ${error.message}`, { wrong: true });
    try {
      const [sha256, path] = [await keepFile(named), [...run.test, "photos", mark()]];
      const changes = [
        { kind: "attach", path, value: [named.name, sha256, named.type, named.size] },
        { path: [...path, "shows"], value: panels.get(step).dataset.step ?? panels.get(step).querySelector("h1").textContent },
        { path: [...path, "taken_at"], value: stamp(file.lastModified) },
      ];
      const written = await write(changes, { said: main.dataset.photoSaid, undo: false });
      sendKept(sha256).then(
        (state) => { if (state === "waiting" && written === "sent") tell(main.dataset.photoWaiting); },
        async (error) => { // such a file can never come
          await write(changes.map((change) => ({ path: change.path })), { reason: error.message, quiet: true });
          failed(error);
        },
      );
    } catch (error) {
      failed(error);
    }
    chooser.value = "";
  });
}

// ---- time

const [TOP, BOTTOM] = [4, 96]; // the glass of timedrawing.py, percent

function showStaff(panel) {
  const [whole, begin] = [Number(panel.dataset.timed) * 60_000, Date.parse(run.times[open])];
  const passed = begin ? now() - begin : 0;
  const left = whole - passed;
  const share = Math.min(1, Math.max(0, left / whole));
  const y = `${BOTTOM - (BOTTOM - TOP) * share}%`;
  panel.querySelector("[data-water]").setAttribute("y", y);
  panel.querySelector("[data-water]").setAttribute("height", `${(BOTTOM - TOP) * share}%`);
  for (const end of ["y1", "y2"]) panel.querySelector("[data-level]").setAttribute(end, y);
  const digits = panel.querySelector("[data-clock]");
  digits.textContent = minutes(left);
  digits.classList.toggle("clock-long", digits.textContent.length > 4);
  const of = panel.querySelector("[data-of]");
  of.textContent = `${of.dataset.text} ${minutes(whole)}`;
  const note = panel.querySelector("[data-note]");
  const pump = JSON.parse(panel.dataset.pumps).map((seconds) => seconds * 1000 - passed).find((ms) => ms > 0);
  const over = left < -60_000 ? `, ${note.dataset.overText} ${minutes(-left)}` : "";
  note.textContent = left <= 0 ? `${note.dataset.upText}${over}` : pump === undefined ? "" : `${note.dataset.pumpText} ${minutes(pump)}`;
  panel.querySelector("[data-staff]").classList.toggle("is-due", left <= 0);
  const next = panel.querySelector("[data-next]");
  const waits = left > 0 && !run.times[beside(1)] && !run.done && !run.reads;
  next.setAttribute("aria-disabled", String(waits));
  next.textContent = waits ? `${next.dataset.wait} ${minutes(left)}` : next.dataset.words;
  panel.querySelector("[data-early]").hidden = !waits;
  if (left <= 0 && !run.times[beside(1)] && firstTime(`${open} up`)) callOut(note.dataset.upText);
  JSON.parse(panel.dataset.pumps).forEach((seconds, index) => {
    const late = passed - seconds * 1000;
    if (late >= 0 && late < LATE && firstTime(`${open} pump ${index}`)) callOut(note.dataset.pumpNow);
  });
}

function callOut(text) {
  ring();
  announce.textContent = `${run.id}: ${text}`;
}

function moment() {
  const panel = here();
  if (panel?.hasAttribute("data-timed")) showStaff(panel);
  for (const timer of document.querySelectorAll("[data-timer]")) {
    const said = showTimer(timer);
    if (said) callOut(`${timer.dataset.name}, ${said}`);
  }
}

localTimes();
showAlarms();
show(open, { focus: false });
everyMoment(moment);
document.addEventListener("visibilitychange", () => stayAwake(run.steps.includes(open)));
