# SPDX-License-Identifier: MIT
"""Whether a verdict rests on something that cannot carry it: a doubtful blank, water that is dirty or not in the method's ratio, a short time on the steel.

The blank holds more than the extract, or took more titrant than the sample: one of the two
is wrong, or they were mixed up, and the amount is below zero; the verdict stands only where even the
blank alone would keep the limit. The blank is under its first mark: nothing is taken off, so the
verdict stands only where the whole mark taken off gives the same. A full-kit blank in another volume
than the test: the verdict stands only where it is the same with all its salt from the water, which grows
with the volume, and with all of it from the kit, which does not. An abrasive in more or less water
than the method asks, or in dirty water, is read as it is; its verdict stands only where the reading in proportion,
or less the whole reading of the water, gives the same. Water that stood on the steel for less than was
agreed takes up less salt: a pass stands only where somebody agreed the deviation, and a fail always does.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import fsum

from brackish.judge.inputs import Kit, mean_value
from brackish.judge.outcome import Finding, Note
from brackish.judge.patch import other_blank_volume, solution_volume
from brackish.judge.portions import portions_of
from brackish.judge.results import Result, figures_of, result_of
from brackish.judge.verdicts import judge, missing_fields
from brackish.library.types import Method
from brackish.quantities import Quantity, show
from brackish.record.job import Blank, Facts, Job, Test
from brackish.record.specification import Criterion


def on_blank(job: Job, test: Test, method: Method, blank: Blank | None, criterion: Criterion, result: Result | None) -> list[Note]:
    """The reason that withholds a verdict because it would rest on the blank; none where it does not."""
    if result is None or result.value is None or missing_fields(criterion):
        return []
    if method.fact("titrant_blank"):
        return _on_titration(job, test, method, criterion, result)
    if blank is None or result.question.blank == "none":
        return []
    if _below_zero(result) and _verdict(criterion, _blank_alone(job, test, method, blank, result)) != "pass":
        return [Note(code="blank.exceeds_extract", params=exceeding(test, blank))]
    if any(reading.bound == "<" for reading in blank.reading):
        at_mark = replace(blank, reading=tuple(replace(reading, bound="") for reading in blank.reading))
        if _verdict(criterion, result_of(Kit(job=job, test=test), method, at_mark, result.question)) != _verdict(criterion, result):
            return [Note(code="blank.under_first_mark", params={"blank": blank.id, "given": blank.reading[0].text})]
    ends = [result_of(Kit(job=job, test=test), method, end, result.question) for end in _ends_of_volume(test, blank)]
    if len({_verdict(criterion, end) for end in ends}) > 1:
        return [Note(code="blank.other_volume", params=in_other_volume(test, blank))]
    return []


def _ends_of_volume(test: Test, blank: Blank) -> list[Blank]:
    """A full-kit blank of another volume as it would read in that of the test: all its salt from the water, or all from the kit."""
    own = solution_volume(test)
    other = other_blank_volume(blank, own)
    if own is None or other is None:
        return []
    share = other.exact / own.exact
    readings = [blank.reading, tuple(replace(reading, value=reading.value * share) for reading in blank.reading)]
    return [replace(blank, solution_volume=own, reading=reading) for reading in readings]


def in_other_volume(test: Test, blank: Blank) -> dict[str, str]:
    """A full-kit blank and its volume, and that of the test; empty where they are the same."""
    own = solution_volume(test)
    other = other_blank_volume(blank, own)
    return {"blank": blank.id, "given": other.text, "volume": own.text} if own and other else {}


def _on_titration(job: Job, test: Test, method: Method, criterion: Criterion, result: Result) -> list[Note]:
    """The blank of a titration stands among the facts of the test or of its portions."""
    over = next((facts for facts in portions_of(test) if "titrant_blank" in facts and facts["titrant_blank"].exact > facts["titrant_volume"].exact), None)
    if over is None or not _below_zero(result):
        return []
    alone = replace(test, facts=_titrated_blank(test.facts), determination=tuple(map(_titrated_blank, test.determination)))
    if _verdict(criterion, result_of(Kit(job=job, test=alone), method, None, result.question)) == "pass":
        return []
    net = float(over["titrant_volume"].exact - over["titrant_blank"].exact)
    return [Note(code="blank.over_sample", params={"given": show(net, unit="mL", decimals=2)})]


def _titrated_blank(facts: Facts) -> Facts:
    """What was titrated without the sample, as if it were the sample."""
    return {name: facts.get("titrant_blank", value) if name == "titrant_volume" else value for name, value in facts.items() if name != "titrant_blank"}


def on_dwell(test: Test, criterion: Criterion, result: Result | None) -> list[Note]:
    """The reason that withholds a pass because the agreed time on the steel was not kept, and nobody agreed that it need not be."""
    stood = test.facts.get("dwell")
    if criterion.dwell is None or stood is None or stood.exact >= criterion.dwell.exact or any(each.agreed_by for each in test.deviations):
        return []
    if result is None or missing_fields(criterion) or _verdict(criterion, result) != "pass":
        return []
    return [Note(code="dwell.short", params={"given": stood.text, "allowed": criterion.dwell.text})]


def on_water(test: Test, criterion: Criterion, result: Result | None, findings: Sequence[Finding]) -> list[Note]:
    """The reasons that withhold a verdict on an abrasive because it would rest on the water it was extracted in."""
    if result is None or not result.uncertainty or result.quantity not in OF_ABRASIVE or missing_fields(criterion):
        return []
    figures = figures_of(result)
    otherwise = {"volume.ratio": _in_proportion, "water.above_limit": _less_the_water}
    return [
        Note(code=odd.code, params=odd.params)
        for odd in {finding.code: finding for finding in findings if finding.code in otherwise}.values()
        if judge(criterion, replace(figures, value=otherwise[odd.code](test, figures.value)), []).verdict != _verdict(criterion, result)
    ]


OF_ABRASIVE = ("abrasive_conductivity_by_mass", "abrasive_conductivity_by_volume")


def _in_proportion(test: Test, value: float) -> float:
    """What the method's own ratio of water would have read."""
    ratios = [water.inside / solid.inside for facts in portions_of(test) if (water := facts.get("water_volume")) and (solid := _solid(facts))]
    return value * fsum(ratios) / len(ratios)


def _less_the_water(test: Test, value: float) -> float:
    """The least the abrasive itself can have brought: all that the water read taken off."""
    return value - float(test.facts["water_conductivity"].inside)


def _solid(facts: Facts) -> Quantity | None:
    return facts.get("mass") or facts.get("abrasive_volume")


def holds_more(test: Test, blank: Blank) -> bool:
    """Whether a blank reads more than the extract, or holds more in the water of a full-kit blank of its own volume."""
    own = solution_volume(test)
    other = other_blank_volume(blank, own)
    share = other.inside / own.inside if own and other else 1.0
    return mean_value(blank.reading) * share > mean_value(test.facts["reading"])


def exceeding(test: Test, blank: Blank) -> dict[str, str]:
    """What blank and extract read, with their volumes where those differ."""
    told = in_other_volume(test, blank)
    given, extract = (f" in {told[name]}" if told else "" for name in ("given", "volume"))
    return {"blank": blank.id, "given": blank.reading[0].text + given, "extract": test.facts["reading"][0].text + extract}


def _below_zero(result: Result) -> bool:
    assert result.value is not None
    return result.bound != ">" and (result.value < 0.0 or (result.bound == "<" and result.value == 0.0))


def _blank_alone(job: Job, test: Test, method: Method, blank: Blank, result: Result) -> Result:
    """What the blank would be of, were it the extract with nothing taken off."""
    facts = {**test.facts, "reading": blank.reading} | ({"temperature": blank.temperature} if blank.temperature else {})
    if blank.kind == "full-kit" and blank.solution_volume:
        facts["solution_volume"] = blank.solution_volume
    return result_of(Kit(job=job, test=replace(test, facts=facts)), method, None, result.question._replace(blank="none"))


def _verdict(criterion: Criterion, result: Result) -> str:
    return judge(criterion, figures_of(result) if result.uncertainty else None, []).verdict
