// SPDX-License-Identifier: MIT
// The day as it goes on: timers, the line of the present, an alarm when a time is up, and what others wrote meanwhile.

import { waiting } from "./record.js";
import { clock, everyMoment, localTimes, minutes, now, ring, showAlarms, showTimer, stayAwake } from "./timer.js";

const AGAIN = 15_000; // ms between looks at what others wrote
const live = () => document.querySelector("[data-live-day]");

function showHour() {
  const hour = document.querySelector("[data-hour]");
  if (!hour) return;
  const share = (now() - Date.parse(hour.dataset.begin)) / (Date.parse(hour.dataset.end) - Date.parse(hour.dataset.begin));
  const across = `${100 * Math.min(1, Math.max(0, share))}%`;
  for (const end of ["x1", "x2"]) hour.querySelector("[data-now-line]").setAttribute(end, across);
  hour.querySelector("[data-now-flag]").setAttribute("x", across);
  const tall = hour.querySelector("[data-top]");
  const down = Number(tall.dataset.top) + Number(tall.dataset.height) * Math.min(1, Math.max(0, share));
  for (const end of ["y1", "y2"]) hour.querySelector("[data-now-down]").setAttribute(end, down);
  hour.querySelector("[data-now-flag-down]").setAttribute("y", down);
  for (const text of hour.querySelectorAll("[data-now-text]")) text.textContent = clock(now());
}

function show() {
  const announce = document.querySelector("[data-announce]");
  for (const timer of document.querySelectorAll("[data-timer]")) {
    const said = showTimer(timer);
    if (!said) continue;
    ring();
    announce.textContent = `${timer.dataset.name}: ${said}`;
  }
  for (const each of document.querySelectorAll("[data-until]")) {
    const left = Date.parse(each.dataset.until) - now();
    each.textContent = left > 0 ? minutes(left) : each.dataset.zero;
  }
  showHour();
}

/** What another device wrote stands here soon; what was pressed or typed here is never lost by it, for this page has no field. */
async function look() {
  if (document.visibilityState !== "visible" || waiting()) return;
  const page = await fetch(location.pathname, { signal: AbortSignal.timeout(AGAIN) }).then((answer) => (answer.ok ? answer.text() : "")).catch(() => "");
  const fresh = new DOMParser().parseFromString(page, "text/html").querySelector("[data-live-day]");
  if (!fresh || fresh.dataset.head === live().dataset.head) return;
  const held = live().contains(document.activeElement) ? document.activeElement : null;
  live().replaceWith(document.adoptNode(fresh));
  const same = held && [...live().querySelectorAll(held.localName)].find((each) => each.getAttribute("href") === held.getAttribute("href"));
  same?.focus({ preventScroll: true }); // whoever walks by keyboard stays where they were
  begin();
}

function begin() {
  localTimes();
  showAlarms();
  stayAwake(document.querySelector("[data-timer]") !== null);
  show();
}

begin();
everyMoment(show);
setInterval(look, AGAIN);
addEventListener("pageshow", (event) => { if (event.persisted) look(); }); // whoever comes back has written elsewhere meanwhile
document.addEventListener("visibilitychange", () => {
  stayAwake(document.querySelector("[data-timer]") !== null);
  look();
});
