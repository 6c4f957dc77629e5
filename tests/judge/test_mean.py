# SPDX-License-Identifier: MIT
"""The mean of several places: one value a place, unrounded, signed, what is shared entered once.

Uncertainties are checked against a joint propagation by hand with the PyPI package `uncertainties`.
"""

from __future__ import annotations

from math import sqrt
from typing import Any

import pytest
from uncertainties import ufloat

from tests.judge.jobs import job, with_tests
from tests.judge.reading import codes, item, outcome, result

READINGS = (9.1, 12.4, 3.0)


def mean_job(*readings: float, judged: str = "mean", **changes: Any) -> dict:
    changes = {"criterion__quantity": "mixed_salt_per_area", "criterion__judged": judged, "criterion__count": f"{len(readings)} per item"} | changes
    document = job(facts__reading=[f"{readings[0]} uS/cm"], **changes)
    return with_tests(
        document, *({"id": f"T{n}", "location": f"L{n}", "facts": {"reading": [f"{value} uS/cm"]}} for n, value in enumerate(readings[1:], start=2))
    )


def amount(reading: float, blank: float = 1.2) -> float:
    return 500.0 * 10.0 * (reading - blank) / 1250.0


def test_mean_is_over_unrounded_results():
    assert item(mean_job(*READINGS))["value"] == pytest.approx(sum(map(amount, READINGS)) / 3)


def test_mean_keeps_the_sign():
    assert item(mean_job(0.2, 0.4, 3.0))["value"] == pytest.approx((amount(0.2) + amount(0.4) + amount(3.0)) / 3)


def test_mean_enters_what_tests_share_once():
    """Gain, coefficient, thermometer and blank are one variable each; volumes, areas and readings are each test's own."""
    gain, coefficient, shift = ufloat(1, 0.01 / sqrt(3)), ufloat(0.021, 0.001 / sqrt(3)), ufloat(0, 0.5 / sqrt(3))
    blank = ufloat(1.2, 0.1 / sqrt(12))

    def displayed(reading: Any, at: float) -> Any:
        return reading * (1 + 0.021 * (at - 25)) / (1 + coefficient * (at + shift - 25))

    total = 0
    for reading in READINGS:
        volume, area = ufloat(10, 0.1 / sqrt(3)), ufloat(1250, 12.5 / sqrt(3))
        total += 500 * gain * volume * (displayed(ufloat(reading, 0.1 / sqrt(12)), 22.0) - displayed(blank, 21.0)) / area
    joint = total / len(READINGS)
    row = item(mean_job(*READINGS, facts__temperature="22 degC", blank__temperature="21 degC"))
    assert row["value"] == pytest.approx(joint.nominal_value, rel=1e-12)
    assert row["standard_uncertainty"] == pytest.approx(joint.std_dev, rel=1e-5)


def test_mean_with_blank_of_another_volume_shares_that_volume():
    gain, blank, blank_volume = ufloat(1, 0.01 / sqrt(3)), ufloat(1.2, 0.1 / sqrt(12)), ufloat(15, 0.1 / sqrt(3))
    coefficient, shift = ufloat(0.021, 0.001 / sqrt(3)), ufloat(0, 0.5 / sqrt(3))
    factor = 1 / (1 + coefficient * shift)
    total = 0
    for reading in READINGS:
        volume, area = ufloat(10, 0.1 / sqrt(3)), ufloat(1250, 12.5 / sqrt(3))
        total += 500 * gain * factor * (volume * ufloat(reading, 0.1 / sqrt(12)) - blank_volume * blank) / area
    row = item(mean_job(*READINGS, blank__solution_volume="15 mL"))
    assert row["standard_uncertainty"] == pytest.approx((total / 3).std_dev, rel=1e-5)


def test_tests_of_two_meters_share_less():
    document = mean_job(*READINGS)
    document["equipment"].append({**document["equipment"][0], "id": "other"})
    document["test"][1]["equipment"] = ["other"]
    assert item(document)["standard_uncertainty"] < item(mean_job(*READINGS))["standard_uncertainty"]


def test_mean_carries_its_figures():
    row = item(mean_job(*READINGS))
    names = (
        "value",
        "standard_uncertainty",
        "degrees_of_freedom",
        "coverage_factor",
        "expanded_uncertainty",
        "guard_band",
        "probability_over_limit",
        "limit",
        "unit",
    )
    assert [name for name in names if name not in row] == []
    assert row["expanded_uncertainty"] == pytest.approx(row["coverage_factor"] * row["standard_uncertainty"])
    assert (row["guard_band"], row["verdict"], row["reference_temperature"]) == (pytest.approx(row["expanded_uncertainty"]), "pass", "25 degC")


def test_single_tests_have_no_verdict_under_a_mean():
    assert [row["verdicts"] for row in outcome(mean_job(*READINGS))["tests"]] == [[], [], []]


def test_two_tests_at_one_place_weigh_as_one():
    document = mean_job(9.1, 20.0)
    document["specification"][0]["criterion"][0]["count"] = "1 per item"
    document = with_tests(document, {"id": "T3", "location": "L2", "facts": {"reading": ["30 uS/cm"]}})
    assert item(document)["value"] == pytest.approx((amount(9.1) + (amount(20.0) + amount(30.0)) / 2) / 2)
    assert "location.repeated" in {row["code"] for row in item(document)["findings"]}


def test_mean_takes_the_latest_round_of_a_place():
    document = with_tests(mean_job(9.1, 40.0), {"id": "T3", "location": "L2", "round": 2, "retest_of": "T2", "facts": {"reading": ["5 uS/cm"]}})
    assert item(document)["value"] == pytest.approx((amount(9.1) + amount(5.0)) / 2)


def test_mean_passes_although_one_result_is_over():
    assert (item(mean_job(2.0, 2.0, 20.0))["verdict"], item(mean_job(2.0, 2.0, 20.0, judged="each-and-mean", criterion__limit_mean="50 mg/m2"))["verdict"]) == (
        "pass",
        "fail",
    )


def test_each_and_mean_judges_the_mean_by_its_own_limit():
    document = mean_job(5.0, 6.0, 7.0, judged="each-and-mean", criterion__limit_mean="15 mg/m2")
    row = item(document)
    assert (row["limit"], row["verdict"]) == (15.0, "fail")
    assert [test["verdicts"][0]["verdict"] for test in outcome(document)["tests"]] == ["pass"] * 3


def test_each_and_mean_without_a_limit_for_the_mean_withholds():
    row = item(mean_job(*READINGS, judged="each-and-mean"))
    assert (row["verdict"], codes(row)) == ("withheld", ["criterion.limit_mean_missing"])


def test_mean_of_too_few_places_decides_nothing():
    document = mean_job(40.0, 41.0, criterion__count="5 per item")
    row = item(document)
    assert (row["verdict"], codes(row), row["comparison"]) == ("withheld", ["count.missing"], "over")


def test_mixed_stages_make_no_mean():
    document = mean_job(*READINGS, criterion__stage=None)
    document["test"][1]["stage"] = "before-blasting"
    assert codes(item(document)) == ["stage.mixed"]
    assert "value" not in item(document)


def test_bounds_make_no_mean():
    document = mean_job(*READINGS)
    document["test"][1]["facts"]["reading"] = ["<1 uS/cm"]
    assert codes(item(document)) == ["range.mean_of_bounds"]


def test_missing_blank_withholds_the_mean():
    document = mean_job(*READINGS)
    del document["test"][1]["blank"]
    assert (item(document)["verdict"], codes(item(document))) == ("withheld", ["blank.missing"])


def test_temperature_outside_the_model_withholds_the_mean():
    document = mean_job(*READINGS)
    document["test"][1]["facts"]["temperature"] = "60 degC"
    assert codes(item(document)) == ["range.mean_without", "range.temperature"]


def test_unequal_figures_for_what_is_shared_take_the_larger_with_a_finding():
    document = mean_job(*READINGS)
    document["test"][0]["uncertainty"] = {"meter_gain": {"standard_uncertainty": "1 %"}}
    document["test"][1]["uncertainty"] = {"meter_gain": {"standard_uncertainty": "3 %"}}
    document["test"][2]["uncertainty"] = {"meter_gain": {"standard_uncertainty": "2 %"}}
    alike = mean_job(*READINGS, test__uncertainty={"meter_gain": {"standard_uncertainty": "3 %"}})
    assert item(document)["standard_uncertainty"] == pytest.approx(item(alike)["standard_uncertainty"], rel=1e-9)
    assert item(document)["findings"][0]["params"]["input"] == "meter_gain of meter"


def test_mean_of_one_place_is_that_result():
    document = mean_job(9.1, criterion__count="1 per item")
    assert item(document)["standard_uncertainty"] == result(document, "mixed_salt_per_area")["standard_uncertainty"]


def test_mean_with_method_uncertainty_is_never_under_the_budget():
    row = item(mean_job(9.1, 9.2, 9.3, criterion__uncertainty="method"))
    assert row["standard_uncertainty"] == pytest.approx(8.2 / 1.96 / sqrt(3))
    wide = item(mean_job(9.1, 9.2, 9.3, criterion__uncertainty="method", test__uncertainty={"meter_gain": {"standard_uncertainty": "20 %"}}))
    assert wide["standard_uncertainty"] > 6.0


def test_method_mean_weighs_the_published_figure_as_the_mean_does():
    """Two tests at one place count a quarter each, the other place a half: u √(1/16 + 1/16 + 1/4)."""
    document = mean_job(9.1, 11.0, 15.0, criterion__uncertainty="method")
    document["test"][1]["location"] = "L1"
    assert item(document)["standard_uncertainty"] == pytest.approx(8.2 / 1.96 * (1 / 16 + 1 / 16 + 1 / 4) ** 0.5)


def test_item_judged_by_a_mean_says_the_mean():
    """Both places pass by themselves; what fails is said."""
    document = mean_job(9.1, 9.3, judged="each-and-mean", criterion__limit_mean="30 mg/m2")
    assert item(document)["shown"].replace("\u00a0", " ") == "Fail, 2 of 2 locations; the mean of 32.0 mg/m² is over 30 mg/m²"


@pytest.mark.parametrize(
    ("limit_mean", "said"), [("30 mg/m2", "each result at most 50 mg/m²; the mean at most 30 mg/m²"), (None, "; no limit agreed for the mean")]
)
def test_each_and_mean_is_asked_with_both_limits(limit_mean, said):
    document = mean_job(9.1, judged="each-and-mean", criterion__limit_mean=limit_mean)
    assert said in outcome(document)["criteria"][0]["shown"].replace("\u00a0", " ")
