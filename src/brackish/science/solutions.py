# SPDX-License-Identifier: MIT
"""Standard solutions for checking a conductivity meter: what the bottle conducts, and what the meter should show.

Three texts name a bottle. "KCl 0.001 mol/L" and "KCl 0.01 mol/kg" are different bottles: 0.01 mol/L is 1413, 0.01 mol/kg is
1408 uS/cm at 25 degC. "147 uS/cm at 25 degC" is a bottle by its label, taken to change with temperature as KCl does. The judge
uses `verification_deviation` in place of the meter's accuracy.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from brackish.errors import InputError
from brackish.quantities import parse
from brackish.science import electrolyte, water
from brackish.science import temperature as compensated
from brackish.science.data.standards import AIR_EXPOSED_WATER, KCL_MOLAL
from brackish.science.salts import SALTS

_KCL = re.compile(r"KCl\s+(\S.*)", re.ASCII)
_LABEL = re.compile(r"(\S.*?)\s+at\s+(\S.*)", re.ASCII)
_GRAMS = 1000.0 * SALTS["KCl"].molar_mass  # mg per mol


class Standard(NamedTuple):
    """A standard solution at one temperature."""

    conductivity: float  # uS/cm of the salt, the way tables and labels state it
    air_exposed_water: float  # uS/cm that water open to the air would add; tables and sealed bottles leave it out
    basis: str  # how it was found


def standard(*, text: str, temperature: float) -> Standard:
    """The true conductivity of a standard solution at the temperature it has now.

    Parameters
    ----------
    text : text
        "KCl N mol/L" (at 25 degC), "KCl N mol/kg" (per kg of water) or "N uS/cm at T degC".
    temperature : scalar [degC]
        Of the solution.

    Returns
    -------
    Standard
        Conductivity in uS/cm without the water's own.

    Valid
    -----
    0 to 50 degC; KCl to 0.1 mol/L or 13 mS/cm, and the 0.1 and 1 mol/kg of the table; outside raises OutOfRange

    Source
    ------
    pratt-2001 for 0.01, 0.1 and 1 mol/kg; the model (0.3 %) for the others

    """
    water.TEMPERATURE.check(temperature)
    conductivity, basis = _found(text, temperature)
    return Standard(conductivity, _between(AIR_EXPOSED_WATER, temperature), basis)


def reading_expected(*, solution: str, temperature: float, compensation: str, coefficient: float, reference_temperature: float) -> float:
    """What a faultless meter shows in a standard solution, its own compensation included.

    Parameters
    ----------
    solution : text
        As for `standard`.
    temperature : scalar [degC]
        Of the solution when read.
    compensation : name
        "none", "linear" or "natural-water", as the meter was set.
    coefficient : scalar [1/K]
        Of a linear meter.
    reference_temperature : scalar [degC]
        To which the meter refers.

    Returns
    -------
    scalar [uS/cm]
        A label that states the meter's reference temperature is found again only if the meter's compensation suits KCl.

    Valid
    -----
    as standard and temperature.raw_conductivity

    Source
    ------
    pratt-2001 and iso-7888 as in standard and temperature

    """
    true = standard(text=solution, temperature=temperature).conductivity
    true_for_shown = compensated.raw_conductivity(
        displayed=1.0, compensation=compensation, temperature=temperature, reference_temperature=reference_temperature, coefficient=coefficient
    )
    return true / true_for_shown


def verification_deviation(*, solution: str, reading: float, temperature: float, compensation: str, coefficient: float, reference_temperature: float) -> float:
    """How far a meter's reading of a standard solution is off, relative.

    Parameters
    ----------
    solution : text
        As for `standard`.
    reading : scalar [uS/cm]
        As the meter showed it.
    temperature : scalar [degC]
        Of the solution when read.
    compensation : name
        "none", "linear" or "natural-water", as the meter was set.
    coefficient : scalar [1/K]
        Of a linear meter.
    reference_temperature : scalar [degC]
        To which the meter refers.

    Returns
    -------
    scalar [1]
        reading / expected - 1; 0.01 is 1 % high.

    Valid
    -----
    as reading_expected

    Source
    ------
    pratt-2001 and iso-7888 as in reading_expected

    """
    expected = reading_expected(
        solution=solution, temperature=temperature, compensation=compensation, coefficient=coefficient, reference_temperature=reference_temperature
    )
    return reading / expected - 1.0


def _found(text: str, temperature: float) -> tuple[float, str]:
    if kcl := _KCL.fullmatch(text.strip()):
        strength = parse(kcl[1], dimension=("amount_concentration", "molality"))
        if strength.dimension == "molality":
            return _molal(strength.inside, temperature)
        return _as_kcl(_GRAMS * strength.inside, 25.0, temperature), "KCl per litre at 25 degC, by the model"
    if label := _LABEL.fullmatch(text.strip()):
        at = parse(label[2], dimension="temperature").inside
        amount = electrolyte.concentration(salt="KCl", conductivity=parse(label[1], dimension="conductivity").inside, temperature=at)
        return _as_kcl(amount, at, temperature), "label of the bottle, changing with temperature as KCl"
    raise InputError("science.standard_solution", given=repr(text))


def _molal(molality: float, temperature: float) -> tuple[float, str]:
    if molality in KCL_MOLAL:
        return _between(KCL_MOLAL[molality], temperature), "KCl per kg of water, table of Pratt and others (2001)"
    amount = _GRAMS * molality * water.density(temperature=temperature)
    return electrolyte.salt_conductivity(salt="KCl", concentration=amount, temperature=temperature), "KCl per kg of water, by the model"


def _as_kcl(amount: float, temperature_of_amount: float, temperature: float) -> float:
    """uS/cm at `temperature` of KCl stated in mg/L at another: the molality stays."""
    there = amount * water.density(temperature=temperature) / water.density(temperature=temperature_of_amount)
    return electrolyte.salt_conductivity(salt="KCl", concentration=there, temperature=temperature)


def _between(table: Sequence[tuple[float, float]], temperature: float) -> float:
    """The table's value by a cubic through the four nearest points (Lagrange)."""
    upper = next(place for place, (at, _) in enumerate(table) if temperature <= at)
    first = min(max(upper - 2, 0), len(table) - 4)
    near = table[first : first + 4]
    total = 0.0
    for at, value in near:
        for other, _ in near:
            if other != at:
                value *= (temperature - other) / (at - other)
        total += value
    return total
