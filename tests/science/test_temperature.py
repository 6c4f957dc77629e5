# SPDX-License-Identifier: MIT
"""Properties of temperature compensation; outside values are `tests/evidence/chemistry_temperature.toml`."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brackish.errors import InputError, OutOfRange
from brackish.science import temperature
from tests.examples import examples

conductivities = st.floats(0.1, 2000.0)
temperatures = st.floats(0.0, 35.0)
coefficients = st.floats(0.015, 0.025)
derandomised = examples(60)


@derandomised
@given(conductivity=conductivities, here=temperatures, reference=st.sampled_from([20.0, 25.0]), coefficient=coefficients)
def test_undoing_a_meter_gives_back_what_it_compensated(conductivity, here, reference, coefficient):
    shown = {
        "none": conductivity,
        "linear": temperature.linear(conductivity=conductivity, temperature=here, reference_temperature=reference, coefficient=coefficient),
        "natural-water": temperature.natural_water(conductivity=conductivity, temperature=here, reference_temperature=reference),
    }
    for compensation, displayed in shown.items():
        raw = temperature.raw_conductivity(
            displayed=displayed, compensation=compensation, temperature=here, reference_temperature=reference, coefficient=coefficient
        )
        assert raw == pytest.approx(conductivity, rel=1e-14)


@derandomised
@given(conductivity=conductivities, here=temperatures, there=temperatures)
def test_nacl_curve_there_and_back(conductivity, here, there):
    referred = temperature.nacl_curve(conductivity=conductivity, temperature=here, reference_temperature=there)
    assert temperature.nacl_curve(conductivity=referred, temperature=there, reference_temperature=here) == pytest.approx(conductivity, rel=1e-13)
    assert temperature.nacl_curve(conductivity=conductivity, temperature=here, reference_temperature=here) == pytest.approx(conductivity, rel=1e-14)
    assert (referred > conductivity) == (there > here) or abs(there - here) < 1e-9


@derandomised
@given(conductivity=conductivities, here=temperatures, coefficient=coefficients)
def test_as_displayed_is_unchanged_with_the_meter_s_own_figures(conductivity, here, coefficient):
    kept = temperature.as_displayed(
        conductivity=conductivity, shown_coefficient=coefficient, shown_temperature=here, coefficient=coefficient, temperature=here, reference_temperature=25.0
    )
    assert kept == pytest.approx(conductivity, rel=1e-15)


def test_as_displayed_moves_with_each_figure():
    given_ = {
        "conductivity": 50.0, "shown_coefficient": 0.02, "shown_temperature": 20.0, "coefficient": 0.02, "temperature": 20.0, "reference_temperature": 25.0,
    }  # fmt: skip
    moved = {
        name: temperature.as_displayed(**(given_ | {name: value})) for name, value in [("coefficient", 0.021), ("temperature", 21.0), ("conductivity", 51.0)]
    }
    assert moved["coefficient"] > 50.0
    assert moved["temperature"] < 50.0
    assert moved["conductivity"] == pytest.approx(51.0)


def test_natural_water_is_one_at_25_exactly():
    assert temperature.natural_water_factor(temperature=25.0) == 1.0


def test_nacl_curve_lies_beside_natural_water_as_the_study_found():
    """NaCl by the ISO 7888 factor reads 0.3 % high at 20 degC, 1.0 % at 10 degC, 0.5 % low at 35 degC."""
    for here, off in ((20.0, 0.003), (10.0, 0.010), (35.0, -0.005)):
        raw = temperature.nacl_curve(conductivity=100.0, temperature=25.0, reference_temperature=here)
        assert temperature.natural_water(conductivity=raw, temperature=here, reference_temperature=25.0) / 100.0 - 1.0 == pytest.approx(off, abs=6e-4)


def test_unknown_compensation_and_impossible_coefficient_are_refused():
    common = {"displayed": 10.0, "temperature": 20.0, "reference_temperature": 25.0}
    with pytest.raises(InputError, match="none, linear, natural-water"):
        temperature.raw_conductivity(**common, compensation="automatic", coefficient=0.02)
    with pytest.raises(OutOfRange):
        temperature.raw_conductivity(**common, compensation="linear", coefficient=0.2)
    with pytest.raises(OutOfRange):
        temperature.natural_water(conductivity=10.0, temperature=36.0, reference_temperature=25.0)
