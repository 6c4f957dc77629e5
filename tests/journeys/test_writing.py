# SPDX-License-Identifier: MIT
"""What a person writes in a real browser becomes events: corrected, taken back, kept without a network, sent later."""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import expect

from tests.journeys.conftest import FOOTBRIDGE, ROOT

pytestmark = pytest.mark.slow
T1 = f"/jobs/{FOOTBRIDGE}/results/T1"


def correct(page, name: str, value: str, reason: str) -> None:
    page.locator("summary", has_text="Correct what was written").click()
    page.locator(f"#fact-{name}").fill(value)
    page.locator("#reason").fill(reason)
    page.get_by_role("button", name="Write the correction").click()


def history(page) -> str:
    return page.locator("#history").inner_text().replace("\u00a0", " ")


def test_correction_is_judged_at_once_and_can_be_taken_back(visit):
    with visit() as page:
        page.goto(T1)
        expect(page.locator(".hero .value")).to_contain_text("29.4")
        correct(page, "reading", "11.3 uS/cm", "read from the next line")
        page.get_by_role("status").get_by_text("Written").wait_for()
        expect(page.locator(".hero .value")).to_contain_text("37.6")  # (11.3 - 1.2) µS/cm for 7.9 µS/cm: 29.42 × 1.28
        assert "Reason: read from the next line" in history(page)
        page.get_by_role("button", name="Take back").click()
        page.get_by_text("Taken back", exact=True).wait_for()
        expect(page.locator(".hero .value")).to_contain_text("29.4")
        assert "taken back by its author" in history(page)


def test_without_a_network_nothing_is_lost_and_it_is_sent_later(visit):
    with visit() as page:
        page.goto(T1)
        page.route("**/api/v1/jobs/*/events", lambda route: route.abort())
        correct(page, "temperature", "21.6 degC", "the thermometer was read again")
        page.get_by_text("Not sent yet").wait_for()
        expect(page.locator("[data-sync-count]")).to_have_text("1")
        page.reload()  # still not sent, still here
        expect(page.locator("[data-sync-count]")).to_have_text("1")
        page.unroute("**/api/v1/jobs/*/events")
        with page.expect_response("**/api/v1/jobs/*/events"):
            page.reload()
        expect(page.locator("[data-sync]")).to_be_hidden()
        page.reload()
        expect(page.locator("#history")).to_contain_text(re.compile(r"temperature of the solution when read:\s*21\.5\s*°C\s*21\.6\s*°C"))
        correct(page, "temperature", "21.5 degC", "back to the first reading")
        page.get_by_role("status").get_by_text("Written").wait_for()


def test_refused_event_says_why_and_the_next_one_is_taken(visit):
    with visit("tobin.abell") as page:  # a trainee
        page.goto(T1)
        assert page.get_by_text("Correct what was written").count() == 0  # an acceptance test is not a trainee's
        page.evaluate("async () => (await import('/static/brackish/record.js')).write([{path: ['test', 'T1', 'facts', 'cycles'], value: 7}])")
        page.get_by_text("Not taken").wait_for()
        page.goto(f"/jobs/{FOOTBRIDGE}/plan")
        page.locator("summary", has_text="Plan a test").first.click()
        page.get_by_role("button", name=re.compile("^Plan T")).first.click()
        page.get_by_role("status").get_by_text("Written").wait_for()


def test_new_job_from_a_clause_with_an_item_a_place_and_a_test(visit):
    with visit("jonna.reith", width=390) as page:
        page.get_by_role("link", name="New job").click()
        page.get_by_label("What is it called").fill("Mooring dolphin 4")
        page.get_by_label("The clause, as it stands in the contract").fill("Soluble salts shall not exceed 50 mg/m2.")
        page.get_by_role("button", name="Make the job").first.click()
        page.wait_for_url(re.compile(r"/jobs/[0-9a-f-]{36}"))
        job = re.search(r"[0-9a-f-]{36}", page.url)[0]
        page.goto(f"/jobs/{job}/plan")
        page.get_by_label("Name").first.fill("Dolphin 4, splash zone")
        page.get_by_label("Area").fill("12")
        page.get_by_role("button", name="Keep the item").click()
        page.get_by_role("heading", name="Dolphin 4, splash zone").wait_for()
        page.locator("summary", has_text="Add a place").click()
        page.get_by_label("Where exactly").fill("weld of the ladder, 1 m above low water")
        page.get_by_role("button", name="Keep as L1").click()
        page.get_by_text("weld of the ladder").first.wait_for()
        page.locator("summary", has_text="Plan a test").click()
        page.get_by_role("button", name="Plan T1").click()
        page.get_by_role("link", name="Patch conductivity").wait_for()
        assert "12 m²" in page.locator("main").inner_text().replace("\u00a0", " ")


def test_file_with_mistakes_names_them_all_and_writes_nothing(visit, tmp_path):
    with visit("jonna.reith") as page:
        page.goto("/new")
        page.get_by_label("File").set_input_files(Path(ROOT / "examples" / "mistakes.toml"))
        page.get_by_role("button", name="Read the file").click()
        page.locator("[data-faults] li").first.wait_for()
        assert page.locator("[data-faults] li").count() > 10
        assert "colour" in page.locator("[data-faults]").inner_text()


def test_light_changes_at_once_and_stays(visit):
    with visit() as page:
        page.get_by_role("button", name="Sun").click()
        expect(page.locator("html")).to_have_attribute("data-theme", "sun")
        page.reload()
        expect(page.locator("body")).to_have_css("background-color", "rgb(255, 255, 255)")


def test_what_if_answers_while_one_types(visit):
    with visit() as page:
        page.goto(f"/jobs/{FOOTBRIDGE}/results/T3")
        page.locator("#if-solution_volume").fill("30")
        page.locator("#what-if .verdict.is-fail").wait_for()
        assert page.url.endswith("/results/T3")


def test_both_sentences_are_copied(visit):
    with visit(permissions=["clipboard-read", "clipboard-write"]) as page:
        page.goto(f"/jobs/{FOOTBRIDGE}/results/T5")
        page.get_by_role("button", name="Copy both sentences").click()
        page.get_by_text("Copied").wait_for()
        copied = page.evaluate("navigator.clipboard.readText()")
        assert copied.count("\n") == 1 and copied.startswith("At stiffener 7, foot")


def test_every_page_can_be_walked_by_keyboard_and_begins_with_the_skip_link(visit):
    with visit() as page:
        page.goto(f"/jobs/{FOOTBRIDGE}")
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.className") == "skip"
        page.keyboard.press("Enter")
        page.keyboard.press("Tab")
        assert page.evaluate("document.querySelector('main').contains(document.activeElement)")


def test_file_is_kept_with_its_hash(visit, tmp_path):
    picture = tmp_path / "weld.png"
    Image.new("RGB", (1200, 1200), "grey").save(picture)
    with visit() as page:
        page.goto(f"/jobs/{FOOTBRIDGE}")
        page.locator("summary", has_text="Add a file").click()
        page.get_by_label("File").set_input_files(picture)
        page.get_by_role("button", name="Send the file").click()
        page.get_by_role("link", name="weld.png").wait_for()
        assert hashlib.sha256(picture.read_bytes()).hexdigest()[:8] in page.locator("#files").inner_text()
