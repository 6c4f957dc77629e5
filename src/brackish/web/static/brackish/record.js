// SPDX-License-Identifier: MIT
// The one module that writes. A change becomes events: made and chained on this device, kept here
// until the server has them, sent by POST /api/v1/jobs/{id}/events.
//
//   await write([{path: ["test", "T1", "facts", "reading"], value: ["9.1 uS/cm"], was: ["9.0 uS/cm"]}], {reason: "read again"})
//   <form data-write> with fields that carry data-path (JSON) and perhaps data-was, data-as (list | integer | truth), data-unit;
//   a field named "reason" is the reason. Only what changed is written. Many changes that nobody edits: data-changes (JSON) of the form.
//
// A chain is one device, one author, one job; it lies in localStorage, guarded by a lock across tabs.

import { hashOf, makeEvent } from "./event.js";

const PATIENCE = 20_000; // ms until a silent server counts as no network
const messages = () => document.getElementById("messages");
const place = () => ({ job: document.body.dataset.job, author: document.body.dataset.author });
const keyOf = ({ job, author }) => `brackish-chain/${author}/${job}`;

function readChain(where) {
  const kept = localStorage.getItem(keyOf(where));
  if (kept) return JSON.parse(kept);
  const mark = crypto.getRandomValues(new Uint32Array(2));
  return { device: `browser ${[...mark].map((part) => part.toString(16).padStart(8, "0")).join("")}`, seq: 0, prev: "", queue: [] };
}

const keep = (where, chain) => {
  localStorage.setItem(keyOf(where), JSON.stringify(chain));
  document.dispatchEvent(new CustomEvent("brackish:queue"));
};
const alone = (where, act) => navigator.locks.request(keyOf(where), act);

/** The events of this job and author that wait on this device. */
export function queued(where = place()) {
  const kept = where.job && localStorage.getItem(keyOf(where));
  return kept ? JSON.parse(kept).queue : [];
}

/** How many events of this job and author wait on this device. */
export function waiting(where = place()) {
  return queued(where).length;
}

/** Make events of changes and keep them; they are on this device from here on, whatever happens. */
async function queueUp(where, changes, base, reason) {
  return alone(where, async () => {
    const chain = readChain(where);
    const made = new Date().toISOString().replace(/\.\d+Z$/, "+00:00");
    const events = [];
    for (const change of changes) {
      const kind = change.kind ?? (change.value === undefined ? "withdraw" : "set");
      const words = {
        job: where.job, device: chain.device, seq: chain.seq + 1, prev: chain.prev, author: where.author, made, kind,
        path: change.path, reason: change.reason ?? reason ?? "", base: events.length ? [] : base,
      };
      if (kind !== "withdraw") words.value = change.value;
      const event = await makeEvent(words);
      chain.seq += 1;
      chain.prev = await hashOf(event);
      events.push(event);
    }
    chain.queue.push(...events);
    keep(where, chain);
    return events;
  });
}

/** A call of the API with the session's mark, a document or a file: {ok, status, body}, or null where no server answered. */
export async function call(method, address, body, headers = {}) {
  const mark = document.cookie.match(/(?:^|; )brackish-csrf=([^;]+)/)?.[1] ?? "";
  try {
    const answer = await fetch(`/api/v1${address}`, {
      method, credentials: "same-origin", signal: AbortSignal.timeout(PATIENCE),
      headers: { "X-CSRFToken": mark, ...headers, ...(body === undefined || body instanceof Blob ? {} : { "Content-Type": "application/json" }) },
      body: body === undefined || body instanceof Blob ? body : JSON.stringify(body),
    });
    const json = answer.headers.get("Content-Type")?.includes("json");
    return { ok: answer.ok, status: answer.status, body: json ? await answer.json() : await answer.text() };
  } catch {
    return null;
  }
}

/** Send what waits: {sent, refused, base} or null without a network, when everything stays here. */
export async function flush(where = place()) {
  return alone(where, async () => {
    const chain = readChain(where);
    if (!chain.queue.length) return { sent: [], refused: [], base: null };
    const answer = await call("POST", `/jobs/${where.job}/events`, chain.queue);
    const later = answer === null || answer.status >= 500 || answer.status === 401 || answer.status === 429;
    if (later || answer.body.errors?.some((error) => error.code === "access.csrf")) return null; // none of these says anything about the events: they stay
    if (!answer.ok) {
      localStorage.removeItem(keyOf(where));
      document.dispatchEvent(new CustomEvent("brackish:queue"));
      return { sent: [], refused: [{ errors: answer.body.errors ?? [] }], base: null };
    }
    const refused = answer.body.events.filter((each) => each.state === "refused");
    if (refused.length) localStorage.removeItem(keyOf(where)); // what follows a refused event can never be placed: begin a new chain
    else keep(where, { ...chain, queue: [] });
    document.dispatchEvent(new CustomEvent("brackish:queue"));
    return { sent: answer.body.events.filter((each) => each.state !== "refused"), refused, base: answer.body.base };
  });
}

/** Write changes and send them. "sent", "waiting" or "refused"; a message says which, with a way back (`quiet`: only a refusal is said). */
export async function write(changes, { reason = "", said = "", where = place(), base = JSON.parse(document.body.dataset.base || "[]"), undo = true, quiet = false } = {}) {
  if (!globalThis.crypto?.subtle || !navigator.locks) { tell(messages().dataset.insecure, { wrong: true }); return "refused"; }
  if (!changes.length) { tell(messages().dataset.nothing); return "nothing"; }
  await queueUp(where, changes, base, reason);
  const result = await flush(where);
  if (result === null) { if (!quiet) tell(messages().dataset.waiting, { undo: null }); return "waiting"; }
  if (result.refused.length) {
    const why = result.refused.flatMap((each) => each.errors ?? []).map((error) => error.message).join(" ");
    tell(`${messages().dataset.refused}. ${why}`, { wrong: true });
    return "refused";
  }
  if (result.base) document.body.dataset.base = JSON.stringify(result.base);
  const back = undo ? changes.map((change) => ({ path: change.path, value: change.was, kind: change.was === undefined ? "withdraw" : "set" })) : null;
  if (!quiet) tell(said || messages().dataset.written, { undo: back });
  return "sent";
}

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
  });
  shown.querySelector("[data-close]").addEventListener("click", () => shown.remove());
  messages().replaceChildren(shown);
}

/** Load the page again, because what it shows has changed, and say there what was done. */
export function again({ text = "", undo = null, to = "" } = {}) {
  if (text) sessionStorage.setItem("brackish-said", JSON.stringify({ text, undo }));
  if (to) location.assign(to); else location.reload();
}

/** What a field holds, as an event's value; nothing where it is empty. */
export function valueOf(field) {
  if (field.type === "checkbox") return field.checked;
  const text = field.value.trim();
  if (!text) return undefined;
  const inUnit = (part) => (field.dataset.unit && /^[<>]?\s*[-+]?[\d.]+(e[-+]?\d+)?$/i.test(part) ? `${part} ${field.dataset.unit}` : part);
  if (field.dataset.as === "json") return JSON.parse(field.value);
  if (field.dataset.as === "list") return text.split(/[;\n]/).map((part) => inUnit(part.trim())).filter(Boolean);
  if (field.dataset.as === "integer") return Number(text);
  if (field.dataset.as === "truth") return text === "true";
  return inUnit(text);
}

/** The changes of a form: every field with a path whose value is not what it was. */
export function changesOf(form) {
  const fields = [...form.querySelectorAll("[data-path]")].filter((field) => field.type !== "radio" || field.checked);
  const typed = fields.map((field) => {
    const was = field.dataset.was ? JSON.parse(field.dataset.was) : undefined;
    return { path: JSON.parse(field.dataset.path), value: valueOf(field), was };
  });
  return [...typed, ...JSON.parse(form.dataset.changes ?? "[]")].filter((change) => JSON.stringify(change.value) !== JSON.stringify(change.was));
}

for (const form of document.querySelectorAll("form[data-write]")) {
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const reason = form.elements.reason?.value.trim() ?? "";
    const changes = changesOf(form).map((change) => (change.value === undefined ? { ...change, reason: reason || messages().dataset.takeBack } : change));
    const state = await write(changes, { reason, said: form.dataset.said ?? "" });
    if (state === "sent") {
      const undo = changes.map((change) => ({ path: change.path, value: change.was, kind: change.was === undefined ? "withdraw" : "set" }));
      again({ text: form.dataset.said || messages().dataset.written, undo, to: form.dataset.then ?? "" });
    }
  });
}

const said = sessionStorage.getItem("brackish-said");
if (said) {
  sessionStorage.removeItem("brackish-said");
  const { text, undo } = JSON.parse(said);
  tell(text, { undo });
}
