// SPDX-License-Identifier: MIT
// Signing what was shown, by its hash and one's password; and checking a report from its file.

import { again, call, errorsOf, onSubmit } from "./record.js";

const job = document.body.dataset.job;
const dialog = document.getElementById("signing");

let opened; // the hash is on its way

/** Show what would be signed, by its hash: the server gives it where nothing was written since this page was read. */
async function open() {
  fault("");
  dialog.querySelector("[data-hash]").textContent = "";
  dialog.showModal();
  const answer = await call("GET", `/jobs/${job}/signatures?base=${JSON.parse(document.body.dataset.base)}`);
  if (!answer?.ok) return fault(errorsOf(answer) || dialog.dataset.offline);
  dialog.querySelector("[data-hash]").textContent = answer.body.hash;
}

function fault(text) {
  const place = dialog.querySelector("[data-sign-error]");
  place.textContent = text;
  place.hidden = !text;
}

async function sign(event) {
  const field = event.target.querySelector("#password");
  await opened;
  const hash = dialog.querySelector("[data-hash]").textContent; // empty where it could not be read: the server then says so
  let answer = { ok: true };
  if (dialog.dataset.hasKey === "no") answer = await call("POST", "/signing-key", { password: field.value });
  if (answer?.ok) {
    dialog.dataset.hasKey = "yes";
    answer = await call("POST", `/jobs/${job}/signatures`, { hash, password: field.value });
  }
  if (!answer?.ok) return fault(errorsOf(answer) || dialog.dataset.offline);
  again({ text: dialog.dataset.signed });
}

document.querySelector("[data-opens-signing]")?.addEventListener("click", () => { opened = open(); });
onSubmit(dialog?.querySelector("[data-sign]"), sign);
dialog?.addEventListener("close", () => dialog.querySelector("form").reset()); // the next person at this device finds no password

// Checking a file

const chosen = document.querySelector("[data-verify]");
const shown = document.querySelector("[data-verified]");
const copy = (id, texts) => {
  const part = document.getElementById(id).content.cloneNode(true).firstElementChild;
  for (const [name, text] of Object.entries(texts)) part.querySelector(`[data-${name}]`).textContent = text;
  return part;
};

async function check(file) {
  const answer = await call("POST", "/reports/check", new Blob([file], { type: "application/pdf" }));
  if (!answer?.ok) {
    shown.textContent = errorsOf(answer) || chosen.dataset.failed;
    return;
  }
  const list = document.createElement("ul");
  list.className = "findings";
  list.append(...answer.body.checks.map(({ name, ok, detail }) => copy(ok ? "check-ok" : "check-not", { name, detail })));
  shown.replaceChildren(copy(answer.body.consistent ? "check-good" : "check-bad", { code: answer.body.code }), list);
}

chosen.addEventListener("click", () => { chosen.value = ""; }); // the same name again may be another file
chosen.addEventListener("change", () => { if (chosen.files[0]) check(chosen.files[0]); });
const drop = document.getElementById("verify");
drop.addEventListener("dragover", (event) => event.preventDefault());
drop.addEventListener("drop", (event) => {
  event.preventDefault();
  if (event.dataTransfer.files[0]) check(event.dataTransfer.files[0]);
});
