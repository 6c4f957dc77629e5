# SPDX-License-Identifier: MIT
"""How many tests a rule asks for; numbers from the rules' own texts, worked out by hand."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brackish.errors import InputError
from brackish.prepare import counts
from brackish.record.document import load
from tests.judge.jobs import job, with_tests

EXAMPLES = Path(__file__).parents[2] / "examples"
UFGS = "per-100-then-200"  # UFGS 09971, page 25
FDOT = "per-1000-ft2"  # Florida DOT section 560-7.5


@pytest.mark.parametrize(
    ("rule", "area", "wanted"),
    [
        (UFGS, "300 m2", {"metric": 4, "foot": 5}),  # the contract's case
        ("3 for the first 100 m2, then 1 per 200 m2", "1000 m2", {"metric": 8}),  # the contract's case: 3 + 900/200 rounded up
        (UFGS, "100 m2", {"metric": 3, "foot": 4}),  # 1076.4 ft²
        (UFGS, "92.9 m2", {"metric": 3, "foot": 3}),
        (UFGS, "100.01 m2", {"metric": 4, "foot": 4}),
        (UFGS, "1000 ft2", {"metric": 3, "foot": 3}),  # exactly at the first step
        (FDOT, "1000 m2", {"foot": 13}),  # 10763.9 ft²
        ("five-per-100", "1000 m2", {"metric": 50}),  # US Navy practice, 2008
        ("five-per-100", "100 m2", {"metric": 5}),
        ("five-per-100", "101 m2", {"metric": 10}),
        ("1 per 50 m2", "46 m2", {"metric": 1}),
        ("1 per 50 m2", "50 m2", {"metric": 1}),
        ("1 per 100 m2, at least 3", "150 m2", {"metric": 3}),
        ("1 per 100 m2, at least 3", "301 m2", {"metric": 4}),
        ("1 per 100 m2 (1000 ft2), at least 4", "300 m2", {"metric": 4, "foot": 4}),  # 3229.2 ft²
    ],
)
def test_tests_by_unit_system(rule, area, wanted):
    found = counts.by_rule(rule=rule, area=area)
    assert found["by_unit_system"] == wanted
    assert found["tests"] == max(wanted.values())


@pytest.mark.parametrize(("governs", "tests"), [("metric", 4), ("foot", 5), ("", 5)])
def test_one_unit_system_may_govern(governs, tests):
    assert counts.by_rule(rule=UFGS, area="300 m2", governs=governs)["tests"] == tests


def test_working_in_words():
    found = counts.by_rule(rule="3 for the first 100 m2, then 1 per 200 m2", area="300 m2")
    assert found["working"].replace("\u00a0", " ") == "3 for the first 100 m², then 1 for each 200 m² or part of the further 200 m²: 3 + 1 = 4"


def test_smallest_number_is_said_where_it_counts():
    found = counts.by_rule(rule="2 per 100 m2, at least 3", area="90 m2")
    assert found["working"].replace("\u00a0", " ") == "2 for each 100 m² or part of 90 m²: 1 × 2 = 2, but at least 3"


@given(area=st.integers(1, 50_000), rule=st.sampled_from([UFGS, FDOT, "five-per-100", "1 per 50 m2", "3 for the first 10 m2, then 2 per 7.5 m2"]))
def test_the_last_number_of_the_working_is_the_number_of_tests(area, rule):
    found = counts.by_rule(rule=rule, area=f"{area / 10} m2")
    ends = [int(number) for number in re.findall(r"(?:: |= )(\d+)(?=;|$)", found["working"])]
    assert ends == list(found["by_unit_system"].values())


def test_a_rule_per_item_needs_no_unit_system():
    found = counts.by_rule(rule="3 per item", area="46 m2")
    assert (found["rule"], found["tests"], found["by_unit_system"]) == ("3 per item", 3, {})
    assert found["working"] == "3 for each item, whatever its area"


def test_what_the_tests_asked_for_could_show_is_said_beside_their_number():
    found = counts.by_rule(rule="per-100-then-200", area="300 m2")["sampling"]
    assert found["passes"] == 5
    assert found["share_open"] == pytest.approx(1 - 0.05**0.2)  # the exact binomial bound: five passes leave 45 % open
    assert found["needed"] == 59  # ISO 16269-6, distribution-free, one-sided, 95 % and 95 %
    assert "up to 45\u00a0%" in found["shown"] and found["shown"].startswith("If all 5 pass")


def reaching(*tests: dict, **changes: object) -> dict:
    (row,) = counts.of_job(with_tests(job(**changes), *tests))["items"]
    return row


def test_results_of_a_job_reach_as_far_as_the_tolerance_factor_says():
    found = reaching(*({"id": f"T{n}", "location": f"L{n}", "facts": {"reading": [f"{6 + n}.0 uS/cm"]}} for n in (2, 3, 4)))["reach"]
    assert found["factor"] == pytest.approx(
        5.144, abs=5e-4
    )  # one-sided, n = 4, 95 % and 95 %: printed tables (EPA unified guidance, Hahn and Meeker) give 5.144
    assert found["reach"] == pytest.approx(found["mean"] + found["factor"] * found["standard_deviation"])


def test_two_tests_at_one_place_reach_as_their_mean():
    rows = ({"id": "T2", "facts": {"reading": ["9.3 uS/cm"]}}, {"id": "T3", "location": "L2"}, {"id": "T4", "location": "L3"})
    assert reaching(*rows, criterion__quantity="mixed_salt_per_area")["reach"]["mean"] == pytest.approx((32.0 + 31.6 + 31.6) / 3.0)


def test_places_tested_again_are_no_sample_of_the_rest():
    row = next(row for row in counts.of_job(load(EXAMPLES / "tank-roof-chloride.toml"))["items"] if row["criterion"] == "chloride")
    assert row["sampling"]["share_open"] == 1.0
    assert row["sampling"]["shown"].startswith("All 3 passed, 1 of them only when tested again.")
    assert "reach" not in row


def test_a_place_only_accepted_past_its_limit_says_nothing_of_the_rest():
    passing = reaching(criterion__decision_rule="guarded-rejection")
    accepted = reaching(criterion__decision_rule="guarded-rejection", criterion__limit="29 mg/m2")
    assert ("sampling" in passing, "sampling" in accepted) == (True, False)


def test_a_limit_from_below_is_missed_from_below():
    rows = counts.of_job(load(EXAMPLES / "waters.toml"))["items"]
    assert "still be under the limit" in next(row for row in rows if row["criterion"] == "dew")["sampling"]["shown"]


def test_passes_of_a_job_say_what_they_leave_open_and_a_failure_says_nothing():
    rows = {(row["item"], row["criterion"]): row for row in counts.of_job(load(EXAMPLES / "ballast-tank.toml"))["items"]}
    assert rows["frame-31", "plate"]["sampling"]["share_open"] == pytest.approx(0.95)
    assert "sampling" not in rows["frame-37", "plate"]  # it did not pass
    assert "sampling" not in rows["frame-31", "water"]  # a water has no places


@pytest.mark.parametrize(
    ("texts", "code"),
    [
        ({"rule": "often", "area": "46 m2"}, "input.not_a_count_rule"),
        ({"rule": UFGS, "area": "46"}, "quantity.bare_number"),
        ({"rule": UFGS, "area": "46 mL"}, "quantity.wrong_dimension"),
        ({"rule": UFGS, "area": "0 m2"}, "input.not_positive"),
        ({"rule": FDOT, "area": "46 m2", "governs": "metric"}, "counts.governs"),
    ],
)
def test_what_cannot_be_counted_says_why(texts, code):
    with pytest.raises(InputError) as caught:
        counts.by_rule(**texts)
    assert caught.value.code == code and caught.value.message


def test_a_job_says_done_required_and_open():
    document = with_tests(job(criterion__count=UFGS, item__area="300 m2"), {"id": "T2", "location": "L2"}, {"id": "T3", "location": "L2"})
    found = counts.of_job(document)
    row = found["items"][0]
    assert (row["done"], row["required"], row["open"]) == (2, 5, 3)  # two tests at one place count once
    assert row["by_unit_system"] == {"metric": 4, "foot": 5}
    assert found["open"] == 3


def test_a_job_that_has_more_than_asked_has_none_open():
    document = with_tests(job(), {"id": "T2", "location": "L2"})
    assert [(row["done"], row["open"]) for row in counts.of_job(document)["items"]] == [(2, 0)]


def test_a_job_says_why_there_is_no_number():
    nothing_agreed = counts.of_job(job(criterion__count=None))["items"][0]
    assert "required" not in nothing_agreed and "not agreed" in nothing_agreed["reason"]
    no_area = counts.of_job(job(criterion__count=UFGS, item__area=None))["items"][0]
    assert "required" not in no_area and "area" in no_area["reason"]
