// SPDX-License-Identifier: MIT
// The one module that writes. A change becomes events: made and chained on this device, kept here
// until the server has them, sent by POST /api/v1/jobs/{id}/events.
//
//   await write([{path: ["test", "T1", "facts", "reading"], value: ["9.1 uS/cm"], was: ["9.0 uS/cm"]}], {reason: "read again"})
//   <form data-write> with fields that carry data-path (JSON) and perhaps data-was, data-as (list | integer | number | truth), data-unit;
//   a field named "reason" is the reason. Only what changed is written. Many changes that nobody edits: data-changes (JSON) of the form,
//   or of a checkbox in it that is ticked.
//
// Before a form writes, a server that can be reached is asked whether the job could still be read. What could not is said at its
// field and may be written as typed all the same; with `data-strict` it may not. Without a network it is written as it stands.
//
// A chain is one device, one author, one job; it lies in localStorage, guarded by a lock across tabs. What the server
// refuses by its id is said and goes; whatever else an answer says, or whoever gave it, what was written stays here.

import { hashOf, makeEvent } from "./event.js";

const PATIENCE = 20_000; // ms until a silent server counts as no network,
const PROMPT = 4_000; // the same for a question that need not be answered,
const SLOWEST = 10; // and one more for every so many bytes of a file: 80 kbit/s
const LIST = 200; // events made and sent at once
const messages = () => document.getElementById("messages");
const place = () => ({ job: document.body.dataset.job, author: document.body.dataset.author });
const keyOf = ({ job, author }) => `brackish-chain/${author}/${job}`;

/** The beginning of a chain; `seen` are the ids that its first event has seen beside its own base. */
function newChain(seen = []) {
  const mark = crypto.getRandomValues(new Uint32Array(2));
  return { device: `browser ${[...mark].map((part) => part.toString(16).padStart(8, "0")).join("")}`, seq: 0, prev: "", seen, queue: [] };
}

function readChain(where) {
  const kept = localStorage.getItem(keyOf(where));
  return kept ? JSON.parse(kept) : newChain();
}

const keep = (where, chain) => {
  localStorage.setItem(keyOf(where), JSON.stringify(chain));
  document.dispatchEvent(new CustomEvent("brackish:queue"));
};
const alone = (name, act) => navigator.locks.request(name, act);

/** The events of this job and author that wait on this device. */
export function queued(where = place()) {
  const kept = where.job && localStorage.getItem(keyOf(where));
  return kept ? JSON.parse(kept).queue : [];
}

/** How many events of this job and author wait on this device. */
export function waiting(where = place()) {
  return queued(where).length;
}

const beside = new Map(); // what another tab of this person wrote since this page was made, by its path
window.addEventListener("storage", ({ key, newValue }) => {
  if (!newValue || key !== keyOf(place())) return;
  for (const { path, value } of JSON.parse(newValue).queue) beside.set(JSON.stringify(path), value);
});

/** What these changes wrote over that this page never showed, as a sentence; empty where there is nothing. Both tabs write one chain, so no conflict comes of it. */
function writtenOver(changes) {
  const found = changes.filter(({ path, value, was }) => {
    const other = beside.get(JSON.stringify(path));
    return other !== undefined && ![value, was].some((known) => JSON.stringify(known) === JSON.stringify(other));
  });
  return found.length ? `. ${messages().dataset.meanwhile} ${found.map(({ path }) => [beside.get(JSON.stringify(path))].flat().join("; ")).join(", ")}.` : "";
}

/** Make the next events of a chain, at the end of its queue. */
async function extend(chain, drafts) {
  for (const words of drafts) {
    const base = chain.seq ? words.base : [...words.base, ...chain.seen ?? []];
    const event = await makeEvent({ ...words, base, device: chain.device, seq: chain.seq + 1, prev: chain.prev });
    Object.assign(chain, { seq: event.seq, prev: await hashOf(event) });
    chain.queue.push(event);
  }
}

const saidOf = ({ kind, path, value, reason }) => JSON.stringify([kind, path, value ?? null, reason]);
const meet = (one, other) => one.every((part, index) => index >= other.length || part === other[index]);

/** Make events of changes and keep them; they are on this device from here on, whatever happens. What waits and says the same is not made twice. */
function queueUp(where, changes, base, reason) {
  return alone(keyOf(where), async () => {
    const chain = readChain(where);
    const made = new Date().toISOString().replace(/\.\d+Z$/, "+00:00");
    const drafts = changes.map((change) => {
      const kind = change.kind ?? (change.value === undefined ? "withdraw" : "set");
      const words = { job: where.job, author: where.author, made, kind, path: change.path, reason: change.reason ?? reason };
      return kind === "withdraw" ? words : { ...words, value: change.value };
    });
    const waits = (draft) => {
      const last = chain.queue.findLast((event) => meet(event.path, draft.path));
      return last && saidOf(last) === saidOf(draft);
    };
    await extend(chain, drafts.filter((draft) => !waits(draft)).map((words, index) => ({ ...words, base: index ? [] : base })));
    keep(where, chain);
  });
}

const isTaken = ({ state }) => state === "stored" || state === "known";

/** Whether the server waits for what it had taken from this device before: it came back from an older copy. After a refused event it waits for that one. */
const isSetBack = (answers) => answers.find((each) => !isTaken(each))?.state === "held";

/** Take what the server answered out of the queue; what follows a refused event could never be placed, so it begins a new chain.
 *  On a server that was set back nothing of the old chain could: it ends here, and the new one has seen nothing of it. */
function settle(where, list, answers) {
  return alone(keyOf(where), async () => {
    const chain = readChain(where);
    const later = chain.queue.slice(list.length); // what was written meanwhile
    const first = answers.findIndex((each) => !isTaken(each));
    const setBack = isSetBack(answers);
    const taken = first < 0 ? list : list.slice(0, first);
    if (taken.length) chain.seen = [taken.at(-1).id];
    if (first < 0) return keep(where, { ...chain, queue: later });
    const gone = list.filter((_, index) => answers[index].state === "refused");
    const follow = setBack ? [] : list.filter((_, index) => index > first && answers[index].state !== "refused");
    const begun = newChain(setBack ? [] : [...chain.seen ?? [], ...gone.flatMap((event) => event.base)]);
    await extend(begun, [...follow, ...later].map(({ id, ...words }) => words));
    keep(where, begun);
  });
}

/** A call of the API with the session's mark, a document or a file: {ok, status, body}, or null where no server answered. */
export async function call(method, address, body, headers = {}, patience = PATIENCE) {
  const mark = document.cookie.match(/(?:^|; )brackish-csrf=([^;]+)/)?.[1] ?? "";
  try {
    const answer = await fetch(`/api/v1${address}`, {
      method, credentials: "same-origin", signal: AbortSignal.timeout(patience + Math.ceil((body?.size ?? 0) / SLOWEST)),
      headers: { "X-CSRFToken": mark, ...headers, ...(body === undefined || body instanceof Blob ? {} : { "Content-Type": "application/json" }) },
      body: body === undefined || body instanceof Blob ? body : JSON.stringify(body),
    });
    const json = answer.status !== 204 && answer.headers.get("Content-Type")?.includes("json"); // 204 says so, too, and holds nothing
    return { ok: answer.ok, status: answer.status, body: json ? await answer.json() : await answer.text() };
  } catch {
    return null;
  }
}

/** The words of an answer's errors; empty where there are none, or no server of ours answered. */
export const errorsOf = (answer) => answer?.body?.errors?.map((error) => error.message).join(" ") ?? "";

/** Send what waits: {refused, why}; `why` is null when all went, else what keeps the rest here, empty for want of a network. */
export function flush(where = place()) {
  return alone(`${keyOf(where)}/sending`, async () => { // a lock of its own: whoever writes does not wait for the network
    const refused = [];
    for (let list; (list = queued(where).slice(0, LIST)).length;) {
      const answer = await call("POST", `/jobs/${where.job}/events`, list);
      const answers = answer?.ok && answer.body?.events;
      if (answers?.length !== list.length) return { refused, why: errorsOf(answer) };
      const other = answers.flatMap((each) => each.errors ?? []).find((error) => error.code === "event.author");
      if (other) return { refused, why: other.message }; // someone else is signed in: says nothing about the events
      await settle(where, list, answers);
      refused.push(...answers.filter((each) => each.state === "refused"));
      if (isSetBack(answers)) refused.push({ errors: [{ message: messages().dataset.lost }] });
    }
    return { refused, why: null };
  });
}

function tellRefused(refused) {
  tell(`${messages().dataset.refused}. ${[...new Set(refused.flatMap((each) => each.errors ?? []).map((error) => error.message))].join(" ")}`, { wrong: true });
}

/** Send what this author wrote on this device, of whatever job; a refusal is said. Whether there was one is the answer. */
export async function sendAll() {
  const { author } = place();
  const begins = keyOf({ author, job: "" });
  let wrong = false;
  for (const key of author ? Object.keys(localStorage) : []) {
    const where = { author, job: key.slice(begins.length) };
    if (!key.startsWith(begins) || !waiting(where)) continue;
    const { refused } = await flush(where);
    if (refused.length) tellRefused(refused);
    wrong ||= refused.length > 0;
  }
  return wrong;
}

/** Whether this browser can write at this address; where it cannot, that is said. */
export function canWrite() {
  const can = Boolean(globalThis.crypto?.subtle && navigator.locks);
  if (!can) tell(messages().dataset.insecure, { wrong: true });
  return can;
}

/** Write changes and send them. "sent", "waiting", "refused", "failed" (not even kept on this device) or "nothing"; a message says which, with a way back (`quiet`: nothing is said of what goes well or waits for the network). */
export async function write(changes, { reason = "", said = "", where = place(), base = JSON.parse(document.body.dataset.base || "[]"), undo = true, quiet = false } = {}) {
  if (!canWrite()) return "failed";
  if (!changes.length) { tell(messages().dataset.nothing); return "nothing"; }
  const [over, back] = [writtenOver(changes), wayBack(changes)];
  const refused = [];
  let why = null;
  try {
    for (let at = 0; at < changes.length; at += LIST) {
      await queueUp(where, changes.slice(at, at + LIST), base, reason);
      if (why === null) {
        const result = await flush(where);
        refused.push(...result.refused);
        why = result.why;
      }
    }
  } catch (fault) { // no room on this device, or half a character
    tell(`${messages().dataset.failed} ${fault.message}`, { wrong: true });
    return "failed";
  }
  if (refused.length) { tellRefused(refused); return "refused"; }
  if (why !== null) { if (!quiet || why) tell(`${messages().dataset.waiting} ${why}`); return "waiting"; }
  if (!quiet || over) tell((said || messages().dataset.written) + over, { undo: undo ? back : null });
  for (const { path } of changes) beside.delete(JSON.stringify(path));
  return "sent";
}

/** The changes that take changes back, to what stood there last. */
const wayBack = (changes) => changes.map(({ path, was }) => {
  const value = beside.get(JSON.stringify(path)) ?? was;
  return { path, value, kind: value === undefined ? "withdraw" : "set" };
});

/** Say one thing where everyone hears it; `undo` are the changes that take it back. */
export function tell(text, { undo = null, wrong = false } = {}) {
  const shown = document.getElementById("message").content.cloneNode(true).firstElementChild;
  shown.querySelector("[data-text]").textContent = text;
  shown.classList.toggle("is-wrong", wrong);
  const back = shown.querySelector("[data-undo]");
  back.hidden = !undo;
  back.addEventListener("click", async () => {
    const reason = messages().dataset.takeBack;
    if (await write(undo, { reason, said: messages().dataset.undone, undo: false }) === "sent") again({ text: messages().dataset.undone });
  }, { once: true });
  shown.querySelector("[data-close]").addEventListener("click", () => shown.remove());
  messages().replaceChildren(shown);
}

let leaving = false;
window.addEventListener("pageshow", () => { leaving = false; }); // a browser may keep the page that was left, and show it again

/** Load the page again, or another, because what it shows has changed, and say there what was done. */
export function again({ text = "", undo = null, to = "" } = {}) {
  leaving = true;
  if (text) sessionStorage.setItem("brackish-said", JSON.stringify({ text, undo }));
  const there = new URL(to, location.href);
  if (there.pathname + there.search !== location.pathname + location.search) { location.assign(there); return; }
  if (there.hash) location.hash = there.hash; // going to a place of this page loads nothing
  location.reload();
}

/** Act when a form is sent, once at a time: whoever presses twice writes once. */
export function onSubmit(form, act) {
  let busy = false;
  form?.addEventListener("submit", async (event) => {
    event.preventDefault();
    if (busy || leaving) return;
    busy = true;
    try { await act(event); } finally { busy = false; }
  });
}

const NUMBER = /^[<>]?\s*[-+]?(\d+([.,]\d*)?|[.,]\d+)(e[-+]?\d+)?$/i;
const THOUSANDS = /^\D*[1-9]\d{0,2},\d{3}$/; // 1,250 may be either: never guessed, the reader of the record says so

/** A number as it was typed, with a comma or a point, in the unit of its field; any other text stays as it is. */
export const inUnit = (text, unit) => (unit && NUMBER.test(text) && !THOUSANDS.test(text) ? `${text.replace(",", ".")} ${unit}` : text);

/** What a field holds, as an event's value; nothing where it is empty. */
export function valueOf(field) {
  if (field.type === "checkbox") return field.checked;
  const text = field.value.trim();
  if (!text) return undefined;
  if (field.dataset.as === "json") return JSON.parse(field.value);
  if (field.dataset.as === "list") return text.split(/[;\n]/).map((part) => inUnit(part.trim(), field.dataset.unit)).filter(Boolean);
  if (field.dataset.as === "integer") return /^[-+]?\d+$/.test(text) ? Number(text) : text;
  if (field.dataset.as === "number") return NUMBER.test(text) ? text.replace(",", ".") : text;
  if (field.dataset.as === "truth") return text === "true";
  return inUnit(text, field.dataset.unit);
}

/** The changes of a form: every field with a path whose value is not what it was. */
export function changesOf(form) {
  const fields = [...form.querySelectorAll("[data-path]")].filter((field) => field.type !== "radio" || field.checked);
  const typed = fields.map((field) => {
    const was = field.dataset.was ? JSON.parse(field.dataset.was) : undefined;
    return { path: JSON.parse(field.dataset.path), value: valueOf(field), was };
  });
  const ready = [form, ...form.querySelectorAll("[data-changes]:checked")].flatMap((each) => JSON.parse(each.dataset.changes ?? "[]"));
  return [...typed, ...ready].filter((change) => JSON.stringify(change.value) !== JSON.stringify(change.was));
}

/** What of these changes could not be read, as the server says without storing anything; nothing where none answers soon. */
async function faultsOf(changes, where) {
  const all = [...queued(where), ...changes].map(({ path, value }) => ({ path, value }));
  const answer = changes.length && await call("POST", `/jobs/${where.job}/readable`, all, {}, PROMPT);
  return answer?.ok && Array.isArray(answer.body?.errors) ? answer.body.errors : [];
}

const copyOf = (name) => document.getElementById(name).content.cloneNode(true).firstElementChild;

/** Say each fault at its field, or at the end of the form, and offer to write what was typed all the same. */
function showFaults(form, faults) {
  for (const old of form.querySelectorAll("[data-fault]")) old.remove();
  for (const field of form.querySelectorAll("[aria-invalid]")) {
    field.removeAttribute("aria-invalid");
    field.closest(".field")?.classList.remove("field-error");
  }
  if (!faults.length) return;
  const wrong = faults.map((fault) => {
    const path = JSON.stringify(fault.path);
    const field = [...form.querySelectorAll("[data-path]:not([type=hidden])")].find((each) => JSON.stringify(JSON.parse(each.dataset.path)) === path);
    const remark = copyOf("fault");
    remark.querySelector("[data-text]").textContent = field ? fault.message : `${fault.where}: ${fault.message}`;
    (field?.closest(".field") ?? form).append(remark);
    field?.setAttribute("aria-invalid", "true");
    field?.closest(".field")?.classList.add("field-error");
    return field;
  });
  if (form.dataset.strict === undefined) form.append(copyOf("anyway"));
  for (let part = form; part; part = part.parentElement?.closest("details")) if (part.tagName === "DETAILS") part.open = true;
  wrong.find(Boolean)?.focus();
  tell(messages().dataset.unready, { wrong: true });
}

/** Whether a form may write these changes: they could be read, or somebody pressed to write them anyway. */
export async function ready(event, changes, where = place()) {
  const faults = event.submitter?.matches("[data-anyway]") ? [] : await faultsOf(changes, where);
  showFaults(event.target, faults);
  return !faults.length;
}

for (const form of document.querySelectorAll("form[data-write]")) {
  onSubmit(form, async (event) => {
    const reason = form.elements.reason?.value.trim() ?? "";
    if (!await ready(event, changesOf(form))) return;
    const changes = changesOf(form).map((change) => (change.value === undefined ? { ...change, reason: reason || messages().dataset.takeBack } : change));
    const [text, undo] = [(form.dataset.said || messages().dataset.written) + writtenOver(changes), wayBack(changes)];
    const state = await write(changes, { reason, said: form.dataset.said ?? "" });
    if (state === "sent") again({ text, undo, to: form.dataset.then ?? "" });
    if (state === "waiting") delete form.dataset.typed; // it is kept: the page may be shown anew
  });
}

const said = sessionStorage.getItem("brackish-said");
if (said) {
  sessionStorage.removeItem("brackish-said");
  const { text, undo } = JSON.parse(said);
  tell(text, { undo });
}
