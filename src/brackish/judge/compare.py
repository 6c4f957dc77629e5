# SPDX-License-Identifier: MIT
"""Why does your number differ from mine? Two tests on one basis, and whether they differ.

`compare` walks from one result to the other (`bridge.py`), names what no formula holds (`between.py`),
and asks whether the difference on one basis is more than its own uncertainty, in which one meter, one
blank, one thermometer and one constant enter once.

    {format, a, b            each: test, item, location, place, tester, method, at, words, value, unit, shown,
                             shown_uncertainty, expanded_uncertainty, bound?, verdict?   (no value without a result)
     opening: what both read
     facts: [{name, label, a, b, same}]                          as typed, side by side
     basis: {quantity, words, unit, reference_temperature?, shown}
     steps: [{change, kind, from, to, difference, unit, shown, shown_from, shown_to, shown_difference, old, new, sentence}]
     total: {from, to, difference, unit, shown}                  the steps add up to it
     remaining: {from, to, difference, unit, shown, shown_from, shown_to, shown_difference, standard_uncertainty,
                 degrees_of_freedom, coverage_factor, expanded_uncertainty, shown_uncertainty, level, ratio?, shown_ratio?,
                 uncertainty_from, budget: [{input, contribution, shown_contribution}], may_be: [note]}
     what_if: [{test, change, old, new, value, unit, shown, factor, differ, sentence}]   one volume in place of another
     differ: yes | not-shown | not-comparable, headline, why, reasons: [note]}           reasons only when not comparable

A note is {code, params, message}. Steps of kind `basis` say how it was worked out, `done` what was done,
`method` that it cannot be split; `remaining` is what is left on one basis, so all that is not `basis`.
compare(b, a) is the mirror of compare(a, b): the same way, walked back. The walk begins at the test that
stands first in the job file.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import sqrt
from typing import Any

from brackish.errors import InputError, OutOfRange
from brackish.judge import between, wording
from brackish.judge.bridge import VOLUMES, Change, Way, blank_text, reading_text, same, typed, volume_of, volume_text, walk, with_facts_of
from brackish.judge.inputs import Given, Kit
from brackish.judge.measurement import Measurement, joined, propagated
from brackish.judge.outcome import Note
from brackish.judge.results import LEVEL, Result, critical_value, lost_in_blank, question_of, results_of, shown_result
from brackish.judge.trial import Trial, try_test
from brackish.quantities import QUANTITIES, show, show_width, shown_unit, significant, to_shown
from brackish.record.document import read_job
from brackish.record.job import Job
from brackish.record.specification import Criterion
from brackish.science import conformity, uncertainty

FORMAT = "brackish-compare/1"


@dataclass(frozen=True, kw_only=True)
class Side:
    """One of the two tests: judged, with the result that is compared."""

    trial: Trial
    criterion: Criterion | None
    result: Result | None

    @property
    def id(self) -> str:
        return self.trial.test.id

    @property
    def way(self) -> Way:
        assert self.result
        blank = None if self.result.question.blank == "none" else self.trial.blank
        return Way(
            test=self.trial.test, blank=blank, quantity=self.result.quantity, reference=self.result.question.reference_temperature if self.criterion else None
        )


def compare(document: Mapping[str, Any], a: str, b: str) -> dict[str, Any]:
    """Two tests of a job on one basis, step by step from one to the other, and whether they differ.

    Raises
    ------
    InputFaults, InputError
        When the job cannot be used, or has no such test.

    """
    job = read_job(document)
    order = [test.id for test in job.test]
    for name, id in (("A", a), ("B", b)):
        if id not in order:
            raise InputError("input.unknown_reference", place=name, kind="test", given=repr(id), allowed=tuple(order[:20]) or "none")
    sides = _sides(job, a, b)
    rows = [_side_dict(job, side) for side in sides]
    head = {"format": FORMAT, "a": rows[0], "b": rows[1], "facts": _facts(*sides), "opening": wording.read_sentence(rows)}
    reasons = between.reasons(sides[0].trial, sides[1].trial, [side.result for side in sides])
    if not reasons:
        try:
            return head | _bridge(job, *sides, turned=order.index(a) > order.index(b))
        except OutOfRange as error:
            reasons = [Note(code="compare.outside", params={"detail": error.message})]
    why = " ".join(reason.to_dict()["message"] for reason in reasons)
    verdict = {"differ": "not-comparable", "headline": wording.COMPARED["not-comparable"], "why": why}
    return head | {"steps": [], "remaining": {}, "what_if": [], "reasons": [reason.to_dict() for reason in reasons]} | verdict


# The two sides


def _sides(job: Job, a: str, b: str) -> tuple[Side, Side]:
    """Both tests with the result of a requirement they share; where there is none, each with its own."""
    one, other = (try_test(job, next(test for test in job.test if test.id == id)) for id in (a, b))
    shared = [criterion for criterion in _asked(one) if criterion in _asked(other)]
    own = [next(iter(_asked(trial)), None) for trial in (one, other)]
    first, last = (shared[0], shared[0]) if shared else (own[0] or own[1], own[1] or own[0])
    return _side(job, one, first), _side(job, other, last)


def _asked(trial: Trial) -> list[Criterion]:
    return [criterion for criterion in trial.criteria if criterion.quantity in trial.method.gives]


def _side(job: Job, trial: Trial, criterion: Criterion | None) -> Side:
    result = None
    if trial.state == "valid" and criterion and criterion.quantity in trial.method.gives:
        found = results_of(Kit(job=job, test=trial.test), trial.method, trial.blank, (criterion,))
        result = next(each for each in found if each.question == question_of(criterion, trial.blank))
    elif trial.state == "valid":
        criterion, result = None, next(iter(trial.results.values()))
    return Side(trial=trial, criterion=criterion, result=result)


def _side_dict(job: Job, side: Side) -> dict[str, Any]:
    test, result = side.trial.test, side.result
    row: dict[str, Any] = {"test": test.id, "item": test.item, "method": test.method, "state": side.trial.state, "purpose": test.purpose}
    place = next((location for location in job.location if location.id == test.location), None)
    tester = next((person for person in job.person if person.id == test.tester), None)
    row |= {"location": test.location, "place": place.name or place.id} if place else {}
    row |= {"tester": tester.name or tester.id} if tester else {}
    row |= {"at": test.at.isoformat()} if test.at else {}
    if not (result and result.uncertainty):
        return row
    kind = QUANTITIES[result.quantity]
    expanded = to_shown(value=result.uncertainty.expanded_uncertainty, quantity=result.quantity)
    row |= {
        "quantity": result.quantity,
        "words": kind.words,
        "value": to_shown(value=result.uncertainty.value, quantity=result.quantity),
        "unit": kind.shown_unit,
        "shown": shown_result(result),
        "expanded_uncertainty": expanded,
        "shown_uncertainty": f"±\u00a0{show_width(expanded, quantity=result.quantity)}",
        "read": reading_text(test, test),
    }
    row |= {"bound": result.bound} if result.bound else {}
    judgement = side.trial.judgements.get(side.criterion.id) if side.criterion else None
    return row | ({"verdict": judgement.verdict} if judgement else {})


def _facts(one: Side, other: Side) -> list[dict[str, Any]]:
    """What was written for both, as typed, side by side."""
    tests = (one.trial.test, other.trial.test)
    rows = []
    labels = {fact.name: fact.label for side in (one, other) for fact in side.trial.method.facts}
    for name, label in labels.items():
        values = [test.facts.get(name) for test in tests]
        if any(value is not None for value in values):
            a, b = ("" if value is None else typed(value) for value in values)
            rows.append({"name": name, "label": label, "a": a, "b": b, "same": same(*values)})
    blanks = [side.trial.blank for side in (one, other)]
    if any(blanks):
        rows.append({"name": "blank", "label": "Blank", "a": blank_text(blanks[0]), "b": blank_text(blanks[1]), "same": blanks[0] is blanks[1]})
    return rows


# From one to the other


@dataclass(frozen=True, kw_only=True)
class Stop:
    """A place on the walk: the result as it stands there, in the unit that is shown."""

    way: Way
    measurement: Measurement
    unit_of: str

    @property
    def value(self) -> float:
        return to_shown(value=self.measurement.value, quantity=self.unit_of)

    @property
    def reach(self) -> float:
        """The value, in the inside unit; a bound lost in its blank reaches up to the critical value, as in a result."""
        value = self.measurement.value
        if self.measurement.bound != "<":
            return value
        critical = critical_value(propagated(self.measurement, level=LEVEL))
        return critical if critical is not None and lost_in_blank(self.measurement, value, critical) else value

    def shown(self, unit: str) -> str:
        """The value for people; a bound keeps its sign."""
        text = show(to_shown(value=self.reach, quantity=self.unit_of), unit=unit, decimals=QUANTITIES[self.unit_of].decimals)
        return f"{self.measurement.bound}\u00a0{text}" if self.measurement.bound else text


def _bridge(job: Job, a: Side, b: Side, *, turned: bool) -> dict[str, Any]:
    first, last = _in_one_dimension(*((b.way, a.way) if turned else (a.way, b.way)))
    stops = [_stop(job, first, last)]
    changes = []
    for change, way in walk(job, first, last):
        changes.append(change)
        stops.append(_stop(job, way, last))
    basis = len([change for change in changes if change.kind == "basis"])
    ends = (stops[basis], stops[-1])
    if turned:
        changes = [replace(change, old=change.new, new=change.old) for change in reversed(changes)]
        stops, ends = stops[::-1], ends[::-1]
    gap = _gap(job, (a, b), ends)
    bounds = [side for side in (a, b) if side.result and side.result.bound]
    remaining = _remaining_dict(ends, gap) | {"may_be": [note.to_dict() for note in between.may_be(job, a.trial, b.trial, gap.scatter)]}
    head = {"basis": _basis_dict(ends[1]), "steps": [] if bounds else _steps(changes, stops, b.id), "total": _difference(stops[0], stops[-1])}
    return head | {"remaining": remaining, "what_if": [] if bounds else _what_if(job, (a, b), ends, gap)} | _verdict(gap, (a, b), ends)


def _stop(job: Job, way: Way, last: Way) -> Stop:
    return Stop(way=way, measurement=way.measured(job), unit_of=last.quantity)


def _in_one_dimension(first: Way, last: Way) -> tuple[Way, Way]:
    """A conductivity or concentration never stands beside an amount: then both are said as the amount."""
    if QUANTITIES[first.quantity].dimension == QUANTITIES[last.quantity].dimension:
        return first, last
    amount = next(way.quantity for way in (last, first) if QUANTITIES[way.quantity].dimension == "amount_per_area")
    return replace(first, quantity=amount), replace(last, quantity=amount)


def _difference(one: Stop, other: Stop) -> dict[str, Any]:
    kind = QUANTITIES[other.unit_of]
    change = other.value - one.value
    row: dict[str, Any] = {"from": one.value, "to": other.value, "difference": change, "unit": kind.shown_unit}
    shown = show(change, unit=kind.shown_unit, decimals=kind.decimals)
    if one.measurement.bound or other.measurement.bound:
        least = to_shown(value=_least((one, other)), quantity=other.unit_of)
        shown = f"at least {show(least, unit=kind.shown_unit, decimals=kind.decimals)}" if least > 0.0 else "not known"
    elif change > 0.0:
        shown = f"+{shown}"
    return row | {
        "shown_from": one.shown(kind.shown_unit),
        "shown_to": other.shown(kind.shown_unit),
        "shown_difference": shown,
        "shown": f"{one.shown('')} \N{RIGHTWARDS ARROW} {other.shown(kind.shown_unit)}",
    }


def _steps(changes: Sequence[Change], stops: Sequence[Stop], towards: str) -> list[dict[str, Any]]:
    rows = []
    for change, one, other in zip(changes, stops, stops[1:], strict=False):
        row = _difference(one, other)
        sentence = wording.step_sentence(change.name, old=change.old, new=change.new, towards=towards, difference=row["shown_difference"])
        rows.append({"change": change.name, "kind": change.kind, **row, "old": change.old, "new": change.new, "sentence": sentence})
    return rows


def _basis_dict(end: Stop) -> dict[str, Any]:
    kind, at = QUANTITIES[end.way.quantity], end.measurement.reference_temperature
    row = {"quantity": end.way.quantity, "words": kind.words, "unit": kind.shown_unit}
    blank = f"{end.way.blank.kind.replace('-', ' ')} blank taken off" if end.way.blank else "no blank taken off"
    row |= {"reference_temperature": f"{at:g} degC"} if at is not None else {}
    return row | {"shown": ", ".join([kind.words, *([f"at {at:g}\u00a0°C"] if at is not None else []), blank])}


# What is left on one basis


@dataclass(frozen=True, kw_only=True)
class Gap:
    """The difference on one basis, in the inside unit, with its own uncertainty."""

    propagated: uncertainty.Propagated
    lower: float  # the least it can be, from bounds
    source: str  # budget | method | history
    scatter: str = ""

    @property
    def differ(self) -> bool:
        return conformity.compare(value=self.lower, limit=self.propagated.expanded_uncertainty) == "over" and self.lower > 0.0


def _gap(job: Job, sides: tuple[Side, Side], ends: tuple[Stop, Stop]) -> Gap:
    """From the first to the second: what they share enters once, known scatter between places is added."""
    budget = joined([end.measurement for end in ends], weights=[-1.0, 1.0])
    scatter = _scatter(job, sides, ends[1].unit_of)
    if scatter:
        budget = replace(budget, givens=(*budget.givens, *scatter), formula=_plus(budget.formula, [given.name for given in scatter]))
    found = propagated(budget, level=LEVEL)
    source = "history" if scatter else "budget"
    published = _published(sides)
    if published > found.standard_uncertainty:
        factor = conformity.guard_band(kind="two-sided", standard_uncertainty=1.0, degrees_of_freedom=None, level=LEVEL)
        found = found._replace(standard_uncertainty=published, degrees_of_freedom=None, coverage_factor=factor, expanded_uncertainty=factor * published)
        source = "method"
    return Gap(propagated=found, lower=_least(ends), source=source, scatter=", ".join(given.why for given in scatter))


def _plus(formula: Any, names: Sequence[str]) -> Any:
    """The formula with errors of estimate zero added to it."""

    def with_errors(**v: float) -> float:
        total = formula(**{name: value for name, value in v.items() if name not in names})
        for name in names:
            total += v[name]
        return total

    return with_errors


def _scatter(job: Job, sides: tuple[Side, Side], quantity: str) -> list[Given]:
    """The scatter of single results of each method, from the history; none unless it is known for both."""
    dimension = QUANTITIES[quantity].dimension
    if dimension in ("conductivity", "concentration") or sides[0].id == sides[1].id:
        return []
    rows = [
        next((row for row in job.history if row.method == side.trial.test.method and row.standard_deviation.dimension == dimension), None) for side in sides
    ]
    if rows[0] is None or rows[1] is None:
        return []
    methods = [rows[0]] if rows[0] is rows[1] else [rows[0], rows[1]]
    return [
        Given(
            name=f"scatter {row.method}",
            key=f"scatter:{row.method}",
            value=0.0,
            standard_uncertainty=row.standard_deviation.inside * sqrt(2.0 / len(methods)),
            degrees_of_freedom=float(row.degrees_of_freedom),
            unit="",
            provenance="measured",
            why=f"{typed(row.standard_deviation)} ({row.source or 'source not written'})",
        )
        for row in methods
    ]


def _published(sides: tuple[Side, Side]) -> float:
    """From the published figure of the method, independent from test to test, where a result stands on it."""
    if sides[0].id == sides[1].id or not any(side.result and side.result.mode_used == "method" for side in sides):
        return 0.0
    one, other = (side.result.uncertainty.standard_uncertainty for side in sides if side.result and side.result.uncertainty)
    return sqrt(one * one + other * other)


def _least(ends: tuple[Stop, Stop]) -> float:
    """The least distance between the two; a bound reaches as far as it says."""
    reach = float("inf")
    spans = []
    for end in ends:
        value, bound = end.reach, end.measurement.bound
        spans.append((-reach if bound == "<" else value, reach if bound == ">" else value))
    (low, high), (other_low, other_high) = spans
    return max(0.0, other_low - high, low - other_high)


def _remaining_dict(ends: tuple[Stop, Stop], gap: Gap) -> dict[str, Any]:
    found, quantity = gap.propagated, ends[1].unit_of
    u, expanded = (to_shown(value=value, quantity=quantity) for value in (found.standard_uncertainty, found.expanded_uncertainty))
    row = _difference(*ends) | {
        "standard_uncertainty": u,
        "degrees_of_freedom": found.degrees_of_freedom,
        "coverage_factor": found.coverage_factor,
        "expanded_uncertainty": expanded,
        "shown_uncertainty": f"±\u00a0{show_width(expanded, quantity=quantity)}",
        "level": LEVEL,
        "uncertainty_from": gap.source,
        "budget": [_line(line, quantity) for line in found.budget if line.contribution > 0.0],
    }
    if expanded > 0.0:
        ratio = abs(row["difference"]) / expanded
        row |= {"ratio": ratio, "shown_ratio": show(ratio, unit="", decimals=2)}
    return row


def _line(line: uncertainty.Line, quantity: str) -> dict[str, Any]:
    contribution = to_shown(value=line.contribution, quantity=quantity)
    shown = f"{significant(contribution, digits=2)}\u00a0{shown_unit(QUANTITIES[quantity].shown_unit)}"
    return {"input": line.input, "contribution": contribution, "shown_contribution": shown}


def _verdict(gap: Gap, sides: tuple[Side, Side], ends: tuple[Stop, Stop]) -> dict[str, Any]:
    kind, quantity = QUANTITIES[ends[1].unit_of], ends[1].unit_of
    apart = abs(ends[1].value - ends[0].value)
    open_ = to_shown(value=gap.propagated.expanded_uncertainty, quantity=quantity)
    shown = [show(value, unit=kind.shown_unit, decimals=kind.decimals) for value in (apart, open_)]
    differ = "yes" if gap.differ else "not-shown"
    bound = next((side.result for side in sides if side.result and side.result.bound), None)
    why = wording.compared(
        differ, apart=shown[0], open=shown[1], source=gap.source, bound=shown_result(bound) if bound else "", one_test=sides[0].id == sides[1].id
    )
    return {"differ": differ, "headline": wording.COMPARED[differ], "why": why, "reasons": []}


# One volume in place of another


def _what_if(job: Job, sides: tuple[Side, Side], ends: tuple[Stop, Stop], gap: Gap) -> list[dict[str, Any]]:
    """What each would be with the other's volume, or with what was injected where a beaker was read."""
    rows = []
    for index, (side, end) in enumerate(zip(sides, ends, strict=True)):
        fixed = ends[1 - index]
        wrong = [with_facts_of(end.way, fixed.way, VOLUMES)] if end.way.test.method == fixed.way.test.method else []
        facts = end.way.test.facts
        if facts.get("returned_to") == "beaker" and "volume_injected" in facts:
            injected = dict(facts) | {"solution_volume": facts["volume_injected"], "returned_to": "undiluted"}
            wrong.append(replace(end.way, test=replace(end.way.test, facts=injected)))
        seen = [volume_of(end.way.test)]
        for way in wrong:
            if volume_of(way.test) in seen or _is_abrasive_extract(way):
                continue
            seen.append(volume_of(way.test))
            stop = Stop(way=way, measurement=way.measured(job), unit_of=end.unit_of)
            then = _gap(job, sides, (stop, fixed) if index == 0 else (fixed, stop)).differ
            rows.append(_what_if_dict(side.id, end, stop, gap.differ, then))
    return rows


def _is_abrasive_extract(way: Way) -> bool:
    """Volumes of an abrasive extract are checked, never corrected for: another one changes nothing."""
    return QUANTITIES[way.quantity].dimension == "conductivity"


def _what_if_dict(id: str, end: Stop, stop: Stop, differs: bool, then: bool) -> dict[str, Any]:
    kind = QUANTITIES[end.unit_of]
    old, new, shown = volume_text(end.way.test), volume_text(stop.way.test), show(stop.value, unit=kind.shown_unit, decimals=kind.decimals)
    row: dict[str, Any] = {"test": id, "change": "volume", "old": old, "new": new, "value": stop.value, "unit": kind.shown_unit, "shown": shown}
    factor = ""
    if end.value > 0.0 and stop.value > 0.0:
        row["factor"] = stop.value / end.value
        factor = significant(max(row["factor"], 1.0 / row["factor"]), digits=2)
    follows = "agree" if differs and not then else "part" if then and not differs else ""
    sentence = wording.what_if(test=id, old=old, new=new, shown=shown, factor=factor, more=stop.value >= end.value, follows=follows)
    return row | {"differ": "yes" if then else "not-shown", "sentence": sentence}
