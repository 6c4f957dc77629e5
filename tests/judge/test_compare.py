# SPDX-License-Identifier: MIT
"""From one result to another, step by step.

The factor five of 3 mL against 15 mL and the amounts of the dispute are exact arithmetic of the surface formula
(500 · V · Δκ / A); the joint uncertainty is held to the package `uncertainties`.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from brackish.judge.compare import compare
from brackish.record.document import load
from tests.judge.jobs import job, with_tests

DISPUTE = load(Path(__file__).parents[2] / "examples" / "dispute.toml")


def two(**second: object) -> dict:
    facts = dict(second.pop("facts", {}))  # type: ignore[call-overload]
    document = job(criterion__quantity="mixed_salt_per_area", criterion__count=None)
    return with_tests(document, {"id": "T2", "location": "L2", **second, "facts": facts})


def test_steps_add_up_to_the_difference():
    found = compare(DISPUTE, "D1", "D2")
    assert found["steps"][0]["from"] == pytest.approx(32.16)
    assert found["steps"][-1]["to"] == pytest.approx(31.8)
    assert sum(step["difference"] for step in found["steps"]) == pytest.approx(31.8 - 32.16)
    for one, after in zip(found["steps"], found["steps"][1:], strict=False):
        assert one["to"] == after["from"]


def test_volume_explains_a_factor_of_five():
    volume = next(step for step in compare(DISPUTE, "D1", "D2")["steps"] if step["change"] == "volume")
    assert volume["to"] / volume["from"] == pytest.approx(5.0)


def test_dispute_is_not_shown_to_differ():
    found = compare(DISPUTE, "D1", "D2")
    assert found["differ"] == "not-shown"
    assert abs(found["remaining"]["difference"]) < found["remaining"]["expanded_uncertainty"]


def test_comparison_mirrors():
    there, back = compare(DISPUTE, "D1", "D2"), compare(DISPUTE, "D2", "D1")
    assert there["total"]["difference"] == pytest.approx(-back["total"]["difference"])
    assert there["remaining"]["expanded_uncertainty"] == pytest.approx(back["remaining"]["expanded_uncertainty"])
    assert there["differ"] == back["differ"]


def test_equal_tests_differ_by_nothing():
    found = compare(two(), "T1", "T2")
    assert found["remaining"]["difference"] == 0.0
    assert found["differ"] == "not-shown"


def test_far_results_differ():
    found = compare(two(facts={"reading": ["30.0 uS/cm"]}), "T1", "T2")
    assert found["differ"] == "yes"
    assert found["total"]["difference"] == pytest.approx(500 * 10 * (30.0 - 9.1) / 1250)


def test_joint_uncertainty_takes_the_shared_meter_and_blank_once():
    """One meter, blank and thermometer: their errors cancel in the difference where the readings are equal."""
    import uncertainties

    found = compare(two(facts={"reading": ["11.1 uS/cm"]}), "T1", "T2")
    display = 0.1 / 12**0.5
    gain = uncertainties.ufloat(1, 0.01 / 3**0.5)
    blank, coefficient = uncertainties.ufloat(1.2, display), uncertainties.ufloat(0.021, 0.001 / 3**0.5)
    off = uncertainties.ufloat(0, 0.5 / 3**0.5)

    def amount(reading: float):
        volume, area = uncertainties.ufloat(10, 0.1 / 3**0.5), uncertainties.ufloat(1250, 12.5 / 3**0.5)
        return 500 * gain * volume * (uncertainties.ufloat(reading, display) - blank) / (1 + coefficient * off) / area

    apart = amount(11.1) - amount(9.1)
    assert found["remaining"]["standard_uncertainty"] == pytest.approx(apart.s, rel=1e-6)


def test_acid_and_water_never_compare():
    found = compare(load(Path(__file__).parents[2] / "examples" / "tank-roof-chloride.toml"), "S1", "S6")
    assert found["differ"] == "not-comparable"
    assert found["reasons"]


def test_mass_and_volume_of_one_abrasive_never_compare():
    found = compare(load(Path(__file__).parents[2] / "examples" / "abrasive-lot.toml"), "A3", "A4")
    assert found["differ"] == "not-comparable"


def test_void_test_has_nothing_to_compare():
    found = compare(two(facts={"liquid_lost": True}), "T1", "T2")
    assert found["differ"] == "not-comparable"
