# SPDX-License-Identifier: MIT
"""Two values for one fact: both with who, when and where; what each gives; settled by one event, by hand in a real browser."""

from __future__ import annotations

import pytest

from brackish.web.ledger.store import append
from tests.web.conftest import Workspace
from tests.web.pages.test_compare import bare, send, text
from tests.web.pages.test_run import picture
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
    for words in ("9.1 µS/cm", "19.9 µS/cm", "Tester", "Inspector", "phone of Tester", "phone of Inspector", "29.4"):
        assert bare(words) in bare(page), words
    assert "The verdict hangs on it." in page
    assert "Both: the meter was read twice" in page


def test_a_reader_sees_and_does_not_choose(torn):
    page = text(torn, f"/jobs/{JOB}/conflict", "reader")
    assert bare("19.9 µS/cm") in bare(page) and "Write the choice" not in page


def test_the_page_of_the_job_leads_to_the_choice_and_makes_none(torn):
    page = torn.client("tester").get(f"/jobs/{JOB}").content.decode()
    assert f'href="/jobs/{JOB}/conflict?at=0"' in page
    claims = page[page.index("Choose one") : page.index("What is asked")]
    assert "<form" not in claims and "Take this one" not in claims


def test_a_report_with_two_values_is_not_offered_for_signing(torn):
    page = text(torn, f"/jobs/{JOB}/report", "inspector")
    assert "Sign as" not in page


@pytest.mark.parametrize("address", ["results/T1", "results", "day"])
def test_a_test_with_two_readings_is_measured_and_not_offered_for_another_run(address, torn):
    page = text(torn, f"/jobs/{JOB}/{address}", "tester")
    assert "two values were written" in page.lower()
    assert "Nothing is measured" not in page and "not tested yet" not in page and "Start T1" not in page and "Under way" not in page


def test_whoever_would_run_it_again_comes_to_the_choice(torn):
    client = torn.client("tester")
    for address in ("run/T1", "run/T1/paper"):
        assert client.get(f"/jobs/{JOB}/{address}").headers["Location"] == f"/jobs/{JOB}/conflict?at=0"
    result = client.get(f"/jobs/{JOB}/results/T1").content.decode()
    assert f'href="/jobs/{JOB}/conflict?at=0">T1, conductivity of the extract</a>' in result


def test_nothing_torn_says_so(workspace):
    send(workspace, footbridge(1))
    assert "Nothing is to be settled" in text(workspace, f"/jobs/{JOB}/conflict?at=7")


@pytest.fixture
def torn_bench(bench: Workbench) -> Workbench:  # noqa: F811
    bench.write(without_reading())
    bench.job.refresh_from_db()
    base = list(bench.job.frontier)
    for author, reading in (("ines", "9.1 uS/cm"), ("jonna", "19.9 uS/cm")):
        event = Writer(author=author, device=f"phone of {author}").set(READING, [reading], base=base)
        append(job=JOB, documents=[event.to_dict()], sender=None)
    return bench


@pytest.mark.slow
@pytest.mark.parametrize("width", [1280, 390])
def test_page_is_whole_and_has_no_barrier(torn_bench, browser, width):
    with torn_bench.device(browser, width=width) as page:
        page.goto(f"/jobs/{JOB}/conflict")
        picture(page, "conflict")


@pytest.mark.slow
@pytest.mark.parametrize(("choose", "gives"), [("9.1", ["9.1 uS/cm"]), ("Both", ["9.1 uS/cm", "19.9 uS/cm"])])
def test_a_choice_is_one_event_with_its_reason(torn_bench, browser, choose, gives):
    with torn_bench.device(browser) as page:
        page.goto(f"/jobs/{JOB}/conflict")
        page.locator("label.choice", has_text=choose).first.click()
        page.fill("#why", "The photo shows it.")
        page.get_by_role("button", name="Write the choice").click()
        page.get_by_text("Nothing is to be settled").wait_for()
    assert torn_bench.client_document()["test"][0]["facts"]["reading"] in (gives, gives[::-1])
    assert "errors" not in torn_bench.outcome()
