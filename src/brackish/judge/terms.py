# SPDX-License-Identifier: MIT
"""Values that the rules of method files name beside plain facts: one small function each.

A term answers None when what it needs was not written down; then its rule says nothing.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

from brackish.errors import InputError
from brackish.judge.inputs import Kit, mean_value
from brackish.judge.patch import other_blank_volume, solution_volume
from brackish.library.frozen import Frozen
from brackish.record.job import Blank
from brackish.record.specification import Criterion
from brackish.science import amounts, humid_air

Facts = dict[str, Any]


class Seen(Frozen):
    """What a rule looks at: the kit and facts of a test, its blank, one criterion that applies."""

    kit: Kit
    facts: Facts
    blank: Blank | None
    criterion: Criterion | None


def recovered_share(seen: Seen) -> float | None:
    """Volume drawn back as a share of what was injected."""
    back, injected = seen.facts.get("volume_recovered"), seen.facts.get("volume_injected")
    return back.inside / injected.inside if back and injected else None


def filling(seen: Seen) -> float | None:
    """Volume injected per mm² of the compartment [mL]."""
    injected, area = seen.facts.get("volume_injected"), seen.facts.get("compartment_area") or seen.facts.get("sleeve_area")
    return injected.inside / area.inside if injected and area else None


def water_per_area(seen: Seen) -> float | None:
    """All the water at the reading for each mm² of steel [mL]: what a slip of a unit in either throws far off."""
    areas = ("compartment_area", "sleeve_area", "extraction_area", "washed_area")
    volume = solution_volume(seen.kit.test) or seen.facts.get("wash_volume")
    area = next((seen.facts[name] for name in areas if name in seen.facts), None)
    return volume.inside / area.inside if volume and area else None


def sleeve_filling(seen: Seen) -> float | None:
    """Volume of solution per mm² of a pre-filled sleeve [mL]."""
    volume, area = seen.facts.get("solution_volume"), seen.facts.get("sleeve_area")
    return volume.inside / area.inside if volume and area else None


def cycles_without_agreement(seen: Seen) -> int | None:
    """Cycles made, where the contract agreed no number."""
    agreed = seen.criterion.cycles if seen.criterion else None
    return None if agreed else seen.facts.get("cycles")


def agreed_dwell(seen: Seen) -> object | None:
    """The time the contract agreed."""
    return seen.criterion.dwell if seen.criterion else None


def water_reading(seen: Seen) -> float | None:
    """The water of a water blank, or the water conductivity written down [uS/cm]."""
    stated = seen.facts.get("water_conductivity")
    if stated:
        return stated.inside
    if seen.blank and seen.blank.kind == "water" and seen.blank.reading[0].dimension == "conductivity":
        return mean_value(seen.blank.reading)
    return None


def blank_share_of_limit(seen: Seen) -> float | None:
    """The blank's own amount as a share of the limit."""
    volume, area = solution_volume(seen.kit.test), seen.facts.get("compartment_area")
    criterion = seen.criterion
    if not (volume and area and seen.blank and criterion and criterion.limit) or criterion.limit.dimension != "amount_per_area":
        return None
    if seen.blank.reading[0].dimension != "conductivity" or criterion.limit.value <= 0:
        return None
    blank_volume = other_blank_volume(seen.blank, volume) or volume
    amount = amounts.mixed_salt_per_area(
        constant=amounts.MIXED_SALT_CONSTANT,
        meter_gain=1.0,
        solution_volume=blank_volume.inside,
        conductivity=mean_value(seen.blank.reading),
        compartment_area=area.inside,
        blank_conductivity=0.0,
    )
    return amount / criterion.limit.inside


def mass_to_water(seen: Seen) -> float | None:
    """Grams of abrasive for each mL of water [g/mL]."""
    mass, water = seen.facts.get("mass"), seen.facts.get("water_volume") or seen.facts.get("extract_volume")
    return mass.inside / water.inside if mass and water else None


def volume_to_water(seen: Seen) -> float | None:
    """Bulk volume of abrasive for each volume of water."""
    bulk, water = seen.facts.get("abrasive_volume"), seen.facts.get("water_volume")
    return bulk.inside / water.inside if bulk and water else None


def tube_expiry(seen: Seen) -> date | None:
    """The last day of the chloride tube used."""
    return next((each.expiry for each in seen.kit.equipment if each.kind == "tube"), None)


def aliquot_share(seen: Seen) -> float | None:
    """The part that was titrated as a share of all the liquid."""
    part, whole = seen.facts.get("aliquot_volume"), seen.facts.get("wash_volume") or seen.facts.get("extract_volume")
    return part.inside / whole.inside if part and whole else None


def net_titrant(seen: Seen) -> float | None:
    """Titrant used for the sample over that for the blank [mL]."""
    used, blank = seen.facts.get("titrant_volume"), seen.facts.get("titrant_blank")
    return float(used.exact - blank.exact) if used and blank else None


def extraction_reading(seen: Seen) -> float | None:
    """What water for extraction reads [uS/cm]; washing water has no usual limit."""
    readings = seen.facts.get("reading")
    return mean_value(readings) if readings and seen.facts.get("use") == "extraction" else None


def condensation_margin(seen: Seen) -> float | None:
    """The steel over the dew point [K], where the formula holds."""
    names = ("surface_temperature", "air_temperature", "relative_humidity")
    surface, air, humidity = (seen.facts.get(name) for name in names)
    if not (surface and air and humidity):
        return None
    try:
        return humid_air.condensation_margin(surface_temperature=surface.inside, air_temperature=air.inside, relative_humidity=100.0 * humidity.inside)
    except InputError:
        return None


TERMS: dict[str, Callable[[Seen], Any]] = {
    function.__name__: function
    for function in (
        recovered_share,
        filling,
        water_per_area,
        sleeve_filling,
        cycles_without_agreement,
        agreed_dwell,
        water_reading,
        blank_share_of_limit,
        mass_to_water,
        volume_to_water,
        tube_expiry,
        aliquot_share,
        net_titrant,
        extraction_reading,
        condensation_margin,
    )
}
