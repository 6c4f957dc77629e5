# SPDX-License-Identifier: MIT
"""Conductivity of abrasive extracts and of waters: a reading brought to its temperature.

Mass and volumes are checked against the method, never corrected for; what they leave open stands in
the budget. An extract by mass never compares with one by volume.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from brackish.judge import inputs, meters
from brackish.judge.inputs import Given, Kit
from brackish.judge.measurement import Measurement, Step
from brackish.judge.models import Wish
from brackish.judge.patch import step
from brackish.judge.pooling import of_portions
from brackish.judge.referring import referral
from brackish.quantities import show


def by_mass(kit: Kit, wish: Wish) -> Measurement:
    """Abrasive and water by mass: the mean of separate portions."""
    return of_portions(kit, lambda facts, mark: _extract(kit, wish, facts, mark, solid="mass"))


def by_volume(kit: Kit, wish: Wish) -> Measurement:
    """Equal volumes of abrasive and water."""
    return of_portions(kit, lambda facts, mark: _extract(kit, wish, facts, mark, solid="abrasive_volume"))


def water(kit: Kit, wish: Wish) -> Measurement:
    """A water as it is."""
    return _extract(kit, wish, kit.test.facts, "", solid="")


def _extract(kit: Kit, wish: Wish, facts: Mapping[str, Any], mark: str, *, solid: str) -> Measurement:
    way = referral(kit, facts=facts, wanted=wish.reference_temperature)
    meter = kit.meter
    at = facts["temperature"].inside if "temperature" in facts else way.meter_reference
    _, bound = inputs.mean_reading(facts["reading"])
    givens: dict[str, Given] = {"reading": meters.reading(kit, name="reading", readings=facts["reading"], key=f"reading:{kit.test.id}{mark}", meter=meter)}
    if solid:
        givens |= _ratio(kit, facts, mark, solid)
    givens["temperature"] = inputs.temperature(kit, name="temperature", value=at)
    if way.needs_coefficient:
        givens["temperature_coefficient"] = meters.coefficient(kit, meter, facts.get("temperature_coefficient"))
    givens["meter_gain"] = meters.gain(kit, meter)
    if way.model == "nacl":
        givens["electrolyte_model"] = inputs.electrolyte_model(kit)
    law = way.conductivity(reading_temperature=at)
    typed = {name: given.value for name, given in givens.items()}

    def formula(**v: float) -> float:
        value = v["meter_gain"] * law(v["reading"], v["temperature"], v.get("temperature_coefficient", 0.0)) * v.get("electrolyte_model", 1.0)
        for name, sign in ((solid, 1), ("water_volume", -1)):
            if name and name in v:
                value = value * (v[name] / typed[name]) if sign > 0 else value * (typed[name] / v[name])
        return value

    return Measurement(
        quantity=wish.quantity,
        formula=formula,
        givens=tuple(givens.values()),
        reference_temperature=way.reaches,
        temperature_model=way.model,
        bound=bound,
        steps=(_step(way.model, way.reaches, typed, formula(**typed)),),
    )


def _ratio(kit: Kit, facts: Mapping[str, Any], mark: str, solid: str) -> dict[str, Given]:
    """Solid and water: their errors move the extract in proportion, although they are not corrected for."""
    given = {}
    if solid == "mass" and "mass" in facts:
        given["mass"] = inputs.mass(kit, name="mass", value=facts["mass"], key=f"mass:{kit.test.id}{mark}")
    elif solid in facts:
        given[solid] = inputs.volume(kit, name=solid, value=facts[solid], kinds=("cylinder", "beaker"), key=f"{solid}:{kit.test.id}{mark}")
    if "water_volume" in facts:
        key = f"water_volume:{kit.test.id}{mark}"
        given["water_volume"] = inputs.volume(kit, name="water_volume", value=facts["water_volume"], kinds=("cylinder", "flask", "pipette", "beaker"), key=key)
    return given


def _step(model: str, reaches: float, typed: Mapping[str, float], value: float) -> Step:
    words = f"{show(typed['reading'], unit='uS/cm', decimals=2)} at {show(typed['temperature'], unit='degC', decimals=1)}, {model}"
    return step(f"reading, referred to {reaches:g}\u00a0°C", words, value, "uS/cm", 2)
