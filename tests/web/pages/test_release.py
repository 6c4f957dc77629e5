# SPDX-License-Identifier: MIT
"""Release: what still blocks, as the core says it; each step offered to who may write it; and the whole way in a real browser."""

from __future__ import annotations

import io
import subprocess
import sys
from datetime import datetime, timedelta

import pypdf
import pytest
from playwright.sync_api import expect

from brackish.judge.release import of_job
from tests.journeys.conftest import ARTIFACTS, ROOT
from tests.web.conftest import PASSWORD
from tests.web.pages.test_compare import bare, send, text
from tests.web.pages.test_run import PATCH, planned, settled
from tests.web.pages.workbench import Workbench, bench  # noqa: F401 (a fixture)
from tests.web.writing import JOB, footbridge

PAGE = f"/jobs/{JOB}/release"


def failed() -> dict:
    """The contract's job, its one place far over the limit."""
    document = footbridge(1)
    document["test"][0]["facts"]["reading"] = ["19.9 uS/cm"]
    return document


def test_what_blocks_is_what_the_core_says_in_its_order(workspace):
    (place,) = of_job(send(workspace, failed()))["places"]
    page = bare(text(workspace, PAGE))
    at = [page.index(bare(note["message"].partition(". ")[0])) for note in place["blocks"]]
    assert at == sorted(at) and len(at) > 2
    assert bare(place["line"]) in page and bare(place["quarantine"]["message"]) in page


@pytest.mark.parametrize(("role", "offered"), [("owner", True), ("inspector", True), ("tester", False), ("trainee", False), ("reader", False)])
def test_the_non_conformance_is_raised_by_who_may(role, offered, workspace):
    send(workspace, failed())
    assert ("Area held back" in text(workspace, PAGE, role)) is offered


def test_the_re_clean_is_the_testers_to_write(workspace):
    document = failed() | {"nonconformance": [{"id": "NC-1", "tests": ["T1"], "cause": "spray", "raised_by": "Inspector"}]}
    send(workspace, document)
    assert "Write the re-clean" in text(workspace, PAGE, "tester")
    assert "Write the re-clean" not in text(workspace, PAGE, "trainee")


def test_where_nothing_failed_the_page_says_so(workspace):
    send(workspace, footbridge(1))
    assert "Nothing has failed" in text(workspace, PAGE)


def test_where_there_is_no_other_place_the_page_says_so(workspace):
    send(workspace, failed())
    page = bare(text(workspace, PAGE))
    assert bare("No other place of this item is known to test beside it.") in page and bare("The nearest") not in page


def test_a_fail_within_the_limit_says_the_guard_band(workspace):
    document = failed()
    document["test"][0]["facts"]["reading"] = ["13.8 uS/cm"]
    document["specification"][0]["criterion"][0] |= {"decision_rule": "guarded-acceptance", "guard_band": "10 mg/m2"}
    send(workspace, document)
    assert bare("47.0 mg/m² is below 50 mg/m², but not by the guard band of 10 mg/m².") in bare(text(workspace, PAGE))


@pytest.mark.slow
def test_inspector_from_a_failure_to_release_and_a_signed_report_that_verifies(bench: Workbench, browser, tmp_path):  # noqa: F811
    """Types the sheet in that fails, raises, cleans, plans, types the retest in, releases, signs, downloads; `brackish verify` agrees."""
    bench.write(planned(1))
    bench.people["jonna"].set_password(PASSWORD)
    bench.people["jonna"].save()
    report = tmp_path / "report.pdf"
    with bench.device(browser, "jonna") as page:
        type_in(page, "T1", at=bench.at - timedelta(minutes=30), reading="19.9")
        page.goto(f"/jobs/{JOB}/results/T1")
        expect(page.locator(".answer-head .verdict")).to_have_text("Fail")
        page.goto(PAGE)
        page.fill("#area", "3.4")
        page.fill("#cause", "Spray at high water in the night.")
        press(page, "Raise it", "Write the re-clean")
        page.fill("#method", "Fresh water at 25 MPa, blown dry")
        page.fill("#water", "3.1 uS/cm")
        press(page, "Write the re-clean", "Plan the retest")
        press(page, "Plan R1", "Open R1")
        bench.later(page, hours=2)
        type_in(page, "R1", at=bench.at - timedelta(minutes=30), reading="6.4")
        page.goto(PAGE)
        press(page, "Close and release as Jonna Reith", "Nothing blocks this place")
        printed = page.pdf(format="A4", prefer_css_page_size=True)
        assert len(pypdf.PdfReader(io.BytesIO(printed)).pages) == 1
        (ARTIFACTS / "release-printed.pdf").write_bytes(printed)
        assert of_job(bench.client_document())["released"] is True
        page.set_viewport_size({"width": 1280, "height": 1000})
        page.goto(f"/jobs/{JOB}/report")
        page.get_by_role("button", name="Sign as inspector").click()
        page.fill("#password", "not the one")
        page.get_by_role("button", name="Sign and seal").click()
        page.locator("[data-sign-error]").wait_for()
        page.fill("#password", PASSWORD)
        page.screenshot(path=ARTIFACTS / "report-signing-1280-light.png")
        page.get_by_role("button", name="Sign and seal").click()
        page.get_by_text("1 signature").wait_for()
        with page.expect_download() as download:
            page.get_by_role("link", name="Download the PDF").click()
        download.value.save_as(report)
        page.set_input_files("[data-verify]", report)
        page.locator("[data-verified]").get_by_text("Consistent", exact=True).wait_for()
        page.screenshot(path=ARTIFACTS / "report-checked-1280-light.png", full_page=True)
    found = subprocess.run([sys.executable, "-m", "brackish", "verify", str(report)], env={"PYTHONPATH": str(ROOT / "src")}, capture_output=True, text=True)
    assert found.returncode == 0, found.stdout + found.stderr
    assert "signature of jonna" in found.stdout


def press(page, button: str, then: str) -> None:
    """Press, and wait until the page has loaded again with what follows."""
    page.get_by_role("button", name=button, exact=True).click()
    page.get_by_text(then).first.wait_for()


def type_in(page, test: str, *, at: datetime, reading: str) -> None:
    """A paper sheet of a test that was read at a time, typed in."""
    page.goto(f"/jobs/{JOB}/run/{test}/paper")
    for name, moment in (("started", at - timedelta(minutes=12)), ("read_at", at)):
        page.fill(f"#{name}", f"{moment:%Y-%m-%dT%H:%M}")
    page.locator("#read_at").blur()
    page.get_by_label("Conductivity meter").check()
    page.locator("label.choice", has_text="B1").locator("input").check()
    for fact, typed in {**PATCH, "dwell": "10", "reading": reading}.items():
        field = page.locator(f'[data-fact="{fact}"] input').first
        field.fill(typed)
        field.blur()
    settled(page)
