# SPDX-License-Identifier: MIT
"""The unit factors from the table of units, and what must hold for any facts; single values are in tests/evidence/amounts.toml."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brackish.quantities import DIMENSIONS
from brackish.science import amounts
from tests.examples import examples

thorough = examples(200)
VOLUME, AREA, READING = st.floats(0.5, 100.0), st.floats(100.0, 1e5), st.floats(0.0, 500.0)


def si(dimension: str, unit: str, base: str) -> Fraction:
    """One `unit` in the SI unit `base`."""
    return DIMENSIONS[dimension].units[unit] / DIMENSIONS[dimension].units[base]


def test_five_hundred_of_the_trade_follows_from_the_units():
    mg_per_kg = 10**6
    factor = mg_per_kg * si("volume", "mL", "m3") * si("conductivity", "uS/cm", "S/m") / si("area", "mm2", "m2")
    found = amounts.mixed_salt_per_area(
        constant=amounts.MIXED_SALT_CONSTANT, meter_gain=1.0, solution_volume=1.0, conductivity=1.0, compartment_area=1.0, blank_conductivity=0.0
    )
    assert found == 500.0 == float(5 * factor)


def test_concentration_factor_follows_from_the_units():
    mg_per_litre = si("volume", "L", "m3")
    factor = 1 / mg_per_litre * si("volume", "mL", "m3") / si("area", "mm2", "m2")
    assert amounts.concentration_per_area(solution_volume=1.0, concentration=1.0, area=1.0) == 1000.0 == float(factor)


def patch(**facts: float) -> float:
    given = {"constant": 5.0, "meter_gain": 1.0, "solution_volume": 10.0, "conductivity": 9.0, "compartment_area": 1250.0, "blank_conductivity": 1.0}
    return amounts.mixed_salt_per_area(**{**given, **facts})


@thorough
@given(VOLUME, AREA, READING, READING)
def test_blank_of_the_same_volume_is_the_same_as_no_volume_given(volume, area, reading, blank):
    plain = patch(solution_volume=volume, compartment_area=area, conductivity=reading, blank_conductivity=blank)
    named = patch(solution_volume=volume, compartment_area=area, conductivity=reading, blank_conductivity=blank, blank_volume=volume)
    assert named == pytest.approx(plain, rel=1e-9, abs=1e-9)


@thorough
@given(VOLUME, AREA, READING, READING, st.floats(1.1, 5.0))
def test_amount_does_not_depend_on_dilution(volume, area, reading, blank, dilution):
    """The same salt in more water: volume up, reading and blank down, by one factor."""
    strong = patch(solution_volume=volume, compartment_area=area, conductivity=reading, blank_conductivity=blank)
    weak = patch(solution_volume=volume * dilution, compartment_area=area, conductivity=reading / dilution, blank_conductivity=blank / dilution)
    assert weak == pytest.approx(strong, rel=1e-9, abs=1e-9)


@thorough
@given(READING, READING)
def test_sample_and_blank_exchanged_change_the_sign(reading, blank):
    assert patch(conductivity=reading, blank_conductivity=blank) == -patch(conductivity=blank, blank_conductivity=reading)


@thorough
@given(st.floats(-100.0, 1000.0))
def test_chloride_to_nacl_and_back(chloride):
    assert amounts.chloride_in_nacl(nacl=amounts.chloride_as_nacl(chloride=chloride)) == pytest.approx(chloride, rel=1e-14)


def test_an_equivalent_of_either_titrant_binds_one_chloride():
    """0.0141 mol/L mercury(II) nitrate is 0.0282 eq/L: both ways of writing it give one result."""
    facts = {"titrant_volume": 0.85, "titrant_blank": 0.15, "aliquot_volume": 50.0}
    moles = amounts.titrated_chloride(titrant_concentration=0.0141, chloride_per_mole=amounts.CHLORIDES_PER_MOLE["mercury-nitrate"], **facts)
    equivalents = amounts.titrated_chloride(titrant_concentration=0.0282, chloride_per_mole=1.0, **facts)
    silver = amounts.titrated_chloride(titrant_concentration=0.0141, chloride_per_mole=amounts.CHLORIDES_PER_MOLE["silver-nitrate"], **facts)
    assert moles == equivalents == 2.0 * silver
