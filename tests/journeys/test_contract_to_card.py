# SPDX-License-Identifier: MIT
"""An inspector from the words of a contract to the printed card; a tester with a spreadsheet; a trainer with a lesson."""

from __future__ import annotations

import io
import re

import pypdf
import pytest

from tests.journeys.conftest import ARTIFACTS, FOOTBRIDGE

pytestmark = pytest.mark.slow
CLAUSE = (
    "After blast-cleaning and not more than four hours before the first coat the steel shall be tested for soluble salts by ISO 8502-6 and ISO 8502-9. "
    "The level of salts shall not exceed 50 mg/m² (50 µg/cm²). Three tests shall be taken for the first 100 m² and one for each further 200 m². "
    "Should a test fail, the area shall be washed and tested again."
)
A5 = (148, 210)  # mm, ISO 216


def picture(page, name: str, light: str) -> None:
    ARTIFACTS.mkdir(parents=True, exist_ok=True)
    page.screenshot(path=ARTIFACTS / f"{name}-{page.viewport_size['width']}-{light}.png", full_page=True)


@pytest.mark.parametrize(("width", "light"), [(390, "light"), (1280, "dark")])
def test_inspector_goes_from_a_clause_to_the_card(visit, width, light):
    with visit("jonna.reith", width=width, light=light) as page:
        page.context.grant_permissions(["clipboard-read", "clipboard-write"])
        page.goto("/new")
        page.get_by_label("What is it called").first.fill(f"Mooring dolphin {width}")
        page.get_by_label("The clause, as it stands in the contract").fill(CLAUSE)
        page.get_by_role("button", name="Make the job").first.click()
        page.get_by_role("heading", name="What the contract asks").wait_for()
        assert page.locator(".note").count() >= 4
        page.locator("a.trap").first.click()  # the marked words lead to their note
        assert page.url.endswith("#n1")
        picture(page, "journey-clause", light)

        page.get_by_role("button", name=re.compile("Copy the .* open questions")).click()
        page.get_by_text("Copied").wait_for()
        copied = page.evaluate("navigator.clipboard.readText()")
        assert "Is 50 mg/m² counted as mixed salts" in copied and len(copied.splitlines()) == page.locator(".question").count()

        page.locator(".question", has_text="counted as mixed salts").locator("summary").click()
        answer = page.locator(".question", has_text="counted as mixed salts")
        answer.get_by_label("Counted as").select_option("nacl_equivalent_per_area")
        answer.get_by_label("Who agreed").fill("B. Tallow for the owner, by letter")
        answer.get_by_role("button", name="Record the answer").click()
        page.get_by_text("Answer written").wait_for()
        assert "B. Tallow for the owner, by letter" in page.locator(".answer-line").inner_text()

        page.get_by_text("Fill in what was answered").first.click()
        form = page.locator("#adopt-1")
        assert form.get_by_label("Counted as").input_value() == "nacl_equivalent_per_area"  # as it was answered
        form.get_by_label("Judged").select_option("each")
        form.get_by_label("Decision rule").select_option("three-way")
        form.get_by_label("Guard band").fill("two-sided")
        form.get_by_label("Level").fill("95 %")
        form.get_by_label("If inconclusive").select_option("retest")
        form.get_by_label("Refers to").fill("25 degC")
        form.get_by_label("Blank").select_option("full-kit")
        form.get_by_label("Agreed by").fill("B. Tallow, J. Reith")
        form.get_by_label("Agreed on").fill("2026-03-02")
        page.get_by_role("button", name="Adopt").first.click()
        page.get_by_role("status").get_by_text("Adopted").wait_for()
        assert "2 March 2026" in page.locator("#criterion-1 .pairs").inner_text().replace("\u00a0", " ")
        assert page.locator(".question-state", has_text="Worth asking").count() >= 1  # what is still open stays
        picture(page, "journey-adopted", light)

        page.get_by_role("link", name="Limits card").click()
        page.get_by_label("Blank, as read now").fill("1.2")
        page.get_by_role("button", name="Make the card").click()
        page.get_by_text("guarded limit").first.wait_for()
        assert "14.6" in page.locator(".card-three").inner_text()  # 50 mg/m² of NaCl in 10 mL on 1250 mm² over 1.2 µS/cm: 13.4 more
        picture(page, "journey-card", light)
        sheet = pypdf.PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True)))
        assert len(sheet.pages) == 1
        assert [round(float(side) * 25.4 / 72) for side in sheet.pages[0].mediabox[2:]] == list(A5)


def table() -> str:
    rows = ["Test\tPlace\tReading (µS/cm)\tTemp °C\tTime\tTester"]
    for number in range(1, 21):
        reading = {7: "8.6 uS/cm2", 13: ""}.get(number, f"{7.0 + number / 5:.1f}")
        rows.append(f"P{number}\tgirder 2, point {number}\t{reading}\t21.5\t2026-03-05 09:{10 + number}\tInes Farrow")
    return "\n".join(rows)


def test_tester_sees_the_fate_of_twenty_rows_and_writes_eighteen(visit):
    with visit("ines.farrow", width=390) as page:
        page.goto(f"/jobs/{FOOTBRIDGE}/import")
        page.locator("#text").fill(table())
        page.locator("#shared-item").select_option(index=1)
        page.locator("#shared-blank").select_option(index=1)
        page.locator("#shared-meter").select_option(index=1)
        page.locator("#shared-purpose").select_option("pre-check")  # so that the other journeys find the counts they know
        page.get_by_label("Area of the compartment").fill("1250")
        page.get_by_label("All the water at the reading").fill("10.0")
        page.get_by_role("button", name="See the fate of every row").click()
        page.get_by_text("Line 2: new test P1").wait_for()
        assert page.locator(".fates > li").count() == 20
        refused = page.locator(".fate-refused")
        assert refused.count() == 2
        assert "cannot measure this" in refused.nth(0).inner_text() and "Line 8" in refused.nth(0).inner_text()
        assert "Nothing stands under: Conductivity of the extract" in refused.nth(1).inner_text() and "Line 14" in refused.nth(1).inner_text()
        before = page.request.get(f"/api/v1/jobs/{FOOTBRIDGE}").json()["events"]
        picture(page, "journey-fates", "light")
        page.get_by_label("They are new: girder 2, point 1;").check()
        page.get_by_role("button", name="Write the 18 new tests").click()
        page.wait_for_url("**/results")
        page.get_by_role("status").get_by_text("Rows written").wait_for()
        document = page.request.get(f"/api/v1/jobs/{FOOTBRIDGE}/document").json()
        written = {test["id"]: test for test in document["test"] if test["id"].startswith("P")}
        assert len(written) == 18 and "P7" not in written and "P13" not in written
        assert written["P1"]["facts"]["reading"] == ["7.2 uS/cm"]
        assert page.request.get(f"/api/v1/jobs/{FOOTBRIDGE}").json()["events"] > before
        page.get_by_role("button", name="Take back").click()  # all rows at once
        page.get_by_text("Taken back", exact=True).wait_for()
        page.wait_for_load_state()
        assert not [test for test in page.request.get(f"/api/v1/jobs/{FOOTBRIDGE}/document").json()["test"] if test["id"].startswith("P")]


@pytest.mark.parametrize("width", [1280, 390])
def test_trainer_moves_the_control_of_a_lesson(visit, width):
    with visit("jonna.reith", width=width) as page:
        page.goto("/lessons")
        page.get_by_role("link", name="The water counts as much as the reading").click()
        assert page.locator("[data-number]").all_inner_texts() == ["12.0", "40.0", "60.0"]
        control = page.get_by_role("slider")
        control.focus()
        for _ in range(30):
            control.press("ArrowRight")
        page.locator("[data-number]", has_text="15.6").wait_for()  # 13.0 µS/cm: 4 × 3 × 1.3 mg/m²
        assert page.locator("[data-number]").all_inner_texts() == ["15.6", "52.0", "78.0"]
        assert page.locator("[data-word]").all_inner_texts() == ["Pass", "Fail", "Fail"]
        assert "fails in 10" in page.locator("[data-told]").inner_text()
        assert page.locator("[data-value]").inner_text().replace("\u00a0", "").startswith("13.0")
        page.evaluate("const input = document.querySelector('input[type=range]'); input.value = 5; input.dispatchEvent(new Event('input', {bubbles: true}))")
        page.locator("[data-number]", has_text="15.6").wait_for(state="detached")  # how fast it answers is measured in benchmarks/interaction.py
        picture(page, "journey-lesson", "light")


def test_finding_leads_to_the_lesson_that_explains_it(visit):
    with visit() as page:
        page.goto(f"/jobs/{FOOTBRIDGE}/results/T5")
        page.get_by_role("link", name="Why this matters").first.click()
        page.get_by_text("you came from here").wait_for()
