# SPDX-License-Identifier: MIT
"""Conductivity of dilute salt solutions from their ions, and the salt that a conductivity stands for.

The index of the topic. The model: `onsager.py` (law of motion), `mobility.py` (single ions), `pairing.py` (sulfate pairs), `salts.py` (named salts); all figures in `data/`.
Concentrations are per litre of solution at its own temperature; conductivities are the true ones at that
temperature, with no compensation (`temperature.py` removes or adds it).
"""

from __future__ import annotations

from collections.abc import Mapping
from math import fsum

from brackish.errors import InputError
from brackish.science import onsager, water
from brackish.science.data.accuracy import AT_25, AWAY_FROM_25, AWAY_FROM_25_CONFIRMED, GROUP_OF_SALT
from brackish.science.data.ions import CUBIC_LAWS, IONS
from brackish.science.data.salts import CHLORIDES, PLAUSIBLE
from brackish.science.pairing import free_ions
from brackish.science.salts import SALTS, salt_law
from brackish.science.validity import Range, check_finite

__all__ = ["SALTS", "accuracy", "composition_band", "concentration", "conductivity", "least_conductivity", "most_chloride", "salt_conductivity"]

_MODEL = "range of the dilute-solution model, data/accuracy.py"
STRONGEST = 0.1  # mol/L of ionic strength up to which a free mixture is computed
STRENGTH = Range("ionic strength", "mol/L", 0.0, STRONGEST, _MODEL)
NEUTRALITY = 1e-3  # of the charges present: unbalanced by more than this is not a solution


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
    robinson-stokes equation 7.36 for the law, onsager-kim-1957 for mixtures

    """
    water.TEMPERATURE.check(temperature)
    _check_ions(ions)
    return onsager.mixture_conductivity(free_ions=free_ions(ions=ions, temperature=temperature), temperature=temperature)


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
    0 to 50 degC; 0 to the last row of data/accuracy.py for the salt (NaCl 10640 uS/cm at 25 degC); outside raises OutOfRange

    Source
    ------
    robinson-stokes equation 7.36 solved for the concentration

    """
    law, _, highest = salt_law(salt=salt, temperature=temperature)
    if not 0.0 <= conductivity <= highest:
        Range("conductivity", "uS/cm", 0.0, highest, _MODEL).check(conductivity)
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
    0 to 50 degC; 0 to the last row of data/accuracy.py for the salt; outside raises OutOfRange

    Source
    ------
    robinson-stokes equation 7.36

    """
    law, highest, _ = salt_law(salt=salt, temperature=temperature)
    amount = concentration / (1000.0 * SALTS[salt].molar_mass)
    if not 0.0 <= amount <= highest * (1.0 + 1e-12):
        Range("concentration", "mg/L", 0.0, 1000.0 * SALTS[salt].molar_mass * highest, _MODEL).check(concentration)
    return law.conductivity(amount)


def accuracy(*, salt: str, conductivity: float, temperature: float) -> float:
    """The limit of error of the model for one salt, relative.

    Parameters
    ----------
    salt : name
        A key of `SALTS`.
    conductivity : scalar [uS/cm]
        True conductivity at `temperature`.
    temperature : scalar [degC]
        Of the solution.

    Returns
    -------
    scalar [1]
        0.002 is 0.2 %; the part at 25 degC and the part for the temperature added.

    Valid
    -----
    as electrolyte.concentration

    Source
    ------
    own: data/accuracy.py, from the handbook tables and programs of tests/evidence

    """
    amount = concentration(salt=salt, conductivity=conductivity, temperature=temperature)
    law, highest, _ = salt_law(salt=salt, temperature=25.0)
    at_25 = law.conductivity(min(amount / (1000.0 * SALTS[salt].molar_mass), highest))
    salt_part = next(error for upper, error in AT_25[GROUP_OF_SALT[salt]] if at_25 <= upper * (1.0 + 1e-9))
    if temperature == 25.0:
        return salt_part
    confirmed = all(ion in CUBIC_LAWS for ion in SALTS[salt].ions)
    table = AWAY_FROM_25_CONFIRMED if confirmed else AWAY_FROM_25
    return salt_part + next(error for lowest, upper, error in table if lowest <= temperature <= upper)


def composition_band(*, conductivity: float, temperature: float) -> list[tuple[str, float]]:
    """What the amount would be for each plausible salt or mixture: the band that unknown composition leaves open.

    Parameters
    ----------
    conductivity : scalar [uS/cm]
        True conductivity at `temperature`.
    temperature : scalar [degC]
        Of the solution.

    Returns
    -------
    list of (name, mg/L)
        From the least to the most; where each comes from stands in `data.salts.PLAUSIBLE`.

    Valid
    -----
    as electrolyte.concentration for every one of them (2400 uS/cm at 25 degC)

    Source
    ------
    own: the model; proportions of mixtures are illustrations

    """
    band = [(salt, concentration(salt=salt, conductivity=conductivity, temperature=temperature)) for salt in PLAUSIBLE]
    return sorted(band, key=lambda member: member[1])


def most_chloride(*, conductivity: float, temperature: float) -> float:
    """The most chloride that a conductivity allows: an upper bound, never a result.

    Of the common chlorides NaCl conducts least per chloride up to about 150 uS/cm, above that MgCl2 or FeCl2. A measured
    chloride over this by more than the doubt of both is impossible: a tube misread, another volume, a dilution.

    Parameters
    ----------
    conductivity : scalar [uS/cm]
        True conductivity at `temperature`, blank subtracted.
    temperature : scalar [degC]
        Of the solution.

    Returns
    -------
    scalar [mg/L]
        Chloride ion.

    Valid
    -----
    0 to 50 degC; conductivity to 5000 uS/cm at 25 degC

    Source
    ------
    own: the model, most over data.salts.CHLORIDES

    """
    return max(_chloride(salt, concentration(salt=salt, conductivity=conductivity, temperature=temperature)) for salt in CHLORIDES)


def least_conductivity(*, chloride: float, temperature: float) -> float:
    """The least conductivity that an amount of chloride can have, whatever its partner.

    What is left of the measured conductivity after this is the most that other ions can account for.

    Parameters
    ----------
    chloride : scalar [mg/L]
        Chloride ion.
    temperature : scalar [degC]
        Of the solution.

    Returns
    -------
    scalar [uS/cm]
        True conductivity at that temperature.

    Valid
    -----
    0 to 50 degC; conductivity to 5000 uS/cm at 25 degC

    Source
    ------
    own: the model, least over data.salts.CHLORIDES

    """
    return min(salt_conductivity(salt=salt, concentration=chloride / _chloride(salt, 1.0), temperature=temperature) for salt in CHLORIDES)


def _chloride(salt: str, amount: float) -> float:
    return amount * SALTS[salt].ions["Cl-"] * IONS["Cl-"].molar_mass / SALTS[salt].molar_mass


def _check_ions(ions: Mapping[str, float]) -> None:
    for ion, amount in ions.items():
        if ion not in IONS:
            raise InputError("science.unknown", name="ion", given=ion, allowed=list(IONS))
        check_finite(ion, amount)
        Range(ion, "mol/L", 0.0, STRONGEST, _MODEL).check(amount)
    STRENGTH.check(onsager.ionic_strength(ions))
    charges = [amount * IONS[ion].charge for ion, amount in ions.items()]
    if abs(fsum(charges)) > NEUTRALITY * fsum(abs(charge) for charge in charges):
        raise InputError("science.not_neutral", given=fsum(charges), allowed=NEUTRALITY)
