# SPDX-License-Identifier: MIT
"""The mean of several tests, propagated once: one meter, one blank, one constant enter as one input."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import fsum, sqrt
from typing import Any

from brackish.judge.measurement import Measurement, joined, propagated, unequal_keys
from brackish.judge.outcome import Finding, Note
from brackish.judge.results import Result, shown_result, with_mode
from brackish.judge.trial import Trial, reasons_for
from brackish.judge.verdicts import Figures, Judgement, judge
from brackish.quantities import show, show_width, to_shown
from brackish.record.specification import Criterion
from brackish.science import conformity, uncertainty


def judge_mean(criterion: Criterion, spots: Sequence[tuple[Trial, ...]]) -> Judgement:
    """The mean over the counted places, one value a place, judged against the limit for the mean.

    There is none where a place has only a bound or no result, or where stages are mixed.
    """
    results = [[trial.result_for(criterion) for trial in latest] for latest in spots]
    reasons = [reason for latest in spots for trial in latest for reason in reasons_for(trial, criterion)]
    obstacles = _obstacles(criterion, spots, [result for place in results for result in place])
    if obstacles or not results:
        return judge(criterion, None, [*reasons, *(obstacles or [Note(code="count.planned", params={"tests": ""})])], of_mean=True)
    parts, weights = [], []
    for place in results:
        for result in place:
            assert result and result.measurement
            parts.append(result.measurement)
            weights.append(1.0 / (len(results) * len(place)))
    mean = _mean_result(results[0][0], parts, weights, spots[0][0])
    budget = mean.uncertainty
    assert budget
    figures = Figures(
        quantity=mean.quantity,
        value=budget.value,
        standard_uncertainty=budget.standard_uncertainty,
        degrees_of_freedom=budget.degrees_of_freedom,
        shown=shown_result(replace(mean, critical=None)),
        level=mean.question.level,
        reference_temperature=parts[0].reference_temperature,
    )
    return judge(criterion, figures, [*reasons, *mean.reasons], of_mean=True)


def unequal_figures(criterion: Criterion, spots: Sequence[tuple[Trial, ...]]) -> list[Finding]:
    """Tests of one mean that state different uncertainties for what they share: the larger is taken."""
    results = [trial.result_for(criterion) for latest in spots for trial in latest]
    keys = unequal_keys([result.measurement for result in results if result and result.measurement])
    return [Finding(code="uncertainty.shared_unequal", severity="warning", params={"input": key.replace(":", " of ", 1)}) for key in keys]


def _obstacles(criterion: Criterion, spots: Sequence[tuple[Trial, ...]], results: Sequence[Result | None]) -> list[Note]:
    """Why no mean can be formed."""
    obstacles = []
    stages = {trial.test.stage for latest in spots for trial in latest}
    if len(stages) > 1:
        obstacles.append(Note(code="stage.mixed", params={"stages": ", ".join(sorted(stage or "none named" for stage in stages))}))
    if any(result and result.bound for result in results):
        obstacles.append(Note(code="range.mean_of_bounds"))
    without = [trial.test.id for latest in spots for trial in latest if not (result := trial.result_for(criterion)) or not result.uncertainty]
    if without:
        obstacles.append(Note(code="range.mean_without", params={"tests": ", ".join(without)}))
    return obstacles


def _mean_result(first: Result | None, parts: list[Measurement], weights: list[float], trial: Trial) -> Result:
    assert first
    measurement = joined(parts, weights=weights) if len(parts) > 1 else parts[0]
    budget = propagated(measurement, level=first.question.level)
    single = with_mode(Result(question=first.question, measurement=measurement, uncertainty=budget), trial.method)
    if single.mode_used == "method" and len(parts) > 1:
        return _method_mean(single, budget, weights)
    return single


def _method_mean(single: Result, budget: uncertainty.Propagated, weights: Sequence[float]) -> Result:
    """The published figure is that of one result: taken as independent from test to test, never under the budget."""
    assert single.uncertainty
    u = single.uncertainty.standard_uncertainty * sqrt(fsum(weight * weight for weight in weights))
    if u <= budget.standard_uncertainty:
        return replace(single, uncertainty=budget, mode_used="budget")
    factor = single.uncertainty.coverage_factor
    return replace(single, uncertainty=single.uncertainty._replace(standard_uncertainty=u, expanded_uncertainty=factor * u))


def figures_dict(judgement: Judgement) -> dict[str, Any]:
    """Value and uncertainty of a mean as they stand in the outcome."""
    figures = judgement.figures
    assert figures
    factor = conformity.guard_band(kind="two-sided", standard_uncertainty=1.0, degrees_of_freedom=figures.degrees_of_freedom, level=figures.level)
    u = to_shown(value=figures.standard_uncertainty, quantity=figures.quantity)
    return {
        "standard_uncertainty": u,
        "degrees_of_freedom": figures.degrees_of_freedom,
        "coverage_factor": factor,
        "expanded_uncertainty": factor * u,
        "shown_uncertainty": f"±\u00a0{show_width(factor * u, quantity=figures.quantity)}",
        "level": figures.level,
        "shown_coverage": f"k\u00a0=\u00a0{show(factor, unit='', decimals=2)}, {100.0 * figures.level:g}\u00a0%",
    }
