// SPDX-License-Identifier: MIT
// Time on the screen, counted from recorded times, never from a counter: it survives a reload, sleep and a second device.
// The server says what time it is (`data-now`), so that two devices with unlike clocks show the same.

const spoken = document.querySelector("[data-now]");
const [visit] = performance.getEntriesByType("navigation");
const answered = Date.now() - (visit ? performance.now() - visit.responseStart : 0);
let ahead = spoken ? Date.parse(spoken.dataset.now) - answered : 0;
const SMALL = 2_000; // ms; an answer is some time on its way

/** The present, in ms, by the server's clock. */
export const now = () => Date.now() + (Math.abs(ahead) > SMALL ? ahead : 0);

// A device that slept or whose clock was set has another distance between its two clocks: then the server is asked again.
const distance = () => Date.now() - performance.now();
let known = distance();
setInterval(async () => {
  if (!spoken || Math.abs(distance() - known) < SMALL) return;
  known = distance();
  const answer = await fetch("/health").catch(() => null);
  const said = Date.parse(answer?.headers.get("Date"));
  if (said) ahead = said - Date.now();
}, 1_000);

const opened = now();

/** A time for the record, with this place's offset from UTC: 2026-03-04T10:42:00+01:00. */
export function stamp(at = now()) {
  const offset = -new Date(at).getTimezoneOffset();
  const part = (number) => String(Math.abs(number)).padStart(2, "0");
  const local = new Date(at + offset * 60_000).toISOString().slice(0, 19);
  return `${local}${offset < 0 ? "-" : "+"}${part(Math.trunc(offset / 60))}:${part(offset % 60)}`;
}

/** The time of day of a recorded time, at this place. */
export const clock = (at) => new Date(at).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });

/** 3:36, or 1:02:05 from an hour on. */
export function minutes(ms) {
  const seconds = Math.max(0, Math.ceil(ms / 1000));
  const pair = (number) => String(number).padStart(2, "0");
  const [hours, rest] = [Math.floor(seconds / 3600), seconds % 3600];
  return hours ? `${hours}:${pair(Math.floor(rest / 60))}:${pair(rest % 60)}` : `${Math.floor(rest / 60)}:${pair(rest % 60)}`;
}

/** Every time of day on the page, as it is at this place. */
export function localTimes(root = document) {
  for (const each of root.querySelectorAll("[data-at]")) each.textContent = clock(each.dataset.at);
}

const KEY = "brackish-sound";
let ears = null;

/** What the buttons that turn the alarm on and off say now. */
export function showAlarms() {
  const on = localStorage.getItem(KEY) === "on" && ears?.state === "running";
  for (const button of document.querySelectorAll("[data-alarm]")) {
    button.setAttribute("aria-pressed", String(on));
    button.textContent = on ? button.dataset.on : button.dataset.off;
  }
}

document.addEventListener("click", async (event) => {
  const button = event.target.closest("[data-alarm]");
  if (!button) return;
  const on = button.getAttribute("aria-pressed") !== "true";
  localStorage.setItem(KEY, on ? "on" : "off");
  ears ??= new AudioContext();
  await (on ? ears.resume() : ears.suspend());
  showAlarms();
  if (on) ring();
});

// Whoever turned sound on hears it on the next page too, from the first press on: before it no browser gives sound.
for (const press of ["pointerdown", "keydown"]) {
  document.addEventListener(press, (event) => {
    if (localStorage.getItem(KEY) !== "on" || event.target.closest("[data-alarm]")) return;
    ears ??= new AudioContext();
    ears.resume().then(showAlarms);
  }, { once: true });
}

/** Sound where it was turned on, and a shake of the device. */
export function ring() {
  if (navigator.userActivation?.hasBeenActive) navigator.vibrate?.([300, 150, 300]); // before a first touch a browser refuses, with a complaint
  if (localStorage.getItem(KEY) !== "on" || ears?.state !== "running") return;
  for (const [start, pitch] of [[0, 880], [0.25, 660], [0.5, 880]]) {
    const [tone, loud] = [ears.createOscillator(), ears.createGain()];
    tone.frequency.value = pitch;
    loud.gain.value = 0.25;
    tone.connect(loud).connect(ears.destination);
    tone.start(ears.currentTime + start);
    tone.stop(ears.currentTime + start + 0.2);
  }
}

let awake = null; // the lock of the screen, asked for or held

/** Keep the screen awake while something runs, where the browser allows it. */
export function stayAwake(wanted) {
  if (!wanted) {
    awake?.then((lock) => lock?.release());
    awake = null;
  }
  if (!wanted || awake || document.visibilityState !== "visible") return;
  const asked = navigator.wakeLock?.request("screen").catch(() => null); // refused, for example with a low battery: the timers do not depend on it
  const over = () => { if (awake === asked) awake = null; };
  awake = asked;
  asked?.then((lock) => (lock ? lock.addEventListener("release", over) : over()));
}

/** Call `act` about four times a second and whenever the page is looked at again. */
export function everyMoment(act) {
  act();
  setInterval(act, 250);
  document.addEventListener("visibilitychange", () => { if (document.visibilityState === "visible") act(); });
}

const seen = new Set();

/** True once for each name: a change is announced one time. */
export function firstTime(name) {
  if (seen.has(name)) return false;
  seen.add(name);
  return true;
}

export const LATE = 90_000; // ms after which a pump is past: a browser calls a page that nobody looks at once a minute

/** Move the small glass and digits of a timer in a list; what is to be called out of it now, or an empty text. */
export function showTimer(timer) {
  const { begin, due, name, what } = timer.dataset;
  if (timer.dataset.timed !== "true") return "";
  const left = Date.parse(due) - now();
  const share = Math.min(1, Math.max(0, left / (Date.parse(due) - Date.parse(begin))));
  timer.querySelector("[data-left]").textContent = minutes(left);
  const words = timer.querySelector("[data-next]");
  const pumps = JSON.parse(timer.dataset.pumps).map((at) => Date.parse(at) - now());
  const pump = pumps.find((ms) => ms > 0);
  words.textContent = left <= 0 ? `${words.dataset.dueText}: ${what}` : pump !== undefined ? `${words.dataset.pumpText} ${minutes(pump)}` : what;
  const top = 51 * (1 - share);
  const water = timer.querySelector("[data-cup]");
  water?.setAttribute("y", top);
  water?.setAttribute("height", 51 - top);
  for (const end of ["y1", "y2"]) timer.querySelector("[data-cup-level]")?.setAttribute(end, top);
  timer.classList.toggle("is-due", left <= 0);
  if (left <= 0) return firstTime(`${name} ${due}`) && left > -600_000 ? words.textContent : "";
  const passed = pumps.findLastIndex((ms) => ms <= 0 && -ms < Math.min(LATE, now() - opened)); // not what was over when the page was opened
  return passed >= 0 && firstTime(`${name} pump ${passed}`) ? words.dataset.pumpNow : "";
}
