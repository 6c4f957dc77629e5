# SPDX-License-Identifier: MIT
"""What is written in forms: fields with their units, what could not be read said before it is written, and the field under every fault."""

from __future__ import annotations

import json
from html.parser import HTMLParser

import pytest

from brackish.web import models
from brackish.web.ledger.store import events_of
from brackish.web.pages.written import field_of, fields_of_test
from tests.web.conftest import Workspace
from tests.web.pages.test_pages import text_of
from tests.web.writing import JOB, footbridge

FACTS = ("test", "T1", "facts")
CRITERION = ("specification", "paint-spec", "criterion", "steel")
VERIFICATION = ("equipment", "meter", "verification", "#zz")


@pytest.fixture
def job(workspace: Workspace) -> Workspace:
    workspace.send("owner", *workspace.writer("owner").document(footbridge(2)))
    return workspace


def ask(workspace: Workspace, *changes: tuple[tuple[str, ...], object], role: str = "tester") -> list[dict]:
    body = json.dumps([{"path": list(path), "value": value} for path, value in changes])
    response = workspace.client(role).post(f"/api/v1/jobs/{JOB}/readable", body, content_type="application/json")
    assert response.status_code == 200, response.content
    return response.json()["errors"]


def spoil(workspace: Workspace, *changes: tuple[tuple[str, ...], object]) -> None:
    writer, base = workspace.writer("owner", "desk"), models.Job.objects.get(id=JOB).frontier
    workspace.send("owner", *[writer.set(path, value, base=() if number else base) for number, (path, value) in enumerate(changes)])


class Fields(HTMLParser):
    """The fields of a page that write, by path: their attributes."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.found: dict[tuple[str, ...], dict] = {}
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list) -> None:
        if path := dict(attrs).get("data-path"):
            self.found[tuple(json.loads(path))] = dict(attrs)


def fields(workspace: Workspace, address: str, role: str = "tester") -> dict[tuple[str, ...], dict]:
    return Fields(workspace.client(role).get(f"/jobs/{JOB}{address}").content.decode()).found


@pytest.mark.parametrize(
    ("path", "unit", "typed", "also"),
    [
        (("item", "girder", "area"), "m2", "46", "ft2"),
        ((*FACTS, "reading"), "uS/cm", "9.1", "mS/m"),
        ((*FACTS, "temperature"), "degC", "25.0", "degF"),
        ((*CRITERION, "limit"), "mg/m2", "50", "ug/cm2"),
        ((*CRITERION, "guard_band"), "mg/m2", "two-sided", "ug/cm2"),
        ((*CRITERION, "level"), "%", "95", None),
        ((*CRITERION, "test_within"), "h", "", "min"),
        (("blank", "B1", "reading"), "uS/cm", "1.2", "mg/L"),
        (("equipment", "meter", "accuracy"), "%", "1", "uS/cm"),
        (("equipment", "meter", "graduation"), "uS/cm", "", "mS/m"),
        (("equipment", "meter", "certified_uncertainty"), "", "", "uS/cm"),  # of the reading, or an amount: a bare number could be either
    ],
)
def test_amount_has_its_unit_beside_it_and_says_what_else_may_be_typed(path, unit, typed, also):
    field = field_of(footbridge(), path)
    assert (field.unit, field.typed) == (unit, typed)
    assert also is None or also in field.units


def test_limit_of_an_open_quantity_offers_the_units_of_what_was_written():
    document = footbridge()
    criterion = document["specification"][0]["criterion"][0]
    del criterion["quantity"]
    field = field_of(document, (*CRITERION, "limit"))
    assert (field.unit, field.typed, field.help) == ("mg/m2", "50", "")
    assert "ug/cm2" in field.units and not {"uS/cm", "K", "%"} & set(field.units)
    del criterion["limit"]
    assert {"ug/cm2", "uS/cm"} <= set(field_of(document, (*CRITERION, "limit")).units)


def test_unit_beside_an_amount_is_the_one_that_was_written():
    document = footbridge()
    document["item"][0]["area"] = "500 ft2"
    assert (field_of(document, ("item", "girder", "area")).unit, field_of(document, ("item", "girder", "area")).typed) == ("ft2", "500")


@pytest.mark.parametrize(
    ("path", "value", "says"),
    [
        ((*FACTS, "temperature"), "6.5", "no unit"),
        ((*FACTS, "temperature"), "20,7 degC", "comma"),
        ((*FACTS, "reading"), ["9.1 uS/cm", "9,2 uS/cm"], "comma"),
        (("item", "girder", "area"), "46,5", "'1250 m2'"),
        (("equipment", "meter", "accuracy"), "1", "'1 %'"),
        ((*CRITERION, "limit"), "20", "'50 mg/m2'"),
        (("test", "T1", "location"), "L9", "no location"),
        (("test", "T1", "item"), None, "item is missing"),
    ],
)
def test_what_could_not_be_read_is_said_with_its_path_and_nothing_is_stored(job, path, value, says):
    count = models.Event.objects.count()
    (fault,) = ask(job, (path, value))
    assert fault["path"] == list(path) and says in fault["message"]
    assert models.Event.objects.count() == count


def test_only_what_a_change_brings_is_said(job):
    spoil(job, (("item", "girder", "area"), "46,5"))
    assert ask(job, ((*FACTS, "temperature"), "20.7 degC")) == []
    assert [fault["path"][-1] for fault in ask(job, ((*FACTS, "temperature"), "20.7"))] == ["temperature"]
    assert ask(job, (("item", "girder", "area"), "46.5 m2")) == []


def test_what_stands_under_a_mark_is_found_again(job):
    spoil(job, *[((*VERIFICATION, name), value) for name, value in (("at", "2026-03-04T07:40:00+00:00"), ("solution", "KCl 0.001 mol/L"), ("reading", "147"))])
    field = fields(job, "")[*VERIFICATION, "reading"]
    assert (field["value"], field["data-unit"], field["data-was"]) == ("147", "uS/cm", '"147"')
    assert ask(job, ((*VERIFICATION, "reading"), "147 uS/cm")) == []
    assert [fault["path"] for fault in ask(job, ((*VERIFICATION, "at"), "yesterday"))] == [[*VERIFICATION, "at"]]


def test_nonsense_is_refused_and_no_failure_of_the_program(job):
    for path, value in ((["x-note", "=json"], "{"), (["a"] * 3_000, "1"), (["test", "a\nb", "item"], "1")):
        for address in ("readable", "what-if"):
            answer = job.client("tester").post(f"/api/v1/jobs/{JOB}/{address}", json.dumps([{"path": path, "value": value}]), content_type="application/json")
            assert (answer.status_code, answer.json()["errors"][0]["code"]) == (422, "event.path")


@pytest.mark.parametrize("address", ["", "/results", "/results/T1", "/day", "/compare", "/release", "/report"])
def test_every_page_of_a_job_that_cannot_be_judged_has_the_field_under_the_fault(job, address):
    spoil(job, ((*FACTS, "temperature"), "6.5"), (("item", "girder", "area"), "46,5"))
    found = fields(job, address, "inspector")
    assert (found[*FACTS, "temperature"]["value"], found[*FACTS, "temperature"]["data-unit"]) == ("6.5", "degC")
    assert (found["item", "girder", "area"]["value"], found["item", "girder", "area"]["data-unit"]) == ("46,5", "m2")
    page = text_of(job, f"/jobs/{JOB}{address}", "inspector")
    assert "T1, temperature of the solution when read: 6.5" in page and "Girder 2, web, area: 46,5" in page and "'1250 m2'" in page


def test_what_has_no_shape_breaks_no_page(job):
    writer, base = job.writer("owner", "desk"), models.Job.objects.get(id=JOB).frontier
    nonsense = [
        (("test", "T1", "item"), True),
        (("person", "#1"), "nobody"),
        (("item", "girder", "area", "deep"), "1 m2"),
        (("history", "#2", "method"), [[1]]),
    ]
    job.send("owner", *[writer.set(path, value, base=base) for path, value in nonsense])
    assert "Cannot be judged" in text_of(job, f"/jobs/{JOB}", "inspector")


def test_who_may_not_write_a_fact_is_told_whom_to_ask(job):
    spoil(job, (("item", "girder", "area"), "46,5"))
    assert fields(job, "/results") == {} and "Ask the inspector or the owner" in text_of(job, f"/jobs/{JOB}/results")
    assert "Ask the inspector" not in text_of(job, f"/jobs/{JOB}/results", "reader")


def test_other_facts_of_a_test_stay_correctable_while_the_job_cannot_be_judged(job):
    spoil(job, ((*FACTS, "temperature"), "6.5"))
    page = job.client("tester").get(f"/jobs/{JOB}/results/T1").content.decode()
    assert page.count(json.dumps([*FACTS, "temperature"]).replace('"', "&#34;")) == 1
    assert fields(job, "/results/T1")[*FACTS, "reading"]["value"] == "9.1"


def test_missing_fact_can_be_written_where_the_verdict_waits_for_it(job):
    writer = job.writer("owner", "desk")
    job.send("owner", writer.write("withdraw", (*FACTS, "solution_volume"), base=models.Job.objects.get(id=JOB).frontier, reason="never read"))
    found = fields(job, "/results/T1")
    mine = [path for path in found if path[:3] == FACTS]
    assert mine[0] == (*FACTS, "solution_volume") and found[mine[0]]["data-unit"] == "mL" and "data-was" not in found[mine[0]]
    assert {"ph", "constant", "reading"} <= {path[-1] for path in mine}
    assert "All the water at the reading missing" in text_of(job, f"/jobs/{JOB}/results/T1")


def test_fact_of_a_portion_is_written_where_its_portion_stands():
    test = {"id": "A1", "method": "abrasive-conductivity", "facts": {}, "determination": [{"x-portion": 2, "mass": "100 g"}]}
    whole, second = fields_of_test(test, ["reading"])
    assert second["fields"][0].path == ("test", "A1", "determination", "#2", "reading") and second["fields"][0].missing
    assert "mass" not in {field.path[-1] for field in whole["fields"]}


def test_job_that_cannot_be_judged_hides_no_test_of_it(job):
    spoil(job, (("test", "T2", "facts", "reading"), ["9.1"]))
    for address in ("/compare?a=T1&b=T2", "/salts/T1"):
        assert "T2, conductivity of the extract: 9.1" in text_of(job, f"/jobs/{JOB}{address}")
    answer = job.client("tester").get(f"/api/v1/jobs/{JOB}/outcome/T1").json()
    assert [error["place"] for error in answer["errors"]] == ["test[T2].facts.reading"]
    assert job.client("tester").get(f"/api/v1/jobs/{JOB}/outcome/T9").status_code == 404
    assert job.client("tester").get(f"/jobs/{JOB}/compare?a=T1&b=T9").status_code == 404


def test_job_like_another_takes_no_number_over(workspace):
    document = footbridge()
    document["job"]["number"] = "PQ-014"
    workspace.send("owner", *workspace.writer("owner").document(document))
    draft = workspace.client("inspector").get(f"/api/v1/jobs/{JOB}/draft").json()
    assert not any(change["path"] == ["job", "number"] for change in draft["changes"])
    assert {"path": ["job", "site"], "value": "Pell Quay"} in draft["changes"]


TYPED = {"6,5": "6.5 degC", "20,7": "20.7 degC", "68 degF": "68 degF"}


@pytest.mark.slow
@pytest.mark.parametrize("typed", TYPED)
def test_correction_is_written_in_the_unit_beside_it(desk, typed):
    desk.workspace.send("owner", *desk.workspace.writer("owner").document(footbridge()))
    page = desk.page(f"/jobs/{JOB}/results/T1")
    page.get_by_text("Correct what was written").click()
    page.locator("#correct").get_by_label("Temperature of the solution when read").fill(typed)
    page.get_by_label("Reason").fill("read again")
    page.get_by_role("button", name="Write the correction").click()
    page.get_by_text("Written", exact=True).wait_for()
    assert [event.value for event in events_of(JOB) if event.reason == "read again"] == [TYPED[typed]]


@pytest.mark.slow
def test_what_could_not_be_read_stays_in_the_form_until_it_is_pressed_again(desk):
    desk.workspace.send("owner", *desk.workspace.writer("owner").document(footbridge()))
    page = desk.page(f"/jobs/{JOB}/results/T1")
    page.get_by_text("Correct what was written").click()
    field = page.locator("#correct").get_by_label("Temperature of the solution when read")
    field.fill("1,250")
    page.get_by_label("Reason").fill("read again")
    page.get_by_role("button", name="Write the correction").click()
    page.get_by_text("has a comma in its number").wait_for()
    assert field.input_value() == "1,250" and field.get_attribute("aria-invalid") == "true"
    assert not [event for event in events_of(JOB) if event.reason == "read again"]
    page.get_by_role("button", name="Write it as typed anyway").click()
    page.get_by_text("Cannot be judged").wait_for()
    assert [event.value for event in events_of(JOB) if event.reason == "read again"] == ["1,250"]


@pytest.mark.slow
def test_without_a_network_it_is_written_as_it_stands(desk):
    desk.workspace.send("owner", *desk.workspace.writer("owner").document(footbridge()))
    page = desk.page(f"/jobs/{JOB}/results/T1")
    desk.network = "none"
    page.get_by_text("Correct what was written").click()
    page.locator("#correct").get_by_label("Temperature of the solution when read").fill("warm")
    page.get_by_label("Reason").fill("read again")
    page.get_by_role("button", name="Write the correction").click()
    page.get_by_text("Not sent yet").wait_for()
    desk.network = "good"
    page.evaluate("async () => (await import('/static/brackish/record.js')).sendAll()")
    assert [event.value for event in events_of(JOB) if event.reason == "read again"] == ["warm"]


@pytest.mark.slow
def test_blank_that_could_not_be_read_is_said_at_its_field(desk):
    desk.workspace.send("owner", *desk.workspace.writer("owner").document(footbridge()))
    page = desk.page("/equipment")
    page.get_by_text("Write a blank").click()
    page.locator("#blank-reading").fill("1,250")
    page.locator("#blank-temperature").fill("20,5")
    page.get_by_role("button", name="Record this blank").click()
    page.get_by_text("has a comma in its number").wait_for()
    assert [page.locator(f"#blank-{name}").get_attribute("aria-invalid") for name in ("reading", "temperature")] == ["true", None]
    page.locator("#blank-reading").fill("1,2")
    page.get_by_role("button", name="Record this blank").click()
    page.get_by_text("Blank written").wait_for()
    written = {event.path[-1]: event.value for event in events_of(JOB) if event.author == "tester"}
    assert (written["reading"], written["temperature"]) == (["1.2 uS/cm"], "20.5 degC")
