// SPDX-License-Identifier: MIT
// A file of a job goes up in pieces, from where an earlier try stopped; its hash names it.
// One taken without a network is kept on this device, in IndexedDB, until the server has it.

import { again, call, canWrite, errorsOf, onSubmit, tell } from "./record.js";

const PIECE = 1_000_000;
const NEVER = [400, 409, 413, 415, 422]; // what the server says of the file itself: sending it again changes nothing

/** The name of a file: its SHA-256. */
async function hashOfFile(file) {
  const digest = await crypto.subtle.digest("SHA-256", await file.arrayBuffer());
  return [...new Uint8Array(digest)].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** Send a file of a job. Throws where it does not arrive; `refused` says that it never will. */
async function send(file, sha256, job) {
  const checked = (answer) => {
    if (answer?.ok) return answer.body;
    const words = errorsOf(answer);
    throw Object.assign(new Error(words || document.getElementById("messages").dataset.failed), { refused: Boolean(words) && NEVER.includes(answer.status) });
  };
  let state = checked(await call("POST", `/jobs/${job}/attachments`, { sha256, name: file.name, media_type: file.type, size: file.size }));
  while (!state.complete) {
    const piece = file.slice(state.received, state.received + PIECE);
    state = checked(await call("PATCH", `/jobs/${job}/attachments/${sha256}`, piece, { "Upload-Offset": String(state.received) }));
  }
}

/** The answer of a database request. */
const answerOf = (request) => new Promise((done, fail) => {
  request.onsuccess = () => done(request.result);
  request.onerror = () => fail(request.error);
});

/** Do one thing with the files kept on this device. */
async function withKept(mode, act) {
  const opening = indexedDB.open("brackish-files", 1);
  opening.onupgradeneeded = () => opening.result.createObjectStore("files", { keyPath: ["author", "job", "sha256"] });
  const database = await answerOf(opening);
  try {
    return await answerOf(act(database.transaction("files", mode).objectStore("files")));
  } finally {
    database.close();
  }
}

const shown = () => document.dispatchEvent(new CustomEvent("brackish:queue"));

/** Keep a file of this job on this device, whatever happens next; its SHA-256. */
export async function keepFile(file) {
  const [{ job, author }, sha256] = [document.body.dataset, await hashOfFile(file)];
  await withKept("readwrite", (files) => files.put({ author, job, sha256, file }));
  shown();
  return sha256;
}

/** Send one file that is kept here: "sent" or "waiting". It is forgotten once the server has it or, by an error with its words, will never take it. */
export async function sendKept(sha256, { author, job } = document.body.dataset) {
  const key = [author, job, sha256];
  return navigator.locks.request("brackish-files", async () => { // one window at a time
    const row = await withKept("readonly", (files) => files.get(key));
    if (!row) return "sent"; // another window sent it
    try {
      await send(row.file, sha256, job);
    } catch (error) {
      if (!error.refused) return "waiting";
      await withKept("readwrite", (files) => files.delete(key));
      throw error;
    }
    await withKept("readwrite", (files) => files.delete(key));
    return "sent";
  }).finally(shown);
}

const ownOf = (author) => IDBKeyRange.bound([author], [author, []]); // an array comes after every text

/** How many files of this job and author wait on this device. */
export async function filesWaiting() {
  const { job, author } = document.body.dataset;
  if (!job || !author) return 0;
  return withKept("readonly", (files) => files.count(IDBKeyRange.bound([author, job], [author, job, []]))).catch(() => 0); // a browser that keeps nothing
}

/** Send the files that this author left on this device, of whatever job; what is refused is said. */
export async function sendAllFiles() {
  const { author } = document.body.dataset;
  if (!author || !navigator.locks) return;
  for (const [, job, sha256] of await withKept("readonly", (files) => files.getAllKeys(ownOf(author))).catch(() => [])) {
    try {
      if (await sendKept(sha256, { author, job }) === "waiting") break;
    } catch (error) {
      tell(error.message, { wrong: true });
    }
  }
}

for (const form of document.querySelectorAll("form[data-attach]")) {
  onSubmit(form, async () => {
    if (!canWrite()) return;
    const [file] = form.elements.file.files;
    try {
      await send(file, await hashOfFile(file), document.body.dataset.job);
      again({ text: form.dataset.said });
    } catch (error) {
      tell(error.message, { wrong: true });
    }
  });
}
