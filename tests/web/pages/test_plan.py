# SPDX-License-Identifier: MIT
"""Items, places, tests, people and kit: written, changed with a reason where a test was begun, taken back where nothing hangs on them."""

from __future__ import annotations

import html
import json
import re

import pytest

from brackish.web import models
from brackish.web.ledger.outcomes import document_of
from brackish.web.ledger.store import events_of
from brackish.web.pages.plan import after_cleaning
from tests.web.conftest import Workspace
from tests.web.pages.test_written import Fields, fields, spoil
from tests.web.writing import JOB, footbridge


@pytest.fixture
def job(workspace: Workspace) -> Workspace:
    document = footbridge(1)
    document["item"].append({"id": "I2", "kind": "abrasive", "name": "Lot 7"})
    document["location"].append({"id": "L2", "item": "girder", "name": "upper flange"})
    document["test"].append(
        {"id": "T2", "item": "girder", "location": "L1", "method": "patch-conductivity", "purpose": "acceptance", "stage": "after-blasting"}
    )
    workspace.send("owner", *workspace.writer("owner").document(document))
    return workspace


def forms(workspace: Workspace, role: str = "inspector") -> dict[str, str]:
    """The forms that change a thing, by its title."""
    page = workspace.client(role).get(f"/jobs/{JOB}/plan").content.decode()
    return dict(re.findall(r'(?s)Change<span class="unseen"> ([^<]+)</span>(.*?)</details>', page))


def test_everything_of_the_plan_can_be_changed_and_what_was_begun_asks_why(job):
    found = forms(job)
    assert set(found) == {"Item girder", "Item I2", "Place L1", "Place L2", "Test T1", "Test T2", "Person tester-a", "Kit meter", "Blank B1"}
    assert {title for title, form in found.items() if 'name="reason" type="text" required' in form} == {
        "Item girder",
        "Place L1",
        "Test T1",
        "Person tester-a",
        "Kit meter",
        "Blank B1",
    }


def test_time_of_readiness_is_asked_where_tests_follow_blasting_or_washing():
    assert after_cleaning([{"stage": "between-coats"}, {"stage": "after-washing"}])
    assert not after_cleaning([{"stage": "between-coats"}, {}])


def test_two_tests_can_be_said_to_read_one_extract(job):
    found = forms(job)
    assert all("one and the same liquid" in found[title] for title in ("Test T1", "Test T2"))
    base = job.client("tester").get(f"/api/v1/jobs/{JOB}").json()["base"]
    writer = job.writer("tester")
    job.send("tester", *(writer.set(("test", test, "extract"), "E1", base=base) for test in ("T1", "T2")))
    assert all('value="E1"' in forms(job)[title] for title in ("Test T1", "Test T2"))


def test_only_what_nothing_hangs_on_is_taken_back(job):
    assert {title for title, form in forms(job).items() if "Take back" in form} == {"Item I2", "Place L2", "Test T2"}


def test_what_is_taken_back_is_gone_and_comes_again(job):
    (text,) = re.findall(r'data-changes="([^"]+)"', forms(job)["Item I2"])
    changes = json.loads(html.unescape(text))
    writer, base = job.writer("inspector"), models.Job.objects.get(id=JOB).frontier
    job.send("inspector", *[writer.write("withdraw", change["path"], base=base, reason="twice") for change in changes])
    assert [item["id"] for item in document_of(models.Job.objects.get(id=JOB))["item"]] == ["girder"]
    job.send("inspector", *[writer.set(change["path"], change["was"]) for change in changes])
    assert len(document_of(models.Job.objects.get(id=JOB))["item"]) == 2


@pytest.mark.parametrize(
    ("role", "changes"),
    [
        ("tester", {"Place L1", "Place L2", "Test T1", "Test T2", "Kit meter", "Blank B1"}),
        ("trainee", set()),
    ],
)
def test_nobody_is_offered_what_they_may_not_write(job, role, changes):
    assert set(forms(job, role)) == changes


def test_wrong_area_or_accuracy_has_its_control_while_nothing_can_be_judged(job):
    spoil(job, (("item", "girder", "area"), "46,5"), (("equipment", "meter", "accuracy"), "1"))
    found = fields(job, "/plan", "inspector")
    assert found["item", "girder", "area"]["value"] == "46,5" and found["equipment", "meter", "accuracy"]["value"] == "1"


def test_number_of_one_more_piece_of_kit_is_in_no_unit_before_its_kind_is_known(job):
    assert "data-unit" not in fields(job, "/plan")["equipment", "E1", "accuracy"]


def opened(page, thing: str):
    """The form that changes a thing, opened."""
    change = page.locator("details", has=page.locator("summary", has_text=f"Change {thing}")).first
    change.locator("summary").click()
    return change


def write(page, change, *, reason: str) -> None:
    change.get_by_label("Reason").fill(reason)
    change.get_by_role("button", name="Write the change").click()
    page.get_by_text("Written", exact=True).wait_for()


@pytest.mark.slow
def test_change_is_written_with_its_reason(desk):
    desk.workspace.send("owner", *desk.workspace.writer("owner").document(footbridge()))
    desk.role = desk.author = "inspector"
    page = desk.page(f"/jobs/{JOB}/plan")
    change = opened(page, "Item girder")
    change.get_by_label("Area").fill("46,5")
    write(page, change, reason="measured again")
    assert [(event.value, event.reason) for event in events_of(JOB) if event.author == "inspector"] == [("46.5 m2", "measured again")]


@pytest.mark.slow
def test_time_at_which_blasting_was_finished_is_picked(desk):
    document = footbridge()
    desk.workspace.send("owner", *desk.workspace.writer("owner").document(document))
    desk.role = desk.author = "inspector"
    page = desk.page(f"/jobs/{JOB}/plan")
    change = opened(page, "Item girder")
    picked = change.get_by_label("Blasting or washing finished")
    assert picked.input_value() == ""  # nobody said so yet, and now is no answer
    picked.fill("2026-03-04T15:00")
    write(page, change, reason="from the blaster's sheet")
    (written,) = [event for event in events_of(JOB) if event.author == "inspector"]
    assert written.path == ("item", "girder", "ready_at") and written.value.startswith("2026-03-04T15:00:00")
    found = desk.workspace.client("owner").get(f"/api/v1/jobs/{JOB}/outcome").json()["tests"][0]["findings"]
    assert [each["code"] for each in found if each["code"].startswith("time.")] == ["time.before_ready"]


@pytest.mark.slow
@pytest.mark.parametrize("role", ["inspector", "trainee"])
def test_test_that_is_planned_has_its_first_choices(desk, role):
    desk.workspace.send("owner", *desk.workspace.writer("owner").document(footbridge()))
    desk.role = desk.author = role
    page = desk.page(f"/jobs/{JOB}/plan")
    page.locator("summary", has_text="Plan a test").click()
    page.get_by_role("button", name="Plan T2").click()
    page.get_by_text("Written", exact=True).wait_for()
    (planned,) = [test for test in document_of(models.Job.objects.get(id=JOB))["test"] if test["id"] == "T2"]
    about = {"item": "girder", "location": "L1", "method": "patch-conductivity", "stage": "after-blasting"}
    assert planned == {"id": "T2", "purpose": "training" if role == "trainee" else "acceptance", **about}


@pytest.mark.slow
def test_blank_that_was_mistyped_is_corrected_with_its_reason_and_judged_again(desk):
    desk.workspace.send("owner", *desk.workspace.writer("owner").document(footbridge()))
    before = desk.workspace.client("owner").get(f"/api/v1/jobs/{JOB}/outcome").json()["tests"][0]["results"][0]["value"]
    page = desk.page(f"/jobs/{JOB}/plan")
    change = opened(page, "Blank B1")
    change.get_by_label("Reading", exact=True).fill("2,2")
    change.get_by_label("All the water at the reading").fill("12.0")
    change.get_by_label("Read at").fill("2026-03-04T08:10")
    write(page, change, reason="read from the sheet")
    (blank,) = document_of(models.Job.objects.get(id=JOB))["blank"]
    assert (blank["reading"], blank["solution_volume"], blank["at"][:16]) == (["2.2 uS/cm"], "12.0 mL", "2026-03-04T08:10")
    answer = desk.workspace.client("owner").get(f"/api/v1/jobs/{JOB}/outcome").json()["tests"][0]["results"][0]["value"]
    assert answer < before
    history = html.unescape(desk.workspace.client("reader").get(f"/jobs/{JOB}/history").content.decode())
    assert "read from the sheet" in history


@pytest.mark.slow
def test_title_and_number_of_a_job_are_corrected_with_a_reason(desk):
    desk.workspace.send("owner", *desk.workspace.writer("owner").document(footbridge()))
    desk.role = desk.author = "inspector"
    page = desk.page(f"/jobs/{JOB}")
    change = opened(page, "the job")
    change.get_by_label("Title").fill("Footbridge, span 3")
    change.get_by_label("Number").fill("PQ-27")
    change.get_by_role("button", name="Write the change").click()  # refused by the browser: no reason yet
    assert not [event for event in events_of(JOB) if event.author == "inspector"]
    write(page, change, reason="wrong span")
    assert page.locator("h1").inner_text() == "Footbridge, span 3"
    written = {event.path[-1]: (event.value, event.reason) for event in events_of(JOB) if event.author == "inspector"}
    assert written == {"title": ("Footbridge, span 3", "wrong span"), "number": ("PQ-27", "wrong span")}


def test_only_who_agrees_changes_what_a_job_is_called(job):
    offered = {role: "Change<span" in job.client(role).get(f"/jobs/{JOB}").content.decode() for role in ("owner", "inspector", "tester", "trainee", "reader")}
    assert offered == {"owner": True, "inspector": True, "tester": False, "trainee": False, "reader": False}


def test_abrasive_is_asked_for_its_lot_and_whether_it_is_new_and_steel_for_its_area(job):
    asked = {title: {path[-1] for path in Fields(form).found} for title, form in forms(job).items()}
    assert asked["Item I2"] == {"name", "kind", "condition", "lot"}
    assert {"name", "kind", "area", "ready_at"} <= asked["Item girder"] and not {"condition", "lot"} & asked["Item girder"]


def test_id_of_a_test_that_was_taken_back_is_not_given_again(job):
    """A trainee could not plan a test any more: the one that once had its id was no training."""
    (text,) = re.findall(r'data-changes="([^"]+)"', forms(job)["Test T2"])
    paths = [change["path"] for change in json.loads(html.unescape(text))]
    base, writer = job.client("owner").get(f"/api/v1/jobs/{JOB}").json()["base"], job.writer("inspector", "desk")
    job.send("inspector", *[writer.write("withdraw", path, base=base, reason="twice") for path in paths])
    page = job.client("trainee").get(f"/jobs/{JOB}/plan").content.decode()
    assert "Plan T3" in page and "Plan T2" not in page
    writer = job.writer("trainee")
    job.send(
        "trainee",
        *[
            writer.set(("test", "T3", name), value)
            for name, value in (("purpose", "training"), ("id", "T3"), ("item", "girder"), ("method", "patch-conductivity"))
        ],
    )
