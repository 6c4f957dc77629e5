# SPDX-License-Identifier: MIT
"""Runs: three at once on a moved clock in a real browser, from the zone question to the verdict; the pages by role; the sheet on A4."""

from __future__ import annotations

import hashlib
import html
import io
import json
import re
from datetime import datetime, timedelta

import pytest
from PIL import Image
from playwright.sync_api import expect

from brackish import library
from brackish.report.words import split
from brackish.web import models
from brackish.web.ledger.outcomes import document_of
from brackish.web.ledger.store import append, events_of
from brackish.web.people import rules
from tests.journeys.conftest import ARTIFACTS
from tests.journeys.test_every_page import AXE, sideways
from tests.web.conftest import Workspace
from tests.web.pages.workbench import START, Workbench, bench  # noqa: F401 (a fixture)
from tests.web.writing import JOB, Writer, footbridge

PATCH = {"compartment_area": "1250", "volume_injected": "3.0", "solution_volume": "10.0", "reading": "9.1", "temperature": "25.0"}


def planned(tests: int = 3) -> dict:
    """The contract's job with nothing tested yet: places, kit, a blank of the day."""
    document = footbridge(tests)
    document["specification"][0]["criterion"][0] |= {"count": f"{tests} per item", "dwell": "10 min", "cycles": 6}
    document["equipment"][0]["verification"] = [
        {"at": "2026-03-04T07:40:00+00:00", "solution": "KCl 0.001 mol/L", "reading": "146.2 uS/cm", "temperature": "25.0 degC"}
    ]
    kept = ("id", "item", "location", "method", "purpose", "stage")
    document["test"] = [{name: test[name] for name in kept} for test in document["test"]]
    return document


def begin(page, test: str) -> None:
    """From the zone question to the first step."""
    page.goto(f"/jobs/{JOB}/run/{test}")
    page.get_by_role("button", name="Yes, devices are allowed").click()
    page.get_by_role("button", name="I have read it").click()
    panel(page).get_by_label("Ines Farrow").check()
    panel(page).get_by_label("Conductivity meter").check()
    page.get_by_role("button", name="Begin the test").click()


def panel(page):
    return page.locator("[data-panel]:not([hidden])")


def following(page) -> None:
    """The button that leads on; what was written has arrived when this returns."""
    panel(page).locator("[data-next]").click()
    settled(page)


def settled(page) -> None:
    """What was pressed or typed has become events, and the server has them."""
    page.wait_for_timeout(80)
    until(
        page,
        "Object.keys(localStorage).filter((key) => key.startsWith('brackish-chain')).every((key) => JSON.parse(localStorage.getItem(key)).queue.length === 0)",
    )


def until(page, expression: str) -> None:
    """Wait for a truth in the page; the page's own policy forbids Playwright's way of waiting."""
    for _ in range(100):
        if page.evaluate(expression):
            return
        page.wait_for_timeout(50)
    raise AssertionError(expression)


def write(page, fact: str, text: str) -> None:
    field = panel(page).locator(f'[data-fact="{fact}"]')
    field.locator("input").first.fill(text)
    field.locator("input").first.blur()
    settled(page)


def to_the_water(page, test: str) -> None:
    """A run up to the moment at which the water is on the steel."""
    begin(page, test)
    for _ in ("choose", "water"):
        following(page)
    write(page, "compartment_area", PATCH["compartment_area"])
    following(page)
    write(page, "volume_injected", PATCH["volume_injected"])
    following(page)
    expect(panel(page)).to_have_attribute("data-panel", "dwell")


def to_the_end(page, reading: str) -> None:
    """From the time that is up to the result."""
    for _ in range(6):
        panel(page).locator('[data-fact="cycles"] [data-step="1"]').click()
    panel(page).locator('[data-fact="liquid_lost"]').get_by_label("no").check()
    settled(page)
    following(page)
    panel(page).locator('[data-fact="returned_to"]').get_by_label("beaker").check()
    write(page, "volume_recovered", "3.0")
    write(page, "solution_volume", PATCH["solution_volume"])
    following(page)
    write(page, "reading", reading)
    write(page, "temperature", PATCH["temperature"])
    following(page)
    following(page)


@pytest.mark.slow
def test_three_runs_at_once_reach_their_verdicts(bench: Workbench, browser):  # noqa: F811
    bench.write(planned())
    with bench.device(browser) as page:
        for number, test in enumerate(("T1", "T2", "T3")):
            to_the_water(page, test)
            bench.later(page, minutes=2 if number < 2 else 0.5)
        page.goto(f"/jobs/{JOB}/day")
        left = {row.get_attribute("data-name"): row.locator("[data-left]").inner_text() for row in page.locator("[data-timer]").all()}
        assert {test: text.split(":")[0] for test, text in left.items()} == {"T1": "5", "T2": "7", "T3": "9"}
        picture(page, "day-running")
        bench.later(page, minutes=1)
        page.reload()  # the timers count from the record
        expect(page.locator('[data-name="T1"] [data-left]')).to_have_text(re.compile("^4:"))
        with bench.device(browser, "jonna", width=1280) as other:  # and show the same on a second device
            other.goto(f"/jobs/{JOB}/day")
            expect(other.locator('[data-name="T1"] [data-left]')).to_have_text(re.compile("^4:"))
            picture(other, "day-running")
            other.goto(f"/jobs/{JOB}/run/T2")
            expect(panel(other)).to_have_attribute("data-panel", "dwell")
            picture(other, "run-dwell")
        for test, reading in (("T1", "9.1"), ("T2", "14.7"), ("T3", "20.0")):
            page.goto(f"/jobs/{JOB}/run/{test}")
            expect(panel(page)).to_have_attribute("data-panel", "dwell")
            if test == "T1":
                expect(panel(page).locator("[data-next]")).to_have_attribute("aria-disabled", "true")
                expect(panel(page).locator("[data-next]")).to_have_text(re.compile(r"^Next: Draw the water back in 4:\d\d$"))
                picture(page, "run-dwell")
            due = page.evaluate("JSON.parse(document.getElementById('main').dataset.run).times.dwell")
            bench.later(page, seconds=max(0.0, (_moment(due) + timedelta(minutes=10, seconds=2) - bench.at).total_seconds()))
            until(page, "document.querySelector('[data-panel]:not([hidden]) [data-next]').getAttribute('aria-disabled') === 'false'")
            to_the_end(page, reading)
            expect(panel(page)).to_have_attribute("data-panel", "end")
        page.get_by_role("link", name="See the result").click()
        assert page.locator("h1").count() == 1
        timed = page.locator("#facts dl div", has_text="Time on the steel")
        assert re.search(r"1\d\.\d", timed.inner_text()) and timed.locator(".fact").count() == 0  # no person wrote it
    outcome = bench.outcome()
    verdicts = {test["id"]: test["verdicts"][0]["verdict"] for test in outcome["tests"]}
    assert verdicts == {"T1": "pass", "T2": "inconclusive", "T3": "fail"}
    document = footbridge()  # the same facts typed into a file give the same amount
    assert next(test["results"][0]["shown"] for test in outcome["tests"]) == _judged(document)
    findings = {finding["code"] for finding in outcome["tests"][0]["findings"]}
    assert not findings & {"dwell.short", "dwell.few_cycles", "fact.not_written", "equipment.meter_not_named"}


@pytest.mark.slow
def test_another_device_sees_within_seconds_what_was_begun(bench: Workbench, browser):  # noqa: F811
    bench.write(planned(1))
    with bench.device(browser) as page, bench.device(browser, "jonna", width=1280) as other:
        other.goto(f"/jobs/{JOB}/day")
        expect(other.locator("h1")).to_have_text("Nothing is running")
        to_the_water(page, "T1")
        bench.later(other, page, seconds=16)
        other.locator('[data-name="T1"]').wait_for()
        expect(other.locator("h1")).to_have_text("1 test holds water")
        expect(other.locator('[data-name="T1"] [data-left]')).to_have_text(re.compile(r"^9:[34]\d$"))


def _moment(text: str):
    return datetime.fromisoformat(text)


def _judged(document: dict) -> str:
    import brackish

    return brackish.evaluate(document).to_dict()["tests"][0]["results"][0]["shown"]


@pytest.mark.slow
def test_step_back_and_a_reload_lose_nothing_and_offline_facts_wait(bench: Workbench, browser):  # noqa: F811
    bench.write(planned(1))
    with bench.device(browser) as page:
        to_the_water(page, "T1")
        panel(page).locator("[data-back]").click()
        expect(panel(page).locator('[data-fact="volume_injected"] input')).to_have_value("3.0")
        panel(page).locator("[data-back]").click()
        expect(panel(page).locator('[data-fact="compartment_area"] input')).to_have_value("1250")
        page.reload()
        expect(panel(page)).to_have_attribute("data-panel", "dwell")
        page.context.set_offline(True)
        panel(page).locator('[data-fact="cycles"] [data-step="1"]').click()
        bench.later(page, minutes=11)
        until(page, "document.querySelector('[data-panel]:not([hidden]) [data-next]').getAttribute('aria-disabled') === 'false'")
        panel(page).locator("[data-next]").click()
        expect(panel(page)).to_have_attribute("data-panel", "draw-back")
        until(page, "!document.querySelector('[data-sync]').hidden")
        picture(page, "run-offline")
        page.context.set_offline(False)
        page.evaluate("dispatchEvent(new Event('online'))")
        settled(page)
        page.reload()
        expect(panel(page)).to_have_attribute("data-panel", "draw-back")
    bench.job.refresh_from_db()
    (test,) = document_of(bench.job)["test"]
    assert test["facts"]["cycles"] == 1
    assert 10.8 <= float(split(test["facts"]["dwell"].replace(" ", "\u00a0"))[0]) < 12  # by the recorded times; the bench's server stood still meanwhile


@pytest.mark.slow
def test_no_device_no_run_and_the_sheet_is_typed_in_afterwards(bench: Workbench, browser):  # noqa: F811
    bench.write(planned(2))
    with bench.device(browser) as page:
        page.goto(f"/jobs/{JOB}/run/T1")
        picture(page, "run-zone")
        page.get_by_role("button", name="No, none is allowed").click()
        settled(page)
        expect(panel(page)).to_have_attribute("data-panel", "refused")
        picture(page, "run-refused")
        page.reload()
        expect(panel(page)).to_have_attribute("data-panel", "refused")
        page.get_by_role("link", name="Type a written sheet in").click()
        page.fill("#started", "2026-03-04T09:05")
        page.fill("#read_at", "2026-03-04T09:17")
        page.locator("#read_at").blur()
        page.get_by_label("Conductivity meter").check()
        page.locator("label.choice", has_text="B1").locator("input").check()
        for fact, text in {**PATCH, "dwell": "10"}.items():
            field = page.locator(f'[data-fact="{fact}"] input').first
            field.fill(text)
            field.blur()
        settled(page)
        picture(page, "paper")
    outcome = bench.outcome()
    assert outcome["tests"][0]["results"][0]["shown"] == _judged(footbridge())
    assert bench.client_document()["test"][0]["x-paper"] is True


@pytest.mark.slow
def test_a_remark_is_said_and_keeps_nothing_from_being_written(bench: Workbench, browser):  # noqa: F811
    bench.write(planned(1))
    with bench.device(browser) as page:
        begin(page, "T1")
        for _ in ("choose", "water"):
            following(page)
        write(page, "compartment_area", "1250")
        following(page)
        write(page, "volume_injected", "6.0")
        warning = panel(page).locator('[data-fact="volume_injected"] .remark')
        warning.wait_for()
        assert "0.0020 mL to 0.0032 mL is usual" in warning.inner_text().replace("\u00a0", " ")
        picture(page, "run-warning")
        page.get_by_text("Photo, deviation, void").locator("visible=true").click()
        panel(page).locator("[data-photo]").set_input_files({"name": "leak.jpg", "mimeType": "image/jpeg", "buffer": a_photo()})
        page.get_by_text("Photo added").wait_for()
        panel(page).get_by_role("button", name="Something was done differently").click()
        page.fill("#deviation-what", "6 mL injected")
        page.get_by_role("button", name="Write it down").click()
        settled(page)
        panel(page).get_by_role("button", name="That happened").click()
        page.fill("#void-reason", "the rim lifted")
        page.get_by_role("button", name="Declare void").click()
        settled(page)
        page.get_by_role("button", name="Plan T2 for this place").click()
        page.wait_for_url("**/day")
        assert page.get_by_role("link", name="Start T2").count() == 1
    document = bench.client_document()
    assert document["test"][0]["facts"]["volume_injected"] == "6.0 mL"
    assert document["test"][0]["void"]["reason"] == "the rim lifted"
    assert document["test"][0]["deviations"] == [{"what": "6 mL injected"}]
    (photo,) = document["test"][0]["photos"]
    assert photo["file"].startswith("T1-inject-") and photo["sha256"] == hashlib.sha256(a_photo()).hexdigest()
    assert document["test"][1]["location"] == document["test"][0]["location"]


@pytest.mark.slow
def test_a_photo_taken_without_a_network_is_kept_and_comes_later(bench: Workbench, browser):  # noqa: F811
    bench.write(planned(1))
    with bench.device(browser) as page:
        begin(page, "T1")
        settled(page)
        page.context.set_offline(True)
        page.get_by_text("Photo, deviation, void").locator("visible=true").click()
        panel(page).locator("[data-photo]").set_input_files({"name": "leak.jpg", "mimeType": "image/jpeg", "buffer": a_photo()})
        expect(page.locator("[data-sync-count]")).to_have_text("4")  # the file and what is written of it
        assert "kept on this device" in page.locator("#messages").inner_text()
        page.context.set_offline(False)
        page.goto(f"/jobs/{JOB}/results/T1")  # another page sends it
        expect(page.locator("[data-sync-count]")).to_have_text("")
        page.reload()
        shown = page.locator("#photos img")
        assert shown.evaluate("(image) => image.decode().then(() => image.naturalWidth)") == 40
        picture(page, "result-photo")
    (photo,) = bench.client_document()["test"][0]["photos"]
    assert photo["sha256"] == hashlib.sha256(a_photo()).hexdigest()


@pytest.mark.slow
def test_a_deviation_is_agreed_after_the_test_was_read(bench: Workbench, browser):  # noqa: F811
    document = footbridge()
    document["specification"][0]["criterion"][0]["dwell"] = "12 min"
    bench.write(document)
    assert bench.outcome()["tests"][0]["verdicts"][0]["verdict"] == "withheld"
    with bench.device(browser) as page:
        page.goto(f"/jobs/{JOB}/results/T1")
        page.get_by_role("link", name="Photo, deviation, void").click()
        panel(page).get_by_text("Photo, deviation, void").click()
        panel(page).get_by_role("button", name="Something was done differently").click()
        page.fill("#deviation-what", "10 min on the steel")
        page.fill("#deviation-by", "Jonna Reith")
        page.get_by_role("button", name="Write it down").click()
        settled(page)
    assert bench.outcome()["tests"][0]["verdicts"][0]["verdict"] == "pass"


@pytest.mark.slow
def test_a_photo_that_is_none_is_said_and_taken_back(bench: Workbench, browser):  # noqa: F811
    bench.write(planned(1))
    with bench.device(browser) as page:
        begin(page, "T1")
        page.get_by_text("Photo, deviation, void").locator("visible=true").click()
        panel(page).locator("[data-photo]").set_input_files({"name": "leak.jpg", "mimeType": "image/jpeg", "buffer": b"no picture"})
        page.get_by_text("The photo was not added.").wait_for()
        settled(page)
        expect(page.locator("[data-sync]")).to_be_hidden()
    assert not bench.client_document()["test"][0].get("photos")


@pytest.mark.slow
def test_counter_time_and_foot_stand_in_the_hand_at_once(bench: Workbench, browser):  # noqa: F811
    bench.write(planned(2))
    with bench.device(browser) as page:
        to_the_water(page, "T1")
        to_the_water(page, "T2")
        foot, counter, left = (panel(page).locator(".run-act"), panel(page).locator(".stepper"), page.locator(".run-others [data-left]"))
        assert counter.bounding_box()["y"] + counter.bounding_box()["height"] < foot.bounding_box()["y"]
        picture(page, "run-with-another")
        page.evaluate("document.documentElement.style.setProperty('font-size', '200%')")
        assert foot.bounding_box()["height"] < 844 / 2
        assert left.inner_text() and left.bounding_box()["x"] + left.bounding_box()["width"] <= 390
        assert panel(page).locator(".progress-text > :first-child").bounding_box()["height"] < 60  # one line
        picture(page, "run-with-another-twice-the-size")


@pytest.mark.slow
def test_what_is_left_empty_is_said_at_once_and_at_the_end(bench: Workbench, browser):  # noqa: F811
    document = planned(1)
    document["test"].append(footbridge(2)["test"][1] | {"location": "L1", "purpose": "pre-check"})
    bench.write(document)
    with bench.device(browser) as page:
        to_the_water(page, "T1")
        panel(page).locator('[data-fact="cycles"] [data-step="1"]').click()
        bench.later(page, minutes=10, seconds=2)
        until(page, "document.querySelector('[data-panel]:not([hidden]) [data-next]').getAttribute('aria-disabled') === 'false'")
        following(page)
        page.get_by_text("Left empty: Times drawn back and injected again: 1 of 6. The result may be low. Also left empty: Liquid lost.").wait_for()
        picture(page, "run-left-empty")
        panel(page).locator("[data-back]").click()
        expect(page.locator("[data-left-out]")).to_be_empty()  # the fields themselves stand there now
        following(page)
        page.get_by_text("Left empty: Times drawn back").wait_for()
        following(page)
        page.get_by_text("Left empty: All the water at the reading. Without it there is no verdict. Also left empty: Where the extract was read.").wait_for()
        limit = panel(page).locator("[data-limits]")
        expect(limit).to_contain_text("No volume is written for this test yet.")
        write(page, "reading", "9.1")
        write(page, "temperature", "20")
        following(page)
        following(page)
        expect(page.locator("[data-left-out]")).to_be_empty()  # it was said of that step
        rows = panel(page).locator("[data-missing] li")
        assert [row.inner_text().replace("\n", " ") for row in rows.all()] == [
            "Times drawn back and injected again: 1 of 6 The result may be low.",
            "Liquid lost Without it nothing shows later that the test was not void.",
            "Where the extract was read The test stands, but less can be shown later.",
            "All the water at the reading Without it there is no verdict.",
        ]
        picture(page, "run-missing")
        rows.last.get_by_role("button").click()
        expect(panel(page)).to_have_attribute("data-panel", "draw-back")
        panel(page).locator('[data-fact="returned_to"]').get_by_label("undiluted").check()  # with what was injected that says the volume too
        settled(page)
        following(page)
        expect(panel(page)).to_have_attribute("data-panel", "end")
        assert rows.count() == 2
    assert bench.outcome()["tests"][0]["state"] == "valid"


@pytest.mark.slow
def test_what_the_reading_may_be_is_said_for_the_volume_that_was_written(bench: Workbench, browser):  # noqa: F811
    document = footbridge(2)
    del document["test"][1]["facts"]["reading"], document["test"][1]["facts"]["solution_volume"]
    document["test"][1]["x-steps"] = {"read": START.isoformat()}
    del document["blank"][0]["solution_volume"]
    bench.write(document)
    with bench.device(browser) as page:
        page.goto(f"/jobs/{JOB}/run/T2")
        limit = panel(page).locator("[data-limits]")
        expect(limit).to_contain_text("No volume is written for this test yet. In 10.0\u00a0mL, as in most tests of this job, a reading up to")
        panel(page).locator("[data-back]").click()
        write(page, "solution_volume", "20.0")
        following(page)
        expect(limit).to_contain_text(re.compile("^In 20.0\u00a0mL a reading up to"))
        writer, check = Writer(author="ines", device="other"), {"at": bench.at.isoformat(), "solution": "KCl 0.001 mol/L", "reading": "160 uS/cm"}
        events = [writer.set(("equipment", "meter", "verification", "#9", name), value) for name, value in check.items()]
        append(job=JOB, documents=[event.to_dict() for event in events], sender=None)
        panel(page).locator("[data-back]").click()
        following(page)
        expect(limit).to_contain_text("C-1207 failed its check")  # a check of the meter is seen where it is read


@pytest.mark.slow
def test_what_was_judged_is_changed_with_a_reason(bench: Workbench, browser):  # noqa: F811
    bench.write(footbridge())
    before = bench.client_document()["test"][0]
    with bench.device(browser) as page:
        page.goto(f"/jobs/{JOB}/run/T1")
        expect(panel(page)).to_have_attribute("data-panel", "end")
        for _ in ("restore", "read"):
            panel(page).locator("[data-back]").click()
        reading = panel(page).locator('[data-fact="reading"] input')
        reading.fill("8.1")
        reading.blur()
        picture(page, "run-why")
        page.get_by_role("button", name="Leave it as it was").click()
        expect(reading).to_have_value("9.1")
        reading.fill("8.1")
        reading.blur()
        page.fill("#why-reason", "misread")
        page.get_by_role("button", name="Write the correction").click()
        write(page, "ph", "6.5")  # nothing was written there, so nothing is changed
        following(page)
        expect(panel(page)).to_have_attribute("data-panel", "end")
        page.goto(f"/jobs/{JOB}/run/T1/paper")
        page.fill("#read_at", "2026-03-04T09:20")
        page.locator("#read_at").blur()
        page.fill("#why-reason", "the clock was slow")
        page.get_by_role("button", name="Write the correction").click()
        settled(page)
    after = bench.client_document()["test"][0]
    assert after.pop("read_at").startswith("2026-03-04T09:20") and after.pop("x-paper")
    assert after == {name: value for name, value in before.items() if name != "read_at"} | {"facts": before["facts"] | {"reading": ["8.1 uS/cm"], "ph": "6.5"}}
    written = {tuple(event.path): event.reason for event in events_of(JOB)[-4:]}
    assert written == {
        ("test", "T1", "facts", "reading"): "misread",
        ("test", "T1", "facts", "ph"): "",
        ("test", "T1", "read_at"): "the clock was slow",
        ("test", "T1", "x-paper"): "",
    }


def test_end_of_a_portion_leads_to_the_next(workspace: Workspace):
    document = planned(0)
    document["item"] = [{"id": "lot", "kind": "abrasive", "name": "Lot FM-7781"}]
    document["location"] = []
    document["test"] = [{"id": "A1", "item": "lot", "method": "abrasive-conductivity"}]
    workspace.send("owner", *workspace.writer("owner").document(document))

    def leads(portion: int) -> list[str]:
        return re.findall(r'href="([^"]+)">Open A1\.\d', workspace.client("tester").get(f"/jobs/{JOB}/run/A1", {"portion": portion}).content.decode())

    assert (leads(1), leads(2)) == ([f"/jobs/{JOB}/run/A1?portion=2"], [f"/jobs/{JOB}/run/A1?portion=1"])


@pytest.mark.slow
def test_every_methods_sheet_is_one_page_of_a4_a_portion(bench: Workbench, browser):  # noqa: F811
    document = planned(0)
    document["item"].append({"id": "lot", "kind": "abrasive", "name": "Lot FM-7781"})
    document["location"] = []
    methods = [library.method(name) for name in library.method_ids()]
    document["test"] = [
        {"id": f"S{number}", "item": "lot" if each.applies_to == "abrasive" else "girder", "method": each.id} for number, each in enumerate(methods)
    ]
    bench.write(document)
    with bench.device(browser, width=1280) as page:
        page.goto(f"/jobs/{JOB}/sheet")
        data = page.pdf(prefer_css_page_size=True)
        assert len(re.findall(rb"/Type\s*/Page\b", data)) == sum(each.determinations for each in methods)
        picture(page, "sheets")


def a_photo() -> bytes:
    data = io.BytesIO()
    Image.new("RGB", (40, 30), "white").save(data, "JPEG")
    return data.getvalue()


def picture(page, name: str) -> None:
    """Pictures in both lights at the page's width, and what axe and the right edge say."""
    ARTIFACTS.mkdir(parents=True, exist_ok=True)
    width = page.viewport_size["width"]
    if not page.evaluate("'axe' in window"):
        page.evaluate(AXE.read_text())
    for light in ("dark", "light"):
        page.emulate_media(color_scheme=light)
        page.screenshot(path=ARTIFACTS / f"{name}-{width}-{light}.png", full_page=True)
        found = page.evaluate("axe.run().then((result) => result.violations.map((each) => [each.id, each.nodes.map((node) => node.html.slice(0, 160))]))")
        assert found == [], name
    assert sideways(page) == [], name


def test_run_asks_the_zone_first_and_shows_every_caution_and_step(workspace: Workspace):
    workspace.send("owner", *workspace.writer("owner").document(planned(1)))
    text = workspace.client("tester").get(f"/jobs/{JOB}/run/T1").content.decode()
    method = library.method("patch-conductivity")
    assert 'data-open="zone"' in text
    assert all(caution.text in text for caution in method.cautions)
    assert list(re.findall(r'data-panel="([a-z-]+)" data-step="', text)) == [step.name for step in method.steps]
    assert all(f'data-fact="{fact}"' in text for step in method.steps for fact in step.facts)


@pytest.mark.parametrize(("role", "status"), [("tester", 200), ("owner", 200), ("reader", 403), ("client", 403), (None, 302)])
def test_who_may_run_a_test(role, status, workspace: Workspace):
    workspace.send("owner", *workspace.writer("owner").document(planned(1)))
    assert workspace.client(role).get(f"/jobs/{JOB}/run/T1").status_code == status


def test_trainee_looks_at_a_test_that_is_not_for_training(workspace: Workspace):
    workspace.send("owner", *workspace.writer("owner").document(planned(1)))
    trainee, tester = workspace.client("trainee"), workspace.client("tester")
    said = "To look at only."
    page = trainee.get(f"/jobs/{JOB}/run/T1").content.decode()
    assert said in page and 'data-open="choose"' in page and said not in tester.get(f"/jobs/{JOB}/run/T1").content.decode()
    assert trainee.get(f"/jobs/{JOB}/run/T1/paper").headers["Location"] == f"/jobs/{JOB}/run/T1"
    assert tester.get(f"/jobs/{JOB}/run/T1/paper").status_code == 200
    base = models.Job.objects.get(id=JOB).frontier
    workspace.send("owner", workspace.writer("owner", "other").set(("test", "T1", "purpose"), "training", base=base))
    assert said not in trainee.get(f"/jobs/{JOB}/run/T1").content.decode()


def test_a_refusal_says_what_was_asked_and_who_may(workspace: Workspace):
    workspace.send("owner", *workspace.writer("owner").document(planned(1)))
    said = workspace.client("reader").get(f"/jobs/{JOB}/run/T1").content.decode()
    assert "As reader you may not write into this job. Who may: inspector, owner, tester, trainee. Ask one of them." in said
    assert "As tester you may not make a job. Who may: inspector, owner. Ask one of them." in workspace.client("tester").get("/new").content.decode()
    assert rules.ASKED.keys() == rules.MAY.keys()


@pytest.mark.parametrize(("purpose", "said"), [("training", "training, not counted"), ("pre-check", "pre-check, not counted"), ("acceptance", ", not counted")])
def test_day_run_and_sheet_say_what_a_test_is_for(purpose, said, workspace: Workspace):
    document = planned(1)
    document["test"][0]["purpose"] = purpose
    workspace.send("owner", *workspace.writer("owner").document(document))
    for address in ("day", "run/T1", "run/T1/paper", "sheet"):
        page = workspace.client("tester").get(f"/jobs/{JOB}/{address}").content.decode()
        assert (said.casefold() in page.casefold()) == (purpose != "acceptance"), address


def test_whoever_is_signed_in_is_offered_as_the_tester_and_names_themself_alone(workspace: Workspace):
    document = planned(1)
    document["test"][0]["purpose"] = "training"
    workspace.send("owner", *workspace.writer("owner").document(document))
    page = html.unescape(workspace.client("trainee").get(f"/jobs/{JOB}/run/T1").content.decode())
    assert '<input type="radio" name="tester" value="trainee" checked><span>Trainee ' in page
    naming = json.loads(re.search(r'data-naming="(.*?)">', page)[1])["trainee"]
    writer = workspace.writer("trainee")
    workspace.send("trainee", *(writer.set(change["path"], change["value"]) for change in naming), writer.set(("test", "T1", "tester"), "trainee"))
    people = document_of(models.Job.objects.get(id=JOB))["person"]
    assert next(each for each in people if each["id"] == "trainee") == {"id": "trainee", "name": "Trainee", "role": "trainee"}
    again = html.unescape(workspace.client("trainee").get(f"/jobs/{JOB}/run/T1").content.decode())
    assert 'value="trainee" checked><span>Trainee</span>' in again and 'data-naming="{}"' in again
    for path, value in ((("person", "tester-a", "name"), "Trainee"), (("person", "trainee", "certificate"), "level 3")):
        (answer,) = workspace.send("trainee", workspace.writer("trainee", path[-1]).set(path, value), expect="refused")
        assert answer["errors"][0]["code"] == "event.not_yours"


@pytest.mark.parametrize(("method", "said"), [("patch-conductivity", "Over the meter’s range"), ("sleeve-chloride-tube", "Over the last mark")])
def test_a_reading_out_of_range_is_named_by_what_reads_it(method, said, workspace: Workspace):
    document = planned(1)
    document["test"][0]["method"] = method
    workspace.send("owner", *workspace.writer("owner").document(document))
    page = workspace.client("tester").get(f"/jobs/{JOB}/run/T1").content.decode()
    assert [words for words in ("Over the meter’s range", "Over the last mark") if words in page] == [said]


def test_devices_not_allowed_opens_the_refusal(workspace: Workspace):
    workspace.send("owner", *workspace.writer("owner").document(planned(1)))
    workspace.send("tester", workspace.writer("tester").set(("test", "T1", "x-devices"), "not-allowed"))
    page = workspace.client("tester").get(f"/jobs/{JOB}/run/T1").content.decode()
    assert 'data-open="refused"' in page
    assert f"/jobs/{JOB}/sheet?test=T1" in page


def test_start_of_the_bench_is_the_day_of_its_blank():
    assert planned(1)["blank"][0]["at"].startswith(START.date().isoformat())
