# SPDX-License-Identifier: MIT
"""Conductivity of dilute salt solutions from their ions, and the salt that a conductivity stands for.

The model: `onsager.py` (law of motion), `mobility.py` (single ions), `pairing.py` (sulfate pairs), all figures in `data/`.
Concentrations are per litre of solution at its own temperature; conductivities are the true ones at that
temperature, with no compensation (`temperature.py` removes or adds it).
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from math import fsum, isfinite
from typing import NamedTuple

from brackish.errors import InputError, OutOfRange
from brackish.science import onsager, water
from brackish.science.data.ions import IONS
from brackish.science.data.salts import SALT_IONS

STRONGEST = 0.1  # mol/L of ionic strength up to which the law is used
NEUTRALITY = 1e-3  # of the charges present: unbalanced by more than this is not a solution


class Salt(NamedTuple):
    """A salt by its formula: ions per formula unit and molar mass in g/mol."""

    ions: Mapping[str, float]
    molar_mass: float


SALTS = {name: Salt(ions, fsum(count * IONS[ion].molar_mass for ion, count in ions.items())) for name, ions in SALT_IONS.items()}


def conductivity(*, ions: Mapping[str, float], temperature: float) -> float:
    """The conductivity of a solution of these ions.

    Parameters
    ----------
    ions : mapping [mol/L]
        Total amount of each ion at the solution's temperature, pairs included; keys of `data/ions.py`.
    temperature : scalar [degC]
        Of the solution.

    Returns
    -------
    scalar [uS/cm]
        True conductivity at that temperature, without the water's own.

    Valid
    -----
    0 to 50 degC; ionic strength to 0.1 mol/L; electroneutral within 0.1 %; outside raises OutOfRange or InputError

    Source
    ------
    robinson-stokes equation 7.36 for the law; onsager-kim-1957 for mixtures

    """
    water.check_temperature(temperature)
    _check_ions(ions)
    return onsager.mixture_conductivity(free_ions=ions, temperature=temperature)


def concentration(*, salt: str, conductivity: float, temperature: float) -> float:
    """The concentration of a salt that alone would conduct this.

    Parameters
    ----------
    salt : name
        A key of `SALTS`.
    conductivity : scalar [uS/cm]
        True conductivity at `temperature`, blank already subtracted or converted apart.
    temperature : scalar [degC]
        Of the solution.

    Returns
    -------
    scalar [mg/L]
        Anhydrous salt; 0 for 0.

    Valid
    -----
    0 to 50 degC; 0 to the conductivity of an ionic strength of 0.1 mol/L; outside raises OutOfRange

    Source
    ------
    robinson-stokes equation 7.36 solved for the concentration

    """
    law, highest = _law(salt, temperature)
    if not 0.0 <= conductivity <= highest:
        _refuse("conductivity", conductivity, "uS/cm", highest)
    return 1000.0 * SALTS[salt].molar_mass * law.amount(conductivity)


def salt_conductivity(*, salt: str, concentration: float, temperature: float) -> float:
    """The conductivity of a solution of one salt.

    Parameters
    ----------
    salt : name
        A key of `SALTS`.
    concentration : scalar [mg/L]
        Anhydrous salt at the solution's temperature.
    temperature : scalar [degC]
        Of the solution.

    Returns
    -------
    scalar [uS/cm]
        True conductivity at that temperature, without the water's own.

    Valid
    -----
    0 to 50 degC; ionic strength to 0.1 mol/L; outside raises OutOfRange

    Source
    ------
    robinson-stokes equation 7.36

    """
    law, highest = _law(salt, temperature)
    amount = concentration / (1000.0 * SALTS[salt].molar_mass)
    strongest = STRONGEST / onsager.ionic_strength(SALTS[salt].ions)
    if not 0.0 <= amount <= strongest * (1.0 + 1e-12):
        _refuse("concentration", concentration, "mg/L", 1000.0 * SALTS[salt].molar_mass * strongest)
    return law.conductivity(amount)


@lru_cache(maxsize=512)
def _law(salt: str, temperature: float) -> tuple[onsager.TwoIonLaw, float]:
    """The closed form of a salt of two ions, and the conductivity up to which it is used."""
    if salt not in SALTS:
        raise InputError("science.unknown", name="salt", given=salt, allowed=list(SALTS))
    water.check_temperature(temperature)
    ions = SALTS[salt].ions
    (cation, cations), (anion, anions) = ions.items()
    law = onsager.two_ion_law(cation=cation, anion=anion, cations=cations, anions=anions, temperature=temperature)
    return law, law.conductivity(STRONGEST / onsager.ionic_strength(ions))


def _check_ions(ions: Mapping[str, float]) -> None:
    for ion, amount in ions.items():
        if ion not in IONS:
            raise InputError("science.unknown", name="ion", given=ion, allowed=list(IONS))
        if not isfinite(amount):
            raise InputError("science.not_finite", name=ion, given=amount)
        if amount < 0.0:
            _refuse(ion, amount, "mol/L", STRONGEST)
    strength = onsager.ionic_strength(ions)
    if strength > STRONGEST:
        _refuse("ionic strength", strength, "mol/L", STRONGEST)
    charges = [amount * IONS[ion].charge for ion, amount in ions.items()]
    if abs(fsum(charges)) > NEUTRALITY * fsum(abs(charge) for charge in charges):
        raise InputError("science.not_neutral", given=fsum(charges), allowed=NEUTRALITY)


def _refuse(name: str, value: float, unit: str, highest: float) -> None:
    if not isfinite(value):
        raise InputError("science.not_finite", name=name, given=value)
    source = "range of the dilute-solution model, data/accuracy.py"
    raise OutOfRange("science.out_of_range", name=name, value=value, unit=unit, lowest=0.0, highest=highest, source=source)
