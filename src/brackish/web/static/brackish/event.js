// SPDX-License-Identifier: MIT
// One event in the browser: the same canonical form, hash and id as record/event.py.
// tests/record/vectors.json holds both to the same bytes.

const FORMAT = "brackish-event/1";

/** The canonical JSON of texts, truth values, whole numbers, lists and tables with ASCII keys. */
export function canonical(value) {
  if (typeof value === "string") {
    if (!value.isWellFormed()) throw new TypeError("half a character in a text");
    return JSON.stringify(value);
  }
  if (typeof value === "boolean") return String(value);
  if (Number.isSafeInteger(value)) return String(value === 0 ? 0 : value);
  if (Array.isArray(value)) return `[${value.map(canonical).join(",")}]`;
  if (value !== null && typeof value === "object") {
    const parts = Object.keys(value).sort().map((key) => `${JSON.stringify(key)}:${canonical(value[key])}`);
    return `{${parts.join(",")}}`;
  }
  throw new TypeError(`an event holds texts, truth values, whole numbers and lists, not ${value}`);
}

async function sha256(text) {
  const digest = await crypto.subtle.digest("SHA-256", new TextEncoder().encode(text));
  return [...new Uint8Array(digest)].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** `sha256:` and the hash of an event, which names it for ever. */
export async function hashOf(event) {
  return `sha256:${await sha256(canonical(event))}`;
}

/** The event of these words: format and id are added; the id is made of the words themselves. */
export async function makeEvent(words) {
  const event = { ...words, format: FORMAT, base: [...new Set(words.base)].sort() };
  const digits = await sha256(canonical(event));
  const cuts = [[0, 8], [8, 12], [12, 16], [16, 20], [20, 32]];
  return { ...event, id: cuts.map(([from, to]) => digits.slice(from, to)).join("-") };
}
