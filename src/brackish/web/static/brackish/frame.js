// SPDX-License-Identifier: MIT
// The frame of every page: the light at once, texts to copy, messages, what waits to be sent.

import { filesWaiting, sendAllFiles } from "./files.js";
import { again, sendAll, tell, waiting } from "./record.js";

for (const form of document.querySelectorAll('form[action="/light"]')) {
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const chosen = event.submitter.value;
    const life = chosen ? 365 * 24 * 3600 : 0;
    document.cookie = `brackish-light=${chosen}; path=/; max-age=${life}; samesite=lax`;
    if (chosen) document.documentElement.dataset.theme = chosen; else delete document.documentElement.dataset.theme;
    for (const button of form.querySelectorAll("button")) button.setAttribute("aria-pressed", String(button === event.submitter));
  });
}

for (const button of document.querySelectorAll("[data-copies]")) {
  button.addEventListener("click", async () => {
    const words = document.getElementById(button.dataset.copies);
    const text = [...words.children].map((part) => part.textContent.trim()).join("\n") || words.textContent.trim();
    try {
      await navigator.clipboard.writeText(text);
      tell(document.getElementById("messages").dataset.copied);
    } catch {
      getSelection().selectAllChildren(words);
    }
  });
}

for (const opener of document.querySelectorAll("[data-opens]")) {
  opener.addEventListener("click", () => document.getElementById(opener.dataset.opens).showModal());
}
for (const closer of document.querySelectorAll("[data-closes]")) {
  closer.addEventListener("click", () => closer.closest("dialog").close());
}

/** How many changes and files of this job wait on this device. */
async function showWaiting() {
  const sync = document.querySelector("[data-sync]");
  if (!sync) return;
  const count = waiting() + await filesWaiting();
  sync.hidden = count === 0;
  sync.className = `sync sync-${count ? "waiting" : "sent"}`;
  for (const mark of sync.querySelectorAll("[data-sync-mark]")) mark.hidden = mark.dataset.syncMark !== (count ? "waiting" : "sent");
  sync.querySelector("[data-sync-count]").textContent = count || "";
  const word = sync.querySelector("[data-sync-word]");
  word.textContent = ` ${count ? word.dataset.waiting : word.dataset.sent}`;
}

// A page that was made before what waited was sent shows what stood before it: it is shown anew, unless that would take
// away what somebody types. A run is not: it holds all it says of itself.
let old = false;
const typing = () => document.querySelector("form[data-typed], dialog[open], [data-fact] :focus, [data-moment]:focus");
document.addEventListener("input", (event) => { const form = event.target.closest("form"); if (form) form.dataset.typed = ""; });

function showAnew(text = "") {
  if (!old || typing() || document.body.matches(".running")) return;
  old = false;
  again({ text });
}

async function send() {
  sendAllFiles();
  const waited = waiting() > 0;
  if (await sendAll()) return; // a refusal stands there to be read
  old ||= waited && !waiting();
  showAnew(document.getElementById("messages").dataset.written);
}

let count = waiting();
showWaiting();
document.addEventListener("brackish:queue", () => { showWaiting(); count = waiting(); });
window.addEventListener("storage", () => { // another tab wrote or sent
  showWaiting();
  old ||= count > 0 && !waiting();
  count = waiting();
  showAnew();
});
window.addEventListener("online", send);
setInterval(send, 30_000);
send();

// A list is narrowed by a choice at once; whoever chooses by keyboard stands at that choice on the page that comes.
for (const form of document.querySelectorAll("form[data-submits]")) {
  form.addEventListener("change", (event) => {
    if (event.target.type !== "radio") return;
    sessionStorage.setItem("brackish-chosen", event.target.name);
    form.requestSubmit();
  });
  form.querySelector(`input[name="${sessionStorage.getItem("brackish-chosen")}"]:checked`)?.focus({ preventScroll: true });
}
sessionStorage.removeItem("brackish-chosen");

// "What if" answers while one types: the same page, asked again, and only its part exchanged.
for (const live of document.querySelectorAll("[data-live]")) {
  let asking = false;
  let newest = null;
  const ask = async (form) => { // one question at a time, then the newest: the answer comes at once and nothing piles up
    if (asking) { newest = form; return; }
    asking = true;
    try {
      const answer = await fetch(`${location.pathname}?${new URLSearchParams(new FormData(form))}`, { headers: { "X-Live": "1" } });
      const fresh = new DOMParser().parseFromString(await answer.text(), "text/html").querySelector("[data-live-answer]");
      if (answer.ok && fresh) live.querySelector("[data-live-answer]").replaceWith(document.adoptNode(fresh));
    } catch { /* no network: the last answer stays */ }
    asking = false;
    if (newest) { const form = newest; newest = null; ask(form); }
  };
  live.addEventListener("input", (event) => ask(event.target.closest("[data-live-form]")));
}

// What goes to paper; without scripts the browser's own command does it.
for (const button of document.querySelectorAll("[data-prints]")) {
  button.hidden = false;
  button.addEventListener("click", () => print());
}
