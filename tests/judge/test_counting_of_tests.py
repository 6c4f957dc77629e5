# SPDX-License-Identifier: MIT
"""Which tests count for an item, and what a missing, failed, void or repeated one does."""

from __future__ import annotations

from typing import Any

import pytest

from tests.judge.jobs import job, with_tests
from tests.judge.reading import codes, item, outcome, row_of

FAILS = {"reading": ["20 uS/cm"]}  # 75 mg/m² mixed salts, over 50 as NaCl
VOID = {"reason": "leak seen", "by": "tester-a"}


def at(location: str, n: int = 2, **row: Any) -> dict[str, Any]:
    return {"id": f"T{n}", "location": location, **row}


def judged(document: dict) -> tuple[str, int, int | None]:
    row = item(document)
    return row["verdict"], row["counted"], row.get("required")


def two(**row: Any) -> dict:
    """Two locations asked for; the second test as said."""
    return with_tests(job(criterion__count="2 per item"), at("L2", **row))


def test_distinct_locations_are_counted():
    assert judged(two()) == ("pass", 2, 2)


def test_two_tests_at_one_location_count_once_and_are_said():
    document = with_tests(job(criterion__count="2 per item"), at("L1"))
    assert judged(document) == ("withheld", 1, 2)
    assert "location.repeated" in {row["code"] for row in outcome(document)["job"]["findings"]}
    assert [row["verdicts"][0]["verdict"] for row in outcome(document)["tests"]] == ["pass", "pass"]


def test_one_of_two_tests_at_one_location_that_fails_decides():
    assert judged(with_tests(job(), at("L1", facts=FAILS)))[0] == "fail"


@pytest.mark.parametrize("purpose", ["pre-check", "pair", "training", "dispute"])
def test_other_purposes_are_not_counted(purpose):
    assert judged(two(purpose=purpose)) == ("withheld", 1, 2)


@pytest.mark.parametrize("purpose", ["acceptance", "retest", None])
def test_acceptance_and_retest_are_counted(purpose):
    assert judged(two(**({"purpose": purpose} if purpose else {}))) == ("pass", 2, 2)


def test_failing_pre_check_does_not_fail_the_item():
    document = with_tests(job(), at("L2", purpose="pre-check", facts=FAILS))
    assert judged(document)[0] == "pass"
    assert row_of(document, "T2")["verdicts"][0]["verdict"] == "fail"


def test_test_of_another_stage_is_not_counted():
    assert judged(two(stage="before-blasting")) == ("withheld", 1, 2)


def test_test_without_stage_is_not_counted_where_one_is_asked():
    document = two(stage="after-blasting")
    del document["test"][1]["stage"]
    assert judged(document) == ("withheld", 1, 2)
    assert "stage.missing" in {row["code"] for row in row_of(document, "T2")["findings"]}


def test_criterion_without_stage_counts_every_stage():
    document = with_tests(job(criterion__count="2 per item", criterion__stage=None), at("L2", stage="before-blasting"))
    assert judged(document) == ("pass", 2, 2)


def test_test_without_location_is_not_counted():
    document = two()
    del document["test"][1]["location"]
    assert judged(document) == ("withheld", 1, 2)


def test_fail_without_location_still_fails():
    document = with_tests(job(), at("L1", facts=FAILS))
    del document["test"][1]["location"]
    assert judged(document) == ("fail", 1, 1)


def test_void_test_is_not_counted():
    assert judged(two(void=VOID)) == ("withheld", 1, 2)


def test_one_fail_decides_even_when_tests_are_missing():
    document = job(criterion__count="5 per item", facts__reading=["20 uS/cm"])
    assert judged(document) == ("fail", 1, 5)
    assert "count.missing" in codes(item(document))


def retested(*rounds: dict[str, Any]) -> dict:
    """A failed first round at L1, then these rounds."""
    document = with_tests(job(facts__reading=["20 uS/cm"]))
    rows = [
        {"id": f"T{n}", "round": n, "retest_of": f"T{n - 1}", "purpose": "retest", "facts": {"reading": ["9.1 uS/cm"]}, **row}
        for n, row in enumerate(rounds, start=2)
    ]
    return with_tests(document, *rows)


def test_retest_releases_a_failed_location():
    document = retested({})
    assert judged(document) == ("pass", 1, 1)
    spot = item(document)["spots"][0]
    assert (spot["tests"], spot["earlier"]) == (["T2"], ["T1"])


def test_retest_that_fails_keeps_the_location_failed():
    assert judged(retested({"facts": FAILS}))[0] == "fail"


@pytest.mark.parametrize("later", [{"void": VOID}, {"facts": {"reading": []}}])
def test_void_or_planned_round_changes_nothing(later):
    document = retested({}, later)
    if later.get("facts"):
        del document["test"][2]["facts"]["reading"]
    assert judged(document) == ("pass", 1, 1)


def test_planned_retest_leaves_the_fail():
    document = retested({"facts": {"reading": []}})
    del document["test"][1]["facts"]["reading"]
    assert judged(document)[0] == "fail"


def test_incomplete_latest_round_withholds_the_location_whatever_the_count():
    document = with_tests(job(), at("L2", n=9))
    document = with_tests(document, {"id": "T2", "location": "L2", "round": 2, "retest_of": "T9"})
    del document["test"][2]["facts"]["solution_volume"]
    assert judged(document) == ("withheld", 1, 1)
    assert "location.incomplete" in codes(item(document))


def test_absent_count_withholds_and_says_where_it_was_met():
    document = job(criterion__count=None)
    row = item(document)
    assert (row["verdict"], row["counted"], "required" in row, codes(row)) == ("withheld", 1, False, ["count.not_agreed"])
    assert row["shown"] == "Withheld: met at 1 location tested; number required not agreed"


@pytest.mark.parametrize(("rule", "area", "required"), [
    ("1 per 50 m2", "46 m2", 1),
    ("1 per 50 m2", "50 m2", 1),
    ("1 per 50 m2", "50.1 m2", 2),
    ("3 for the first 100 m2, then 1 per 200 m2", "100 m2", 3),
    ("3 for the first 100 m2, then 1 per 200 m2", "101 m2", 4),
    ("3 for the first 100 m2 (1000 ft2), then 1 per 200 m2 (2000 ft2)", "300 m2", 5),
    ("per-100-then-200", "300 m2", 5),
    ("3 per item", None, 3),
])  # fmt: skip
def test_required_number_by_the_items_own_area(rule, area, required):
    """UFGS 09 97 13 rule: 300 m² ask for 4 by metres and 5 by feet, the larger unless one governs."""
    assert item(job(criterion__count=rule, item__area=area))["required"] == required


def test_unit_system_that_governs_is_followed():
    rule = "3 for the first 100 m2 (1000 ft2), then 1 per 200 m2 (2000 ft2)"
    assert item(job(criterion__count=rule, item__area="300 m2", criterion__governs="metric"))["required"] == 4


def test_rule_by_area_without_area_withholds():
    row = item(job(item__area=None, criterion__count="1 per 50 m2"))
    assert (row["verdict"], codes(row), "required" in row) == ("withheld", ["count.area_missing"], False)


def test_planned_test_that_is_still_required_withholds():
    document = two()
    del document["test"][1]["facts"]["reading"]
    assert judged(document) == ("withheld", 1, 2)
    assert item(document)["shown"] == "Not yet, 1 of 2 locations"


def test_planned_test_beyond_the_number_agreed_does_not_withhold():
    document = with_tests(job(), at("L2"))
    del document["test"][1]["facts"]["reading"]
    assert judged(document) == ("pass", 1, 1)


def test_items_narrow_a_criterion():
    document = job(criterion__items=["girder"])
    document["item"].append({"id": "deck", "kind": "steel"})
    assert [len(row["verdicts"]) for row in outcome(document)["items"]] == [1, 0]


def test_methods_narrow_a_criterion():
    assert row_of(job(criterion__methods=["sleeve-chloride-tube"]))["verdicts"] == []


def lot(**changes: Any) -> dict:
    document = job(
        criterion__applies_to="abrasive", criterion__quantity="abrasive_conductivity_by_mass", criterion__limit="25 mS/m", criterion__stage=None, criterion__count=None,
        criterion__blank_rule=None, item__kind="abrasive", item__area=None, test__method="abrasive-conductivity", test__location=None, test__blank=None, **changes,
    )  # fmt: skip
    document["location"] = []
    document["test"][0]["facts"] = {"mass": "100 g", "water_volume": "100 mL", "reading": ["98 uS/cm"], "temperature": "25 degC"}
    return document


def test_abrasive_counts_tests_and_needs_no_number():
    assert judged(lot()) == ("pass", 1, None)


def test_abrasive_short_of_an_agreed_number_withholds():
    assert judged(lot() | {"specification": [{"id": "s", "criterion": [lot()["specification"][0]["criterion"][0] | {"count": "2 per item"}]}]}) == (
        "withheld",
        1,
        2,
    )


def test_retest_of_abrasive_takes_the_place_of_the_first():
    document = lot()
    document["test"][0]["facts"]["reading"] = ["400 uS/cm"]
    again = {
        **document["test"][0],
        "id": "T2",
        "round": 2,
        "retest_of": "T1",
        "purpose": "retest",
        "facts": {**document["test"][0]["facts"], "reading": ["98 uS/cm"]},
    }
    assert judged(document)[0] == "fail"
    document["test"].append(again)
    assert judged(document) == ("pass", 1, None)


@pytest.mark.parametrize(("asked", "is_", "applies"), [("new", "new", True), ("new", "in-use", False), ("in-use", "in-use", True), (None, "new", True)])
def test_condition_of_abrasive_narrows_a_criterion(asked, is_, applies):
    document = lot(criterion__condition=asked, item__condition=is_)
    assert len(outcome(document)["items"][0]["verdicts"]) == applies


def water_criterion(document: dict, applies_to: str, limit: str = "5 uS/cm") -> dict:
    document["specification"][0]["criterion"].append(
        {
            "id": "water",
            "applies_to": applies_to,
            "quantity": "water_conductivity",
            "sense": "at-most",
            "limit": limit,
            "judged": "each",
            "decision_rule": "simple-acceptance",
        }
    )
    return document


def water_verdict(document: dict, item: str) -> dict | None:
    rows = next(row["verdicts"] for row in outcome(document)["items"] if row["id"] == item)
    return next((row for row in rows if row["criterion"] == "water"), None)


@pytest.mark.parametrize(("reading", "verdict"), [("1.2 uS/cm", "pass"), ("5.4 uS/cm", "fail")])
def test_water_criterion_takes_water_blanks_for_the_items_that_use_them(reading, verdict):
    document = water_criterion(job(blank__kind="water", blank__reading=[reading], criterion__blank_rule="water"), "extraction-water")
    document["item"].append({"id": "deck", "kind": "steel"})
    row = water_verdict(document, "girder")
    assert row is not None
    assert (row["verdict"], row["counted"]) == (verdict, 1)
    assert reading.split()[0] in row["spots"][0]["shown"][0]
    assert water_verdict(document, "deck") is None


def test_full_kit_blank_is_no_reading_of_the_water():
    assert water_verdict(water_criterion(job(), "extraction-water"), "girder") is None


@pytest.mark.parametrize("use", ["extraction", "washing"])
def test_water_test_counts_by_its_use(use):
    document = water_criterion(job(), "washing-water", "100 uS/cm")
    document["item"].append({"id": "tap", "kind": "water"})
    document["test"].append(
        {
            "id": "W1",
            "item": "tap",
            "method": "water-conductivity",
            "equipment": ["meter"],
            "facts": {"reading": ["60 uS/cm"], "temperature": "25 degC", "use": use},
        }
    )
    row = water_verdict(document, "tap")
    assert (row and row["verdict"]) == ("pass" if use == "washing" else None)


def test_water_item_nobody_tested_is_not_yet():
    document = water_criterion(job(), "washing-water")
    document["item"].append({"id": "tap", "kind": "water"})
    row = water_verdict(document, "tap")
    assert row is not None
    assert (row["verdict"], row["counted"]) == ("withheld", 0)


def test_worst_item_is_the_verdict_of_the_job():
    document = job()
    document["item"].append({"id": "deck", "kind": "steel", "area": "10 m2"})
    assert outcome(document)["job"]["verdict"] == "withheld"
    document["location"].append({"id": "D1", "item": "deck"})
    document["test"].append({**document["test"][0], "id": "T2", "item": "deck", "location": "D1", "facts": {**document["test"][0]["facts"], **FAILS}})
    assert outcome(document)["job"]["verdict"] == "fail"
