# SPDX-License-Identifier: MIT
"""How well one ion conducts when it is alone in water, from 0 to 50 degC.

The value at 25 degC times the ratio of a temperature law: figures and sources in `data/ions.py`.
"""

from __future__ import annotations

from brackish.science.data.ions import CUBIC_LAWS, IONS, PAIR_IONS, QUADRATIC_LAWS

ALL_IONS = IONS | PAIR_IONS


def limiting_conductivity(*, ion: str, temperature: float) -> float:
    """The molar conductivity of an ion at infinite dilution.

    Parameters
    ----------
    ion : name
        A key of `data/ions.py`, such as "Na+" or "SO4-2".
    temperature : scalar [degC]
        Of the solution; the caller has checked its range.

    Returns
    -------
    scalar [S*cm2/mol]
        Per mole of the ion (not per equivalent).

    Valid
    -----
    0 to 50 degC

    Source
    ------
    crc-ionic-conductivity at 25 degC; harned-owen (Na, K, Cl, H) and mccleskey-2012 for the ratio

    """
    return ALL_IONS[ion].conductivity * _ratio_to_25(ion, temperature)


def _ratio_to_25(ion: str, temperature: float) -> float:
    if ion in CUBIC_LAWS:
        law = CUBIC_LAWS[ion]
        d = temperature - 25.0
        return 1.0 + d * (law.a + d * (law.b + d * law.c)) / law.at_25
    law_2 = QUADRATIC_LAWS[ion]
    at_t = law_2.t0 + temperature * (law_2.t1 + temperature * law_2.t2)
    at_25 = law_2.t0 + 25.0 * (law_2.t1 + 25.0 * law_2.t2)
    return at_t / at_25
