// SPDX-License-Identifier: MIT
// A new job, written as this person's events: from a clause, like another job, or from a file.

import { again, call, canWrite, errorsOf, onSubmit, tell, write } from "./record.js";

const author = document.body.dataset.author;
const failed = (answer) => tell(errorsOf(answer) || document.getElementById("messages").dataset.failed, { wrong: true });

/** Register a job and write its changes; then open it. */
async function make(job, changes, then) {
  const registered = await call("POST", "/jobs", { id: job });
  if (!registered?.ok) { failed(registered); return; }
  const state = await write(changes, { where: { job: registered.body.id, author }, base: [], undo: false });
  if (state === "sent") again({ to: then || `/jobs/${registered.body.id}` });
}

const ways = {
  async clause(form) {
    const job = crypto.randomUUID();
    const { title, site, text } = Object.fromEntries(new FormData(form));
    const changes = [["format"], ["job", "id"], ["job", "title"]].map((path, at) => ({ path, value: ["brackish-job/1", job, title.trim()][at] }));
    if (site.trim()) changes.push({ path: ["job", "site"], value: site.trim() });
    if (text.trim()) changes.push({ path: ["x-clause", "text"], value: text }); // the words as they were pasted; the requirement is read from them
    await make(job, changes, form.dataset.then.replace("JOB", job));
  },
  async like(form) {
    const { other, title } = Object.fromEntries(new FormData(form));
    const draft = await call("GET", `/jobs/${other}/draft`);
    if (!draft?.ok) { failed(draft); return; }
    await make(draft.body.id, [...draft.body.changes, { path: ["job", "title"], value: title.trim() }]);
  },
  async file(form) {
    const file = form.elements.file.files[0];
    const list = form.querySelector("[data-faults]");
    list.hidden = true;
    if (/\.(zip|jsonl)$/i.test(file.name)) { await ledger(file); return; }
    const draft = await call("POST", "/drafts", file);
    if (!draft?.ok && !draft?.body?.errors) { failed(draft); return; }
    if (!draft.ok) { showFaults(list, draft.body.errors); return; }
    if (draft.body.here) { tell(form.dataset.here, { wrong: true }); return; }
    await make(draft.body.id, draft.body.changes);
  },
};

async function ledger(file) {
  const answer = await call("POST", "/ledgers", file);
  if (answer?.ok) again({ to: "/" }); else failed(answer);
}

/** All faults of a file at once, each with its place. */
function showFaults(list, faults) {
  list.replaceChildren(...faults.map((fault) => {
    const row = document.createElement("li");
    row.className = "finding finding-void";
    const mark = document.querySelector("template#fault").content.cloneNode(true);
    mark.querySelector("[data-message]").textContent = fault.message;
    mark.querySelector("[data-place]").textContent = [fault.place, fault.code].filter(Boolean).join(" · ");
    row.append(mark);
    return row;
  }));
  list.hidden = false;
}

for (const form of document.querySelectorAll("form[data-new]")) {
  onSubmit(form, () => canWrite() && ways[form.dataset.new](form));
}
