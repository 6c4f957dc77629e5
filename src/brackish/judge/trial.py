# SPDX-License-Identifier: MIT
"""One test judged: its state, findings, results, and a verdict for each criterion that applies."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from brackish import library
from brackish.judge import explain, portions, resting
from brackish.judge.findings import findings_for
from brackish.judge.inputs import Kit
from brackish.judge.outcome import Finding, Note, unique
from brackish.judge.results import Question, Result, figures_of, question_of, result_dict, results_of, shown_uncertainty
from brackish.judge.verdicts import Judgement, judge, judgement_dict
from brackish.library.types import Method
from brackish.record.job import Blank, Item, Job, Test
from brackish.record.specification import Criterion


@dataclass(kw_only=True)
class Trial:
    """A test with all that was found about it."""

    test: Test
    item: Item
    method: Method
    blank: Blank | None
    state: str
    criteria: tuple[Criterion, ...]
    results: dict[Question, Result] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)
    withholding: list[Note] = field(default_factory=list)
    resting: dict[str, list[Note]] = field(default_factory=dict)  # criterion -> why its verdict would rest on what cannot carry it
    judgements: dict[str, Judgement] = field(default_factory=dict)
    place: str = ""  # as people call it: location and item

    def result_for(self, criterion: Criterion) -> Result | None:
        return self.results.get(question_of(criterion, self.blank))

    def counts_for(self, criterion: Criterion) -> bool:
        """Whether the criterion's number of tests may count this one."""
        in_stage = not criterion.stage or self.test.stage == criterion.stage
        return criterion in self.criteria and in_stage and self.test.purpose in ("acceptance", "retest")

    def to_dict(self) -> dict[str, Any]:
        row: dict[str, Any] = {
            "id": self.test.id,
            "item": self.test.item,
            "method": self.method.id,
            "method_version": self.method.version,
            "state": self.state,
            "purpose": self.test.purpose,
            "round": self.test.round,
            "results": self._result_rows(),
            "findings": unique(self.findings),
            "verdicts": [],
        }
        if self.test.location:
            row["location"] = self.test.location
        if self.state != "void":
            for criterion in self.criteria:
                if criterion.id in self.judgements:
                    row["verdicts"].append(self._verdict_row(criterion))
        return row

    def _verdict_row(self, criterion: Criterion) -> dict[str, Any]:
        """A verdict, whether it counts, and the two sentences a customer is told."""
        judgement = self.judgements[criterion.id]
        row = judgement_dict(criterion, judgement) | {"counted": self.counts_for(criterion)}
        result = self.result_for(criterion)
        sure = shown_uncertainty(result) if result and result.uncertainty and not result.bound else ""
        row["sentences"] = explain.customer(
            row,
            place=self.place,
            sense=criterion.sense,
            applies_to=criterion.applies_to,
            uncertainty=sure,
            on_failure=criterion.on_failure,
            on_inconclusive=criterion.on_inconclusive,
        )
        return row

    def _result_rows(self) -> list[dict[str, Any]]:
        """The results that could be computed; criteria that come to the same basis share one."""
        rows: list[dict[str, Any]] = []
        for result in self.results.values() if self.state == "valid" else ():
            if result.uncertainty and (row := result_dict(result)) not in rows:
                rows.append(row)
        return rows


def _place(job: Job, test: Test, item: Item) -> str:
    """Location and item as people call them."""
    location = job.location_by_id.get(test.location)
    return ", ".join(name for name in (location.name or location.id if location else "", item.name or item.id) if name)


def try_test(job: Job, test: Test) -> Trial:
    """Judge one test by the criteria that apply to it."""
    method = library.method(test.method)
    item = job.item_by_id[test.item]
    named = job.blank_by_id.get(test.blank)
    blank = named if named and portions.blank_suits(named, method) else None
    trial = Trial(test=test, item=item, method=method, blank=blank, state="", criteria=_criteria_for(job, test, item, method), place=_place(job, test, item))
    kit = Kit(job=job, test=test)
    missing = portions.missing_facts(test, method)
    trial.state = _state(test, method, missing)
    if trial.state == "planned":
        return trial
    trial.findings = findings_for(kit, method, named, trial.criteria)
    if any(finding.severity == "void" for finding in trial.findings):
        trial.state = "void"
    if trial.state == "incomplete":
        trial.withholding = [Note(code="fact.missing", params={"name": name}) for name in missing]
        trial.findings += [Finding(code="fact.missing", severity="warning", params={"name": name}) for name in missing]
    if trial.state == "valid":
        trial.results = {result.question: result for result in results_of(kit, method, blank, trial.criteria)}
        trial.findings += kit.findings
        trial.withholding = _withholding(kit, trial)
        for criterion in trial.criteria:
            note_on(trial, criterion)
            result = trial.result_for(criterion)
            trial.resting[criterion.id] = [
                *resting.on_blank(job, test, method, blank, criterion, result),
                *resting.on_dwell(test, criterion, result),
                *resting.on_water(test, criterion, result, trial.findings),
            ]
    judge_trial(trial)
    return trial


def judge_trial(trial: Trial) -> None:
    """Give the test its verdicts; a mean is judged with its item, not here."""
    for criterion in trial.criteria:
        judgement = _judged(trial, criterion)
        if criterion.judged != "mean":
            trial.judgements[criterion.id] = judgement


def _state(test: Test, method: Method, missing: Sequence[str]) -> str:
    if test.void:
        return "void"
    if not portions.has_measured(test, method):
        return "planned"
    return "incomplete" if missing else "valid"


def _criteria_for(job: Job, test: Test, item: Item, method: Method) -> tuple[Criterion, ...]:
    return tuple(criterion for criterion in job.criteria if applies(criterion, test, item, method))


def applies(criterion: Criterion, test: Test, item: Item, method: Method) -> bool:
    """Whether a criterion is about this test: the thing, the item, the method, the stage, the use of the water."""
    if criterion.applies_to != target_of(test, item):
        return False
    if (criterion.items and item.id not in criterion.items) or (criterion.methods and method.id not in criterion.methods):
        return False
    if criterion.condition and item.condition and criterion.condition != item.condition:
        return False
    if criterion.stage and test.stage and test.stage != criterion.stage:
        return False
    return test.purpose != "training" and (not criterion.quantity or criterion.quantity in method.gives)


def target_of(test: Test, item: Item) -> str:
    """What a test is about, in the words of `applies_to`."""
    if test.method == "water-conductivity":
        return f"{test.facts.get('use', 'extraction')}-water"
    return item.kind


def _withholding(kit: Kit, trial: Trial) -> list[Note]:
    """Reasons that withhold every verdict of this test until somebody clears them."""
    reasons = [Note(code=finding.code, params=finding.params) for finding in trial.findings if finding.code in WITHHOLDING]
    if trial.blank and any(reading.bound == ">" for reading in trial.blank.reading):
        reasons.append(Note(code="blank.over_last_mark", params={"blank": trial.blank.id}))
    return reasons


WITHHOLDING = (
    "volume.below_injected",
    "volume.slip_of_unit",
    "volume.aliquot_over_whole",
    "replicate.disagree",
    "range.zero_reading",
    "temperature.raw_unknown",
)


def note_on(trial: Trial, criterion: Criterion) -> None:
    """What the contract leaves open about this test although it can be judged: which uncertainty, which blank, which liquid."""

    def left_open(field: str, severity: str = "note", **params: str) -> None:
        trial.findings.append(Finding(code=f"criterion.{field}_missing", severity=severity, params={"criterion": criterion.id, **params}))

    guarded = criterion.decision_rule not in ("", "simple-acceptance") and isinstance(criterion.guard_band, str)
    if guarded and not criterion.uncertainty and trial.method.published_uncertainty:
        left_open("uncertainty")
    if trial.blank and not criterion.blank_rule:
        left_open("blank_rule", used=trial.blank.kind)
    if portions.liquid_of(trial.test, trial.method) == "acid" and not criterion.extraction_liquid:
        left_open("extraction_liquid", "warning")


def _judged(trial: Trial, criterion: Criterion) -> Judgement:
    result = trial.result_for(criterion)
    return judge(criterion, figures_of(result) if result and result.uncertainty else None, reasons_for(trial, criterion))


def reasons_for(trial: Trial, criterion: Criterion) -> list[Note]:
    """What withholds the verdict on this test, alone or in a mean, whatever its value is."""
    result = trial.result_for(criterion)
    reasons = [*trial.withholding, *(result.reasons if result else ())]
    if trial.state != "valid":
        return reasons
    return reasons + _blank_reasons(trial, criterion) + _liquid_reasons(trial, criterion) + trial.resting.get(criterion.id, [])


def _blank_reasons(trial: Trial, criterion: Criterion) -> list[Note]:
    """The blank must be there, and of the kind agreed, unless none was to be taken off; a tube needs one only where that was agreed."""
    if "blank" not in trial.method.corrections or criterion.blank_rule == "none":
        return []
    if trial.blank is None:
        unfit = [Note(code=finding.code, params=finding.params) for finding in trial.findings if finding.code == "blank.other_unit"]
        return unfit or [Note(code="blank.missing")] if trial.method.model == "patch" or criterion.blank_rule else []
    if criterion.blank_rule not in ("", trial.blank.kind):
        return [Note(code="blank.other_kind", params={"given": trial.blank.kind, "allowed": criterion.blank_rule})]
    return []


def _liquid_reasons(trial: Trial, criterion: Criterion) -> list[Note]:
    """Acid and water extracts never compare."""
    liquid = portions.liquid_of(trial.test, trial.method)
    if not liquid or criterion.extraction_liquid in ("", liquid):
        return []
    return [Note(code="species.other_liquid", params={"given": liquid, "allowed": criterion.extraction_liquid})]
