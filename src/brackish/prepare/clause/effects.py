# SPDX-License-Identifier: MIT
"""How large a trap is for this very clause: the numbers in its message.

Everything is computed with `science/`; the patch of 1250 mm2 and the volumes 3, 10 and 15 mL are
common practice without a source and only show the spread. Bulk densities: steel grit about 4.3 kg/L,
slag about 1.8 kg/L (recalled).
"""

from __future__ import annotations

from fractions import Fraction

from brackish.prepare.clause.figures import Figure
from brackish.quantities import shown_unit
from brackish.science import amounts, electrolyte

PATCH = 1250.0
VOLUMES = (3.0, 10.0, 15.0)
DENSITIES = (1.8, 4.3)
WATER = 5.0  # uS/cm, the most that guides allow for reagent water (SSPC-Guide 15)
SINGLE_RESULT = 8.2  # mg/m2, limits of a single conductometric result between 30 and 80 mg/m2 (NACE SP0508)
LEAST_CHLORIDE = 1.0  # mg/L, a low first mark of a tube (common practice, no source)


def mixed_salt(*, conductivity: float, volume: float, area: float = PATCH) -> float:
    """Mixed salts by the constant, mg/m2, for a conductivity difference in this volume."""
    return amounts.mixed_salt_per_area(
        constant=amounts.MIXED_SALT_CONSTANT, meter_gain=1.0, solution_volume=volume, conductivity=conductivity, compartment_area=area, blank_conductivity=0.0, blank_volume=volume
    )  # fmt: skip


def nacl_over_mixed() -> float:
    """NaCl by its curve over mixed salts by the constant for one reading at 25 degC, minus 1."""
    conductivity = 40.0
    nacl = electrolyte.concentration(salt="NaCl", conductivity=conductivity, temperature=25.0)
    return nacl / mixed_salt(conductivity=conductivity, volume=1.0, area=1000.0) - 1.0


def nacl_of_chloride() -> float:
    """Mass of NaCl that holds one mass of chloride."""
    return 1.0 / amounts.chloride_in_nacl()


def temperature_share() -> float:
    """How much one NaCl solution reads more at 25 than at 20 degC, relative."""
    return (
        electrolyte.salt_conductivity(salt="NaCl", concentration=50.0, temperature=25.0)
        / electrolyte.salt_conductivity(salt="NaCl", concentration=50.0, temperature=20.0)
        - 1.0
    )


def text(value: float | Fraction, unit: str = "") -> str:
    """Three significant digits without tailing zeros, with the unit as people write it."""
    number = float(value)
    size = abs(number)
    decimals = 0 if size >= 100 else 1 if size >= 10 else 2 if size >= 1 else 3 if size >= 0.1 else 5
    digits = f"{number:.{decimals}f}"
    digits = digits.rstrip("0").rstrip(".") if "." in digits else digits
    return f"{digits} {shown_unit(unit)}" if unit else digits


def inside(figure: Figure | None) -> float:
    """The figure of a numbered limit in the unit of its dimension inside the program."""
    assert figure is not None, "asked of a limit with a number only"
    units = {"amount_per_area": "mg/m2", "conductivity": "uS/cm", "concentration": "mg/L", "mass_fraction": "mg/kg"}
    return float(figure.to(units[figure.dimension])) if figure.dimension in units else float(figure.value)
