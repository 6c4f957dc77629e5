# SPDX-License-Identifier: MIT
"""What was agreed: the specifications of a job with their criteria, as frozen types; `job.py` holds the rest of the document."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from brackish import library
from brackish.errors import InputError
from brackish.library import counting
from brackish.library.frozen import Frozen
from brackish.quantities import QUANTITIES, Quantity
from brackish.record import fields as f

APPLIES_TO = ("steel", "abrasive", "extraction-water", "washing-water")
STAGES = ("incoming", "before-blasting", "after-washing", "after-blasting", "between-coats")


def _limit(value: Any, place: str, faults: f.Faults, table: Mapping) -> Quantity:
    kind = QUANTITIES.get(str(table.get("quantity", "")))
    amounts = tuple(dict.fromkeys(each.dimension for each in QUANTITIES.values()))
    return f.as_quantity(value, kind.dimension if kind else amounts, signed=True)


def _guard_band(value: Any, place: str, faults: f.Faults, table: Mapping) -> str | Quantity:
    if value in ("two-sided", "one-sided"):
        return value
    if not (isinstance(value, str) and any(character.isdigit() for character in value)):
        raise InputError("input.not_one_of", given=f.kind_of(value), allowed=("two-sided", "one-sided", "an amount such as 5 mg/m2"))
    return _limit(value, place, faults, table)


def _count(value: Any, *_: Any) -> counting.Rule:
    return counting.read_rule(f.as_text(value))


def _level(value: Any, *_: Any) -> Quantity:
    level = f.as_quantity(value, "ratio")
    if not 0.5 <= level.inside <= 0.9999:
        raise InputError("input.out_of_range", given=repr(value), lowest="50 %", highest="99.99 %")
    return level


class Agreed(Frozen):
    """What the parties agreed, who they were, and where it is written."""

    what: str = f.text("")
    by: tuple[str, ...] | str = f.custom(lambda value, *_: value if isinstance(value, str) else tuple(map(f.as_text, value)), "", says="text, or list of texts")
    at: str = f.text("")
    document: str = f.text("")


class ClauseSource(Frozen):
    """Where in the contract a criterion stands, with its words."""

    document: str = f.text("")
    edition: str = f.text("")
    clause: str = f.text("")
    text: str = f.text("")


class Criterion(Frozen):
    """What must be met, by whose rule; an absent field was not agreed and is never filled in."""

    id: str = f.ident()
    title: str = f.text("")
    applies_to: str = f.choice(*APPLIES_TO)
    items: tuple[str, ...] = f.references()
    quantity: str = f.choice(*QUANTITIES, default="")
    sense: str = f.choice("at-most", "below", "at-least", default="")
    limit: Quantity | None = f.custom(_limit, says="quantity in a unit of the criterion's quantity, such as 50 mg/m2")
    limit_mean: Quantity | None = f.custom(_limit, says="the same for the mean, under each-and-mean")
    judged: str = f.choice("each", "mean", "each-and-mean", default="")
    decision_rule: str = f.choice("simple-acceptance", "guarded-acceptance", "guarded-rejection", "three-way", default="")
    decision_rule_source: str = f.choice("clause", "standard", "agreed", default="")
    guard_band: str | Quantity = f.custom(_guard_band, "", says="two-sided, one-sided, or an amount such as 5 mg/m2")
    level: Quantity | None = f.custom(_level, says="share in %, 50 % to 99.99 %, such as 95 %")
    uncertainty: str = f.choice("budget", "method", "larger", default="")
    on_inconclusive: str = f.choice("reject", "retest", "refer", default="")
    reference_temperature: Quantity | None = f.quantity("temperature", default=None)
    count: counting.Rule | None = f.custom(_count, says="rule such as 1 per 50 m2, or its name in the library")
    governs: str = f.choice("metric", "foot", default="")
    stage: str = f.choice(*STAGES, default="")
    condition: str = f.choice("new", "in-use", default="")
    methods: tuple[str, ...] = f.texts()
    extraction_liquid: str = f.choice("water", "acid", default="")
    blank_rule: str = f.choice("none", "water", "full-kit", default="")
    rounding: str = f.choice("none", "to-limit", default="none")
    placement: str = f.text("")
    neighbours: int | None = f.count(None)  # how many locations beside a failed one are tested again
    test_within: Quantity | None = f.quantity("time", default=None, positive=True)  # from the test to the next coat
    on_failure: str = f.text("")
    dwell: Quantity | None = f.quantity("time", default=None, positive=True)
    cycles: int | None = f.count(None, least=1)
    requirement: str = f.text("")
    agreed: Agreed | None = f.table(Agreed)
    source: ClauseSource | None = f.table(ClauseSource)
    supplied: tuple[str, ...] = ()  # fields that came from the library requirement


def _criteria(value: Any, place: str, faults: f.Faults, table: Mapping) -> tuple[Criterion, ...]:
    if not isinstance(value, list | tuple):
        raise InputError("input.wrong_type", given=f.kind_of(value), wanted="a list of tables, [[specification.criterion]]")
    read = (_criterion(entry, f.place_of(place, index, entry), faults) for index, entry in enumerate(value, start=1))
    return tuple(criterion for criterion in read if criterion)


def _criterion(raw: Any, place: str, faults: f.Faults) -> Criterion | None:
    supplied: dict[str, Any] = {}
    if isinstance(raw, Mapping) and isinstance(raw.get("requirement"), str):
        try:
            given = library.requirement(raw["requirement"]).criterion
            supplied = {key: value for key, value in given.items() if key not in raw}
        except InputError as error:
            faults.append(error.at(f"{place}.requirement"))
    criterion = f.read_table(Criterion, {**raw, **supplied} if isinstance(raw, Mapping) else raw, place, faults)
    return replace(criterion, supplied=tuple(supplied)) if criterion else None


class Specification(Frozen):
    """A document of the contract with its criteria."""

    id: str = f.ident()
    title: str = f.text("")
    document: str = f.text("")
    edition: str = f.text("")
    criterion: tuple[Criterion, ...] = f.custom(_criteria, (), says="list of tables, below", kind=Criterion)
