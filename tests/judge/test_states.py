# SPDX-License-Identifier: MIT
"""Planned, incomplete, valid, void; and findings that withhold or end a test."""

from __future__ import annotations

from pathlib import Path

import pytest

from brackish.record.document import load
from tests.judge.jobs import job, with_tests
from tests.judge.reading import codes, findings, item, outcome, row_of, verdict


def test_test_without_measured_facts_is_planned():
    document = job()
    document["test"][0] = {"id": "T1", "item": "girder", "method": "patch-conductivity"}
    row = row_of(document)
    assert (row["state"], row["results"], row["verdicts"][0]["verdict"] if row["verdicts"] else None) == ("planned", [], None)


def test_planned_test_may_have_facts_that_are_not_measured():
    assert row_of(job(facts__reading=None))["state"] == "planned"


@pytest.mark.parametrize("name", ["compartment_area", "solution_volume"])
def test_missing_required_fact_is_named_and_the_others_keep_their_results(name):
    document = with_tests(
        job(**{f"facts__{name}": None}), {"id": "T2", "location": "L2", "facts": {"compartment_area": "1250 mm2", "solution_volume": "10 mL"}}
    )
    row = row_of(document)
    assert (row["state"], row["results"]) == ("incomplete", [])
    assert [reason["params"]["name"] for reason in row["verdicts"][0]["reasons"] if reason["code"] == "fact.missing"] == [name]
    assert [found["params"]["name"] for found in row["findings"] if found["code"] == "fact.missing"] == [name]
    assert (row["verdicts"][0]["verdict"], verdict(document, "T2")["verdict"]) == ("withheld", "pass")


@pytest.mark.parametrize("name", ["volume_injected", "returned_to", "dwell", "cycles", "liquid_lost", "temperature"])
def test_other_missing_facts_are_a_finding_only(name):
    document = job(**{f"facts__{name}": None})
    assert row_of(document)["state"] == "valid"
    assert name in findings(document)["fact.not_written"]["params"]["facts"]


def test_void_by_a_person_has_no_verdict_and_no_result():
    row = row_of(job(test__void={"by": "tester-a", "reason": "wrong bottle"}))
    assert (row["state"], row["verdicts"], row["results"]) == ("void", [], [])


@pytest.mark.parametrize("more", [{}, {"facts__solution_volume": None}])
def test_leak_voids_even_an_incomplete_test(more):
    row = row_of(job(facts__liquid_lost=True, **more))
    assert (row["state"], row["verdicts"]) == ("void", [])
    assert {finding["code"]: finding["severity"] for finding in row["findings"]}["loss.leak"] == "void"


SHORT = {"criterion__dwell": "12 min"}  # the job's test took 10 min


@pytest.mark.parametrize(("changes", "expected"), [
    (SHORT, "withheld"),
    (SHORT | {"test__deviations": [{"what": "10 min on the steel", "why": "tide"}]}, "withheld"),  # written, but nobody agreed
    (SHORT | {"test__deviations": [{"what": "10 min on the steel", "agreed_by": "Jonna Reith"}]}, "pass"),
    (SHORT | {"facts__reading": ["40.0 uS/cm"]}, "fail"),  # a longer time finds more
    ({"criterion__dwell": "10 min"}, "pass"),
])  # fmt: skip
def test_pass_does_not_rest_on_less_time_than_was_agreed(changes, expected):
    row = verdict(job(**changes))
    assert row["verdict"] == expected
    assert (codes(row) == ["dwell.short"]) is (expected == "withheld")


def test_volume_below_the_injected_withholds():
    document = job(facts__solution_volume="2.9 mL")
    assert findings(document)["volume.below_injected"]["severity"] == "warning"
    assert codes(verdict(document)) == ["volume.below_injected"]


@pytest.mark.parametrize(("changes", "code"), [
    ({"facts__volume_recovered": "2.6 mL"}, "loss.recovered_short"),
    ({"facts__volume_injected": "4.5 mL"}, "volume.filling"),
    ({"facts__cycles": 3}, "dwell.few_cycles"),
    ({"criterion__cycles": 8}, "dwell.few_cycles"),
    ({"criterion__dwell": "12 min"}, "dwell.short"),
    ({"blank__kind": "water", "blank__reading": ["5.1 uS/cm"]}, "water.above_limit"),
    ({"equipment__expiry": "2026-02"}, "equipment.expired"),
    ({"equipment__range": "10 to 200 uS/cm"}, "range.instrument"),
    ({"blank__at": "2026-03-03T21:15:59+00:00"}, "blank.other_day"),
    ({"blank__at": "2026-03-05T09:00:00+00:00"}, "blank.other_day"),
    ({"test__read_at": "2026-03-04T09:00:00+00:00"}, "time.order"),
    ({"test__equipment": []}, "equipment.meter_not_named"),
    ({"test__location": None}, "location.missing"),
    ({"test__stage": None}, "stage.missing"),
    ({"facts__returned_to": "undiluted"}, "volume.not_undiluted"),
])  # fmt: skip
def test_oddity_is_found(changes, code):
    assert code not in findings(job())
    assert code in findings(job(**changes))


@pytest.mark.parametrize(("changes", "code"), [
    ({"facts__volume_recovered": "2.7 mL"}, "loss.recovered_short"),
    ({"facts__cycles": 4}, "dwell.few_cycles"),
    ({"criterion__dwell": "10 min"}, "dwell.short"),
    ({"blank__kind": "water", "blank__reading": ["5.0 uS/cm"]}, "water.above_limit"),
    ({"equipment__expiry": "2026-03"}, "equipment.expired"),
    ({"blank__at": "2026-03-03T21:16:00+00:00"}, "blank.other_day"),
    ({"blank__at": "2026-03-04T06:50:00-02:00"}, "blank.other_day"),
])  # fmt: skip
def test_value_exactly_as_asked_is_no_oddity(changes, code):
    assert code not in findings(job(**changes))


def test_blank_of_the_night_shift_serves_past_midnight():
    night = {"blank__at": "2026-03-04T23:40:00+01:00", "test__started": "2026-03-05T00:01:00+01:00", "test__read_at": "2026-03-05T00:10:00+01:00"}
    assert "blank.other_day" not in findings(job(**night))
    assert findings(job(**night | {"blank__at": "2026-03-04T06:40:00+01:00"}))["blank.other_day"]["params"] == {
        "blank": "B1",
        "given": "17.5 h",
        "allowed": "12 h",
    }


def test_training_has_a_result_and_no_verdict():
    row = row_of(job(test__purpose="training"))
    assert (len(row["results"]), row["verdicts"]) == (1, [])


def test_water_of_a_patch_is_no_finding_where_nothing_is_known_of_it():
    assert "water.above_limit" not in findings(job())


def test_job_without_criteria_is_withheld():
    document = job()
    document["specification"] = []
    found = outcome(document)
    assert (found["job"]["verdict"], codes(found["job"]), found["items"][0]["verdicts"]) == ("withheld", ["criterion.none"], [])
    assert found["tests"][0]["results"]


def test_item_without_a_criterion_has_no_verdict():
    document = job()
    document["item"].append({"id": "lot", "kind": "abrasive"})
    assert outcome(document)["items"][1]["verdicts"] == []
    assert outcome(document)["job"]["verdict"] == "pass"


def test_criterion_without_an_item_is_said():
    document = job(criterion__applies_to="abrasive", criterion__quantity="abrasive_conductivity_by_mass", criterion__limit="25 mS/m")
    assert codes(outcome(document)["job"]) == ["criterion.no_item"]
    assert outcome(document)["job"]["summary"][1] == "Still open: an item that the requirement is for."


def test_job_without_an_item_names_what_its_requirement_leaves_open():
    document = job(criterion__decision_rule="three-way")
    criterion = document["specification"][0]["criterion"][0]
    for name in ("guard_band", "level"):
        criterion.pop(name, None)
    said = outcome(document | {"item": [], "test": [], "location": []})["job"]["summary"][1]
    assert said == "Still open: a guard band, a level such as 95 %, an item that the requirement is for."


def test_method_that_cannot_give_the_quantity_is_said_by_the_item():
    document = job(criterion__quantity="chloride_per_area", criterion__limit="5 ug/cm2")
    assert row_of(document)["verdicts"] == []
    assert "criterion.method_cannot_give" in codes(item(document))
    assert item(document)["verdict"] == "withheld"


def test_requirement_of_the_library_supplies_what_the_criterion_leaves_out():
    document = job(criterion__requirement="ballast-tank-nacl-50", criterion__limit=None, criterion__sense="below", criterion__count="1 per item")
    row = outcome(document)["criteria"][0]
    assert (row["limit"], row["sense"]) == ("50 mg/m2", "below")  # the limit supplied, the sense as given
    assert "limit" in row["supplied"]["fields"]
    assert "sense" not in row["supplied"]["fields"]
    assert row["supplied"]["sources"]
    assert verdict(document)["limit"] == 50.0


def test_every_test_says_the_version_of_its_method():
    from brackish import library

    assert row_of(job())["method_version"] == library.method("patch-conductivity").version


def test_missing_fact_is_named_where_no_requirement_asks_for_the_test():
    document = job(facts__solution_volume=None, criterion__applies_to="abrasive", criterion__stage=None, criterion__count=None)
    row = row_of(document)
    assert (row["state"], row["verdicts"]) == ("incomplete", [])
    assert findings(document)["fact.missing"]["params"] == {"name": "solution_volume"}


@pytest.mark.parametrize("range", ["10 to 200 uS/cm", "10-200 uS/cm", "10 – 200 µS/cm", "10...200 uS/cm", "10 uS/cm to 0.2 mS/cm", "1 to 20 mS/m"])
def test_range_of_an_instrument_is_read_as_people_write_it(range):
    assert findings(job(equipment__range=range))["range.instrument"]["params"]["given"] == "9.1 uS/cm"
    assert "range.instrument" not in findings(job(equipment__range=range, facts__reading=["10.0 uS/cm"], blank__reading=["10.0 uS/cm"]))


@pytest.mark.parametrize("range", ["up to 8 uS/cm", "8 uS/cm"])
def test_range_of_an_instrument_may_name_its_end_only(range):
    assert "range.instrument" in findings(job(equipment__range=range))


def test_range_that_cannot_be_read_is_not_silent():
    assert findings(job(equipment__range="low"))["range.unread"]["params"] == {"equipment": "meter", "given": "low"}
    assert "range.unread" not in findings(job())


def test_blank_outside_the_range_of_the_meter_is_found():
    assert findings(job(equipment__range="2 to 200 uS/cm"))["range.instrument"]["params"]["given"] == "1.2 uS/cm"


def test_portion_outside_the_range_of_the_meter_is_found():
    document = load(Path(__file__).parents[2] / "examples" / "abrasive-lot.toml")
    document["equipment"][0]["range"] = "0 to 100 uS/cm"
    assert findings(document, "A1")["range.instrument"]["params"]["given"] == "10.2 mS/m"


@pytest.mark.parametrize("slip", [{"facts__compartment_area": "1250 cm2"}, {"facts__solution_volume": "10 L"}, {"facts__compartment_area": "12.5 mm2"}])
def test_slip_of_a_unit_in_volume_or_area_withholds(slip):
    assert "volume.slip_of_unit" in codes(verdict(job(**slip)))
    assert "slip of a unit" in findings(job(**slip))["volume.slip_of_unit"]["message"]


@pytest.mark.parametrize("usual", [{"facts__compartment_area": "155 mm2", "facts__volume_injected": "0.4 mL"}, {"facts__solution_volume": "100 mL"}])
def test_odd_but_possible_volume_and_area_are_no_slip(usual):
    assert "volume.slip_of_unit" not in findings(job(**usual))
