# SPDX-License-Identifier: MIT
"""The scripts of single pages, on as little of those pages as they need."""

from __future__ import annotations

import json

import pytest
from django.utils import timezone

from brackish.web import models
from brackish.web.ledger.store import events_of
from tests.web.conftest import PASSWORD
from tests.web.desk import write
from tests.web.writing import JOB, footbridge

pytestmark = pytest.mark.slow
READING = ("test", "T1", "facts", "reading")


def field(**more: str) -> str:
    data = {"fact": "reading", "path": json.dumps(READING), "kind": "quantity", "repeats": "true", "unit": "uS/cm", "value": "null"} | more
    names = " ".join(f"data-{name}='{value}'" for name, value in data.items())
    return f"""<main data-error="Cannot be read" data-warning="Look again"><section data-panel><div {names}><div class="wells"><div class="well"><input></div></div>
      <button data-repeat data-label="Reading">Again</button><div class="fact-remarks"></div></div></section></main>"""


FACTS = """async () => {
  const { facts, overlay } = await import("/static/brackish/facts.js");
  const { queued } = await import("/static/brackish/record.js");
  overlay(document.querySelector("main"), queued());
  facts(document.querySelector("main"), { id: "T1" }, () => []);
}"""


def test_every_reading_that_waits_stands_on_the_page_again(desk):
    desk.body, desk.network = field(), "none"
    page = desk.page()
    assert write(page, (READING, ["9.1 uS/cm", "9.3 uS/cm"])) == "waiting"
    page.reload()
    page.evaluate(FACTS)
    assert [each.input_value() for each in page.locator(".well input").all()] == ["9.1", "9.3"]
    desk.network = "good"
    page.locator(".well input").first.fill("9,2")
    with page.expect_response("**/remarks"):
        page.locator(".well input").first.blur()
    assert events_of(JOB)[-1].value == ["9.2 uS/cm", "9.3 uS/cm"]


def test_late_remark_about_what_was_typed_before_is_not_shown(desk):
    desk.workspace.send("owner", *desk.workspace.writer("owner").document(footbridge()))
    desk.body = field()
    page = desk.page()
    page.evaluate(FACTS)
    remarks = []
    page.route("**/remarks", lambda route: remarks.append(route))
    for number, text in enumerate(("wet", "9.2"), 1):
        page.locator(".well input").fill(text)
        page.locator(".well input").blur()
        while len(remarks) < number:
            page.wait_for_timeout(5)
    remarks[1].fulfill(json={"errors": [], "findings": []})
    remarks[0].fulfill(json={"errors": [{"message": "wet is no number"}], "findings": []})
    page.evaluate("() => new Promise((done) => setTimeout(done, 50))")
    assert page.locator(".fact-remarks").inner_text() == ""


def test_clock_that_is_set_while_a_test_runs_moves_no_timer(desk):
    """A phone that is five minutes slow finds the network and puts its clock right."""
    desk.body = f'<main data-now="{timezone.now().isoformat()}"></main>'
    desk.context.add_init_script("window.slow = 300_000; const real = Date.now; Date.now = () => real() - window.slow;")
    page = desk.page()
    off = "async () => Math.abs((await import('/static/brackish/timer.js')).now() - Date.now() - window.slow)"
    assert page.evaluate(off) < 3_000
    with page.expect_response("**/health"):
        page.evaluate("window.slow = 0")
    page.wait_for_function(f"({off})().then((ms) => ms < 3_000)")


def test_screen_is_kept_awake_by_one_lock_and_let_go(desk):
    page = desk.page()
    counts = page.evaluate(
        """async () => {
          const { stayAwake } = await import("/static/brackish/timer.js");
          const count = { asked: 0, released: 0 };
          const request = async () => {
            count.asked += 1;
            const lock = new EventTarget();
            lock.release = async () => { count.released += 1; lock.dispatchEvent(new Event("release")); };
            return lock;
          };
          Object.defineProperty(navigator, "wakeLock", { value: { request } });
          const soon = () => new Promise((done) => setTimeout(done, 1));
          stayAwake(true); stayAwake(true); await soon();
          const first = { ...count };
          stayAwake(false); stayAwake(true); await soon();
          const second = { ...count };
          stayAwake(false); await soon();
          return [first, second, count];
        }"""
    )
    assert counts == [{"asked": 1, "released": 0}, {"asked": 2, "released": 1}, {"asked": 2, "released": 2}]


def test_screen_stays_awake_from_the_first_step_on(desk):
    document = footbridge()
    document["test"] = [{name: document["test"][0][name] for name in ("id", "item", "location", "method")}]
    desk.workspace.send("owner", *desk.workspace.writer("owner").document(document))
    desk.context.add_init_script("navigator.wakeLock.request = async () => { window.awake = true; return new EventTarget(); }")
    page = desk.page(f"/jobs/{JOB}/run/T1")
    page.get_by_role("button", name="Yes, devices are allowed").click()
    page.get_by_role("button", name="I have read it").click()
    assert page.evaluate("window.awake") is None
    with page.expect_response("**/events"):
        page.get_by_role("button", name="Begin the test").click()
    assert page.evaluate("window.awake") is True
    assert events_of(JOB)[-1].path == ("test", "T1", "started")


def test_second_press_of_a_hand_in_gloves_skips_no_step(desk):
    document = footbridge()
    document["test"] = [{name: document["test"][0][name] for name in ("id", "item", "location", "method")}]
    desk.workspace.send("owner", *desk.workspace.writer("owner").document(document))
    page = desk.page(f"/jobs/{JOB}/run/T1")
    for pressed, then in (("Yes, devices are allowed", "cautions"), ("I have read it", "kit"), ("Begin the test", "choose")):
        page.get_by_role("button", name=pressed).click()
        page.evaluate("""() => {
          const { x, y, width, height } = document.querySelector("[data-panel]:not([hidden]) .run-act .do-field").getBoundingClientRect();
          document.elementFromPoint(x + width / 2, y + height / 2).click();
        }""")
        assert page.locator("[data-panel]:not([hidden])").get_attribute("data-panel") == then
    page.locator("[data-panel]:not([hidden]) [data-next]").click()
    assert page.locator("[data-panel]:not([hidden])").get_attribute("data-panel") == "water"


def test_time_that_the_record_knows_is_one_that_can_be_read(desk):
    desk.body = field(fact="dwell", path=json.dumps(["test", "T1", "facts", "dwell"]), repeats="false", unit="min")
    page = desk.page()
    elapsed = """async (ms) => {
      const { elapsedChange } = await import("/static/brackish/facts.js");
      const panel = document.querySelector("[data-panel]");
      panel.querySelector("[data-fact]").dataset.value = "null";
      return [elapsedChange({ path: ["test", "T1"] }, panel, 1_000_000, 1_000_000 + ms).map((change) => change.value), panel.querySelector("input").value];
    }"""
    assert page.evaluate(elapsed, -90_000) == [[], ""]  # the clock was set back
    assert page.evaluate(elapsed, 900) == [[], ""]
    assert page.evaluate(elapsed, 4_700) == [["4 s", "4 s"], "4 s"]
    assert page.evaluate(elapsed, 618_000) == [["10.3 min", "10.3 min"], "10.3"]


def test_who_may_only_look_changes_nothing_and_sees_every_step(desk):
    document = footbridge(2)
    document["test"][1] = {name: document["test"][1][name] for name in ("id", "item", "location", "method")}
    desk.workspace.send("owner", *desk.workspace.writer("owner").document(document))
    desk.role = desk.author = "trainee"
    written = len(events_of(JOB))
    for test, first, last in (("T1", "end", "end"), ("T2", "choose", "restore")):
        page = desk.page(f"/jobs/{JOB}/run/{test}")
        shown = page.locator("[data-panel]:not([hidden])")
        assert shown.get_attribute("data-panel") == first
        while first == "end" and shown.locator("[data-back]").is_visible():
            shown.locator("[data-back]").click()
        while shown.get_attribute("data-panel") != last:
            assert shown.locator("input:enabled, .stepper button:enabled, [data-opens]:visible, .fact-acts :visible").count() == 0
            shown.locator("[data-next]").click()
        assert not shown.locator("[data-next]").is_visible()
    assert len(events_of(JOB)) == written


def test_value_that_the_server_refused_does_not_stay_in_its_field(desk):
    desk.workspace.send("owner", *desk.workspace.writer("owner").document(footbridge()))
    desk.role, desk.author, desk.body = "trainee", "trainee", field(value='["9.1 uS/cm"]')
    page = desk.page()
    page.evaluate(FACTS)
    page.locator(".well input").fill("8.1")
    page.locator(".well input").blur()
    page.get_by_text("Not taken.").wait_for()
    assert page.locator(".well input").input_value() == "9.1"


def test_nobody_asks_about_a_count_that_goes_on(desk):
    document = footbridge()
    document["test"][0]["facts"]["cycles"] = 1
    del document["test"][0]["facts"]["reading"], document["test"][0]["read_at"]
    now = timezone.now().isoformat()
    document["test"][0] |= {"started": now, "x-steps": {"choose": now, "dwell": now}}
    desk.workspace.send("owner", *desk.workspace.writer("owner").document(document))
    page = desk.page(f"/jobs/{JOB}/run/T1")
    count = page.locator('[data-panel="dwell"] [data-fact="cycles"]')
    with page.expect_response("**/events"):
        count.locator('[data-step="1"]').click()
    page.wait_for_timeout(50)
    assert count.locator(".fact-remarks").inner_text() == ""
    page.locator('[data-panel="dwell"] [data-early]').click()
    page.locator('[data-panel="draw-back"] [data-back]').click()
    count.locator(".fact-remarks").get_by_text("Look again.").wait_for()


def test_who_narrows_a_list_by_keyboard_goes_on_from_the_choice(desk):
    radios = "".join(f'<input type="radio" name="wait" value="{value}"{{{value}}}>' for value in ("all", "tests", "questions"))
    body = f'<form data-submits>{radios}</form><script type="module" src="/static/brackish/frame.js"></script>'
    desk.body = body.format(all=" checked", tests="", questions="")
    page = desk.page()
    assert page.evaluate("document.activeElement.localName") == "body"
    page.locator("input").first.focus()
    desk.body = body.format(all="", tests=" checked", questions="")
    page.keyboard.press("ArrowDown")
    page.wait_for_url("**/?wait=tests")
    page.wait_for_function("document.activeElement.value === 'tests'")


DAY = """<main><div data-live-day data-head="{head}"><button data-alarm data-on="Sound is on" data-off="Sound is off"></button>
  <a href="/t1">T1</a> <a href="/t2">T2 {head}</a><p data-announce></p></div></main><script type="module" src="/static/brackish/day.js"></script>"""


def test_day_that_is_shown_anew_keeps_the_place_of_the_keyboard_and_its_sound(desk):
    desk.body = DAY.format(head="one")
    page = desk.page()
    page.get_by_text("Sound is off").wait_for()
    page.locator("a").nth(1).focus()
    desk.body = DAY.format(head="two")
    page.evaluate("() => document.dispatchEvent(new Event('visibilitychange'))")
    page.get_by_text("T2 two").wait_for()
    assert page.evaluate("document.activeElement.textContent") == "T2 two"
    page.get_by_role("button").click()
    page.get_by_text("Sound is on").wait_for()


def test_recorded_time_is_shown_and_kept_by_this_device_s_clock(desk):
    desk.body = """<input type="datetime-local" id="when"><input type="hidden" data-moment-of="when" value="2026-03-04T09:05:00+05:00">
      <script type="module" src="/static/brackish/requirement.js"></script>"""
    page = desk.page()
    here = page.evaluate("() => { const at = new Date('2026-03-04T09:05:00+05:00'); return `${at.getHours()}:${at.getMinutes()}`; }")
    hour, minute = map(int, here.split(":"))
    page.wait_for_function("document.getElementById('when').value !== ''")
    assert page.locator("#when").input_value().endswith(f"T{hour:02}:{minute:02}")
    page.locator("#when").fill("2026-03-04T10:05")
    kept = page.locator("[data-moment-of]").input_value()
    assert page.evaluate("(kept) => Date.parse(kept) === Date.parse('2026-03-04T10:05')", kept)


SIGNING = """<button data-opens-signing>Sign</button><dialog id="signing" data-has-key="yes" data-offline="No network."><form data-sign>
  <input id="password" type="password"><p data-sign-error role="alert" hidden></p><p data-hash></p><button>Seal</button></form></dialog>
  <input type="file" data-verify data-failed="Failed"><div data-verified></div><div id="verify"></div>
  <script type="module" src="/static/brackish/report.js"></script>"""


def test_what_is_signed_is_what_this_page_showed(desk):
    desk.role, desk.author, desk.body = "inspector", "inspector", SIGNING
    desk.workspace.send("owner", *desk.workspace.writer("owner").document(footbridge()))
    page = desk.page()
    page.get_by_role("button", name="Sign").click()
    page.locator("[data-hash]").get_by_text("sha256:").wait_for()
    page.locator("#password").fill(PASSWORD)
    page.keyboard.press("Escape")
    page.wait_for_function("document.getElementById('password').value === ''")  # the next person at this device finds none
    base = models.Job.objects.get(id=JOB).frontier
    desk.workspace.send("tester", desk.workspace.writer("tester").set(READING, ["99 uS/cm"], base=base))
    page.get_by_role("button", name="Sign").click()
    page.get_by_role("alert").get_by_text("changed since the page was shown").wait_for()
    assert page.locator("[data-hash]").inner_text() == ""
    page.reload()
    page.get_by_role("button", name="Sign").click()
    page.locator("[data-hash]").get_by_text("sha256:").wait_for()
    assert page.get_by_role("alert").count() == 0


def test_pump_of_another_test_is_called_out_once_when_it_is_due(desk):
    desk.body = """<div data-timer data-name="T8" data-timed="true" data-what="draw back">
        <b data-left></b><span data-next data-due-text="time is up" data-pump-text="pump in" data-pump-now="pump now"></span></div>"""
    page = desk.page()
    said = page.evaluate(
        """async () => {
            const { now, showTimer } = await import("/static/brackish/timer.js");
            const timer = document.querySelector("[data-timer]");
            const at = (seconds) => new Date(now() + seconds * 1000).toISOString();
            Object.assign(timer.dataset, { begin: at(-60), due: at(300), pumps: JSON.stringify([at(-30), at(0.3), at(150)]) });
            const said = [];
            for (const end = now() + 600; now() < end; ) {
                said.push(showTimer(timer));
                await new Promise((done) => setTimeout(done, 20));
            }
            return said.filter(Boolean);
        }"""
    )
    assert said == ["pump now"]  # and not the one that was over when the page was opened
    assert page.locator("[data-next]").inner_text().startswith("pump in 2:")
