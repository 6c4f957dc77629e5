# SPDX-License-Identifier: MIT
"""Chloride by tube or titration: concentration, volume and area -> chloride on the steel or in the abrasive.

chloride_per_area      (C − Cb) · V / A
by titration           C = (Vt − V0) · c · n · 35.453 / Va      n chlorides a mole of titrant
chloride_mass_fraction (Vt − V0) · c · n · 35.453 · (V / Va) / m
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from brackish.judge import inputs
from brackish.judge.inputs import Given, Kit
from brackish.judge.measurement import Measurement, Step
from brackish.judge.models import Wish
from brackish.judge.patch import step
from brackish.judge.pooling import of_portions
from brackish.quantities import show, significant, to_shown
from brackish.science import amounts


def tube(kit: Kit, wish: Wish) -> Measurement:
    """A tube in an extract already taken."""
    return _by_tube(kit, wish, area_fact="extraction_area", cells=("compartment", "sleeve"))


def sleeve(kit: Kit, wish: Wish) -> Measurement:
    """A tube in the liquid of a sleeve."""
    return _by_tube(kit, wish, area_fact="sleeve_area", cells=("sleeve",))


def _by_tube(kit: Kit, wish: Wish, *, area_fact: str, cells: tuple[str, ...]) -> Measurement:
    facts = kit.test.facts
    scale = kit.first(("tube",))
    _, bound = inputs.mean_reading(facts["reading"])
    if bound:
        code = "range.under_first_mark" if bound == "<" else "range.over_last_mark"
        kit.note(code, "note", given=", ".join(reading.text for reading in facts["reading"]))
    givens = {"reading": inputs.tube_reading(kit, name="reading", readings=facts["reading"], key=f"reading:{kit.test.id}", tube=scale)}
    if wish.blank:
        givens["blank"] = inputs.tube_reading(kit, name="blank", readings=inputs.blank_reading(wish.blank), key=f"blank:{wish.blank.id}", tube=scale)
    if wish.quantity == "chloride_concentration":
        return _measurement(wish, givens, lambda v: v["reading"] - v.get("blank", 0.0), bound, ())
    volume = facts["solution_volume"]
    givens = {
        "solution_volume": inputs.volume(kit, name="solution_volume", value=volume, kinds=inputs.READS_SMALL_VOLUME),
        area_fact: inputs.area(kit, name=area_fact, value=facts[area_fact], kinds=cells),
    } | givens

    def chloride(v: Mapping[str, float]) -> float:
        return amounts.concentration_per_area(solution_volume=v["solution_volume"], concentration=v["reading"] - v.get("blank", 0.0), area=v[area_fact])

    return _measurement(wish, givens, _as_asked(wish, chloride), bound, _per_area_steps(wish, givens, area_fact, chloride))


def _as_asked(wish: Wish, chloride: Callable[[Mapping[str, float]], float]) -> Callable[[Mapping[str, float]], float]:
    """Chloride itself, or the same counted as NaCl."""
    if wish.quantity == "chloride_as_nacl_per_area":
        return lambda v: amounts.chloride_as_nacl(chloride=chloride(v))
    return chloride


def _per_area_steps(wish: Wish, givens: Mapping[str, Given], area_fact: str, chloride: Callable[[Mapping[str, float]], float]) -> tuple[Step, ...]:
    v = {name: given.value for name, given in givens.items()}
    net = v["reading"] - v.get("blank", 0.0)
    words = f"{show(net, unit='mg/L', decimals=2)} × {show(v['solution_volume'], unit='mL', decimals=2)} ÷ {show(v[area_fact] / 100.0, unit='cm2', decimals=2)}"
    steps = [step("chloride per area", words, to_shown(value=chloride(v), quantity="chloride_per_area"), "ug/cm2", 2)]
    if "blank" in v:
        steps.insert(0, step("chloride less the blank", f"{significant(v['reading'])} − {significant(v['blank'])}", net, "mg/L", 2))
    return tuple(steps + _nacl_step(wish, chloride(v)))


def _nacl_step(wish: Wish, chloride: float) -> list[Step]:
    if wish.quantity != "chloride_as_nacl_per_area":
        return []
    words = f"{show(chloride, unit='mg/m2', decimals=1)} × 58.443/35.453"
    return [step("counted as NaCl", words, amounts.chloride_as_nacl(chloride=chloride), "mg/m2", 1)]


def wash_titration(kit: Kit, wish: Wish) -> Measurement:
    """A wash of a measured area, titrated."""
    facts = kit.test.facts
    givens = _titration(kit, facts, "") | {
        "wash_volume": inputs.volume(kit, name="wash_volume", value=facts["wash_volume"], kinds=inputs.READS_VOLUME),
        "washed_area": inputs.area(kit, name="washed_area", value=facts["washed_area"], kinds=("template", "compartment")),
    }

    def concentration(v: Mapping[str, float]) -> float:
        return amounts.titrated_chloride(**_titre(v, facts), aliquot_volume=v["aliquot_volume"])

    if wish.quantity == "chloride_concentration":
        return _measurement(wish, givens, concentration, "", ())

    def chloride(v: Mapping[str, float]) -> float:
        return amounts.concentration_per_area(solution_volume=v["wash_volume"], concentration=concentration(v), area=v["washed_area"])

    v = {name: given.value for name, given in givens.items()}
    area = show(v["washed_area"] / 1e6, unit="m2", decimals=4)
    steps = [
        *_titration_steps(v, facts),
        step("chloride in the wash", f"{significant(_chloride(v, facts))} mg in the aliquot", concentration(v), "mg/L", 2),
        step(
            "chloride per area",
            f"{show(concentration(v), unit='mg/L', decimals=2)} × {show(v['wash_volume'], unit='mL', decimals=0)} ÷ {area}",
            to_shown(value=chloride(v), quantity="chloride_per_area"),
            "ug/cm2",
            2,
        ),
        *_nacl_step(wish, chloride(v)),
    ]
    return _measurement(wish, givens, _as_asked(wish, chloride), "", tuple(steps))


def abrasive_titration(kit: Kit, wish: Wish) -> Measurement:
    """The aqueous extract of abrasive, titrated; the mean of separate portions."""

    def portion(facts: Mapping[str, Any], mark: str) -> Measurement:
        givens = _titration(kit, facts, mark) | {
            "extract_volume": inputs.volume(
                kit, name="extract_volume", value=facts["extract_volume"], kinds=inputs.READS_VOLUME, key=f"extract_volume:{kit.test.id}{mark}"
            ),
            "mass": inputs.mass(kit, name="mass", value=facts["mass"], key=f"mass:{kit.test.id}{mark}"),
        }

        def fraction(v: Mapping[str, float]) -> float:
            return amounts.chloride_mass_fraction(
                **_titre(v, facts),
                extract_volume=v["extract_volume"],
                aliquot_volume=v["aliquot_volume"],
                mass=v["mass"],
            )

        v = {name: given.value for name, given in givens.items()}
        words = (
            f"{significant(_chloride(v, facts))} mg × {significant(v['extract_volume'])} mL/{significant(v['aliquot_volume'])} mL ÷ {significant(v['mass'])} g"
        )
        steps = (*_titration_steps(v, facts), step("chloride by mass", words, fraction(v), "mg/kg", 2))
        return _measurement(wish, givens, fraction, "", steps)

    return of_portions(kit, portion)


def _titration(kit: Kit, facts: Mapping[str, Any], mark: str) -> dict[str, Given]:
    names = ("titrant_volume", "titrant_blank", "aliquot_volume")
    if "titrant_blank" not in facts:
        kit.note("blank.titrant_missing", "warning")
    givens = {
        name: inputs.volume(kit, name=name, value=facts[name], kinds=("burette", "syringe", "pipette"), key=f"{name}:{kit.test.id}{mark}")
        for name in names
        if name in facts
    }
    return givens | {"titrant_concentration": inputs.titrant(kit, value=facts["titrant_concentration"])}


def _titre(v: Mapping[str, float], facts: Mapping[str, Any]) -> dict[str, float]:
    """What the titration found; eq/L counts chlorides, mol/L counts moles of the titrant named."""
    return {
        "titrant_volume": v["titrant_volume"],
        "titrant_blank": v.get("titrant_blank", 0.0),
        "titrant_concentration": v["titrant_concentration"],
        "chloride_per_mole": _per_mole(facts),
    }


def _per_mole(facts: Mapping[str, Any]) -> float:
    return 1.0 if facts["titrant_concentration"].dimension == "equivalent_concentration" else amounts.CHLORIDES_PER_MOLE[facts["titrant"]]


def _chloride(v: Mapping[str, float], facts: Mapping[str, Any]) -> float:
    """Chloride in the aliquot [mg], for the working."""
    return amounts.titrated_chloride(**_titre(v, facts), aliquot_volume=1000.0)


def _titration_steps(v: Mapping[str, float], facts: Mapping[str, Any]) -> list[Step]:
    net = v["titrant_volume"] - v.get("titrant_blank", 0.0)
    words = f"{significant(net)} mL × {facts['titrant_concentration'].text} × {_per_mole(facts):g} × 35.453 g/mol"
    return [step(f"chloride in the aliquot, {facts['titrant'].replace('-', ' ')}", words, _chloride(v, facts), "mg", 3)]


def _measurement(wish: Wish, givens: Mapping[str, Given], formula: Callable[[Mapping[str, float]], float], bound: str, steps: tuple[Step, ...]) -> Measurement:
    return Measurement(
        quantity=wish.quantity,
        formula=lambda **v: formula(v),
        givens=tuple(givens.values()),
        bound=bound,
        steps=steps,
        blank=wish.blank.kind if wish.blank else "",
    )
