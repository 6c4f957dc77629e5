# SPDX-License-Identifier: MIT
"""Which temperature a result refers to, and how a reading gets there."""

from __future__ import annotations

from math import sqrt

import pytest

from brackish.science import electrolyte, temperature
from tests.judge.jobs import job
from tests.judge.reading import budget, codes, findings, result, verdict
from tests.judge.test_contract_cases import target_job


def mixed(**changes: object) -> dict:
    return job(criterion__quantity="mixed_salt_per_area", **changes)


def value(document: dict) -> float:
    return result(document, "mixed_salt_per_area")["value"]


def model(document: dict) -> str:
    return result(document, "mixed_salt_per_area")["basis"]["temperature_model"]


def per_area(extract: float, blank: float) -> float:
    return 5.0 * 10.0 * (extract - blank) / 1250.0 * 100.0


def test_meter_that_refers_to_the_wanted_temperature_is_kept_as_displayed():
    document = mixed(facts__temperature="21.0 degC")
    assert (model(document), value(document)) == ("as-displayed", pytest.approx(per_area(9.1, 1.2)))


def test_as_displayed_keeps_the_value_and_carries_temperature_and_coefficient():
    """k = κ·(1 + α₀(T₀ − Tr))/(1 + α(T − Tr)): derivatives at α₀ = α = 0.021, T₀ = T = 21 °C, Tr = 25 °C."""
    document = mixed(facts__temperature="21.0 degC", blank__temperature="21.0 degC")
    factor = 1.0 + 0.021 * (21.0 - 25.0)
    slope_of_value = 5.0 * 10.0 / 1250.0 * 100.0
    line = budget(document, "temperature", "mixed_salt_per_area")
    assert line["sensitivity"] == pytest.approx(-slope_of_value * 9.1 * 0.021 / factor, rel=1e-5)
    line = budget(document, "temperature_coefficient", "mixed_salt_per_area")
    assert line["sensitivity"] == pytest.approx(-slope_of_value * (9.1 - 1.2) * (21.0 - 25.0) / factor, rel=1e-4)


@pytest.mark.parametrize("compensation", ["none", "linear", "natural-water"])
def test_as_displayed_as_a_fact_keeps_the_value_whatever_the_meter_did(compensation):
    document = mixed(equipment__temperature_compensation=compensation, facts__temperature="21 degC", facts__temperature_model="as-displayed")
    assert value(document) == pytest.approx(per_area(9.1, 1.2))


def test_linear_divides_by_one_plus_coefficient_times_difference():
    document = mixed(
        equipment__temperature_compensation="none",
        facts__temperature="21.0 degC",
        blank__temperature="23.0 degC",
        facts__temperature_model="linear",
        facts__temperature_coefficient="1.9 %/K",
    )
    assert value(document) == pytest.approx(per_area(9.1 / (1 - 0.019 * 4), 1.2 / (1 - 0.019 * 2)))


def test_natural_water_follows_iso_7888():
    document = mixed(
        equipment__temperature_compensation="none", facts__temperature_model="natural-water", facts__temperature="20 degC", blank__temperature="20 degC"
    )
    assert value(document) == pytest.approx(per_area(9.1, 1.2) * 1.116, rel=1e-3)  # ISO 7888 table: f25 = 1.116 at 20 °C


def test_uncompensated_reading_goes_by_the_nacl_curve():
    document = mixed(equipment__temperature_compensation="none", facts__temperature="20 degC", blank__temperature="20 degC")
    at_25 = [temperature.nacl_curve(conductivity=reading, temperature=20.0, reference_temperature=25.0) for reading in (9.1, 1.2)]
    assert (model(document), value(document)) == ("nacl", pytest.approx(per_area(*at_25)))
    assert budget(document, "electrolyte_model", "mixed_salt_per_area")["standard_uncertainty"] == 0.002


def test_other_wanted_temperature_undoes_the_meters_compensation():
    document = mixed(criterion__reference_temperature="20 degC", facts__temperature="22 degC", blank__temperature="22 degC")
    at_20 = [temperature.nacl_curve(conductivity=reading * (1 - 0.021 * 3), temperature=22.0, reference_temperature=20.0) for reading in (9.1, 1.2)]
    assert (model(document), value(document)) == ("nacl", pytest.approx(per_area(*at_20)))


@pytest.mark.parametrize("place", ["test__compensation_as_used", "facts__compensation_as_used"])
def test_compensation_as_used_overrides_the_meters_setting(place):
    as_used = mixed(**{place: "none"}, facts__temperature="20 degC", blank__temperature="20 degC")
    as_set = mixed(equipment__temperature_compensation="none", facts__temperature="20 degC", blank__temperature="20 degC")
    assert value(as_used) == value(as_set) != per_area(9.1, 1.2)


def test_missing_temperature_is_as_displayed_with_a_finding():
    document = mixed(facts__temperature=None, criterion__reference_temperature="20 degC")
    assert (model(document), value(document)) == ("as-displayed", pytest.approx(per_area(9.1, 1.2)))
    assert {"temperature.as_displayed", "temperature.other_reference"} <= findings(document).keys()
    assert verdict(document)["reference_temperature"] == "25 degC"


@pytest.mark.parametrize(("wanted", "meter", "reached"), [("20 degC", "25 degC", "20 degC"), (None, "20 degC", "20 degC"), (None, None, "25 degC")])
def test_wanted_temperature_is_the_criterions_else_the_meters_else_25(wanted, meter, reached):
    document = mixed(criterion__reference_temperature=wanted, equipment__reference_temperature=meter)
    assert result(document, "mixed_salt_per_area")["basis"]["reference_temperature"] == reached
    assert verdict(document)["reference_temperature"] == reached
    assert ("temperature.reference_assumed" in findings(document)) is (wanted is None and meter is None)


def test_reference_of_the_meter_that_nobody_wrote_is_not_silent():
    assert "temperature.meter_reference_assumed" in findings(mixed(equipment__reference_temperature=None))


def test_compensation_nobody_wrote_is_not_silent():
    assert "temperature.compensation_unknown" in findings(mixed(equipment__temperature_compensation=None))


@pytest.mark.parametrize("compensation", ["none", "linear", "natural-water"])
def test_nacl_equivalent_is_the_same_at_20_and_25_degrees(compensation):
    """Left over: a litre holds 0.12 % less water at 25 °C than at 20 °C, and 2.1 %/K is not quite the curve of NaCl."""
    at = {
        wanted: result(job(criterion__reference_temperature=wanted, equipment__temperature_compensation=compensation, facts__temperature="23 degC"))["value"]
        for wanted in ("20 degC", "25 degC")
    }
    assert at["20 degC"] == pytest.approx(at["25 degC"], rel=1.3e-3 if compensation == "none" else 5e-3)


def test_nacl_equivalent_is_what_the_curve_says_of_reading_and_blank():
    expected = 10.0 * (
        electrolyte.concentration(salt="NaCl", conductivity=9.1, temperature=25.0) - electrolyte.concentration(salt="NaCl", conductivity=1.2, temperature=25.0)
    )
    assert result(job())["value"] == pytest.approx(expected / 1250.0 * 1000.0)


@pytest.mark.parametrize("temperature", ["-1 degC", "51 degC", "95 degC"])
def test_temperature_outside_the_model_withholds_only_that_test(temperature):
    from tests.judge.jobs import with_tests
    from tests.judge.reading import row_of

    document = with_tests(job(facts__temperature=temperature), {"id": "T2", "location": "L2", "facts": {"temperature": "25 degC"}})
    assert (verdict(document)["verdict"], codes(verdict(document))) == ("withheld", ["range.temperature"])
    assert "°C is outside the model (0 to 50 °C)" in verdict(document)["reasons"][0]["message"]
    assert row_of(document)["results"] == []
    assert verdict(document, "T2")["verdict"] == "pass"


def own_temperatures(temperature: str | None, blank: str | None) -> dict:
    """The fully specified case with temperatures by one thermometer, or with their own figures."""
    document = target_job(45.0)
    document["equipment"].append({"id": "thermometer", "kind": "thermometer", "accuracy": f"{0.3 * sqrt(3):.12f} K"})
    document["test"][0]["equipment"].append("thermometer")
    for name, figure in (("temperature", temperature), ("blank_temperature", blank)):
        if figure is None:
            del document["test"][0]["uncertainty"][name]
    return document


def test_one_thermometer_correlates_sample_and_blank_fully():
    """The fully specified case (three libraries agree on 1.274322 independent) with correlation 1 of the temperatures: 1.270349."""
    assert result(own_temperatures(None, None), "mixed_salt_per_area")["standard_uncertainty"] == pytest.approx(1.270349, abs=1e-6)


@pytest.mark.parametrize("given", [("0.3 K", "0.3 K"), ("0.3 K", None), (None, "0.3 K")])
def test_own_figure_makes_the_two_temperatures_independent(given):
    assert result(own_temperatures(*given), "mixed_salt_per_area")["standard_uncertainty"] == pytest.approx(1.274322, abs=1e-6)


def test_raw_reading_at_an_unknown_temperature_withholds():
    """A meter that does not compensate reads 29 % low at 10 °C: without a temperature nobody knows by how much."""
    document = job(equipment__temperature_compensation="none", facts__temperature=None)
    assert codes(verdict(document)) == ["temperature.raw_unknown"]
    compensated = job(facts__temperature=None)
    assert verdict(compensated)["verdict"] == "pass"
    assert "temperature.raw_unknown" not in findings(compensated)
