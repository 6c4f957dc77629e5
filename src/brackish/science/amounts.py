# SPDX-License-Identifier: MIT
"""From what the instrument shows to what lay on the steel or in the abrasive: the formulas of the trade, with their units.

    amount per area = (what the liquid holds) x (volume it was spread through) / (area it came from)

The volume is all the water the salt was spread through when it was read, never the drops put on the cell. Which salt is
meant is in the name of each function. Results are signed: a blank larger than the reading gives a negative amount.
"""

from __future__ import annotations

from brackish.science.validity import Range

# kg/m2 of mixed salts per (S/m) and m of water: 1 uS/cm stands for 0.5 mg/L. The constant of ISO 8502-9, an average over the salts
# found on steel. Recalled; check your copy of the standard. For pure NaCl it would be about 4.7 (25 degC): use the NaCl
# equivalent where the contract says so, and never mix the two.
MIXED_SALT_CONSTANT = 5.0

# kg/m2/S x mL x uS/cm / mm2 = 1e-6 m3 x 1e-4 S/m / 1e-6 m2 = 1e-4 kg/m2 = 100 mg/m2; so 5 kg/m2/S becomes the 500 of the trade.
_CONDUCTIVITY_UNITS = 100.0
# mg/L x mL / mm2 = 1e-3 mg / 1e-6 m2 = 1000 mg/m2
_CONCENTRATION_UNITS = 1000.0

SODIUM_CHLORIDE, CHLORIDE = 58.443, 35.453  # g/mol
# Chlorides bound by one mole of titrant; an amount in eq/L binds one.
CHLORIDES_PER_MOLE = {"silver-nitrate": 1.0, "mercury-nitrate": 2.0}

_SANITY = "a bound against slips of unit, own"
CONSTANT = Range("constant", "kg/m2/S", 0.1, 100.0, _SANITY)
GAIN = Range("meter gain", "", 0.5, 2.0, _SANITY)
VOLUME = Range("volume", "mL", 1e-3, 1e6, _SANITY)
AREA = Range("area", "mm2", 1.0, 1e9, _SANITY)
CONDUCTIVITY = Range("conductivity", "uS/cm", -1e4, 1e6, _SANITY)
CONCENTRATION = Range("concentration", "mg/L", -1e5, 1e6, _SANITY)
TITRANT_VOLUME = Range("titrant volume", "mL", -1.0, 1e4, _SANITY)
TITRANT_CONCENTRATION = Range("titrant concentration", "mol/L", 1e-6, 20.0, _SANITY)
PER_MOLE = Range("chlorides per mole", "", 1.0, 2.0, "silver nitrate 1, mercury(II) nitrate 2")
MASS = Range("mass", "g", 1e-3, 1e6, _SANITY)


def mixed_salt_per_area(
    *,
    constant: float,
    meter_gain: float,
    solution_volume: float,
    conductivity: float,
    compartment_area: float,
    blank_conductivity: float,
    blank_volume: float | None = None,
) -> float:
    """The amount of mixed salts per area by the surface constant: c g (V ks - Vb kb) / A.

    It depends on the temperature the conductivities refer to, and is not the NaCl equivalent.

    Parameters
    ----------
    constant : scalar [kg/m2/S]
        `MIXED_SALT_CONSTANT` unless agreed otherwise.
    meter_gain : scalar
        Estimate 1; its uncertainty is the meter's accuracy, shared by sample and blank.
    solution_volume : scalar [mL]
        All the water the salt was spread through when it was read.
    conductivity : scalar [uS/cm]
        Of the extract, at the temperature wanted.
    compartment_area : scalar [mm2]
        Area of steel under the patch.
    blank_conductivity : scalar [uS/cm]
        Of the blank, at the same temperature.
    blank_volume : scalar [mL]
        Of a full-kit blank made with another volume; None: as the solution.

    Returns
    -------
    scalar [mg/m2]
        Mixed salts; may be negative.

    Valid
    -----
    the ranges above; outside raises OutOfRange

    Source
    ------
    iso-8502-9 with the blank as mass where its volume differs; 100 is for the units, see above

    """
    CONSTANT.check(constant)
    GAIN.check(meter_gain)
    CONDUCTIVITY.check(conductivity)
    CONDUCTIVITY.check(blank_conductivity)
    dissolved = _less_blank(solution_volume, conductivity, blank_volume, blank_conductivity)
    return _CONDUCTIVITY_UNITS * constant * meter_gain * dissolved / _checked_area(compartment_area)


def nacl_equivalent_per_area(
    *,
    meter_gain: float,
    solution_volume: float,
    concentration: float,
    blank_concentration: float,
    compartment_area: float,
    blank_volume: float | None = None,
) -> float:
    """The amount of NaCl per area that would conduct the same: g (V C - Vb Cb) / A.

    Parameters
    ----------
    meter_gain : scalar
        Estimate 1; shared by sample and blank.
    solution_volume : scalar [mL]
        All the water the salt was spread through when it was read.
    concentration : scalar [mg/L]
        NaCl with the conductivity of the extract, from `electrolyte.concentration`.
    blank_concentration : scalar [mg/L]
        The same for the blank.
    compartment_area : scalar [mm2]
        Area of steel under the patch.
    blank_volume : scalar [mL]
        Of a full-kit blank made with another volume; None: as the solution.

    Returns
    -------
    scalar [mg/m2]
        NaCl equivalent; may be negative.

    Valid
    -----
    the ranges above; outside raises OutOfRange

    Source
    ------
    own mass balance; imo-msc1-circ1378 asks for this comparison

    """
    GAIN.check(meter_gain)
    CONCENTRATION.check(concentration)
    CONCENTRATION.check(blank_concentration)
    dissolved = _less_blank(solution_volume, concentration, blank_volume, blank_concentration)
    return _CONCENTRATION_UNITS * meter_gain * dissolved / _checked_area(compartment_area)


def concentration_per_area(*, solution_volume: float, concentration: float, area: float) -> float:
    """The amount per area of what was measured as a concentration in the liquid.

    Parameters
    ----------
    solution_volume : scalar [mL]
        All the liquid it was spread through.
    concentration : scalar [mg/L]
        Of the species measured, blank already subtracted.
    area : scalar [mm2]
        Area it was taken from.

    Returns
    -------
    scalar [mg/m2]
        The same species.

    Valid
    -----
    the ranges above; outside raises OutOfRange

    Source
    ------
    own mass balance

    """
    VOLUME.check(solution_volume)
    CONCENTRATION.check(concentration)
    return _CONCENTRATION_UNITS * solution_volume * concentration / _checked_area(area)


def chloride_as_nacl(*, chloride: float) -> float:
    """The amount of NaCl that holds this much chloride; not a conductivity equivalent.

    Parameters
    ----------
    chloride : scalar [mg/m2]
        Chloride ion.

    Returns
    -------
    scalar [mg/m2]
        NaCl, in the unit of the chloride.

    Source
    ------
    atomic-weights 58.443/35.453

    """
    return chloride * SODIUM_CHLORIDE / CHLORIDE


def chloride_in_nacl(*, nacl: float = 1.0) -> float:
    """The amount of chloride in this much NaCl; without an amount, its share.

    Parameters
    ----------
    nacl : scalar [mg/m2]
        NaCl.

    Returns
    -------
    scalar [mg/m2]
        Chloride ion, in the unit of the NaCl.

    Source
    ------
    atomic-weights 35.453/58.443

    """
    return nacl * CHLORIDE / SODIUM_CHLORIDE


def titrated_chloride(*, titrant_volume: float, titrant_blank: float, titrant_concentration: float, aliquot_volume: float, chloride_per_mole: float) -> float:
    """The chloride in a liquid from the titrant that an aliquot of it took.

    Parameters
    ----------
    titrant_volume : scalar [mL]
        For the aliquot.
    titrant_blank : scalar [mL]
        For the same volume of water with the same indicator.
    titrant_concentration : scalar [mol/L]
        Moles of the titrant, or equivalents.
    aliquot_volume : scalar [mL]
        Titrated.
    chloride_per_mole : scalar
        `CHLORIDES_PER_MOLE` of the titrant; 1 where the concentration is in eq/L.

    Returns
    -------
    scalar [mg/L]
        Chloride ion; bromide and iodide count as chloride. May be negative.

    Valid
    -----
    the ranges above; outside raises OutOfRange

    Source
    ------
    own stoichiometry; atomic-weights

    """
    TITRANT_VOLUME.check(titrant_volume)
    TITRANT_VOLUME.check(titrant_blank)
    TITRANT_CONCENTRATION.check(titrant_concentration)
    PER_MOLE.check(chloride_per_mole)
    VOLUME.check(aliquot_volume)
    return 1000.0 * CHLORIDE * chloride_per_mole * titrant_concentration * (titrant_volume - titrant_blank) / aliquot_volume


def chloride_mass_fraction(
    *,
    titrant_volume: float,
    titrant_blank: float,
    titrant_concentration: float,
    chloride_per_mole: float,
    extract_volume: float,
    aliquot_volume: float,
    mass: float,
) -> float:
    """The chloride in an abrasive from the titration of an aliquot of its extract.

    Parameters
    ----------
    titrant_volume, titrant_blank : scalar [mL]
        For the aliquot, and for the same volume of water.
    titrant_concentration : scalar [mol/L]
        Moles of the titrant, or equivalents.
    chloride_per_mole : scalar
        `CHLORIDES_PER_MOLE` of the titrant; 1 where the concentration is in eq/L.
    extract_volume : scalar [mL]
        Water the abrasive was shaken with.
    aliquot_volume : scalar [mL]
        Of the extract, titrated.
    mass : scalar [g]
        Of abrasive.

    Returns
    -------
    scalar [mg/kg]
        Chloride ion by mass of abrasive. May be negative.

    Valid
    -----
    the ranges above; outside raises OutOfRange

    Source
    ------
    own stoichiometry; atomic-weights

    """
    VOLUME.check(extract_volume)
    MASS.check(mass)
    concentration = titrated_chloride(
        titrant_volume=titrant_volume,
        titrant_blank=titrant_blank,
        titrant_concentration=titrant_concentration,
        aliquot_volume=aliquot_volume,
        chloride_per_mole=chloride_per_mole,
    )
    return concentration * extract_volume / mass


def _less_blank(volume: float, found: float, blank_volume: float | None, blank: float) -> float:
    """V k - Vb kb; a water blank has the solution's own volume."""
    VOLUME.check(volume)
    if blank_volume is None:
        return volume * (found - blank)
    VOLUME.check(blank_volume)
    return volume * found - blank_volume * blank


def _checked_area(area: float) -> float:
    AREA.check(area)
    return area
