# SPDX-License-Identifier: MIT
"""Which share of the ions of a solution is free: sulfate pairs with metal ions, and a pair of two divalent ions does not conduct.

Stability constants of `data/ions.py`, corrected for the ionic strength (Davies).
"""

from __future__ import annotations

from collections.abc import Mapping
from math import sqrt

from brackish.science import water
from brackish.science.data.ions import IONS, SULFATE_PAIRS
from brackish.science.elementary import exp
from brackish.science.onsager import ionic_strength

LN_10 = 2.302585092994046
_SULFATE = "SO4-2"


def free_ions(*, ions: Mapping[str, float], temperature: float) -> dict[str, float]:
    """The free ions and charged pairs of a solution given by its totals.

    Parameters
    ----------
    ions : mapping [mol/L]
        Total amount of each ion.
    temperature : scalar [degC]
        Of the solution; the caller has checked its range.

    Returns
    -------
    mapping [mol/L]
        Free ions and charged pairs such as NaSO4-; uncharged pairs are left out.

    Valid
    -----
    0 to 50 degC, ionic strength to 0.1 mol/L

    Source
    ------
    wateq4f for the constants; davies-1962 for the activities

    """
    sulfate = ions.get(_SULFATE, 0.0)
    partners = [ion for ion in SULFATE_PAIRS if ions.get(ion, 0.0) > 0.0]
    if not sulfate or not partners:
        return dict(ions)
    free = dict(ions)
    strength = ionic_strength(ions)
    for _ in range(100):
        free = _paired(ions, sulfate, {ion: _constant(ion, strength, temperature) for ion in partners})
        before, strength = strength, ionic_strength(free)
        if abs(strength - before) <= 1e-15 * strength:
            break
    return free


def _constant(ion: str, strength: float, temperature: float) -> float:
    """The stability constant in concentrations: a pair lowers z^2 by 4z in all, so activities enter as 4z times the Davies term."""
    warmth = water.permittivity(temperature=temperature) * (temperature + water.KELVIN)
    debye = 1.8246e6 / (warmth * sqrt(warmth))
    root = sqrt(strength)
    davies = debye * (root / (1.0 + root) - 0.3 * strength)
    return exp(LN_10 * (SULFATE_PAIRS[ion].log_constant - 4.0 * IONS[ion].charge * davies))


def _paired(ions: Mapping[str, float], sulfate: float, constants: Mapping[str, float]) -> dict[str, float]:
    """Mass balance at fixed constants: Newton's method for the free sulfate, from below, where it cannot overshoot."""
    most = 1.0
    for ion, constant in constants.items():
        most += constant * ions[ion]
    free = sulfate / most
    for _ in range(60):
        excess, slope = free - sulfate, 1.0
        for ion, constant in constants.items():
            room = 1.0 + constant * free
            excess += constant * free * ions[ion] / room
            slope += constant * ions[ion] / (room * room)
        free -= excess / slope
        if abs(excess) <= 1e-16 * sulfate * slope:
            break
    balance = dict(ions) | {_SULFATE: free}
    for ion, constant in constants.items():
        balance[ion] = ions[ion] / (1.0 + constant * free)
        pair = SULFATE_PAIRS[ion].ion
        if pair:
            balance[pair] = ions[ion] - balance[ion]
    return balance
