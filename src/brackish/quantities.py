# SPDX-License-Identifier: MIT
"""Text to exact number and unit, and back: the one table of dimensions, units and quantities.

Every dimension has one unit inside the program (the first of its row). A text such as "2.8 mS/m" is
read as an exact fraction, converted exactly, and turned into a float once, so "28 uS/cm" and
"2.8 mS/m" are the same number everywhere. The digits that were typed are kept.
Next: `record/job.py`, which reads job files with `parse`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, cached_property, lru_cache

from brackish.errors import InputError, UnitMismatch

MOST_DIGITS = 15  # more than any instrument shows; keeps the float exact to the typed digit


@dataclass(frozen=True)
class Dimension:
    """What can be measured: its name for people and its units, each with the factor to the first."""

    name: str
    units: dict[str, Fraction]
    example: str
    offsets: dict[str, Fraction] | None = None

    @property
    def inside(self) -> str:
        return next(iter(self.units))


_F = Fraction
DIMENSIONS = {
    "conductivity": Dimension(
        "a conductivity",
        {"uS/cm": _F(1), "mS/m": _F(10), "S/m": _F(10000), "mS/cm": _F(1000), "uS/m": _F(1, 100), "S/cm": _F(10**6), "umho/cm": _F(1), "mmho/cm": _F(1000)},
        "28.0 uS/cm",
    ),
    "amount_per_area": Dimension(
        "an amount per area",
        {"mg/m2": _F(1), "ug/cm2": _F(10), "g/m2": _F(1000), "mg/cm2": _F(10000), "ug/m2": _F(1, 1000), "mg/dm2": _F(100)},
        "50 mg/m2",
    ),
    "concentration": Dimension(
        "a concentration in a liquid", {"mg/L": _F(1), "ug/mL": _F(1), "g/L": _F(1000), "ug/L": _F(1, 1000), "mg/mL": _F(1000)}, "12 mg/L"
    ),
    "mass_fraction": Dimension("a mass fraction", {"mg/kg": _F(1), "%": _F(10000), "ug/g": _F(1), "g/kg": _F(1000)}, "25 mg/kg"),
    "volume": Dimension("a volume", {"mL": _F(1), "L": _F(1000), "uL": _F(1, 1000), "cm3": _F(1), "dm3": _F(1000), "m3": _F(10**6)}, "3.0 mL"),
    "area": Dimension(
        "an area",
        {"mm2": _F(1), "cm2": _F(100), "dm2": _F(10**4), "m2": _F(10**6), "ft2": _F("92903.04"), "in2": _F("645.16")},
        "1250 mm2",
    ),
    "mass": Dimension("a mass", {"g": _F(1), "kg": _F(1000), "mg": _F(1, 1000), "t": _F(10**6), "lb": _F("453.59237")}, "100 g"),
    "time": Dimension("a duration", {"min": _F(1), "s": _F(1, 60), "h": _F(60), "d": _F(1440)}, "10 min"),
    "temperature": Dimension("a temperature", {"degC": _F(1), "degF": _F(5, 9)}, "21.5 degC", offsets={"degC": _F(0), "degF": _F(-160, 9)}),
    "temperature_difference": Dimension("a difference of temperatures", {"K": _F(1)}, "3 K"),
    "temperature_coefficient": Dimension("a temperature coefficient", {"1/K": _F(1), "%/K": _F(1, 100), "%/degC": _F(1, 100)}, "1.95 %/K"),
    "ratio": Dimension("a share in %", {"1": _F(1), "%": _F(1, 100)}, "95 %"),
    "constant": Dimension("a surface constant", {"kg/m2/S": _F(1)}, "5 kg/m2/S"),
    "amount_concentration": Dimension("an amount concentration", {"mol/L": _F(1), "mmol/L": _F(1, 1000)}, "0.0141 mol/L"),
    "equivalent_concentration": Dimension("an equivalent concentration", {"eq/L": _F(1), "meq/L": _F(1, 1000)}, "0.0141 eq/L"),
    "molality": Dimension("a molality", {"mol/kg": _F(1), "mmol/kg": _F(1, 1000)}, "0.01 mol/kg"),
    "bulk_density": Dimension("a bulk density", {"kg/L": _F(1), "g/mL": _F(1), "g/cm3": _F(1), "kg/m3": _F(1, 1000)}, "1.8 kg/L"),
    "length": Dimension("a length", {"mm": _F(1), "cm": _F(10), "m": _F(1000), "um": _F(1, 1000), "in": _F("25.4")}, "2 m"),
}

# Shown spelling of a unit; the rest is shown as typed inside.
SHOWN_UNITS = {
    "uS/cm": "µS/cm", "umho/cm": "µmho/cm", "mg/m2": "mg/m²", "ug/cm2": "µg/cm²", "mm2": "mm²", "cm2": "cm²", "m2": "m²", "ft2": "ft²", "dm2": "dm²",
    "degC": "°C", "degF": "°F", "ug/mL": "µg/mL", "ug/L": "µg/L", "uL": "µL", "kg/m2/S": "kg·m⁻²·S⁻¹", "1/K": "1/K", "cm3": "cm³", "m3": "m³",
    "ug/g": "µg/g", "mg/cm2": "mg/cm²", "g/m2": "g/m²", "mg/dm2": "mg/dm²", "%/degC": "%/°C", "in2": "in²", "um": "µm",
    "uS/m": "µS/m", "ug/m2": "µg/m²", "dm3": "dm³", "g/cm3": "g/cm³", "kg/m3": "kg/m³",
}  # fmt: skip

# Units people write that measure nothing here, with the reason.
IMPOSSIBLE_UNITS = {
    "uS/cm2": "a conductivity is per length, an amount is per area",
    "uS/m2": "a conductivity is per length, an amount is per area",
    "mS/m2": "a conductivity is per length, an amount is per area",
    "mS/cm2": "a conductivity is per length, an amount is per area",
    "uS": "a conductance has no meaning without the cell; a conductivity is per length",
    "mS": "a conductance has no meaning without the cell; a conductivity is per length",
    "ug/cm": "an amount is per area, not per length",
    "mg/m": "an amount is per area, not per length",
    "mg/m3": "that is an amount in air, not on a surface",
}

_ALIASES = {
    "umhos/cm": "umho/cm", "mmhos/cm": "mmho/cm", "ml": "mL", "l": "L", "ul": "uL", "cc": "cm3", "mg/l": "mg/L", "ug/ml": "ug/mL", "g/l": "g/L", "ug/l": "ug/L", "mg/ml": "mg/mL",
    "C": "degC", "°C": "degC", "°F": "degF", "F": "degF", "%/C": "%/degC", "%/°C": "%/degC", "sqm": "m2", "sqft": "ft2", "minutes": "min", "minute": "min",
    "hours": "h", "hour": "h", "days": "d", "day": "d", "seconds": "s", "second": "s", "sec": "s", "us/cm": "uS/cm", "ms/m": "mS/m", "mol/l": "mol/L", "eq/l": "eq/L",
    "N": "eq/L", "M": "mol/L", "kg/(m2S)": "kg/m2/S", "kg/m2S": "kg/m2/S", "kg/l": "kg/L",
}  # fmt: skip

_NUMBER = re.compile(r"([<>]?)\s*([+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d{1,3})?)\s*(\S.*)?", re.ASCII)
_COMMA = re.compile(r"[<>]?\s*[+-]?\d*,\d", re.ASCII)  # 5,0 in one country is 50 in another: never guessed
_FOLD = str.maketrans({"µ": "u", "μ": "u", "²": "2", "³": "3", "⁻": "-", "−": "-", "·": "/", "\u00a0": " ", "\u202f": " ", "\u2009": " "})


@dataclass(frozen=True)
class Quantity:
    """A number with its unit, exact and as typed.

    `value` is in the unit `unit`; `inside` in the one unit its dimension has inside the program.
    `bound` is "<" or ">" for a reading under the first or over the last mark, else "".
    """

    value: Fraction
    unit: str
    dimension: str
    bound: str
    text: str

    @cached_property
    def exact(self) -> Fraction:
        """The value in the inside unit, exactly."""
        return convert(value=self.value, unit=self.unit, to=DIMENSIONS[self.dimension].inside, dimension=self.dimension)

    @cached_property
    def inside(self) -> float:
        """The value in the inside unit, converted exactly and rounded to a float once."""
        return float(self.exact)


def parse(text: object, *, dimension: str | tuple[str, ...], bounds: bool = False) -> Quantity:
    """A quantity read from text such as "28.0 uS/cm", with its digits kept.

    Parameters
    ----------
    text : text
        Number and unit; µ may be u, ² may be 2. "<" or ">" in front when `bounds`.
    dimension : one or several names of `DIMENSIONS`
        What is wanted; several when either will do (mol/L or eq/L).
    bounds : whether a bound may stand here

    Returns
    -------
    Quantity

    Raises
    ------
    InputError, UnitMismatch
        With what was given, what is allowed and an example.

    """
    wanted = (dimension,) if isinstance(dimension, str) else dimension
    example = DIMENSIONS[wanted[0]].example
    if isinstance(text, bool) or not isinstance(text, str | int | float):
        raise InputError("input.wrong_type", given=_kind(text), wanted=f"a text such as {example!r}")
    if not isinstance(text, str):
        raise InputError("input.number_without_unit", given=repr(text), example=repr(example))
    return _parsed(text, wanted, bounds)


@lru_cache(maxsize=8192)  # a job says "1250 mm2" and "10.0 mL" at every test
def _parsed(text: str, wanted: tuple[str, ...], bounds: bool) -> Quantity:
    example = DIMENSIONS[wanted[0]].example
    folded = text.translate(_FOLD).strip()
    if not folded:
        raise InputError("quantity.empty", example=repr(example))
    if _COMMA.match(folded):
        raise InputError("quantity.comma", given=repr(text[:80]), example=repr(example))
    match = _NUMBER.fullmatch(folded)
    if not match:
        raise InputError("quantity.not_a_number", given=repr(text), example=repr(example))
    bound, digits, unit_text = match.groups()
    number = _exact_number(digits, text)
    if bound and not bounds:
        raise InputError("quantity.bound_not_allowed", given=repr(text), example=repr(example))
    if not unit_text:
        raise InputError("quantity.bare_number", given=repr(text), example=repr(example))
    unit, found = _unit(unit_text, text, wanted)
    return Quantity(value=number, unit=unit, dimension=found, bound=bound, text=text.strip())


def _exact_number(digits: str, text: str) -> Fraction:
    mantissa = re.split("[eE]", digits)[0]
    number = Fraction(digits) if len(digits) < 40 else Fraction(0)
    significant = len(mantissa.strip("+-").replace(".", "").strip("0"))
    if len(digits) >= 40 or significant > MOST_DIGITS or not (number == 0 or Fraction(1, 10**12) <= abs(number) <= 10**12):
        raise InputError("quantity.too_many_digits", given=repr(text[:60]), allowed=f"{MOST_DIGITS} digits, and a size from 1e-12 to 1e12")
    return number


def _unit(unit_text: str, text: str, wanted: tuple[str, ...]) -> tuple[str, str]:
    compact = unit_text.replace(" ", "").replace("^", "").rstrip(".")
    unit = _ALIASES.get(compact, compact)
    for name in wanted:
        if unit in DIMENSIONS[name].units:
            return unit, name
    allowed = [spelling for name in wanted for spelling in DIMENSIONS[name].units]
    if unit in IMPOSSIBLE_UNITS:
        raise UnitMismatch("quantity.impossible_unit", given=repr(text), unit=unit, why=IMPOSSIBLE_UNITS[unit], allowed=allowed)
    if unit.lower() in ("ppm", "ppb"):
        meant = [spelling for spelling in ("mg/L", "mg/kg") if any(spelling in DIMENSIONS[name].units for name in wanted)] or allowed
        raise UnitMismatch("quantity.ppm", given=repr(text), allowed=meant)
    found = dimension_of(unit)
    if found is None:
        raise UnitMismatch("quantity.unknown_unit", given=repr(text[:80]), unit=unit[:40], allowed=allowed)
    names = " or ".join(DIMENSIONS[name].name for name in wanted)
    raise UnitMismatch("quantity.wrong_dimension", given=repr(text), found=DIMENSIONS[found].name, wanted=names, allowed=allowed)


def _kind(value: object) -> str:
    kinds = {bool: "a truth value", int: "a number", float: "a number", list: "a list", dict: "a table", type(None): "nothing"}
    return kinds.get(type(value), type(value).__name__)


@cache
def dimension_of(unit: str) -> str | None:
    """The first dimension that has this unit, or None."""
    return next((name for name, dimension in DIMENSIONS.items() if unit in dimension.units), None)


def convert(*, value: Fraction, unit: str, to: str, dimension: str) -> Fraction:
    """The same amount in another unit of its dimension, exactly."""
    table = DIMENSIONS[dimension]
    offsets = table.offsets or {}
    inside = value * table.units[unit] + offsets.get(unit, 0)
    return (inside - offsets.get(to, 0)) / table.units[to]


# What results and limits are about. Two quantities compare only when their names are equal.
@dataclass(frozen=True)
class Kind:
    """A quantity of the trade: its dimension, the unit it is shown in, its words, its decimals."""

    dimension: str
    shown_unit: str
    words: str
    decimals: int

    @cached_property
    def factor(self) -> float:
        """The unit it is shown in, in the inside unit."""
        return float(DIMENSIONS[self.dimension].units[self.shown_unit])


QUANTITIES = {
    "extract_conductivity": Kind("conductivity", "uS/cm", "conductivity of the extract", 1),
    "mixed_salt_per_area": Kind("amount_per_area", "mg/m2", "mixed salts by the constant", 1),
    "nacl_equivalent_per_area": Kind("amount_per_area", "mg/m2", "NaCl equivalent", 1),
    "chloride_per_area": Kind("amount_per_area", "ug/cm2", "chloride", 2),
    "chloride_as_nacl_per_area": Kind("amount_per_area", "mg/m2", "chloride counted as NaCl", 1),
    "chloride_bound_per_area": Kind("amount_per_area", "ug/cm2", "most chloride the conductivity allows", 2),
    "abrasive_conductivity_by_mass": Kind("conductivity", "mS/m", "conductivity of the extract by mass", 2),
    "abrasive_conductivity_by_volume": Kind("conductivity", "uS/cm", "conductivity of the extract by volume", 0),
    "chloride_mass_fraction": Kind("mass_fraction", "mg/kg", "chloride by mass", 1),
    "water_conductivity": Kind("conductivity", "uS/cm", "conductivity of the water", 1),
    "chloride_concentration": Kind("concentration", "mg/L", "chloride in the liquid", 1),
    "condensation_margin": Kind("temperature_difference", "K", "surface above dew point", 1),
    "dew_point": Kind("temperature", "degC", "dew point", 1),
}


def shown_unit(unit: str) -> str:
    """The unit as people write it: µ and ² in place of u and 2."""
    return SHOWN_UNITS.get(unit, unit)


def to_shown(*, value: float, quantity: str) -> float:
    """A result in the inside unit of its dimension, turned to the unit it is shown in."""
    return value / QUANTITIES[quantity].factor


def show(value: float, *, unit: str, decimals: int) -> str:
    """A number for people: decimals fixed, a no-break space before the unit, no negative zero."""
    text = f"{value:.{decimals}f}"
    if text[0] == "-":
        text = text[1:] if float(text) == 0.0 else "\u2212" + text[1:]
    return f"{text}\u00a0{shown_unit(unit)}" if unit else text


def show_width(width: float, *, quantity: str) -> str:
    """An uncertainty or a guard band, in the unit its quantity is shown in, for people; never zero where it is not."""
    kind = QUANTITIES[quantity]
    text = show(width, unit=kind.shown_unit, decimals=kind.decimals)
    if width and not any(digit in "123456789" for digit in text.split("\u00a0")[0]):
        return f"{significant(width, digits=1)}\u00a0{shown_unit(kind.shown_unit)}"
    return text


@lru_cache(maxsize=8192)  # the results of a job share their inputs, and its tests the figures of one meter
def significant(value: float, *, digits: int = 3) -> str:
    """A figure with about this many significant digits, never in powers of ten."""
    size, decimals = abs(value), digits - 1
    while size >= 10.0 and decimals > 0:
        size, decimals = size / 10.0, decimals - 1
    while 0.0 < size < 1.0 and decimals < 12:
        size, decimals = size * 10.0, decimals + 1
    return show(value, unit="", decimals=0 if value == 0.0 else decimals)
