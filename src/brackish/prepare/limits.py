# SPDX-License-Identifier: MIT
"""What must my meter show, here, with my water? A limit turned into the reading exactly at it.

The formulas of `science/amounts.py` and the NaCl curve, run the other way: a test that reads
`meter_reading` has a result of exactly the limit. Three numbers come out, plain, guarded and the
blank they stand on; never a table of amounts, for a card holds for one volume, area and blank only.

**Guarded** is the reading at limit − guard band, the guard band two-sided at the level: the standard
uncertainty of the amount times the normal quantile. Without an uncertainty there is none.

**Resolvable** asks whether a surface that lies exactly at the limit (guarded limit, where there is
one) would be told from the blank nearly always: the difference must exceed the detection limit, two
critical values of the blank's own uncertainty. A meter brings its resolution, as assumed in the
library; a tube what its blank leaves open. A tube without a blank says nothing of that: look at its
first mark.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from math import floor
from typing import Any

from brackish import library
from brackish.errors import BrackishError, InputError, InputFaults, MissingInput
from brackish.quantities import DIMENSIONS, QUANTITIES, Quantity, parse, show, shown_unit
from brackish.record.fields import as_quantity
from brackish.science import amounts, conformity, detection, electrolyte
from brackish.science import uncertainty as uncertainties

PATCH = ("solution_volume", "area", "blank")
# quantity -> the dimension of its reading, and what enters beside the limit
READINGS: dict[str, tuple[str, tuple[str, ...]]] = {
    "extract_conductivity": ("conductivity", ("blank", "reference_temperature")),
    "mixed_salt_per_area": ("conductivity", (*PATCH, "reference_temperature")),
    "nacl_equivalent_per_area": ("conductivity", (*PATCH, "reference_temperature")),
    "abrasive_conductivity_by_mass": ("conductivity", ("reference_temperature",)),
    "abrasive_conductivity_by_volume": ("conductivity", ("reference_temperature",)),
    "water_conductivity": ("conductivity", ("reference_temperature",)),
    "chloride_per_area": ("concentration", PATCH),
    "chloride_as_nacl_per_area": ("concentration", PATCH),
    "chloride_concentration": ("concentration", ("blank",)),
}
NO_READING = {
    "chloride_bound_per_area": "it is the most chloride that a conductivity allows, never a result. Give the limit as chloride_per_area",
    "chloride_mass_fraction": "a titration finds it, see brackish methods abrasive-chloride-titration. Judge a test with brackish evaluate",
    "condensation_margin": "it comes from three readings of the climate, see brackish methods condensation-check",
    "dew_point": "it comes from air temperature and humidity, see brackish methods condensation-check",
}
LEVEL = "95 %"
NEEDED = {"solution_volume": "all the water the salt is spread through when it is read", "area": "the area under patch or sleeve"}


@dataclass(frozen=True, kw_only=True)
class Figure:
    """A number with its unit and its text for people."""

    value: float
    unit: str
    shown: str

    def to_dict(self) -> dict[str, Any]:
        return {"value": self.value, "unit": self.unit, "shown": self.shown}


@dataclass(frozen=True, kw_only=True)
class Card:
    """What the instrument would read exactly at a limit; what does not apply is None."""

    reads: str  # conductivity | concentration
    reading: Figure
    guarded: Figure | None
    difference: Figure | None
    blank: Figure | None
    resolvable: bool | None
    least: Figure | None  # the smallest difference that can be told from the blank
    basis: dict[str, Any] = field(default_factory=dict)

    def to_dict(self) -> dict[str, Any]:
        """The contract's shape; what does not apply is absent."""
        name = "meter_reading" if self.reads == "conductivity" else "tube_reading"
        figures = {"conductivity_difference": self.difference, name: self.reading, "guarded_reading": self.guarded}
        row: dict[str, Any] = {key: figure.to_dict() for key, figure in figures.items() if figure}
        return row | ({} if self.resolvable is None else {"resolvable": self.resolvable}) | {"basis": self.basis}


def card(
    *,
    limit: str,
    quantity: str,
    solution_volume: str | None = None,
    area: str | None = None,
    reference_temperature: str | None = None,
    blank: str | None = None,
    level: str | None = None,
    uncertainty: str | None = None,
) -> Card:
    """The readings exactly at a limit, plain and guarded, from texts with units.

    Parameters
    ----------
    limit, quantity : text
        Such as "50 mg/m2" and "nacl_equivalent_per_area"; the limit is one that must not be exceeded.
    solution_volume, area : text
        Needed where the limit is an amount per area.
    reference_temperature : text
        That the reading refers to; None: 25 °C, and the basis says so.
    blank : text
        In the unit of the reading; None: nothing, and the basis says so.
    level, uncertainty : text
        Standard uncertainty of the amount, and the level of its two-sided guard band (95 %).

    Returns
    -------
    Card

    Raises
    ------
    InputFaults
        Every text that cannot be used, and every one that is needed and absent.

    """
    if quantity not in READINGS:
        if quantity in NO_READING:
            raise InputError("limits.no_reading", place="quantity", given=quantity, why=NO_READING[quantity])
        raise InputError("input.not_one_of", place="quantity", given=repr(quantity), allowed=tuple(READINGS))
    reads, takes = READINGS[quantity]
    dimensions = {
        "limit": QUANTITIES[quantity].dimension,
        "solution_volume": "volume",
        "area": "area",
        "reference_temperature": "temperature",
        "blank": reads,
        "level": "ratio",
        "uncertainty": QUANTITIES[quantity].dimension,
    }
    texts = {
        "limit": limit,
        "solution_volume": solution_volume,
        "area": area,
        "reference_temperature": reference_temperature,
        "blank": blank,
        "level": level,
        "uncertainty": uncertainty,
    }
    return _card(quantity, reads, takes, _read(quantity, takes, texts, dimensions))


def _read(quantity: str, takes: tuple[str, ...], texts: dict[str, str | None], dimensions: dict[str, str]) -> dict[str, Quantity]:
    """The given texts as quantities; all faults at once."""
    faults: list[BrackishError] = []
    found: dict[str, Quantity] = {}
    for name, text in texts.items():
        if text is not None:
            try:
                found[name] = as_quantity(text, dimensions[name], positive=name in ("limit", "solution_volume", "area"))
            except BrackishError as error:
                faults.append(error.at(name))
        elif name in takes and name in NEEDED:
            faults.append(MissingInput("limits.needs", place=name, given=quantity, wanted=NEEDED[name], example=DIMENSIONS[dimensions[name]].example))
    if faults:
        raise InputFaults(faults)
    return found


def _card(quantity: str, reads: str, takes: tuple[str, ...], given: dict[str, Quantity]) -> Card:
    unit = DIMENSIONS[reads].inside
    assumed: list[str] = []
    default = library.assumption("reference_temperature").value
    temperature = given["reference_temperature"].inside if "reference_temperature" in given else parse(default, dimension="temperature").inside
    if "reference_temperature" in takes and "reference_temperature" not in given:
        assumed.append(f"readings refer to {show(temperature, unit='degC', decimals=0)}, as nothing else was given")
    blank = given["blank"].inside if "blank" in given and "blank" in takes else 0.0
    if "blank" in takes and "blank" not in given:
        assumed.append(f"the blank is 0 {shown_unit(unit)}, as none was given; yours comes on top")
    elif blank and "solution_volume" in takes:
        assumed.append("the blank was read in the same volume of water")
    reading_at = _inverse(quantity, given, temperature, blank)
    guard_band = _guard_band(given, assumed) if "uncertainty" in given else 0.0
    accepted = given["limit"].inside - guard_band
    at_limit = reading_at(given["limit"].inside)
    guarded = reading_at(accepted) if "uncertainty" in given and accepted > 0.0 else None
    least = _least_difference(reads, blank, assumed)
    deciding = (at_limit if guarded is None else guarded) - blank
    resolvable = None if least is None else accepted > 0.0 and deciding > least
    if accepted <= 0.0:
        assumed.append("the guard band is as wide as the limit: no reading passes under a guarded rule")
    return Card(
        reads=reads,
        reading=_figure(at_limit, unit, down=True),
        guarded=None if guarded is None else _figure(guarded, unit, down=True),
        difference=_figure(at_limit - blank, unit, decimals=2) if reads == "conductivity" and "blank" in takes else None,
        blank=_figure(blank, unit) if "blank" in given and "blank" in takes else None,
        resolvable=resolvable,
        least=None if least is None else _figure(least, unit, decimals=2),
        basis=_basis(quantity, takes, given, assumed, guard_band=guard_band, temperature=temperature, least=least),
    )


def _inverse(quantity: str, given: dict[str, Quantity], temperature: float, blank: float) -> Callable[[float], float]:
    """Amount in the inside unit -> reading in the inside unit, on top of the blank."""
    if "solution_volume" not in READINGS[quantity][1]:
        return lambda amount: amount + blank
    volume, area = given["solution_volume"].inside, given["area"].inside
    if quantity == "mixed_salt_per_area":
        per_unit = amounts.mixed_salt_per_area(
            constant=amounts.MIXED_SALT_CONSTANT, meter_gain=1.0, solution_volume=volume, conductivity=1.0, compartment_area=area, blank_conductivity=0.0
        )
        return lambda amount: amount / per_unit + blank
    per_mg_per_litre = amounts.concentration_per_area(solution_volume=volume, concentration=1.0, area=area)
    if quantity == "chloride_per_area":
        return lambda amount: amount / per_mg_per_litre + blank
    if quantity == "chloride_as_nacl_per_area":
        return lambda amount: amounts.chloride_in_nacl(nacl=amount) / per_mg_per_litre + blank
    water = electrolyte.concentration(salt="NaCl", conductivity=blank, temperature=temperature)
    return lambda amount: electrolyte.salt_conductivity(salt="NaCl", concentration=water + amount / per_mg_per_litre, temperature=temperature)


def _guard_band(given: dict[str, Quantity], assumed: list[str]) -> float:
    level = given["level"] if "level" in given else parse(LEVEL, dimension="ratio")
    if "level" not in given:
        assumed.append(f"the guard band is for a level of {LEVEL}, as no other was given")
    assumed.append("the uncertainty given is a standard uncertainty, normally distributed")
    try:
        uncertainties.LEVEL.check(level.inside)
    except BrackishError as error:
        raise error.at("level") from None
    return conformity.guard_band(kind="two-sided", standard_uncertainty=given["uncertainty"].inside, degrees_of_freedom=None, level=level.inside)


def _least_difference(reads: str, blank: float, assumed: list[str]) -> float | None:
    """The detection limit in the unit of the reading, from what the blank alone leaves open; None where nothing is known."""
    if reads == "conductivity":
        resolution = parse(library.assumption("resolution").value, dimension="conductivity")
        assumed.append(f"the meter shows steps of {show(resolution.inside, unit='uS/cm', decimals=1)}")
        u = uncertainties.from_resolution(step=resolution.inside)
    elif blank:
        share = parse(library.assumption("tube").value, dimension="ratio")
        assumed.append(f"the tube is right within {share.text} of its reading")
        u = uncertainties.from_limits(half_width=share.inside * blank)
    else:
        return None
    return detection.detection_limit(critical_value=detection.critical_value(blank_standard_uncertainty=u))


def _figure(value: float, unit: str, *, decimals: int = 1, down: bool = False) -> Figure:
    """A reading for people is rounded down: what it says must not be over the limit."""
    shown = floor(10.0 * value * (1.0 + 1e-12)) / 10.0 if down else value
    return Figure(value=value, unit=unit, shown=show(shown, unit=unit, decimals=decimals))


def _basis(
    quantity: str, takes: tuple[str, ...], given: dict[str, Quantity], assumed: list[str], *, guard_band: float, temperature: float, least: float | None
) -> dict[str, Any]:
    kind, unit = QUANTITIES[quantity], DIMENSIONS[READINGS[quantity][0]].inside
    basis: dict[str, Any] = {"quantity": quantity, "words": kind.words, "sense": "at-most"}
    basis |= {name: quantity_text(value) for name, value in given.items() if name in ("limit", "uncertainty", *takes)}
    if "reference_temperature" in takes:
        basis["reference_temperature"] = f"{temperature:g} degC"
    if quantity == "mixed_salt_per_area":
        basis["model"] = f"constant {amounts.MIXED_SALT_CONSTANT:g} kg/m2/S (ISO 8502-9; check your copy of the standard)"
    elif quantity == "nacl_equivalent_per_area":
        basis["model"] = "NaCl curve of this program, at the reference temperature"
    elif quantity == "chloride_as_nacl_per_area":
        basis["model"] = f"chloride x {amounts.SODIUM_CHLORIDE:g}/{amounts.CHLORIDE:g}"
    if "uncertainty" in given:
        factor = float(DIMENSIONS[kind.dimension].units[kind.shown_unit])
        basis["guard_band"] = {"value": guard_band / factor, "unit": kind.shown_unit, "shown": show(guard_band / factor, unit=kind.shown_unit, decimals=2)}
        basis |= {"guard_band_kind": "two-sided", "level": given["level"].text if "level" in given else LEVEL}
    if least is not None:
        basis["can_be_told_from_blank"] = _figure(least, unit, decimals=2).to_dict()
    enters = {"limit", *takes, *(("uncertainty", "level") if "uncertainty" in given else ())}
    unused = [name for name in given if name not in enters]
    if unused:
        basis["not_used"] = unused
    return basis | {"assumed": assumed, "rounding": "readings are shown rounded down, values are not rounded"}


def quantity_text(value: Quantity) -> str:
    """A quantity as typed, spelt as people write it."""
    return f"{value.text.split(' ')[0]}\u00a0{shown_unit(value.unit)}" if " " in value.text else value.text
