# SPDX-License-Identifier: MIT
"""Bringing a conductivity from one temperature to another, and undoing what a meter did by itself.

Four models of the design: as displayed, linear, natural water (ISO 7888), NaCl curve. A meter that compensates shows
a reading referred to its own reference temperature; `raw_conductivity` gives back the true one. The judge calls these
from `judge/results.py`.
"""

from __future__ import annotations

from brackish.errors import InputError, OutOfRange
from brackish.science import electrolyte, water
from brackish.science.elementary import exp, log
from brackish.science.validity import Range, check_finite

COMPENSATIONS = ("none", "linear", "natural-water")
NATURAL_WATER = Range("temperature", "degC", 0.0, 35.9, "ISO 7888, natural water")


def raw_conductivity(*, displayed: float, compensation: str, temperature: float, reference_temperature: float, coefficient: float) -> float:
    """The true conductivity behind what a compensating meter shows.

    Parameters
    ----------
    displayed : scalar [uS/cm]
        As the meter shows it.
    compensation : name
        "none", "linear" or "natural-water", as the meter was set.
    temperature : scalar [degC]
        That the meter used for the solution.
    reference_temperature : scalar [degC]
        To which the meter refers.
    coefficient : scalar [1/K]
        Of a linear meter, relative to the conductivity at its reference temperature; not used by the others.

    Returns
    -------
    scalar [uS/cm]
        At `temperature`.

    Valid
    -----
    "natural-water" 0 to 35.9 degC; "linear" while 1 + coefficient * difference is positive; outside raises OutOfRange

    Source
    ------
    iso-7888 for both compensations; the inverse is algebra

    """
    if compensation == "none":
        return displayed
    if compensation == "linear":
        return displayed * _linear_factor(coefficient, temperature, reference_temperature)
    if compensation == "natural-water":
        return displayed * natural_water_factor(temperature=reference_temperature) / natural_water_factor(temperature=temperature)
    raise InputError("science.unknown", name="compensation", given=compensation, allowed=list(COMPENSATIONS))


def linear(*, conductivity: float, temperature: float, reference_temperature: float, coefficient: float) -> float:
    """A true conductivity referred to another temperature by a fixed share per kelvin.

    Parameters
    ----------
    conductivity : scalar [uS/cm]
        True conductivity at `temperature`.
    temperature : scalar [degC]
        Of the solution.
    reference_temperature : scalar [degC]
        Wanted.
    coefficient : scalar [1/K]
        Relative to the conductivity at the reference temperature.

    Returns
    -------
    scalar [uS/cm]
        At the reference temperature.

    Valid
    -----
    while 1 + coefficient * difference is positive; else raises OutOfRange

    Source
    ------
    iso-7888

    """
    return conductivity / _linear_factor(coefficient, temperature, reference_temperature)


def as_displayed(
    *, conductivity: float, shown_coefficient: float, shown_temperature: float, coefficient: float, temperature: float, reference_temperature: float
) -> float:
    """A displayed conductivity that is kept, with the doubt of its compensation left open for the budget.

    The meter used `shown_coefficient` and `shown_temperature` exactly; the true ones are uncertain. With equal figures
    the reading comes back unchanged.

    Parameters
    ----------
    conductivity : scalar [uS/cm]
        As displayed, referred to `reference_temperature`.
    shown_coefficient : scalar [1/K]
        That the meter used.
    shown_temperature : scalar [degC]
        That the meter used.
    coefficient : scalar [1/K]
        Of the solution.
    temperature : scalar [degC]
        Of the solution.
    reference_temperature : scalar [degC]
        To which the meter refers.

    Returns
    -------
    scalar [uS/cm]
        At the reference temperature.

    Valid
    -----
    while both factors are positive; else raises OutOfRange

    Source
    ------
    iso-7888 for the linear form; the ratio is algebra

    """
    undone = _linear_factor(shown_coefficient, shown_temperature, reference_temperature)
    return conductivity * undone / _linear_factor(coefficient, temperature, reference_temperature)


def nacl_curve(*, conductivity: float, temperature: float, reference_temperature: float) -> float:
    """A true conductivity referred to another temperature as a sodium chloride solution changes.

    A solution that warms keeps its molality, not its mol/L, so the density of water enters.

    Parameters
    ----------
    conductivity : scalar [uS/cm]
        True conductivity at `temperature`.
    temperature : scalar [degC]
        Of the solution.
    reference_temperature : scalar [degC]
        Wanted.

    Returns
    -------
    scalar [uS/cm]
        At the reference temperature.

    Valid
    -----
    0 to 50 degC; conductivity as in electrolyte.concentration; outside raises OutOfRange

    Source
    ------
    robinson-stokes equation 7.36 at both temperatures; kell-1975 for the density

    """
    here = electrolyte.concentration(salt="NaCl", conductivity=conductivity, temperature=temperature)
    there = here * _density_ratio(reference_temperature, temperature)
    return electrolyte.salt_conductivity(salt="NaCl", concentration=there, temperature=reference_temperature)


def natural_water(*, conductivity: float, temperature: float, reference_temperature: float) -> float:
    """A true conductivity referred to another temperature as natural water changes (ISO 7888).

    Parameters
    ----------
    conductivity : scalar [uS/cm]
        True conductivity at `temperature`.
    temperature : scalar [degC]
        Of the solution.
    reference_temperature : scalar [degC]
        Wanted.

    Returns
    -------
    scalar [uS/cm]
        At the reference temperature.

    Valid
    -----
    0 to 35.9 degC, both temperatures; outside raises OutOfRange

    Source
    ------
    iso-7888 formula of table 1 as seen in a public copy; divided by its value at 25 degC, so that 25 gives 1

    """
    return conductivity * natural_water_factor(temperature=temperature) / natural_water_factor(temperature=reference_temperature)


def natural_water_factor(*, temperature: float) -> float:
    """The factor f25 that turns a natural water's conductivity at a temperature into that at 25 degC.

    Parameters
    ----------
    temperature : scalar [degC]
        Of the water.

    Returns
    -------
    scalar [1]
        1 at 25 degC, 1.116 at 20 degC.

    Valid
    -----
    0 to 35.9 degC; outside raises OutOfRange

    Source
    ------
    iso-7888 formula of table 1 as seen in a public copy; divided by its value at 25 degC (1.0004)

    """
    NATURAL_WATER.check(temperature)
    return _iso_7888(temperature) / _ISO_7888_AT_25


def _linear_factor(coefficient: float, temperature: float, reference_temperature: float) -> float:
    factor = 1.0 + coefficient * (temperature - reference_temperature)
    check_finite("compensation factor", factor)
    if factor <= 0.0:
        source = "linear compensation"
        raise OutOfRange("science.out_of_range", name="1 + coefficient x difference", value=factor, unit="", lowest="over 0", highest="any", source=source)
    return factor


def _iso_7888(temperature: float) -> float:
    """f25 = 1.116 [(1 - a) + a nu^n], nu the kinematic viscosity relative to that at 20 degC."""
    nu = -0.198058 + exp(-1.992186 + 231.17628 / (temperature + 86.39123))
    return 1.116 * ((1.0 - 0.962144) + 0.962144 * exp(0.965078 * log(nu)))


_ISO_7888_AT_25 = _iso_7888(25.0)


def _density_ratio(temperature: float, other: float) -> float:
    return water.density(temperature=temperature) / water.density(temperature=other)
