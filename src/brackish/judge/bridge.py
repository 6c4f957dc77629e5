# SPDX-License-Identifier: MIT
"""From one result to another, one change at a time: each step computes the real model once more.

A `Way` says how a result is worked out: whose facts, which blank, asked for what. A walk starts at one
test and takes over from the other first how it is worked out (`basis`: quantity, reference temperature,
temperature law, constant, whether a blank is taken off), then what was done (`done`: volume, blank, area,
portion, reading), until it stands at the other test. So the steps add up to the whole difference.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import Any

from brackish import library
from brackish.judge.inputs import Kit, mean_reading
from brackish.judge.measurement import Measurement
from brackish.judge.models import Wish, models
from brackish.judge.patch import solution_volume
from brackish.judge.portions import portions_of
from brackish.quantities import QUANTITIES, Quantity, shown_unit
from brackish.record.job import Blank, Job, Test


@dataclass(frozen=True, kw_only=True)
class Way:
    """How one result is worked out."""

    test: Test
    blank: Blank | None
    quantity: str
    reference: float | None

    def measured(self, job: Job) -> Measurement:
        model = models()[library.method(self.test.method).model]
        return model(Kit(job=job, test=self.test), Wish(quantity=self.quantity, reference_temperature=self.reference, blank=self.blank))


@dataclass(frozen=True, kw_only=True)
class Change:
    """What one step takes over from the other test, as it stood and as it stands then."""

    name: str
    kind: str  # basis | done | method
    old: str
    new: str


Step = tuple[Change, Way]
VOLUMES = ("solution_volume", "volume_injected", "returned_to", "wash_volume", "extract_volume", "water_volume")
AREAS = ("compartment_area", "extraction_area", "sleeve_area", "washed_area")
READ_WITH = ("temperature", "titrant", "titrant_concentration", "titrant_blank", "aliquot_volume")
DIRECTLY_READ = (*VOLUMES, *AREAS, *READ_WITH, "mass", "abrasive_volume", "constant", "temperature_model", "temperature_coefficient")


def walk(job: Job, first: Way, last: Way) -> list[Step]:
    """Every change between two ways, each with the way that stands after it; the last is `last` itself."""
    one_method = first.test.method == last.test.method
    steps, now = [], first
    for take in (*BASIS, *DONE) if one_method else (_quantity, _reference):
        step = take(job, now, last)
        if step:
            steps.append(step)
            now = step[1]
    return steps + (_reading(job, now, last) if one_method else [_method(now, last)])


def _method(now: Way, last: Way) -> Step:
    """Another method measures the same in another way: one step that cannot be split."""
    old, new = (library.method(way.test.method).short for way in (now, last))
    return _change("method", "method", old, new), last


def _quantity(job: Job, now: Way, last: Way) -> Step | None:
    if now.quantity == last.quantity:
        return None
    return _change("quantity", "basis", QUANTITIES[now.quantity].words, QUANTITIES[last.quantity].words), replace(now, quantity=last.quantity)


def _reference(job: Job, now: Way, last: Way) -> Step | None:
    """The temperature the result refers to; nothing where the first cannot be brought there."""
    here, there = (way.measured(job).reference_temperature for way in (now, last))
    if here == there or here is None or there is None:
        return None
    moved = replace(now, reference=there)
    if moved.measured(job).reference_temperature != there:
        return None
    return _change("reference_temperature", "basis", f"{here:g}\u00a0°C", f"{there:g}\u00a0°C"), moved


def _temperature_law(job: Job, now: Way, last: Way) -> Step | None:
    return _facts(now, last, "temperature_law", "basis", ("temperature_model", "temperature_coefficient"))


def _constant(job: Job, now: Way, last: Way) -> Step | None:
    return _facts(now, last, "constant", "basis", ("constant",)) if "mixed_salt_per_area" in (now.quantity, last.quantity) else None


def _blank_kind(job: Job, now: Way, last: Way) -> Step | None:
    """A blank taken off or not, or of another kind: how it is worked out."""
    kinds = [way.blank.kind if way.blank else "" for way in (now, last)]
    if kinds[0] == kinds[1]:
        return None
    return _change("blank_rule", "basis", blank_text(now.blank), blank_text(last.blank)), replace(now, blank=last.blank)


def _blank(job: Job, now: Way, last: Way) -> Step | None:
    """Another blank of the same kind: what was done."""
    if now.blank is last.blank:
        return None
    return _change("blank", "done", blank_text(now.blank), blank_text(last.blank)), replace(now, blank=last.blank)


def _volume(job: Job, now: Way, last: Way) -> Step | None:
    if volume_of(now.test) == volume_of(last.test):
        return None
    return _change("volume", "done", volume_text(now.test), volume_text(last.test)), with_facts_of(now, last, VOLUMES)


def _area(job: Job, now: Way, last: Way) -> Step | None:
    return _facts(now, last, "area", "done", AREAS)


def _portion(job: Job, now: Way, last: Way) -> Step | None:
    return _facts(now, last, "portion", "done", ("mass", "abrasive_volume"))


def _reading(job: Job, now: Way, last: Way) -> list[Step]:
    """All that is left: what was read, and with it the other test as a whole."""
    old, new = reading_text(now.test, last.test), reading_text(last.test, now.test)
    if old == new:
        if now.measured(job).value == last.measured(job).value:
            return []
        old, new = (f"{text}, meter {' '.join(way.test.equipment) or 'not named'}" for text, way in ((old, now), (new, last)))
    return [(_change("reading", "done", old, new), last)]


Take = Callable[[Job, Way, Way], Step | None]
BASIS: tuple[Take, ...] = (_quantity, _reference, _temperature_law, _constant, _blank_kind)
DONE: tuple[Take, ...] = (_volume, _blank, _area, _portion)


def _change(name: str, kind: str, old: str, new: str) -> Change:
    return Change(name=name, kind=kind, old=old, new=new)


def _facts(now: Way, last: Way, name: str, kind: str, names: tuple[str, ...]) -> Step | None:
    differing = [each for each in names if not same(now.test.facts.get(each), last.test.facts.get(each))]
    if not differing:
        return None
    old, new = (", ".join(_usual(way.test.facts, each) for each in differing) for way in (now, last))
    return _change(name, kind, old, new), with_facts_of(now, last, names)


def _usual(facts: Any, name: str) -> str:
    """A fact as typed, or what stands in its place where it was not written."""
    in_place = {"constant": "5\u00a0kg·m⁻²·S⁻¹", "temperature_coefficient": "the meter's", "temperature_model": "the usual"}
    return typed(facts[name]) if name in facts else in_place.get(name, "not written")


def with_facts_of(way: Way, other: Way, names: tuple[str, ...]) -> Way:
    """The way with these facts of the other test in place of its own."""
    kept = {name: value for name, value in way.test.facts.items() if name not in names}
    taken = {name: other.test.facts[name] for name in names if name in other.test.facts}
    return replace(way, test=replace(way.test, facts=kept | taken))


def volume_of(test: Test) -> tuple[Any, ...]:
    """The volumes a result hangs on, exactly."""
    volumes = (solution_volume(test), *(test.facts.get(name) for name in ("wash_volume", "extract_volume", "water_volume")))
    return tuple(volume.exact if volume else None for volume in volumes)


def volume_text(test: Test) -> str:
    """All the water at the reading, and how it was read."""
    volumes = [solution_volume(test), *(test.facts.get(name) for name in ("wash_volume", "extract_volume", "water_volume"))]
    text = ", ".join(typed(volume) for volume in volumes if volume) or "not written"
    how = {"undiluted": " (undiluted)", "beaker": " (in a beaker)"}
    return text + how.get(str(test.facts.get("returned_to", "")), "")


def blank_text(blank: Blank | None) -> str:
    """A blank by its id, kind and reading."""
    return f"{blank.id} ({blank.kind.replace('-', ' ')}, {typed(blank.reading)})" if blank else "none"


def reading_text(test: Test, other: Test) -> str:
    """What was read, with what else differs from the other test's reading."""
    parts = [typed(portion[name]) for portion in portions_of(test) for name in library.method(test.method).measured if name in portion]
    beside = [name for name in READ_WITH if name in test.facts and not same(test.facts[name], other.facts.get(name))]
    extra = ", ".join(f"at {typed(test.facts[name])}" if name == "temperature" else f"{_words(name)} {typed(test.facts[name])}" for name in beside)
    return "; ".join(parts) + (f" ({extra})" if extra else "")


def _words(name: str) -> str:
    return name.replace("_", " ")


def same(one: Any, other: Any) -> bool:
    """Whether two facts are equal, whatever unit they were typed in."""
    if isinstance(one, Quantity) and isinstance(other, Quantity):
        return one.exact == other.exact and one.bound == other.bound
    if isinstance(one, tuple) and isinstance(other, tuple) and one and other and isinstance(one[0], Quantity):
        return mean_reading(one) == mean_reading(other) and len(one) == len(other)
    return one == other


_TYPED = re.compile(r"\s*([<>]?)\s*([+-]?[\d.]+(?:[eE][+-]?\d+)?)")


def typed(value: Any) -> str:
    """A fact for people, with the digits that were typed."""
    if isinstance(value, tuple):
        return ", ".join(typed(each) for each in value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Quantity) and (match := _TYPED.match(value.text)):
        return f"{match[1]}{match[2]}\u00a0{shown_unit(value.unit)}"
    return str(value).replace("-", " ") if isinstance(value, str) else f"{value:g}" if isinstance(value, float) else str(value)


def other_differences(first: Test, last: Test) -> Iterable[tuple[str, str, str]]:
    """Facts that differ and that no formula takes: time on the steel, cycles and their like."""
    method = library.method(first.method)
    measured = set(method.measured)
    for fact in method.facts:
        one, other = first.facts.get(fact.name), last.facts.get(fact.name)
        if fact.name not in DIRECTLY_READ and fact.name not in measured and one is not None and other is not None and not same(one, other):
            yield fact.label, typed(one), typed(other)
