# SPDX-License-Identifier: MIT
"""The worked cases that the contract prints, as whole jobs: text in, outcome out.

Each case says what it is worth (`kind` in contract_cases.toml): exact arithmetic, a model value, or
the uncertainty case on which three independent programs agree to 15 digits.
"""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

import brackish
from brackish.library import counting
from brackish.quantities import DIMENSIONS, convert, parse
from tests.judge.jobs import job

CASES = tomllib.loads(Path(__file__).with_name("contract_cases.toml").read_text("utf-8"))


def result(document: dict, quantity: str) -> dict:
    tests = brackish.evaluate(document).to_dict()["tests"]
    return next(row for row in tests[0]["results"] if row["quantity"] == quantity)


@pytest.mark.parametrize("case", CASES["unit"], ids=lambda case: case["text"])
def test_units_convert_exactly(case):
    dimension = next(name for name, each in DIMENSIONS.items() if case["to"] in each.units)
    quantity = parse(case["text"], dimension=dimension)
    assert float(convert(value=quantity.value, unit=quantity.unit, to=case["to"], dimension=dimension)) == case["value"]


def patch_job(case: dict, **more: object) -> dict:
    meter = case.get("meter_reference_temperature", "25 degC")
    return job(
        facts__compartment_area=case["compartment_area"],
        facts__solution_volume=case["solution_volume"],
        facts__volume_injected="3 mL",
        facts__reading=[case["reading"]],
        facts__temperature=meter,
        blank__reading=[case["blank"]],
        blank__solution_volume=case["solution_volume"],
        blank__temperature=meter,
        equipment__reference_temperature=meter,
        criterion__reference_temperature=None,
        **more,
    )


@pytest.mark.parametrize(
    "case", CASES["surface"], ids=lambda case: f"{case['reading']}, {case['solution_volume']}, {case.get('meter_reference_temperature', '25')}"
)
def test_surface_cases(case):
    tolerance = case.get("tol", 1e-12)
    assert result(patch_job(case), "mixed_salt_per_area")["value"] == pytest.approx(case["mixed_salt_per_area_mg_m2"], rel=tolerance)
    if "nacl_equivalent_per_area_mg_m2" in case:
        found = result(patch_job(case), "nacl_equivalent_per_area")["value"]
        assert found == pytest.approx(case["nacl_equivalent_per_area_mg_m2"], rel=case.get("nacl_tol", tolerance))
    if "mixed_salt_per_area_referred_to_20C_mg_m2" in case:
        asked = patch_job(case)
        asked["specification"][0]["criterion"][0] |= {"reference_temperature": "20 degC", "quantity": "mixed_salt_per_area"}
        assert result(asked, "mixed_salt_per_area")["value"] == pytest.approx(case["mixed_salt_per_area_referred_to_20C_mg_m2"], rel=tolerance)
        asked["specification"][0]["criterion"][0]["quantity"] = "nacl_equivalent_per_area"
        assert result(asked, "nacl_equivalent_per_area")["value"] == pytest.approx(case["nacl_equivalent_per_area_mg_m2"], rel=tolerance)


TARGET = CASES["uncertainty"]["target"]


def target_job(limit: float, **criterion: object) -> dict:
    """The fully specified case: raw readings, linear to 25 °C, every uncertainty given."""
    figures = {
        "constant": ("constant", "kg/m2/S", 1.0),
        "solution_volume": ("solution_volume_mL", "mL", 1.0),
        "compartment_area": ("compartment_area_cm2", "cm2", 1.0),
        "reading": ("reading_uS_cm", "uS/cm", 1.0),
        "temperature": ("temperature_degC", "K", 1.0),
        "blank": ("blank_uS_cm", "uS/cm", 1.0),
        "blank_temperature": ("blank_temperature_degC", "K", 1.0),
        "temperature_coefficient": ("temperature_coefficient_per_K", "1/K", 1.0),
        "meter_gain": ("meter_gain", "%", 100.0),
    }
    uncertainty = {}
    for name, (key, unit, factor) in figures.items():
        _, u, *freedom = TARGET[key]
        uncertainty[name] = {"standard_uncertainty": f"{u * factor:g} {unit}"} | ({"degrees_of_freedom": freedom[0]} if freedom else {})
    changes: dict[str, object] = {f"criterion__{name}": value for name, value in criterion.items()}
    return job(
        criterion__quantity="mixed_salt_per_area",
        criterion__limit=f"{limit} mg/m2",
        equipment__temperature_compensation="none",
        blank__reading=["3.1 uS/cm"],
        blank__temperature="27.9 degC",
        blank__solution_volume="3.0 mL",
        facts__compartment_area="12.5 cm2",
        facts__solution_volume="3.0 mL",
        facts__returned_to="undiluted",
        facts__reading=["42.0 uS/cm"],
        facts__temperature="28.4 degC",
        facts__temperature_model="linear",
        facts__temperature_coefficient="1.95 %/K",
        test__uncertainty=uncertainty,
        **changes,
    )


def test_fully_specified_uncertainty_to_its_digits():
    found = result(target_job(45.0), "mixed_salt_per_area")
    assert found["value"] == pytest.approx(TARGET["mixed_salt_per_area_mg_m2"], rel=1e-7)
    assert found["standard_uncertainty"] == pytest.approx(TARGET["standard_uncertainty_mg_m2"], rel=1e-6)
    assert found["degrees_of_freedom"] == pytest.approx(TARGET["degrees_of_freedom"], rel=1e-5)


@pytest.mark.parametrize("case", TARGET["verdict"], ids=lambda case: str(case["limit_mg_m2"]))
def test_fully_specified_verdicts(case):
    for rule in ("simple-acceptance", "three-way", "guarded-rejection"):
        expected = case.get(rule.replace("-", "_"))
        if expected:
            outcome = brackish.evaluate(target_job(case["limit_mg_m2"], decision_rule=rule)).to_dict()
            verdict = outcome["tests"][0]["verdicts"][0]
            assert verdict["verdict"] == expected, rule
            if "probability_over" in case:
                assert verdict["probability_over_limit"] == pytest.approx(case["probability_over"], abs=1e-4)


@pytest.mark.parametrize("case", CASES["chloride"], ids=lambda case: case["reading"])
def test_chloride_cases(case):
    document = job(criterion__quantity="chloride_per_area", criterion__limit="5 ug/cm2", test__method="sleeve-chloride-tube", test__blank=None)
    facts = {name: case[name] for name in ("reading", "solution_volume", "sleeve_area")}
    document["test"][0]["facts"] = {**facts, "reading": [facts["reading"]], "liquid_lost": False, "dwell": "2 min"}
    assert result(document, "chloride_per_area")["value"] == pytest.approx(case["chloride_per_area_ug_cm2"], rel=1e-12)
    if "chloride_as_nacl_per_area_mg_m2" in case:
        document["specification"][0]["criterion"][0] |= {"quantity": "chloride_as_nacl_per_area", "limit": "50 mg/m2"}
        assert result(document, "chloride_as_nacl_per_area")["value"] == pytest.approx(case["chloride_as_nacl_per_area_mg_m2"], abs=0.05)


def abrasive_job(method: str, quantity: str, limit: str, determinations: list[dict]) -> dict:
    document = job(
        criterion__applies_to="abrasive",
        criterion__quantity=quantity,
        criterion__limit=limit,
        criterion__decision_rule="simple-acceptance",
        criterion__stage=None,
        criterion__count=None,
        item__kind="abrasive",
        item__area=None,
        test__method=method,
        test__location=None,
        test__blank=None,
    )
    document["location"], document["test"][0]["facts"] = [], {}
    document["test"][0]["determination"] = determinations
    return document


@pytest.mark.parametrize("case", CASES["abrasive"], ids=lambda case: case["determinations"][0])
def test_abrasive_cases(case):
    portions = [{"mass": "100 g", "water_volume": "100 mL", "reading": [text], "temperature": "25 degC"} for text in case["determinations"]]
    document = abrasive_job("abrasive-conductivity", "abrasive_conductivity_by_mass", case.get("limit", "25 mS/m"), portions)
    test = brackish.evaluate(document).to_dict()["tests"][0]
    assert test["results"][0]["value"] == pytest.approx(case["abrasive_conductivity_by_mass_mS_m"], rel=1e-12)
    if "simple_acceptance" in case:
        assert test["verdicts"][0]["verdict"] == case["simple_acceptance"]
    else:
        assert case["finding"] in {finding["code"] for finding in test["findings"]}
        assert test["verdicts"][0]["verdict"] == "withheld"


@pytest.mark.parametrize("case", CASES["titration"], ids=lambda case: case["titrant"])
def test_titration_cases(case):
    names = ("mass", "extract_volume", "aliquot_volume", "titrant", "titrant_concentration", "titrant_volume", "titrant_blank")
    document = abrasive_job("abrasive-chloride-titration", "chloride_mass_fraction", "25 mg/kg", [{name: case[name] for name in names}])
    assert result(document, "chloride_mass_fraction")["value"] == pytest.approx(case["chloride_mass_fraction_mg_kg"], rel=case["tol"])


@pytest.mark.parametrize("case", CASES["count"], ids=lambda case: case["area"])
def test_count_cases(case):
    area = parse(case["area"], dimension="area").exact
    found = counting.tests_by_system(rule=counting.read_rule(case["rule"]), area=area)
    assert found["metric"] == case["metric"]
    assert found.get("foot") == case.get("foot")
