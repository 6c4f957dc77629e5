# SPDX-License-Identifier: MIT
"""Readings from a spreadsheet: columns by their heads, a fate for every row, and nothing stored before a person writes it."""

from __future__ import annotations

import html
import io
import json
import re
import zipfile

import pypdf
import pytest

import brackish
from brackish.library import method
from brackish.report.table import csv
from brackish.web import models
from brackish.web.ledger.store import events_of
from brackish.web.pages.pasted import Column, Table, fates, guess, table_of
from tests.web.conftest import Workspace
from tests.web.writing import JOB, footbridge

PATCH = method("patch-conductivity")
COMMON = {
    "method": "patch-conductivity",
    "item": "girder",
    "stage": "after-blasting",
    "blank": "B1",
    "equipment": ["meter"],
    "facts": {"compartment_area": "1250 mm2", "solution_volume": "10.0 mL"},
}
PASTE = "Test\tPlace\tReading (µS/cm)\tTemp °C\tTime\tTester\n"


def rows(text: str, document: dict | None = None, **options) -> list:
    table = table_of(text)
    return rows_of(table, guess(table, PATCH), document, **options)


def rows_of(table: Table, columns: list[Column], document: dict | None = None, **options) -> list:
    words = {"method": PATCH.id, "common": COMMON, "offset": "+00:00", "places": True} | options
    return fates(document=document or footbridge(), table=table, columns=columns, **words)


@pytest.mark.parametrize("between", ["\t", ";", ","])
def test_heads_are_matched_to_facts_with_their_units(between):
    table = table_of(between.join(["Test", "Place", "Reading (µS/cm)", "temp_degC", "solution_volume_mL", "Remarks"]) + "\n" + between.join("123456"))
    assert guess(table, PATCH) == [
        Column("id"),
        Column("location"),
        Column("fact:reading", "uS/cm"),
        Column("fact:temperature", "degC"),
        Column("fact:solution_volume", "mL"),
        Column(""),
    ]


def test_row_becomes_a_test_that_is_judged_as_if_it_were_typed():
    found = rows(PASTE + "P1\tL1\t9.1\t25.0\t2026-03-04 09:40\tInes Farrow")
    assert [row.kind for row in found] == ["new"]
    written = {tuple(change["path"]): change["value"] for change in found[0].changes}
    assert written["test", "P1", "facts", "reading"] == ["9.1 uS/cm"]
    assert written["test", "P1", "read_at"] == "2026-03-04T09:40:00+00:00"
    assert written["test", "P1", "tester"] == "tester-a"
    assert written["test", "P1", "location"] == "L1"


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ("P1\tL1\t8.6 uS/cm2\t25\t\t", "cannot measure this"),
        ("P1\tL1\t\t25\t\t", "Nothing stands under: Conductivity of the extract"),
        ("P1\tL1\tnine\t25\t\t", "nine"),
        ("P1\tL1\t9.1\t25\tyesterday\t", "yesterday"),
        ("P1\tL1\t9.1\t25\t\tNobody Known", "Nobody Known"),
    ],
)
def test_bad_row_is_refused_with_the_reason_and_writes_nothing(row, says):
    found = rows(PASTE + row + "\nP2\tL1\t9.1\t25.0\t\t")
    assert [each.kind for each in found] == ["refused", "new"]
    assert says in " ".join(found[0].words)
    assert found[0].changes == []


def test_number_without_a_unit_is_refused():
    (row,) = rows("Test\tReading\nP1\t9.1")
    assert row.kind == "refused" and row.words == ["9.1 has no unit. Choose it beside its column above, or write it in the head or in the cell."]


def test_unit_of_a_head_serves_whatever_the_column_is_chosen_for():
    table = table_of("Ort;Leitf. (µS/cm);Wasser mL\nL1;9,1;10")
    assert guess(table, PATCH) == [Column(""), Column("fact:reading", "uS/cm"), Column("", "mL")]  # one fact is a conductivity, three are volumes
    (row,) = rows_of(table, [Column("location"), Column("fact:reading", "uS/cm"), Column("fact:solution_volume", "mL")])
    assert row.kind == "new"


def test_our_own_table_is_taken_back_and_says_nothing_new():
    document = footbridge(2)
    found = rows(csv(job=document, outcome=brackish.evaluate(document).to_dict()).decode("utf-8-sig"), document)
    assert [(row.kind, row.test, row.words) for row in found] == [("same", "T1", []), ("same", "T2", [])]


def test_table_without_the_reading_makes_no_test_but_may_correct_one():
    (new,) = rows("Place;Temp °C\nL1;21")
    assert (new.kind, new.words) == ("refused", ["No column is for: Conductivity of the extract."])
    (old,) = rows("Test;Temp °C\nT1;21")
    assert old.kind == "changed"


def test_row_that_was_pasted_before_or_stands_twice_is_refused():
    line = "\nL1\t9.1 uS/cm\t2026-03-04 09:40"
    head = "Place\tReading\tTime"
    first, second = rows(head + line + line)
    assert (first.kind, second.kind) == ("new", "refused") and "says the same already" in second.words[0]
    document = footbridge()
    document["test"].append(
        {"id": "P9", "method": PATCH.id, "item": "girder", "location": "L1", "read_at": "2026-03-04T09:40:00+00:00", "facts": {"reading": ["9.1 uS/cm"]}}
    )
    (again,) = rows(head + line, document)
    assert again.kind == "refused" and again.words[0].startswith("P9 says the same already")
    (other,) = rows(head + line.replace("9.1", "9.3"), document)
    assert other.kind == "new"


def test_row_whose_test_would_not_be_counted_says_so():
    (row,) = rows("Place;Reading\nL1;9.1 uS/cm", common={key: value for key, value in COMMON.items() if key != "stage"})
    assert (row.kind, row.state) == ("new", "")
    assert row.words == ["No stage is written; the requirement steel is for the stage after-blasting. The test is not counted."]
    (nowhere,) = rows("Test;Reading\nP1;9.1 uS/cm")
    assert nowhere.words == ["No location is named. The test counts for no place."]


@pytest.mark.parametrize("cell", ["03/04/2026 9:40", "4.3.26 9:40", "noon"])
def test_time_that_may_be_two_days_is_refused_with_one_that_is_read(cell):
    (row,) = rows(f"Place\tReading\tTime\nL1\t9.1 uS/cm\t{cell}")
    assert row.words == [f"{cell} is read as no time. Write 2026-03-04 09:05 or 4.3.2026 09:05."]


def test_decimal_comma_is_read_and_said():
    found = rows(PASTE + "P1\tL1\t9,1\t25\t\t")[0]
    assert found.kind == "new"
    assert "9,1 is read as 9.1." in found.words
    assert {"path": ["test", "P1", "facts", "reading"], "value": ["9.1 uS/cm"]} in found.changes
    (acid,) = rows("Place;Reading;pH\nL1;9.1 uS/cm;6,8")
    assert acid.words == ["6,8 is read as 6.8."] and {"path": ["test", acid.test, "facts", "ph"], "value": "6.8"} in acid.changes


def test_known_test_changes_only_what_differs():
    document = footbridge()
    same, changed = (rows(PASTE + f"T1\tL1\t{reading}\t25.0\t\t", document)[0] for reading in ("9.1", "9.4"))
    assert (same.kind, same.changes) == ("same", [])
    assert changed.changes == [{"path": ["test", "T1", "facts", "reading"], "value": ["9.4 uS/cm"], "was": ["9.1 uS/cm"]}]


def test_unknown_place_is_added_once_and_never_by_who_may_not():
    found = rows(PASTE + "P1\tupper flange\t9.1\t25\t\t\nP2\tUpper Flange\t9.2\t25\t\t")
    added = [change for row in found for change in row.changes if change["path"][0] == "location"]
    assert {change["path"][1] for change in added} == {"L2"}
    assert [change["value"] for row in found for change in row.changes if change["path"][2:] == ["location"]] == ["L2", "L2"]
    assert [row.kind for row in rows(PASTE + "P1\tupper flange\t9.1\t25\t\t", places=False)] == ["refused"]


def test_place_of_a_refused_row_refuses_the_next_one_too():
    found = rows(PASTE + "P1\tupper flange\t9 uS/cm2\t25\t\t\nP2\tupper flange\t9.2\t25\t\t")
    assert [row.kind for row in found] == ["refused", "refused"]


def test_same_test_twice_in_one_table():
    assert [row.kind for row in rows(PASTE + "P1\tL1\t9.1\t25\t\t\nP1\tL1\t9.2\t25\t\t")] == ["new", "refused"]


def test_day_first_time_gets_the_offset_and_lines_keep_their_numbers():
    found = rows(PASTE + "\nP1\tL1\t9.1\t25\t4.3.2026 9:40\t", offset="+01:00")[0]
    assert found.line == 3
    assert {"path": ["test", "P1", "read_at"], "value": "2026-03-04T09:40:00+01:00"} in found.changes


def test_apostrophe_of_our_own_export_is_taken_off():
    assert table_of("Test\tReading\nP1\t'-0.2 uS/cm").rows == (("P1", "-0.2 uS/cm"),)


def test_judge_says_what_a_row_will_lack():
    common = {**COMMON, "facts": {}}
    found = rows(PASTE + "P1\tL1\t9.1\t25\t\t", common=common)[0]
    assert found.state == "incomplete" and "Not written down: " in " ".join(found.words)
    assert not any(word in " ".join(found.words) for word in ("Pass", "Fail"))


@pytest.fixture
def judged(workspace: Workspace) -> Workspace:
    workspace.send("owner", *workspace.writer("owner").document(footbridge()))
    return workspace


def post(workspace: Workspace, text: str, role: str = "tester", **more: str):
    return workspace.client(role).post(f"/jobs/{JOB}/import", {"text": text, "method": PATCH.id, "item": "girder", "blank": "B1", **more})


def changes_in(page: str) -> list[dict]:
    """What the form of the page would write."""
    (found,) = re.findall(r'<form[^>]*data-changes="([^"]+)"', page)
    return json.loads(html.unescape(found))


def test_preview_stores_nothing_and_holds_the_changes(judged):
    before = models.Event.objects.count()
    page = post(judged, PASTE + "P1\tL1\t9.1\t25.0\t\t\nP2\tL1\tbad\t25\t\t").content.decode()
    assert models.Event.objects.count() == before
    assert page.count("fate-new") == page.count("fate-refused") == 1
    paths = [change["path"] for change in changes_in(page)]
    assert ["test", "P1", "facts", "reading"] in paths and not any(path[:2] == ["test", "P2"] for path in paths)
    assert not re.search(r"\sstyle=|\son[a-z]+=|<script(?![^>]*src=)", page)


def test_changes_of_the_page_are_taken_by_the_server_and_judged(judged):
    page = post(
        judged,
        PASTE + "P1\tL1\t9.1\t25.0\t\t",
        **{"common-compartment_area": "1250", "common-solution_volume": "10.0", "stage": "after-blasting", "meter": "meter"},
    )
    writer = judged.writer("tester")
    judged.send("tester", *[writer.set(change["path"], change["value"]) for change in changes_in(page.content.decode())])
    outcome = judged.client("tester").get(f"/api/v1/jobs/{JOB}/outcome").json()
    tests = {test["id"]: test for test in outcome["tests"]}
    assert tests["P1"]["results"][0]["shown"] == tests["T1"]["results"][0]["shown"]  # the same figures as T1


def test_trainee_imports_training_only(judged):
    page = post(judged, PASTE + "P1\tL1\t9.1\t25.0\t\t", role="trainee", purpose="acceptance").content.decode()
    found = changes_in(page)
    assert (found[0]["path"], found[0]["value"]) == (["test", "P1", "purpose"], "training")
    writer = judged.writer("trainee")
    judged.send("trainee", *[writer.set(change["path"], change["value"]) for change in found])


def test_changed_rows_stand_apart_with_both_values_and_none_is_ticked(judged):
    page = post(judged, PASTE + "T1\tL1\t9.9\t25.0\t\t\nP1\tL1\t9.1\t25.0\t\t").content.decode()
    forms = re.findall(r'<(form|input)[^>]*data-changes="([^"]+)"', page)
    written, ticked = (json.loads(html.unescape(text)) for _tag, text in forms)
    assert {change["path"][1] for change in written} == {"P1"} and {change["reason"] for change in written} == {"from a pasted table"}
    assert ticked == [{"path": ["test", "T1", "facts", "reading"], "value": ["9.9 uS/cm"], "was": ["9.1 uS/cm"]}]
    assert "checked" not in page and re.search(r'<input[^>]*name="reason"', page)


@pytest.mark.slow
def test_change_of_a_judged_reading_is_ticked_and_has_its_reason(desk):
    desk.workspace.send("owner", *desk.workspace.writer("owner").document(footbridge()))
    page = desk.page(f"/jobs/{JOB}/import")
    shown = post(desk.workspace, PASTE + "T1\tL1\t9.9\t25.0\t\t\nP1\tL1\t9.1\t25.0\t\t").content.decode()
    page.route("**/import", lambda route: route.fulfill(body=shown, content_type="text/html"))
    page.goto(f"https://desk.test/jobs/{JOB}/import")
    page.get_by_role("checkbox").check()
    write = page.get_by_role("button", name="Write the new test and the ticked changes")
    write.click()
    assert page.get_by_label("Why what was written changes").evaluate("field => field.matches(':invalid')")
    page.get_by_label("Why what was written changes").fill("the sheet says 9.9")
    write.click()
    page.get_by_text("Rows written").wait_for()
    reasons = {tuple(event.path): event.reason for event in events_of(JOB) if event.author == "tester"}
    assert reasons["test", "T1", "facts", "reading"] == "the sheet says 9.9"
    assert reasons["test", "P1", "facts", "reading"] == "from a pasted table"


def test_only_item_of_a_job_is_preselected_and_the_place_knows_its_item(judged):
    page = judged.client("tester").get(f"/jobs/{JOB}/import").content.decode()
    assert '<option value="girder" selected>' in page
    common = {name: value for name, value in COMMON.items() if name != "item"}
    assert rows(PASTE + "P1\tL1\t9.1\t25\t\t", common=common)[0].kind == "new"


def test_new_place_is_asked_about_before_it_is_written(judged):
    page = post(judged, PASTE + "P1\tL9\t9.1\t25.0\t\t").content.decode()
    assert re.search(r'<input type="checkbox" required><span>It is new: L9', page)
    assert "required><span>" not in post(judged, PASTE + "P1\tL1\t9.1\t25.0\t\t").content.decode()


def test_tester_who_is_not_in_the_job_is_said_once_with_what_to_do(judged):
    paste = PASTE + "P1\tL1\t9.1\t25.0\t\tJonna Reith\nP2\tL1\t9.2\t25.0\t\tJonna Reith\nP3\tL1\t9.3\t25.0\t\tines  farrow"
    page = post(judged, paste).content.decode()
    assert page.count("Not in this job: Jonna Reith. In it are: Ines Farrow.") == 1 and "Ask the inspector or the owner" in page
    assert page.count("Nobody in this job is called Jonna Reith.") == 2 and "an id of up to" not in page
    assert {change["path"][1] for change in changes_in(page)} == {"P3"}
    assert "Add them in the plan" in post(judged, paste, role="inspector").content.decode()


def test_item_that_is_not_in_the_job_is_said_with_those_that_are():
    found = rows("Test\tItem\tReading (µS/cm)\nP1\tGirder 9\t9.1")
    assert found[0].words == ["No item of this job is called Girder 9. Its items: Girder 2, web."]


def test_fate_of_a_row_says_that_its_test_will_be_withheld(judged):
    page = post(judged, PASTE + "P1\tL1\t9.1\t25.0\t\t").content.decode()
    assert "new test P1, withheld until it is complete" in page and "One new test stays without a verdict." in page


@pytest.mark.parametrize("typed", ["1250", "1250,0", "1250.0 mm2"])
def test_amount_of_all_rows_is_read_in_the_unit_beside_it(judged, typed):
    page = post(judged, PASTE + "P1\tL1\t9.1\t25.0\t\t", **{"common-compartment_area": typed}).content.decode()
    assert [each["value"] for each in changes_in(page) if each["path"][-1] == "compartment_area"] in (["1250 mm2"], ["1250.0 mm2"])


@pytest.mark.parametrize("role", ["reader", "client", "witness"])
def test_who_may_not_write_gets_no_preview(judged, role):
    assert post(judged, PASTE + "P1\tL1\t9.1\t25\t\t", role=role).status_code == 403
    assert b"textarea" not in judged.client(role).get(f"/jobs/{JOB}/import").content


@pytest.mark.parametrize("text", ["", "\n\n", "just words", '"open', "a\0b\t1", "\t\t\t\n1\t2", "x" * 499_000])
def test_strange_pastes_are_answered(judged, text):
    assert post(judged, text).status_code in (200, 422)


def test_two_hundred_rows_and_no_more():
    many = PASTE + "\n".join(f"P{n}\tL1\t9.1\t25\t\t" for n in range(230))
    table = table_of(many)
    assert (len(table.rows), table.left_off) == (200, 30)


def test_bundle_holds_a_report_that_verifies_and_the_same_bytes_again(judged):
    first, again = (judged.client("reader").get(f"/jobs/{JOB}/bundle.zip").content for _ in range(2))
    assert first == again
    with zipfile.ZipFile(io.BytesIO(first)) as file:
        assert file.namelist() == ["report.pdf", "job.json", "outcome.json", "results.csv"]
        job = json.loads(file.read("job.json"))
        assert brackish.evaluate(job).to_dict() == json.loads(file.read("outcome.json"))
        assert len(pypdf.PdfReader(io.BytesIO(file.read("report.pdf"))).pages) >= 2
        assert b"T1" in file.read("results.csv")


def test_long_job_says_the_same_of_a_row_as_a_short_one():
    """Only the tests that rows concern are read again: what a row names is found, and what it lacks is said."""
    document = footbridge(3)
    text = (
        PASTE.replace("Tester", "Retest of\tPurpose\tRound") + "P1\tL2\t9.1\t25.0\t2026-03-04 09:40\tT2\tretest\t2\nT3\tL3\t9.2\t25.0\t2026-03-04 09:40\t\t\t"
    )
    first, second = rows(text, document)
    assert (first.kind, second.kind) == ("new", "changed"), (first.words, second.words)
    unknown = rows(text.replace("T2", "T9"), document)[0]
    assert unknown.kind == "refused" and "T9" in " ".join(unknown.words)
    lacking = rows(PASTE + "P1\tL1\t9.1\t25.0\t2026-03-04 09:40\tInes Farrow", document, common={**COMMON, "facts": {"compartment_area": "1250 mm2"}})[0]
    assert lacking.state == "incomplete"
