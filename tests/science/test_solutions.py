# SPDX-License-Identifier: MIT
"""Properties of standard solutions and of water; outside values are `tests/evidence/chemistry_standards.toml`."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brackish.errors import InputError
from brackish.science import blank_water, solutions
from tests.evidence.chains import kcl_conductivity
from tests.examples import examples

derandomised = examples(60)


def conductivity_of(text: str, temperature: float) -> float:
    return solutions.standard(text=text, temperature=temperature).conductivity


@derandomised
@given(temperature=st.floats(0.0, 50.0))
def test_table_between_its_points_stays_beside_the_model(temperature):
    """The interpolated NIST table keeps the same distance from the model as at its points, 0.09 to 0.15 %."""
    ratio = kcl_conductivity(molality=0.01, temperature=temperature) / conductivity_of("KCl 0.01 mol/kg", temperature)
    assert 1.0008 < ratio < 1.0016


@derandomised
@given(temperature=st.floats(0.0, 50.0), reference=st.sampled_from([20.0, 25.0]), coefficient=st.floats(0.015, 0.025))
def test_faultless_meter_has_no_deviation(temperature, reference, coefficient):
    meter = {"temperature": temperature, "compensation": "linear", "coefficient": coefficient, "reference_temperature": reference}
    expected = solutions.reading_expected(solution="147 uS/cm at 25 degC", **meter)
    assert solutions.verification_deviation(solution="147 uS/cm at 25 degC", reading=expected, **meter) == 0.0
    assert solutions.verification_deviation(solution="147 uS/cm at 25 degC", reading=1.02 * expected, **meter) == pytest.approx(0.02)


def test_labelled_bottle_reads_its_label_at_its_temperature():
    assert conductivity_of("147 uS/cm at 25 degC", 25.0) == pytest.approx(147.0, rel=1e-13)
    assert conductivity_of("132.8 µS/cm at 20 °C", 20.0) == pytest.approx(132.8, rel=1e-13)


def test_molar_and_molal_bottles_differ_by_the_density_of_water():
    molar, molal = (conductivity_of(f"KCl 0.005 {unit}", 25.0) for unit in ("mol/L", "mol/kg"))
    assert 1.0025 < molar / molal < 1.0030


@pytest.mark.parametrize("text", ["", "KCl 0.01 M KCl", "NaCl 0.01 mol/L", "KCl 0.01 mg/L", "147 at 25 degC", "about 147 uS/cm at 25 degC"])
def test_other_texts_are_refused_with_words(text):
    with pytest.raises(InputError) as caught:
        conductivity_of(text, 25.0)
    assert caught.value.message


def test_more_carbon_dioxide_conducts_more_and_none_is_pure_water():
    amounts = [blank_water.air_water_conductivity(carbon_dioxide=co2, temperature=25.0) for co2 in (0.0, 300.0, 420.0, 1000.0, 10000.0)]
    assert amounts == sorted(amounts)
    assert amounts[0] == pytest.approx(blank_water.pure_water_conductivity(temperature=25.0), rel=1e-9)


def test_carbon_dioxide_beyond_its_range_is_refused():
    with pytest.raises(InputError):
        blank_water.air_water_conductivity(carbon_dioxide=20000.0, temperature=25.0)
