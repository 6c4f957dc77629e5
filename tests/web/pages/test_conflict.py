# SPDX-License-Identifier: MIT
"""Two values for one fact: both with who, when and where; what each gives; settled by one event, by hand in a real browser."""

from __future__ import annotations

import pytest

from brackish.web.ledger.store import append
from tests.journeys.conftest import ARTIFACTS
from tests.journeys.test_every_page import AXE, sideways
from tests.web.conftest import Workspace
from tests.web.pages.test_compare import bare, send, text
from tests.web.pages.workbench import Workbench, bench  # noqa: F401 (a fixture)
from tests.web.writing import JOB, Writer, footbridge

READING = ("test", "T1", "facts", "reading")


def without_reading() -> dict:
    document = footbridge(1)
    del document["test"][0]["facts"]["reading"]
    return document


@pytest.fixture
def torn(workspace: Workspace) -> Workspace:
    """Two devices read T1 without sight of each other: 9.1 (the contract's test) and 19.9."""
    send(workspace, without_reading())
    base = workspace.client("owner").get(f"/api/v1/jobs/{JOB}").json()["base"]
    workspace.send("tester", workspace.writer("tester").set(READING, ["9.1 uS/cm"], base=base))
    workspace.send("inspector", workspace.writer("inspector").set(READING, ["19.9 uS/cm"], base=base))
    return workspace


def test_both_values_stand_with_who_when_where_and_what_each_gives(torn):
    page = text(torn, f"/jobs/{JOB}/conflict")
    for words in ("9.1 µS/cm", "19.9 µS/cm", "Tester", "Inspector", "phone of tester", "phone of inspector", "29.4"):
        assert bare(words) in bare(page), words
    assert "The verdict hangs on it." in page
    assert "Both: the meter was read twice" in page


def test_a_reader_sees_and_does_not_choose(torn):
    page = text(torn, f"/jobs/{JOB}/conflict", "reader")
    assert bare("19.9 µS/cm") in bare(page) and "Write the choice" not in page


def test_a_report_with_two_values_is_not_offered_for_signing(torn):
    page = text(torn, f"/jobs/{JOB}/report", "inspector")
    assert "Sign as" not in page


def test_nothing_torn_says_so(workspace):
    send(workspace, footbridge(1))
    assert "Nothing is to be settled" in text(workspace, f"/jobs/{JOB}/conflict?at=7")


@pytest.mark.slow
@pytest.mark.parametrize(("choose", "gives"), [("9.1", ["9.1 uS/cm"]), ("Both", ["9.1 uS/cm", "19.9 uS/cm"])])
def test_a_choice_is_one_event_with_its_reason(bench: Workbench, browser, choose, gives):  # noqa: F811
    bench.write(without_reading())
    bench.job.refresh_from_db()
    base = list(bench.job.frontier)
    for author, reading in (("ines", "9.1 uS/cm"), ("jonna", "19.9 uS/cm")):
        event = Writer(author=author, device=f"phone of {author}").set(READING, [reading], base=base)
        append(job=JOB, documents=[event.to_dict()], sender=None)
    for width, light in ((1280, "light"), (1280, "dark"), (390, "dark"), (390, "light")):
        with bench.device(browser, width=width, light=light, bypass_csp=True) as page:
            page.goto(f"/jobs/{JOB}/conflict")
            assert sideways(page) == []
            page.screenshot(path=ARTIFACTS / f"conflict-{width}-{light}.png", full_page=True)
            page.add_script_tag(path=AXE)
            assert page.evaluate("axe.run().then((result) => result.violations.map((each) => each.id))") == []
    with bench.device(browser) as page:
        page.goto(f"/jobs/{JOB}/conflict")
        page.locator("label.choice", has_text=choose).first.click()
        page.fill("#why", "The photo shows it.")
        page.get_by_role("button", name="Write the choice").click()
        page.get_by_text("Nothing is to be settled").wait_for()
    assert bench.client_document()["test"][0]["facts"]["reading"] in (gives, gives[::-1])
    assert "errors" not in bench.outcome()
