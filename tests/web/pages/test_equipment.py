# SPDX-License-Identifier: MIT
"""Equipment: a check of a meter against the standard solution's table, what runs out, what a failed check puts in doubt."""

from __future__ import annotations

import html
import json
import re
import uuid
from datetime import UTC, datetime

import pytest
from django.utils import timezone

from brackish.prepare import checks
from brackish.record.fold import events_of_document
from brackish.web import models
from brackish.web.ledger.store import append
from brackish.web.pages import equipment as equipment_page
from brackish.web.pages.equipment import key_of
from tests.web.conftest import Workspace
from tests.web.pages.test_run import picture, settled
from tests.web.pages.workbench import Workbench, bench  # noqa: F401 (a fixture)
from tests.web.writing import JOB, MADE, footbridge

AT = datetime(2026, 3, 4, 10, 0, tzinfo=UTC)


def check(at: str, reading: str) -> dict[str, str]:
    return {"at": f"2026-03-04T{at}:00+00:00", "solution": "KCl 0.001 mol/L", "reading": reading, "temperature": "25.0 degC"}


def kit(*found: dict[str, str]) -> dict:
    document = footbridge(2)
    document["equipment"][0]["verification"] = list(found)
    document["equipment"] += [
        {"id": "kcl", "kind": "solution", "name": "KCl 0.001 mol/L", "lot": "K-0311", "expiry": "2026-03-20"},
        {"id": "tubes", "kind": "tube", "name": "Chloride tubes", "lot": "TB-330", "expiry": "2026-02"},
    ]
    document["test"][1]["read_at"] = "2026-03-04T09:40:00+00:00"
    return document


@pytest.fixture(autouse=True)
def clock(monkeypatch, request):
    if "bench" not in request.fixturenames:
        monkeypatch.setattr(equipment_page, "now", lambda: AT)


def text(workspace: Workspace, address: str = "/equipment", role: str = "tester") -> str:
    response = workspace.client(role).get(address)
    assert response.status_code == 200
    page = re.sub(r"(?s)<(script|template|title).*?</\1>", " ", response.content.decode())
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", page)).replace("\u00a0", " ").replace("\u202f", " "))


def send(workspace: Workspace, document: dict) -> Workspace:
    workspace.send("owner", *workspace.writer("owner").document(document))
    return workspace


def test_check_is_held_against_the_solutions_conductivity():
    """KCl 0.001 mol/L conducts 146.93 uS/cm at 25 degC (CRC Handbook of Chemistry and Physics, table of standard solutions, recalled; 147 on bottles)."""
    meter = checks.meter_of(footbridge()["equipment"][0])
    found = checks.check_of(meter=meter, check=check("07:40", "146.2 uS/cm"))
    assert abs(float(found.expected.split("\u00a0")[0]) - 146.93) < 0.5
    assert found.good and found.shown == "\u22120.5\u00a0%"
    assert checks.check_of(meter=meter, check=check("07:40", "150.0 uS/cm")).good is False


def test_limits_of_error_decide_and_the_limit_itself_is_good():
    meter = checks.meter_of(footbridge()["equipment"][0] | {"accuracy": "1 %"})
    expected = checks.check_of(meter=meter, check=check("07:40", "147 uS/cm"))
    exact = 147 / (1 + expected.deviation)
    assert checks.check_of(meter=meter, check=check("07:40", f"{exact * 1.0099:.4f} uS/cm")).good
    assert not checks.check_of(meter=meter, check=check("07:40", f"{exact * 1.0101:.4f} uS/cm")).good


def test_outside_the_solutions_range_nothing_is_said():
    meter = checks.meter_of(footbridge()["equipment"][0])
    found = checks.check_of(meter=meter, check=check("07:40", "147 uS/cm") | {"temperature": "80 degC"})
    assert found.good is None and "good" not in found.to_dict()


@pytest.mark.parametrize(
    ("found", "doubted"),
    [
        ([("07:40", "146.2 uS/cm"), ("12:00", "150.0 uS/cm")], {"T1", "T2"}),  # all since the good one
        ([("07:40", "146.2 uS/cm"), ("09:30", "146.5 uS/cm"), ("12:00", "150.0 uS/cm")], {"T2"}),
        ([("07:40", "150.0 uS/cm"), ("09:30", "146.5 uS/cm")], {"T1"}),  # read after a bad one, before it was put right
        ([("07:40", "146.2 uS/cm"), ("12:00", "146.5 uS/cm")], set()),
        ([], set()),
    ],
)
def test_doubt_reaches_from_the_last_good_check_to_the_next(found, doubted, workspace):
    send(workspace, kit(*(check(*one) for one in found)))
    page = workspace.client("tester").get("/equipment").content.decode()
    assert set(re.findall(rf"/jobs/{JOB}/results/(T\d)", page)) == doubted


def test_verify_form_says_deviation_at_once(workspace):
    send(workspace, kit())
    said = text(workspace, "/equipment?solution=KCl+0.001+mol%2FL&reading=146.2&temperature=25.0")
    assert "\u22120.5 %" in said and "Good" in said and "146.9 µS/cm" in said
    assert "Write it into Footbridge over the Pell, span 2" in said
    assert "Off" in text(workspace, "/equipment?solution=KCl+0.001+mol%2FL&reading=150&temperature=25.0")


SIGNED = [{"person": "jonna", "role": "inspector", "at": "2026-03-04T12:00:00+00:00"}]
READ = "/equipment?solution=KCl+0.001+mol%2FL&reading="


def boxes(workspace: Workspace, address: str) -> dict[str, bool]:
    """The jobs that may take a check: whether each is ticked."""
    page = workspace.client("tester").get(address).content.decode()
    return {job: "checked" in rest for job, rest in re.findall(r'name="into" form="verify-form" value="([^"]+)"([^>]*)>', page)}


def tank_roof(workspace: Workspace) -> str:
    """A second job with the same kit."""
    other = str(uuid.uuid4())
    models.Job.objects.create(id=other, organisation=workspace.organisation, changed=timezone.now())
    events = events_of_document(document=kit() | {"job": {"id": other, "title": "Tank roof"}}, job=other, device="desk", author="owner", made=MADE)
    append(job=other, documents=[event.to_dict() for event in events], sender=None)
    return other


def test_bottle_that_lasts_longest_is_written_and_one_that_ran_out_is_said(workspace, monkeypatch):
    document = kit(check("07:40", "146.2 uS/cm"))
    document["equipment"].insert(1, {"id": "old", "kind": "solution", "name": "KCl 0.001 mol/L", "lot": "K-0099", "expiry": "2026-01"})
    send(workspace, document)
    address = "/equipment?solution=KCl+0.001+mol%2FL&reading=147"
    targets = re.findall(r'data-target="([^"]+)"', workspace.client("tester").get(address).content.decode())
    assert [json.loads(html.unescape(each))["bottle"] for each in targets] == ["kcl"]
    assert "ran out on" not in text(workspace, address)
    monkeypatch.setattr(equipment_page, "now", lambda: datetime(2026, 4, 4, 10, 0, tzinfo=UTC))
    page = text(workspace, address)
    assert "KCl 0.001 mol/L, lot K-0311, ran out on 20 March 2026." in page and "K-0099, ran out" not in page


def test_jobs_stand_by_name_whichever_changed_last(workspace):
    send(workspace, kit())
    other = tank_roof(workspace)
    for changed in (JOB, other):
        models.Job.objects.filter(id=changed).update(changed=timezone.now())
        assert list(boxes(workspace, f"{READ}146.2")) == [JOB, other]  # Footbridge, Tank roof


def test_check_goes_into_open_jobs_and_into_a_signed_one_only_when_ticked(workspace):
    other = tank_roof(workspace)
    send(workspace, kit() | {"signature": SIGNED})
    assert boxes(workspace, f"{READ}146.2") == {JOB: False, other: True}
    assert boxes(workspace, f"{READ}146.2&known={JOB}&known={other}&into={JOB}") == {JOB: True, other: False}  # what was ticked stays while one types on
    said = text(workspace, f"{READ}146.2")
    assert "Footbridge over the Pell, span 2 Signed, so it is left out." in said and "Tank roof Signed" not in said


def test_bad_check_says_before_it_is_written_what_it_puts_in_doubt(workspace):
    send(workspace, kit(check("07:40", "146.2 uS/cm")) | {"signature": SIGNED})
    said = text(workspace, f"{READ}150")
    assert "This check puts results in doubt: T1, Footbridge over the Pell, span 2 : a signed job , its report" in said
    assert "puts results in doubt" not in text(workspace, f"{READ}146.2")


def test_results_of_a_signed_job_in_doubt_say_so(workspace):
    send(workspace, kit(check("07:40", "146.2 uS/cm"), check("09:50", "150.0 uS/cm")) | {"signature": SIGNED})
    assert "T1 , Footbridge over the Pell, span 2 signed " in text(workspace)


def test_only_a_check_that_this_page_wrote_today_is_taken_back_here(workspace):
    send(workspace, kit(check("07:40", "146.2 uS/cm")))
    assert "Take back" not in text(workspace)
    mark = f"#{int(datetime(2026, 3, 4, 9, 50, tzinfo=UTC).timestamp()):x}"
    workspace.job.refresh_from_db()
    writer, base = workspace.writer("tester"), workspace.job.frontier
    written = [writer.set(["equipment", "meter", "verification", mark, name], value, base=base) for name, value in check("09:50", "150.0 uS/cm").items()]
    workspace.send("tester", *written)
    page = workspace.client("tester").get("/equipment").content.decode()
    (back,) = re.findall(r'data-back="([^"]*)"', page)
    assert [(each["job"], each["path"][-1]) for each in json.loads(html.unescape(back))] == [(JOB, mark)]


@pytest.mark.parametrize("typed", ["reading=abc", "reading=146.2&solution=brine", "reading=-3", "reading=146.2&temperature=hot", "meter=nothing"])
def test_what_cannot_be_read_is_said_and_nothing_breaks(typed, workspace):
    send(workspace, kit())
    assert "Verify a meter today" in text(workspace, f"/equipment?{typed}")


def test_what_runs_out_is_said_with_its_days(workspace):
    said = text(send(workspace, kit()))
    assert "20 March 2026, 16 days" in said
    assert "28 February 2026, run out" in said


def test_reader_sees_but_is_offered_no_writing(workspace):
    send(workspace, kit())
    address = "/equipment?solution=KCl+0.001+mol%2FL&reading=146.2"
    assert "Record this verification" not in text(workspace, address, "reader")
    assert "Record this verification" in text(workspace, address, "tester")
    assert "C-1207" not in text(workspace, "/equipment", "outsider")


def test_one_meter_of_two_jobs_is_one_line():
    assert key_of({"id": "a", "kind": "conductivity-meter", "serial": "C-1207"}) == key_of({"id": "b", "kind": "conductivity-meter", "serial": "C-1207"})
    assert key_of({"id": "a", "kind": "tube"}) != key_of({"id": "b", "kind": "tube"})


@pytest.mark.slow
def test_a_check_and_a_blank_are_written_from_the_page(bench: Workbench, browser):  # noqa: F811
    bench.write(kit(check("07:40", "146.2 uS/cm")))
    for width in (390, 1280):
        with bench.device(browser, width=width) as page:
            page.goto("/equipment")
            page.fill("#reading", "146.5")
            page.locator("[data-live-answer] .ruler").wait_for()
            picture(page, "equipment-verify")
            if width == 390:
                page.get_by_role("button", name="Record this verification").click()
                page.wait_for_url("**/equipment?*#verify")
                page.get_by_text("Write a blank").click()
                page.fill("#blank-reading", "1.4")
                page.fill("#blank-volume", "10.0")
                page.get_by_role("button", name="Record this blank").click()
                page.locator("th", has_text="B2").wait_for()
                settled(page)
    document = bench.client_document()
    meter = document["equipment"][0]
    assert [each["reading"] for each in meter["verification"]] == ["146.2 uS/cm", "146.5 uS/cm"]
    assert meter["verification"][1]["bottle"] == "kcl"
    assert document["blank"][1]["reading"] == ["1.4 uS/cm"] and document["blank"][1]["solution_volume"] == "10.0 mL"
    assert "errors" not in bench.outcome()


@pytest.mark.slow
def test_failed_check_shows_at_once_and_is_taken_back(bench: Workbench, browser):  # noqa: F811
    bench.write(kit(check("07:40", "146.2 uS/cm")))
    with bench.device(browser) as page:
        page.goto("/equipment")
        page.get_by_text("is good for today").wait_for()
        page.fill("#reading", "180")
        page.get_by_text("This check puts results in doubt").wait_for()
        picture(page, "equipment-doubt")
        page.get_by_label("Footbridge over the Pell").uncheck()
        page.get_by_role("button", name="Record this verification").click()
        page.get_by_text("No job is ticked").wait_for()
        page.get_by_label("Footbridge over the Pell").check()
        page.get_by_role("button", name="Record this verification").click()
        page.get_by_text("was found off").wait_for()
        picture(page, "equipment-off")
        page.get_by_role("button", name="Take back 180").click()
        page.get_by_text("is good for today").wait_for()
        settled(page)
    assert [each["reading"] for each in bench.client_document()["equipment"][0]["verification"]] == ["146.2 uS/cm"]
