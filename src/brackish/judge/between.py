# SPDX-License-Identifier: MIT
"""What stands between two tests and no formula holds: why they never compare, and what else may part them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import sqrt

from brackish import library
from brackish.judge.bridge import other_differences
from brackish.judge.outcome import Note
from brackish.judge.portions import liquid_of
from brackish.judge.results import Result
from brackish.judge.trial import Trial, target_of
from brackish.quantities import QUANTITIES, significant
from brackish.record.job import Job, Location

ABRASIVE_BASES = {"abrasive_conductivity_by_mass", "abrasive_conductivity_by_volume"}
NO_VALUE = ("replicate.disagree", "replicate.bounds_mixed", "range.zero_reading")


def reasons(one: Trial, other: Trial, results: Sequence[Result | None]) -> list[Note]:
    """Why two tests cannot be compared; none when they can."""
    trials = (one, other)
    things = [target_of(trial.test, trial.item).replace("-", " ") for trial in trials]
    if things[0] != things[1]:
        return [Note(code="compare.nothing_common", params={"a": one.test.id, "b": other.test.id, "of_a": things[0], "of_b": things[1]})]
    liquids = [liquid_of(trial.test, trial.method) for trial in trials]
    found = [Note(code="compare.liquid", params=_of(trials, liquids))] if liquids[0] != liquids[1] else []
    found += _other_kind(trials)
    if found:
        return found
    for trial, result in zip(trials[:1] if one.test.id == other.test.id else trials, results, strict=False):
        found += _no_value(trial, result)
    return found


def _of(trials: Sequence[Trial], values: Sequence[str]) -> dict[str, str]:
    return {"a": trials[0].test.id, "b": trials[1].test.id, "of_a": values[0], "of_b": values[1]}


def _other_kind(trials: Sequence[Trial]) -> Iterable[Note]:
    """Two methods without a quantity in common."""
    gives = [set(trial.method.gives) for trial in trials]
    if gives[0] & gives[1]:
        return
    words = [QUANTITIES[trial.method.gives[0]].words for trial in trials]
    if gives[0] | gives[1] >= ABRASIVE_BASES:
        yield Note(code="compare.mass_volume", params=_of(trials, words))
    elif {"patch"} < {trial.method.model for trial in trials} and any("chloride_per_area" in each for each in gives):
        total, chloride = sorted(trials, key=lambda trial: trial.method.model != "patch")
        yield Note(code="compare.chloride_total", params={"chloride": chloride.test.id, "total": total.test.id})
    else:
        yield Note(code="compare.other_quantity", params=_of(trials, words))


def _no_value(trial: Trial, result: Result | None) -> Iterable[Note]:
    id = trial.test.id
    if trial.state != "valid":
        void = [finding for finding in trial.findings if finding.severity == "void"]
        yield Note(code=f"compare.{trial.state}", params={"test": id})
        yield from [Note(code="compare.void_because", params={"reason": trial.test.void.reason})] if trial.test.void else ()
        yield from (Note(code=finding.code, params=finding.params) for finding in void)
    elif result is None or result.uncertainty is None:
        yield Note(code="compare.no_result", params={"test": id})
        yield from result.reasons if result else ()
    else:
        yield from (note for note in trial.withholding if note.code in NO_VALUE)
        judged = (note for judgement in trial.judgements.values() for note in judgement.reasons)
        yield from {note.code: note for note in judged if note.code in ("species.acid_extract", "range.ph")}.values()


def may_be(job: Job, a: Trial, b: Trial, scatter: str) -> list[Note]:
    """What else lies between two tests, named because it cannot be computed; scatter last."""
    if a.test.id == b.test.id:
        return [Note(code="compare.one_test", params={"test": a.test.id})]
    notes = [*_place(job, a, b), *_time(job, a, b)]
    if a.test.stage != b.test.stage:
        notes.append(Note(code="compare.stage", params=_of((a, b), [test.stage.replace("-", " ") or "not written" for test in (a.test, b.test)])))
    differing = [f"{name} {one} and {other}" for name, one, other in other_differences(a.test, b.test)] if a.test.method == b.test.method else []
    if differing:
        notes.append(Note(code="compare.procedure", params={"what": ", ".join(differing)}))
    notes += [Note(code="compare.tester")] if a.test.tester != b.test.tester else []
    notes += [Note(code=note.code, params=note.params) for trial in (a, b) for note in trial.withholding]
    if a.test.extract and a.test.extract == b.test.extract:
        return notes
    return [*notes, Note(code="compare.scatter_known", params={"scatter": scatter}) if scatter else Note(code="compare.scatter_unknown")]


def _place(job: Job, a: Trial, b: Trial) -> Iterable[Note]:
    if a.item is not b.item:
        yield Note(code="compare.item", params=_of((a, b), [trial.item.name or trial.item.id for trial in (a, b)]))
        return
    if a.test.extract and a.test.extract == b.test.extract:
        yield Note(code="compare.one_extract", params={"extract": a.test.extract})
        return
    places = {location.id: location for location in job.location}
    here, there = places.get(a.test.location), places.get(b.test.location)
    if library.method(a.test.method).applies_to != "steel":
        return
    if here and here is there:
        yield Note(code="compare.same_place", params={"place": here.name or here.id})
    elif here and there:
        apart = distance(here, there)
        params = _of((a, b), [place.name or place.id for place in (here, there)])
        yield Note(code="compare.place_apart", params=params | {"distance": distance_text(apart)}) if apart else Note(code="compare.place", params=params)
    else:
        yield Note(code="compare.place_unknown")


def distance(one: Location, other: Location) -> float | None:
    """How far two places on one drawing are apart [mm]; unknown without both coordinates."""
    if one.drawing != other.drawing or not (one.x and one.y and other.x and other.y):
        return None
    across, along = one.x.inside - other.x.inside, one.y.inside - other.y.inside
    return sqrt(across * across + along * along)


def distance_text(millimetres: float) -> str:
    """A distance for people, in m from one metre on."""
    return f"{significant(millimetres / 1000.0, digits=2)}\u00a0m" if millimetres >= 1000.0 else f"{significant(millimetres, digits=2)}\u00a0mm"


def _time(job: Job, a: Trial, b: Trial) -> Iterable[Note]:
    first, last = a.test.at, b.test.at
    if first is None or last is None:
        yield Note(code="compare.time_unknown")
        return
    minutes = abs(int((last - first).total_seconds())) // 60
    if minutes and not (a.test.extract and a.test.extract == b.test.extract):
        yield Note(code="compare.time", params={"apart": _duration(minutes), "later": (b if last > first else a).test.id})
    places = {a.test.location, b.test.location} - {""}
    cleaned = [row for row in job.reclean if row.finished_at and min(first, last) < row.finished_at < max(first, last) and places & set(row.locations)]
    yield from (Note(code="compare.recleaned", params={"method": row.method or "not written how"}) for row in cleaned[:1])


def _duration(minutes: int) -> str:
    days, rest = divmod(minutes, 1440)
    hours, left = divmod(rest, 60)
    parts = [f"{number}\u00a0{unit}" for number, unit in ((days, "d"), (hours, "h"), (left, "min")) if number]
    return " ".join(parts[:2])
