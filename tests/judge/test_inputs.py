# SPDX-License-Identifier: MIT
"""Uncertainty of inputs, sentence by sentence of the contract ("What counts, and what is assumed").

Expected figures are exact arithmetic of the formula named in the contract: a/√3, d/√12, a/√6, U/k.
"""

from __future__ import annotations

from math import sqrt

import pytest

from brackish.errors import InputFaults
from tests.judge.jobs import job
from tests.judge.reading import assumed, budget, findings, result, row_of


def with_kit(*rows: dict, **changes: object) -> dict:
    document = job(**changes)
    document["equipment"] += rows
    document["test"][0]["equipment"] += [row["id"] for row in rows]
    return document


def check(at: str = "2026-03-04T07:40:00+00:00", reading: str = "147.0 uS/cm", **more: object) -> dict:
    return {"at": at, "solution": "147.0 uS/cm at 25 degC", "reading": reading, "temperature": "25.0 degC", **more}


def test_limits_of_error_are_rectangular():
    flask = {"id": "flask", "kind": "flask", "accuracy": "0.06 mL"}
    assert budget(with_kit(flask), "solution_volume")["standard_uncertainty"] == pytest.approx(0.06 / sqrt(3))


def test_graduation_is_triangular_over_half_a_step():
    cylinder = {"id": "cyl", "kind": "cylinder", "graduation": "0.2 mL"}
    assert budget(with_kit(cylinder), "solution_volume")["standard_uncertainty"] == pytest.approx(0.1 / sqrt(6))


def test_certificate_is_divided_by_its_factor():
    flask = {"id": "flask", "kind": "flask", "certified_uncertainty": "0.06 mL", "coverage_factor": "3"}
    line = budget(with_kit(flask), "solution_volume")
    assert line["standard_uncertainty"] == pytest.approx(0.02)
    assert line["provenance"] == "certificate"


def test_certificate_of_a_meter_in_its_own_unit_is_an_error_of_each_reading():
    document = job(equipment__certified_uncertainty="0.4 uS/cm", equipment__coverage_factor="2")
    for name in ("reading", "blank"):
        assert budget(document, name)["standard_uncertainty"] == pytest.approx(sqrt(0.2**2 + 0.1**2 / 12))
    assert (budget(document, "meter_gain")["standard_uncertainty"], budget(document, "meter_gain")["provenance"]) == (0.0, "certificate")


def test_step_of_a_display_is_no_share():
    with pytest.raises(InputFaults) as refused:
        budget(job(equipment__resolution="1 %"), "reading")
    assert refused.value.faults[0].place == "equipment[meter].resolution"


def test_certificate_without_factor_takes_two_with_a_finding():
    document = with_kit({"id": "flask", "kind": "flask", "certified_uncertainty": "0.06 mL"})
    assert budget(document, "solution_volume")["standard_uncertainty"] == pytest.approx(0.03)
    assert findings(document)["uncertainty.coverage_taken"]["params"]["equipment"] == "flask"


def test_certificate_of_a_standard_solution_without_factor_gives_a_finding():
    document = job(equipment__verification=[check(bottle="kcl")])
    document["equipment"].append({"id": "kcl", "kind": "solution", "certified_uncertainty": "0.5 %"})
    assert findings(document)["uncertainty.coverage_taken"]["params"]["equipment"] == "kcl"


def test_resolution_is_rectangular_over_one_step():
    assert budget(job(equipment__resolution="0.2 uS/cm"), "reading")["standard_uncertainty"] == pytest.approx(0.2 / sqrt(12))


def test_resolution_is_not_taken_from_typed_digits():
    coarse, fine = job(facts__reading=["9 uS/cm"]), job(facts__reading=["9.000 uS/cm"])
    assert budget(coarse, "reading")["standard_uncertainty"] == budget(fine, "reading")["standard_uncertainty"] == pytest.approx(0.1 / sqrt(12))


def test_resolution_is_not_averaged_away():
    document = job(facts__reading=["9.1 uS/cm"] * 6)
    assert budget(document, "reading")["standard_uncertainty"] == pytest.approx(0.1 / sqrt(12))
    assert budget(document, "reading")["degrees_of_freedom"] is None


def test_own_scatter_has_n_minus_1_degrees_of_freedom():
    document = job(facts__reading=[f"{value} uS/cm" for value in (9.0, 9.2, 9.1, 9.4, 8.8)], equipment__resolution="0.001 uS/cm")
    line = budget(document, "reading")
    s = sqrt(sum((value - 9.1) ** 2 for value in (9.0, 9.2, 9.1, 9.4, 8.8)) / 4)
    assert line["value"] == pytest.approx(9.1)
    assert line["standard_uncertainty"] == pytest.approx(s / sqrt(5), rel=1e-5)
    assert line["degrees_of_freedom"] == pytest.approx(4, rel=1e-4)


@pytest.mark.parametrize("n", [2, 3])
def test_two_or_three_repeats_take_the_scatter_of_the_history(n):
    document = job(facts__reading=["9.0 uS/cm", "9.8 uS/cm", "9.1 uS/cm"][:n], equipment__resolution="0.001 uS/cm")
    document["history"] = [{"method": "patch-conductivity", "standard_deviation": "0.3 uS/cm", "degrees_of_freedom": 40}]
    line = budget(document, "reading")
    assert line["standard_uncertainty"] == pytest.approx(0.3 / sqrt(n), rel=1e-5)
    assert line["degrees_of_freedom"] == pytest.approx(40, rel=1e-4)


def test_four_repeats_take_their_own_scatter():
    document = job(facts__reading=["9.0 uS/cm", "9.2 uS/cm", "9.1 uS/cm", "9.1 uS/cm"])
    document["history"] = [{"method": "patch-conductivity", "standard_deviation": "5 uS/cm", "degrees_of_freedom": 40}]
    assert budget(document, "reading")["standard_uncertainty"] < 0.1


def test_share_of_the_reading_goes_to_the_gain():
    document = job(equipment__accuracy="2 %")
    assert budget(document, "meter_gain")["standard_uncertainty"] == pytest.approx(0.02 / sqrt(3))
    assert budget(document, "reading")["standard_uncertainty"] == pytest.approx(0.1 / sqrt(12))


def test_range_and_digit_terms_add_before_the_root_and_go_to_each_reading():
    document = job(equipment__accuracy="0.5 % of 200 uS/cm + 1 digit", equipment__resolution="0.1 uS/cm")
    expected = sqrt(((1.0 + 0.1) / sqrt(3)) ** 2 + (0.1 / sqrt(12)) ** 2)
    assert budget(document, "reading")["standard_uncertainty"] == pytest.approx(expected)
    assert budget(document, "blank")["standard_uncertainty"] == pytest.approx(expected)
    assert budget(document, "meter_gain")["standard_uncertainty"] == 0.0


def test_fresh_verification_replaces_the_share_by_deviation_solution_and_display():
    document = job(equipment__verification=[check(reading="148.0 uS/cm")])
    line = budget(document, "meter_gain")
    expected = sqrt((1.0 / 147.0) ** 2 + 0.01**2 + (0.1 / sqrt(12) / 148.0) ** 2)
    assert line["standard_uncertainty"] == pytest.approx(expected, rel=1e-6)
    assert line["value"] == 1.0  # the deviation is not corrected
    assert line["provenance"] == "measured"


def test_verification_takes_the_certificate_of_its_bottle():
    document = job(equipment__verification=[check(bottle="kcl")])
    document["equipment"].append({"id": "kcl", "kind": "solution", "certified_uncertainty": "0.5 %", "coverage_factor": "2"})
    expected = sqrt(0.0025**2 + (0.1 / sqrt(12) / 147.0) ** 2)
    assert budget(document, "meter_gain")["standard_uncertainty"] == pytest.approx(expected, rel=1e-4)


def test_verification_keeps_range_and_digit_parts():
    document = job(equipment__accuracy="1 % + 0.5 % of 200 uS/cm", equipment__verification=[check()])
    assert budget(document, "reading")["standard_uncertainty"] == pytest.approx(sqrt((1.0 / sqrt(3)) ** 2 + (0.1 / sqrt(12)) ** 2))


@pytest.mark.parametrize(("at", "counts"), [("2026-03-03T09:16:00+00:00", True), ("2026-03-03T09:15:59+00:00", False)])
def test_verification_counts_for_24_hours(at, counts):
    document = job(equipment__verification=[check(at=at)])
    assert ("equipment.verification_old" in findings(document)) is not counts
    assert (budget(document, "meter_gain")["provenance"] == "measured") is counts


def test_old_verification_leaves_the_accuracy_in_use():
    document = job(equipment__verification=[check(at="2026-03-01T08:00:00+00:00")])
    assert budget(document, "meter_gain")["standard_uncertainty"] == pytest.approx(0.01 / sqrt(3))
    assert findings(document)["equipment.verification_old"]["severity"] == "warning"


def test_age_of_a_verification_just_too_old_is_never_said_as_what_is_allowed():
    document = job(equipment__verification=[check(at="2026-03-03T09:15:59+00:00")])
    assert "25 h before; at most 24 h" in findings(document)["equipment.verification_old"]["message"]


def test_latest_verification_before_the_reading_counts():
    document = job(equipment__verification=[check("2026-03-04T08:00:00+00:00", "146.0 uS/cm"), check("2026-03-04T06:00:00+00:00", "149.9 uS/cm")])
    assert "146" not in budget(document, "meter_gain")["why"]
    assert budget(document, "meter_gain")["why"].endswith("\u22120.7\u00a0%")


def test_verification_beyond_the_accuracy_warns():
    assert findings(job(equipment__verification=[check(reading="150.0 uS/cm")]))["equipment.verification_off"]["severity"] == "warning"


def test_verification_within_the_digit_part_of_the_accuracy_does_not_warn():
    assert "equipment.verification_off" not in findings(job(equipment__accuracy="1 % + 20 digits", equipment__verification=[check(reading="150.0 uS/cm")]))


def test_verification_after_the_reading_is_only_compared():
    off = job(equipment__verification=[check("2026-03-04T12:00:00+00:00", "155.0 uS/cm")])
    assert {"equipment.verification_off", "equipment.verification_missing"} <= findings(off).keys()
    assert budget(off, "meter_gain")["standard_uncertainty"] == pytest.approx(0.01 / sqrt(3))


def test_verification_of_a_test_without_time_is_not_used():
    document = job(equipment__verification=[check()], test__started=None, test__read_at=None)
    assert "equipment.verification_undated" in findings(document)
    assert budget(document, "meter_gain")["standard_uncertainty"] == pytest.approx(0.01 / sqrt(3))


def test_verification_outside_the_solutions_range_does_not_stop_the_test():
    document = job(equipment__verification=[check() | {"temperature": "70 degC"}])
    assert "equipment.verification_outside" in findings(document)
    assert result(document)["value"] > 0


ASSUMED = {
    "solution_volume": 0.1 / sqrt(3),
    "compartment_area": 12.5 / sqrt(3),
    "temperature": 0.5 / sqrt(3),
    "blank_temperature": 0.5 / sqrt(3),
    "temperature_coefficient": 0.001 / sqrt(3),
    "reading": 0.1 / sqrt(12),
    "blank": 0.1 / sqrt(12),
    "meter_gain": 0.01 / sqrt(3),
}


@pytest.mark.parametrize("input", ASSUMED)
def test_each_assumed_figure_is_used_and_named(input):
    document = job(test__equipment=[])
    line = budget(document, input)
    assert line["standard_uncertainty"] == pytest.approx(ASSUMED[input])
    assert input in assumed(document)


def test_coefficient_nobody_gave_is_named_with_its_value():
    document = job(equipment__temperature_coefficient=None)
    assert budget(document, "temperature_coefficient")["value"] == pytest.approx(0.02)
    values = {row["params"]["value"] for row in row_of(document)["findings"] if row["params"].get("input") == "temperature_coefficient"}
    assert values == {"2.0 %/K", "0.1 %/K"}


def test_coefficient_taken_to_undo_a_meter_is_not_silent():
    document = job(equipment__temperature_coefficient=None, criterion__reference_temperature="20 degC", facts__temperature="22 degC")
    assert "temperature_coefficient" in assumed(document)


def test_standard_solution_without_certificate_is_assumed():
    assert "meter_gain" in assumed(job(equipment__verification=[check()]))


def test_nothing_is_assumed_where_everything_is_given():
    figures = ("solution_volume", "compartment_area", "temperature", "blank_temperature", "temperature_coefficient", "reading", "blank", "meter_gain")
    units = {
        "solution_volume": "mL",
        "compartment_area": "mm2",
        "temperature": "K",
        "blank_temperature": "K",
        "temperature_coefficient": "%/K",
        "meter_gain": "%",
    }
    document = job(test__uncertainty={name: {"standard_uncertainty": f"0.2 {units.get(name, 'uS/cm')}"} for name in figures})
    assert assumed(document) == set()
    assert budget(document, "compartment_area")["standard_uncertainty"] == pytest.approx(0.2)


def test_own_figure_replaces_the_programs_with_its_degrees_of_freedom():
    document = job(test__uncertainty={"reading": {"standard_uncertainty": "0.4 uS/cm", "degrees_of_freedom": 2}})
    line = budget(document, "reading")
    assert (line["standard_uncertainty"], line["degrees_of_freedom"]) == (0.4, 2)


def test_constant_is_a_definition():
    document = job(criterion__quantity="mixed_salt_per_area")
    line = budget(document, "constant", "mixed_salt_per_area")
    assert (line["value"], line["standard_uncertainty"]) == (5.0, 0.0)


def test_constant_follows_the_fact():
    document = job(criterion__quantity="mixed_salt_per_area", facts__constant="4.7 kg/m2/S")
    assert result(document, "mixed_salt_per_area")["value"] == pytest.approx(31.6 * 4.7 / 5.0)


def test_nacl_curve_adds_its_own_input():
    line = budget(job(), "electrolyte_model")
    assert (line["value"], line["standard_uncertainty"]) == (1.0, 0.002)


def test_volume_injected_serves_when_read_undiluted():
    document = job(facts__solution_volume=None, facts__returned_to="undiluted", blank__solution_volume="3.0 mL")
    assert budget(document, "solution_volume")["value"] == 3.0
