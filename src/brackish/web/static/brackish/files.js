// SPDX-License-Identifier: MIT
// A file of a job goes up in pieces, from where an earlier try stopped; its hash names it.

import { again, call, canWrite, errorsOf, onSubmit, tell } from "./record.js";

const PIECE = 1_000_000;

/** Send a file of the job of this page; its SHA-256. Throws the server's words where it is refused. */
export async function attach(file, job = document.body.dataset.job) {
  const digest = await crypto.subtle.digest("SHA-256", await file.arrayBuffer());
  const sha256 = [...new Uint8Array(digest)].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  const checked = (answer) => {
    if (!answer?.ok) throw new Error(errorsOf(answer) || document.getElementById("messages").dataset.failed);
    return answer.body;
  };
  let state = checked(await call("POST", `/jobs/${job}/attachments`, { sha256, name: file.name, media_type: file.type, size: file.size }));
  while (!state.complete) {
    const piece = file.slice(state.received, state.received + PIECE);
    state = checked(await call("PATCH", `/jobs/${job}/attachments/${sha256}`, piece, { "Upload-Offset": String(state.received) }));
  }
  return sha256;
}

for (const form of document.querySelectorAll("form[data-attach]")) {
  onSubmit(form, async () => {
    if (!canWrite()) return;
    try {
      await attach(form.elements.file.files[0]);
      again({ text: form.dataset.said });
    } catch (error) {
      tell(error.message, { wrong: true });
    }
  });
}
