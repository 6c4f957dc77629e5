# SPDX-License-Identifier: MIT
"""From tests to the verdict on an item: which tests count, how many were agreed, the worst or the mean.

Steel counts locations: at each one the latest round with a valid test decides, and void or planned
rounds change nothing. A lot of abrasive or a water counts its tests; a retest takes the place of
the test it repeats.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from brackish.judge import sampling, wording
from brackish.judge.mean import figures_dict, judge_mean, unequal_figures
from brackish.judge.outcome import Finding, Note, unique, worst
from brackish.judge.trial import Trial, applies, target_of
from brackish.judge.verdicts import Judgement, judgement_dict, missing_fields, only_accepted
from brackish.judge.waters import blank_trials
from brackish.library import counting
from brackish.library.frozen import Frozen
from brackish.record.job import Item, Job
from brackish.record.specification import Criterion


class Spot(Frozen):
    """One counted place or sample: the tests of its latest round, the earlier ones, its verdict."""

    id: str
    latest: tuple[Trial, ...]
    earlier: tuple[Trial, ...]
    verdict: str

    @property
    def complete(self) -> bool:
        return all(trial.state == "valid" for trial in self.latest)

    def judgements(self, criterion: Criterion) -> list[Judgement]:
        return [trial.judgements[criterion.id] for trial in self.latest if criterion.id in trial.judgements]

    def only_accepted(self, criterion: Criterion) -> bool:
        return self.verdict == "pass" and any(only_accepted(criterion, judgement) for judgement in self.judgements(criterion))

    def passed_late(self, criterion: Criterion) -> bool:
        """Whether an earlier round did not pass: a place tested again beside a failure, that passed before, is none."""
        before = [trial.judgements[criterion.id].verdict for trial in self.earlier if criterion.id in trial.judgements]
        return "fail" in before or "inconclusive" in before

    def to_dict(self, criterion: Criterion) -> dict[str, Any]:
        return {
            "id": self.id,
            "verdict": self.verdict,
            **({"accepted": True} if self.only_accepted(criterion) else {}),
            "tests": [trial.test.id for trial in self.latest],
            "earlier": [trial.test.id for trial in self.earlier],
            "shown": [judgement_dict(criterion, judgement)["shown"] for judgement in self.judgements(criterion)],
        }


class ItemVerdict(Frozen):
    """The verdict on one item by one criterion."""

    criterion: Criterion
    verdict: str
    spots: tuple[Spot, ...]
    required: int | None
    reasons: tuple[Note, ...]
    findings: tuple[Finding, ...] = ()
    mean: Judgement | None = None
    unit: str = "location"

    @property
    def counted(self) -> int:
        return len([spot for spot in self.spots if spot.complete])

    @property
    def all_passed(self) -> bool:
        """Whether every place on steel that was judged by itself keeps its limit: what that shows of the others is said then."""
        alone = self.criterion.judged != "mean" and self.unit == "location"
        return alone and self.counted > 0 and all(spot.verdict == "pass" and not spot.only_accepted(self.criterion) for spot in self.spots)

    @property
    def only_accepted(self) -> bool:
        """Whether it passes although a place, or the mean, does not keep the limit."""
        places = any(spot.only_accepted(self.criterion) for spot in self.spots)
        return self.verdict == "pass" and (places or (self.mean is not None and only_accepted(self.criterion, self.mean)))

    def to_dict(self) -> dict[str, Any]:
        row: dict[str, Any] = judgement_dict(self.criterion, self.mean) if self.mean else {"criterion": self.criterion.id}
        row |= {"criterion": self.criterion.id, "verdict": self.verdict, "counted": self.counted, "reasons": unique(list(self.reasons))}
        if self.only_accepted:
            row["accepted"] = True
        if self.required is not None:
            row["required"] = self.required
        if self.mean and self.mean.figures:
            row |= figures_dict(self.mean)
        row["by"] = self.unit
        if self.criterion.on_inconclusive:
            row["on_inconclusive"] = self.criterion.on_inconclusive
        if self.findings:
            row["findings"] = unique(list(self.findings))
        row["spots"] = [spot.to_dict(self.criterion) for spot in self.spots]
        if self.all_passed:
            retested = len([spot for spot in self.spots if spot.passed_late(self.criterion)])
            row["sampling"] = sampling.of_passes(self.counted, retested=retested, sense=self.criterion.sense)
        row["shown"] = wording.item_sentence(row, self.unit)
        return row


def item_verdicts(job: Job, item: Item, trials: Sequence[Trial]) -> list[ItemVerdict]:
    """A verdict for every criterion that is about this item."""
    own = [trial for trial in trials if trial.item is item]
    found = []
    for criterion in job.criteria:
        if criterion.items and item.id not in criterion.items:
            continue
        if criterion.applies_to == item.kind and not _other_condition(criterion, item):
            found.append(_verdict(criterion, item, own))
        elif criterion.applies_to.endswith("-water"):
            waters = [*own, *blank_trials(job, item, criterion)]
            if any(target_of(trial.test, item) == criterion.applies_to for trial in waters) or (item.kind == "water" and not own):
                found.append(_verdict(criterion, item, waters))
    return found


def _other_condition(criterion: Criterion, item: Item) -> bool:
    return bool(criterion.condition and item.condition and criterion.condition != item.condition)


def _verdict(criterion: Criterion, item: Item, trials: Sequence[Trial]) -> ItemVerdict:
    """The worst of the places, the mean, or both; whatever is missing withholds a pass, and any verdict on a mean."""
    counted = [trial for trial in trials if trial.counts_for(criterion)]
    spots, findings = _spots(criterion, counted, by_location=criterion.applies_to == "steel")
    required, reasons = _count(criterion, item, spots, counted)
    reasons += [reason for spot in spots for reason in _incomplete(spot)]
    verdicts: list[str] = []
    mean = None
    if criterion.judged != "mean":
        verdicts += [spot.verdict for spot in spots] + _failed_nowhere(criterion, counted)
        reasons += [reason for spot in spots for trial in spot.latest if criterion.id in trial.judgements for reason in trial.judgements[criterion.id].reasons]
    if criterion.judged in ("mean", "each-and-mean"):
        whole = [spot.latest for spot in spots if spot.complete]
        mean = judge_mean(criterion, whole)
        findings += unequal_figures(criterion, whole)
        reasons += mean.reasons
        verdicts.append("withheld" if reasons else mean.verdict)
    if not counted:
        reasons += [*missing_fields(criterion), *_cannot_give(criterion, trials)]
    return ItemVerdict(
        criterion=criterion,
        verdict=worst([*verdicts, *(["withheld"] if reasons or not verdicts else [])]),
        spots=spots,
        required=required,
        reasons=tuple(reasons),
        findings=tuple(findings),
        mean=mean,
        unit="location" if criterion.applies_to == "steel" else "test",
    )


def _failed_nowhere(criterion: Criterion, counted: Sequence[Trial]) -> list[str]:
    """A test on steel whose place was not written counts for no place, yet its fail is a fail."""
    lost = [trial for trial in counted if criterion.applies_to == "steel" and not trial.test.location and criterion.id in trial.judgements]
    return ["fail" for trial in lost if trial.judgements[criterion.id].verdict == "fail"]


def _cannot_give(criterion: Criterion, trials: Sequence[Trial]) -> list[Note]:
    """Tests there are, but none by a method that gives the quantity asked for."""
    asked = replace(criterion, quantity="")
    other = [trial.test.id for trial in trials if applies(asked, trial.test, trial.item, trial.method) and criterion.quantity not in trial.method.gives]
    return (
        [Note(code="criterion.method_cannot_give", params={"quantity": criterion.quantity, "tests": ", ".join(other)})] if criterion.quantity and other else []
    )


def _spots(criterion: Criterion, counted: Sequence[Trial], *, by_location: bool) -> tuple[tuple[Spot, ...], list[Finding]]:
    groups: dict[str, list[Trial]] = {}
    for trial in counted:
        place = trial.test.location if by_location else _first_of(trial, counted)
        if place and trial.state in ("valid", "incomplete"):
            groups.setdefault(place, []).append(trial)
    spots, findings = [], []
    for place, tries in groups.items():
        last = max(trial.test.round for trial in tries)
        latest = tuple(trial for trial in tries if trial.test.round == last)
        if by_location and len(latest) > 1:
            findings.append(Finding(code="location.repeated", severity="warning", params={"location": place, "tests": ", ".join(t.test.id for t in latest)}))
        earlier = tuple(trial for trial in tries if trial.test.round < last)
        spots.append(Spot(id=place, latest=latest, earlier=earlier, verdict=_spot_verdict(criterion, latest)))
    return tuple(spots), findings


def _first_of(trial: Trial, counted: Sequence[Trial]) -> str:
    """The test that a chain of retests began with."""
    by_id = {each.test.id: each.test for each in counted}
    test = trial.test
    while test.retest_of in by_id and by_id[test.retest_of].round < test.round:
        test = by_id[test.retest_of]
    return test.id


def _spot_verdict(criterion: Criterion, latest: Sequence[Trial]) -> str:
    verdicts = [trial.judgements[criterion.id].verdict for trial in latest if criterion.id in trial.judgements]
    unfinished = ["withheld" for trial in latest if trial.state != "valid"]
    return worst([*verdicts, *unfinished]) if verdicts or unfinished else ""


def _incomplete(spot: Spot) -> list[Note]:
    waiting = [trial.test.id for trial in spot.latest if trial.state == "incomplete"]
    return [Note(code="location.incomplete", params={"location": spot.id, "tests": ", ".join(waiting)})] if waiting else []


def _count(criterion: Criterion, item: Item, spots: Sequence[Spot], counted: Sequence[Trial]) -> tuple[int | None, list[Note]]:
    """How many were agreed for this item, and what is missing of it."""
    done = len([spot for spot in spots if spot.complete])
    if criterion.count is None:
        planned = [trial.test.id for trial in counted if trial.state == "planned"]
        if criterion.applies_to != "steel":
            return None, [Note(code="count.planned", params={"tests": ", ".join(planned)})] if planned or not done else []
        return None, [Note(code="count.not_agreed", params={"done": done})]
    required = counting.required(rule=criterion.count, area=item.area.exact if item.area else None, governs=criterion.governs)
    if required is None:
        return None, [Note(code="count.area_missing", params={"item": item.id, "rule": criterion.count.text})]
    if done < required:
        return required, [Note(code="count.missing", params={"done": done, "required": required})]
    return required, []
