# SPDX-License-Identifier: MIT
"""The day: numbers from the limits card and the record, timers from recorded times, lanes from the method's steps."""

from __future__ import annotations

import html
import itertools
import re
from datetime import UTC, datetime, timedelta

import pytest

import brackish
from brackish.report.case import Case
from brackish.web.pages import day as day_page
from brackish.web.pages import jobs as jobs_page
from brackish.web.pages.day import _hour, first_sentence
from brackish.web.pages.running import runs
from brackish.web.pages.timedrawing import Hours
from tests.web.conftest import Workspace
from tests.web.writing import JOB, footbridge

AT = datetime(2026, 3, 4, 10, 0, tzinfo=UTC)
STEPS = ("choose", "water", "fit", "inject", "dwell", "draw-back", "read", "restore")


@pytest.fixture(autouse=True)
def clock(monkeypatch):
    for module in (day_page, jobs_page):
        monkeypatch.setattr(module, "now", lambda: AT)


def begun(minutes_ago: dict[str, float]) -> dict[str, str]:
    return {name: (AT - timedelta(minutes=ago)).isoformat() for name, ago in minutes_ago.items()}


def running(tests: int = 3) -> dict:
    """One test done; T2 with water on the steel for 4 min, T3 being fitted by another."""
    document = footbridge(tests)
    document["specification"][0]["criterion"][0] |= {"dwell": "10 min", "cycles": 6}
    document["person"].append({"id": "tester-b", "name": "Tomas Quill", "role": "tester"})
    for test, steps, tester in (
        (1, {"choose": 8, "water": 7, "fit": 6, "inject": 5, "dwell": 4}, "tester-a"),
        (2, {"choose": 3, "water": 2, "fit": 1}, "tester-b"),
    ):
        one = document["test"][test]
        one["started"], one["x-steps"], one["tester"] = (AT - timedelta(minutes=steps["choose"])).isoformat(), begun(steps), tester
        one.pop("read_at")
        one["facts"].pop("reading")
    return document


def page_of(workspace: Workspace, role: str = "tester", address: str = "day") -> str:
    response = workspace.client(role).get(f"/jobs/{JOB}/{address}" if address else "/")
    assert response.status_code == 200
    return html.unescape(response.content.decode()).replace("\u00a0", " ")


def text(page: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", re.sub(r"(?s)<(script|template|title).*?</\1>", " ", page)))


@pytest.fixture
def busy(workspace: Workspace) -> Workspace:
    workspace.send("owner", *workspace.writer("owner").document(running()))
    return workspace


def test_top_of_the_day_says_what_the_limits_card_says(busy):
    said, card = text(page_of(busy)), text(page_of(busy, address="limits"))
    numbers = re.search(r"the reading may be up to ([\d.]+) ?µS/cm \(guard band ([\d.]+) mg/m²\); at the limit it is ([\d.]+) µS/cm", said)
    assert numbers, said
    guarded, band, limit = numbers.groups()
    assert re.search(rf"guarded limit.{{0,40}}pass ?{guarded} ?µS/cm", card) and f"The guard band is {band} mg/m²" in card
    assert limit == "14.6"  # 50 mg/m² in 10 mL on 1250 mm² over a blank of 1.2, as in the limits card's own tests
    assert float(guarded) < float(limit)
    assert "Today’s blank, B1, is 1.2" in said


def test_a_meter_whose_last_check_failed_is_named_on_day_and_run(busy):
    check = {"at": "2026-03-04T09:50:00+00:00", "solution": "KCl 0.001 mol/L", "reading": "160 uS/cm", "temperature": "25.0 degC"}
    writer = busy.writer("tester")
    busy.send("tester", *(writer.set(("equipment", "meter", "verification", "#1", name), value) for name, value in check.items()))
    for address in ("day", "run/T2"):
        said = text(page_of(busy, address=address))
        assert re.search(r"C-1207 failed its check of 4 March 2026, 09:50: off by \+?8\.\d+ %, .{0,3}\d+(\.\d+)? % is allowed", said), said
    good = busy.writer("tester", "desk")
    busy.send(
        "tester",
        *(
            good.set(("equipment", "meter", "verification", "#2", name), value)
            for name, value in {**check, "at": "2026-03-04T09:55:00+00:00", "reading": "147 uS/cm"}.items()
        ),
    )
    assert "failed its check" not in page_of(busy)


def test_no_volume_written_no_reading_said(workspace):
    workspace.send("owner", *workspace.writer("owner").document(footbridge(0) | {"location": []}))
    assert "hangs on volume and area" in text(page_of(workspace))


def test_timers_count_from_the_record(busy):
    page = page_of(busy)
    found = dict(re.findall(r'data-timer data-name="(\w+)" data-begin="[^"]+" data-due="([^"]+)"', page))
    assert datetime.fromisoformat(found["T2"]) == AT + timedelta(minutes=6)  # ten minutes after it began four minutes ago
    assert set(found) == {"T2", "T3"}
    assert found == dict(re.findall(r'data-timer data-name="(\w+)" data-begin="[^"]+" data-due="([^"]+)"', page_of(busy, "inspector")))


def test_the_filled_panel_is_yours_and_the_other_is_somebody_elses(busy):
    busy.people["tester"].shown_name = "Tomas Quill"
    busy.people["tester"].save()
    panels = re.findall(r'(?s)<section class="now.*?</section>', page_of(busy))
    assert "Tomas Quill" in panels[0] and "T3" in panels[0]
    assert "Ines Farrow" in panels[1] and "Draw all of it back" in panels[1]


def test_plan_follows_the_recorded_times_and_the_methods_minutes():
    document = running()
    case = Case(document, brackish.evaluate(document).to_dict())
    found = {run.name: run for run in runs(case, AT)}
    assert {name: run.state for name, run in found.items()} == {"T1": "done", "T2": "running", "T3": "running"}
    stages = found["T2"].stages
    assert [stage.step.name for stage in stages] == list(STEPS)
    assert [(stage.begin - AT) / timedelta(minutes=1) for stage in stages] == [-8, -7, -6, -5, -4, 6, 7, 9]
    assert stages[4].pumps == tuple(round(600 * number / 7, 1) for number in range(1, 7))  # six, at even intervals
    late = {run.name: run for run in runs(case, AT + timedelta(minutes=20))}["T2"]
    assert late.stages[5].begin == AT + timedelta(minutes=20)  # nothing is drawn back in the past unless somebody wrote it


def test_lanes_are_people_and_cells_and_no_cell_holds_two_waters():
    document = running()
    case = Case(document, brackish.evaluate(document).to_dict())
    drawn = _hour([run for run in runs(case, AT) if run.state == "running"], AT)
    assert [(lane.name, lane.person) for lane in drawn["lanes"]] == [("Ines Farrow", True), ("Tomas Quill", True), ("Patch 1", False), ("Patch 2", False)]
    for lane in drawn["lanes"]:
        if not lane.person:
            bars = sorted(lane.bars, key=lambda bar: bar.begin)
            assert all(one.end <= other.begin for one, other in itertools.pairwise(bars))


def test_hours_place_a_moment_by_its_share():
    hours = Hours(AT, AT + timedelta(minutes=80))
    assert [hours.at(AT), hours.at(AT + timedelta(minutes=20)), hours.at(AT + timedelta(hours=9))] == [0, 25, 100]


def test_first_sentence_is_what_to_do():
    assert first_sentence("Draw all of it back. Note what came back.") == "Draw all of it back."
    assert first_sentence("Read") == "Read."


def test_portions_run_by_themselves():
    document = footbridge(0)
    document["item"] = [{"id": "lot", "kind": "abrasive", "name": "Lot FM-7781"}]
    document["location"] = []
    document["test"] = [
        {"id": "A1", "item": "lot", "method": "abrasive-conductivity", "determination": [{"x-portion": 2, "x-steps": begun({"shake-1": 10, "stand-1": 5})}]}
    ]
    case = Case(document, brackish.evaluate(document).to_dict())
    first, second = runs(case, AT)
    assert (first.name, first.state, second.name, second.state) == ("A1.1", "planned", "A1.2", "running")
    assert second.due == AT + timedelta(minutes=55)  # an hour of standing, begun five minutes ago
    assert second.path == ["test", "A1", "determination", "#2"]


def test_what_is_over_stays_where_it_was(busy, monkeypatch):
    document = running()
    case = Case(document, brackish.evaluate(document).to_dict())
    done = next(runs(case, AT))
    assert done.stages[-1].end == datetime(2026, 3, 4, 9, 16, tzinfo=UTC)  # when it was read
    assert 'class="past-text"' in page_of(busy)
    monkeypatch.setattr(day_page, "now", lambda: AT + timedelta(days=3))
    assert "T1" not in "".join(re.findall(r'<text class="past-text".*?</text>', page_of(busy)))


def test_results_say_what_is_under_way_and_lead_into_it(busy):
    said = text(page_of(busy, address="results"))
    assert "Under wayat step 5 of 8: Leave the water on" in said and "Under wayat step 3 of 8: Fit the patch" in said and "Planned" not in said
    one = page_of(busy, address="results/T2")
    assert "Under wayAt step 5 of 8: Leave the water on. Open the test" in text(one) and "Nothing is measured" not in one
    assert "Open the test" not in page_of(busy, "reader", "results/T2")


@pytest.mark.parametrize("role", ["tester", "inspector", "owner"])
def test_list_of_jobs_says_first_what_is_under_way(role, busy):
    page = page_of(busy, role, "")
    assert "T3: Fit the patch, since 09:59T2: Draw the water back at 10:06" in text(page)
    assert ("Waits for you" in page) == (role != "owner")


def test_list_of_jobs_does_not_say_that_a_test_with_two_readings_is_under_way(busy):
    base = busy.client("owner").get(f"/api/v1/jobs/{JOB}").json()["base"]
    for role, reading in (("tester", "9.1 uS/cm"), ("inspector", "19.9 uS/cm")):
        busy.send(role, busy.writer(role).set(("test", "T1", "facts", "reading"), [reading], base=base))
    page = text(page_of(busy, address=""))
    assert "Choose between two values" in page and "T2: Draw the water back" in page and "T1: " not in page


def test_what_was_begun_another_day_says_which(busy, monkeypatch):
    monkeypatch.setattr(jobs_page, "now", lambda: AT + timedelta(days=2))
    assert "T2: Draw the water back, since 4 March 2026, 10:06" in text(page_of(busy, address=""))


def test_a_void_test_does_not_run(workspace):
    document = running()
    document["test"][1]["void"] = {"reason": "the rim lifted"}
    workspace.send("owner", *workspace.writer("owner").document(document))
    assert 'data-name="T2"' not in page_of(workspace)


@pytest.mark.parametrize("role", ["owner", "inspector", "tester", "trainee", "reader", "witness", "client"])
def test_every_role_sees_the_day_and_only_writers_start(role, busy):
    busy.send(
        "owner",
        busy.writer("owner", "desk").set(("test", "T9", "item"), "girder"),
        busy.writer("owner", "other").set(("test", "T9", "method"), "patch-conductivity"),
    )
    page = page_of(busy, role)
    assert "T2" in page
    for words in ("Start T9", "Open T2", "/run/"):
        assert (words in page) == (role in ("owner", "inspector", "tester", "trainee")), words


def test_typed_test_that_says_only_when_it_was_read_has_no_bar_and_breaks_nothing(workspace):
    document = footbridge(1)
    document["test"][0].pop("started", None)
    document["test"][0]["read_at"] = (AT - timedelta(minutes=30)).isoformat()
    workspace.send("owner", *workspace.writer("owner").document(document))
    assert "data-hour" not in page_of(workspace)


def test_test_run_to_its_end_without_a_reading_is_not_lost(workspace):
    document = footbridge(1)
    document["test"][0]["x-steps"] = begun({"choose": 30}) | {"end": (AT - timedelta(minutes=10)).isoformat()}
    del document["test"][0]["facts"]["reading"]
    workspace.send("owner", *workspace.writer("owner").document(document))
    said = text(page_of(workspace))
    assert "It is begun, and has no reading yet." in said and "Finish T1" in said and "Start T1" not in said
    assert "Begunno reading yet" in text(page_of(workspace, address="results"))


def test_empty_day_says_what_to_do(workspace):
    document = footbridge(0)
    document["location"] = []
    workspace.send("owner", *workspace.writer("owner").document(document))
    said = text(page_of(workspace))
    assert "Nothing is running" in said and "No test waits to be started" in said
