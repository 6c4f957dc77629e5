// SPDX-License-Identifier: MIT
// Invitations and roles: a link made by the API and shown once, a role taken away.

import { again, call, errorsOf, onSubmit, tell } from "./record.js";

const failed = (answer) => tell(errorsOf(answer) || document.getElementById("messages").dataset.failed, { wrong: true });

onSubmit(document.querySelector("form[data-invite]"), async ({ target }) => {
  const { role, job } = Object.fromEntries(new FormData(target));
  const answer = await call("POST", "/invitations", job ? { role, job } : { role });
  const [made, link] = [document.querySelector("[data-made]"), document.getElementById("link")];
  made.hidden = !answer?.ok; // the link of another role must not be taken for this one
  if (!answer?.ok) { failed(answer); return; }
  link.textContent = answer.body.link;
  link.focus();
});

for (const button of document.querySelectorAll("[data-away]")) {
  button.addEventListener("click", async () => {
    button.disabled = true;
    const answer = await call("DELETE", `/people/${button.dataset.away}`);
    if (answer?.ok) { again({ text: button.dataset.said }); return; }
    button.disabled = false;
    failed(answer);
  });
}
