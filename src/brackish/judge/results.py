# SPDX-License-Identifier: MIT
"""From measurements to results: value, uncertainty by the asked kind, bound, detected, working.

Each distinct question gets one result: quantity, reference temperature, blank rule, kind of
uncertainty and level, in the order of the criteria; a patch always says its mixed-salt amount too.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, NamedTuple

from brackish.errors import OutOfRange
from brackish.judge import inputs
from brackish.judge.inputs import Given, Kit
from brackish.judge.measurement import Measurement, propagated
from brackish.judge.models import Wish, models
from brackish.judge.outcome import Note
from brackish.judge.portions import no_salt_amount
from brackish.judge.verdicts import Figures
from brackish.library.frozen import Frozen
from brackish.library.types import Method
from brackish.quantities import QUANTITIES, parse, show, show_width, shown_unit, significant, to_shown
from brackish.record.job import Blank
from brackish.record.specification import Criterion
from brackish.science import conformity, detection, uncertainty

LEVEL = 0.95


class Question(NamedTuple):
    """What one criterion asks to be computed; two criteria with one question share its result."""

    quantity: str
    reference_temperature: float | None
    blank: str
    mode: str
    level: float


class Result(Frozen):
    """One quantity of one test, in the inside unit of its dimension, or why there is none."""

    question: Question
    measurement: Measurement | None = None
    uncertainty: uncertainty.Propagated | None = None
    mode_used: str = "budget"
    critical: float | None = None
    reasons: tuple[Note, ...] = ()

    @property
    def quantity(self) -> str:
        return self.question.quantity

    @property
    def value(self) -> float | None:
        return self.uncertainty.value if self.uncertainty else None

    @property
    def bound(self) -> str:
        return self.measurement.bound if self.measurement else ""

    @property
    def detected(self) -> bool | None:
        """Over the critical value; unknown where there is no blank, only a bound, or no conductivity."""
        if self.critical is None or self.value is None or self.bound or not (self.measurement and self.measurement.conductometric):
            return None
        return self.value > self.critical


def question_of(criterion: Criterion, blank: Blank | None) -> Question:
    """What a criterion asks of a test with this blank."""
    return Question(
        quantity=criterion.quantity,
        reference_temperature=criterion.reference_temperature.inside if criterion.reference_temperature else None,
        blank="none" if criterion.blank_rule == "none" or blank is None else blank.kind,
        mode=criterion.uncertainty or "larger",
        level=criterion.level.inside if criterion.level else LEVEL,
    )


def results_of(kit: Kit, method: Method, blank: Blank | None, criteria: Sequence[Criterion]) -> tuple[Result, ...]:
    """Every result the criteria ask for, then the method's own where nobody asked."""
    questions = [question_of(criterion, blank) for criterion in criteria if criterion.quantity in method.gives]
    main = method.gives[0]
    own = [question._replace(quantity=main) for question in questions] or [
        Question(quantity=main, reference_temperature=None, blank=blank.kind if blank else "none", mode="larger", level=LEVEL)
    ]
    for question in own if method.model == "patch" or not questions else []:
        if not any(other.quantity == main and other.reference_temperature == question.reference_temperature for other in questions):
            questions.append(question)
    return tuple(result_of(kit, method, blank, question) for question in dict.fromkeys(questions))


def result_of(kit: Kit, method: Method, blank: Blank | None, question: Question) -> Result:
    """The answer to one question, or the reasons why there is none."""
    if reason := no_salt_amount(kit.test, method, question.quantity):
        return Result(question=question, reasons=(reason,))
    wish = Wish(quantity=question.quantity, reference_temperature=question.reference_temperature, blank=None if question.blank == "none" else blank)
    try:
        measurement = models()[method.model](kit, wish)
        budget = propagated(measurement, level=question.level)
    except OutOfRange as error:
        return Result(question=question, reasons=(_outside(error),))
    if measurement.bound == "<>":
        return Result(question=question, reasons=(Note(code="replicate.bounds_mixed"),))
    return with_mode(Result(question=question, measurement=measurement, uncertainty=budget, critical=critical_value(budget)), method)


def _outside(error: OutOfRange) -> Note:
    """A value the science does not cover: temperature, or conductivity."""
    kind = "temperature" if "temperature" in str(error.params.get("name")) else "science"
    params: dict[str, Any] = {key: _figure(error.params[key]) for key in ("name", "value", "unit", "lowest", "highest") if key in error.params}
    return Note(code=f"range.{kind}", params=params)


def _figure(value: object) -> str:
    """A number, or the word or unit beside it, as people write it; whole numbers whole."""
    if not isinstance(value, int | float):
        return shown_unit(str(value))
    return show(float(value), unit="", decimals=0) if value == int(value) else significant(float(value), digits=4)


def critical_value(budget: uncertainty.Propagated) -> float | None:
    """What the result must exceed to be more than the blank, from the blank's own uncertainty."""
    line = next((line for line in budget.budget if line.input == "blank"), None)
    return detection.critical_value(blank_standard_uncertainty=line.contribution) if line else None


def with_mode(result: Result, method: Method) -> Result:
    """The result with the uncertainty asked for: the budget, the method's published one, or the larger."""
    published, budget, question = method.published_uncertainty, result.uncertainty, result.question
    if question.mode == "budget" or budget is None:
        return result
    dimension = QUANTITIES[question.quantity].dimension
    if published is None or question.quantity not in published.quantities:
        reason = Note(code="uncertainty.method_unknown", params={"method": method.id})
        return replace(result, reasons=(*result.reasons, reason)) if question.mode == "method" else result
    lowest, highest = (parse(text, dimension=dimension).inside for text in (published.lowest, published.highest))
    if conformity.compare(value=budget.value, limit=lowest) == "below" or conformity.compare(value=budget.value, limit=highest) == "over":
        params = {"lowest": published.lowest, "highest": published.highest, "value": show(budget.value, unit="mg/m2", decimals=1)}
        reason = Note(code="uncertainty.method_out_of_range", params=params)
        return replace(result, reasons=(*result.reasons, reason)) if question.mode == "method" else result
    u = parse(published.expanded, dimension=dimension).inside / float(published.coverage_factor)
    if question.mode == "larger" and u <= budget.standard_uncertainty:
        return result
    factor = conformity.guard_band(kind="two-sided", standard_uncertainty=1.0, degrees_of_freedom=None, level=question.level)
    other = budget._replace(standard_uncertainty=u, degrees_of_freedom=None, coverage_factor=factor, expanded_uncertainty=factor * u)
    return replace(result, uncertainty=other, mode_used="method")


def figures_of(result: Result) -> Figures:
    """The numbers of a result that a rule looks at."""
    assert result.uncertainty
    return Figures(
        quantity=result.quantity,
        value=result.uncertainty.value,
        standard_uncertainty=result.uncertainty.standard_uncertainty,
        degrees_of_freedom=result.uncertainty.degrees_of_freedom,
        bound=result.bound,
        shown=shown_result(result),
        level=result.question.level,
        reference_temperature=result.measurement.reference_temperature if result.measurement else None,
    )


def result_dict(result: Result) -> dict[str, Any]:
    """A result as it stands in the outcome, in shown units, with a text for every number."""
    assert result.uncertainty and result.measurement
    kind, budget, measured = QUANTITIES[result.quantity], result.uncertainty, result.measurement
    expanded = to_shown(value=budget.expanded_uncertainty, quantity=result.quantity)
    row: dict[str, Any] = {
        "quantity": result.quantity,
        "words": kind.words,
        "value": to_shown(value=budget.value, quantity=result.quantity),
        "unit": kind.shown_unit,
        "shown": shown_result(result),
        "standard_uncertainty": to_shown(value=budget.standard_uncertainty, quantity=result.quantity),
        "degrees_of_freedom": budget.degrees_of_freedom,
        "coverage_factor": budget.coverage_factor,
        "expanded_uncertainty": expanded,
        "level": result.question.level,
        "shown_uncertainty": shown_uncertainty(result),
        "shown_coverage": f"k\u00a0=\u00a0{show(budget.coverage_factor, unit='', decimals=2)}, {100.0 * result.question.level:g}\u00a0%",
        "basis": _basis(result),
        "budget": [_budget_line(given, line, result.quantity) for given, line in zip(measured.givens, budget.budget, strict=True)],
        "steps": list(measured.steps),
    }
    if result.bound:
        row["bound"] = result.bound
    if result.detected is not None and result.critical is not None:
        critical = to_shown(value=result.critical, quantity=result.quantity)
        row |= {"detected": result.detected, "critical_value": critical, "shown_critical": show(critical, unit=kind.shown_unit, decimals=kind.decimals)}
    return row


def shown_uncertainty(result: Result) -> str:
    """The expanded uncertainty for people."""
    assert result.uncertainty
    expanded = to_shown(value=result.uncertainty.expanded_uncertainty, quantity=result.quantity)
    return f"±\u00a0{show_width(expanded, quantity=result.quantity)}"


def shown_result(result: Result) -> str:
    """The result for people: a bound keeps its sign, what is not over the critical value, bound or not, is shown under it."""
    kind = QUANTITIES[result.quantity]
    assert result.value is not None and result.measurement
    if result.critical is not None and lost_in_blank(result.measurement, result.value, result.critical):
        return "<\u00a0" + show(to_shown(value=result.critical, quantity=result.quantity), unit=kind.shown_unit, decimals=kind.decimals)
    text = show(to_shown(value=result.value, quantity=result.quantity), unit=kind.shown_unit, decimals=kind.decimals)
    return f"{result.bound}\u00a0{text}" if result.bound else text


def lost_in_blank(measurement: Measurement, value: float, critical: float) -> bool:
    """Not over the critical value, as a reading or as a bound; of a tube only a bound that the blank leaves nothing of."""
    if measurement.bound == ">":
        return False
    if measurement.conductometric:
        return value <= critical
    return measurement.bound == "<" and value <= 0.0


def _basis(result: Result) -> dict[str, str]:
    measured = result.measurement
    assert measured
    basis = {"blank": measured.blank} if measured.blank else {}
    basis |= {"uncertainty": result.question.mode, "uncertainty_from": result.mode_used}
    if measured.reference_temperature is not None:
        basis |= {"reference_temperature": f"{measured.reference_temperature:g} degC", "temperature_model": measured.temperature_model}
    return basis


def _budget_line(given: Given, line: uncertainty.Line, quantity: str) -> dict[str, Any]:
    kind = QUANTITIES[quantity]
    contribution = to_shown(value=line.contribution, quantity=quantity)
    row = {
        "input": line.input,
        "value": line.value,
        "unit": given.unit,
        "standard_uncertainty": line.standard_uncertainty,
        "degrees_of_freedom": line.degrees_of_freedom,
        "sensitivity": to_shown(value=line.sensitivity, quantity=quantity),
        "contribution": contribution,
        "provenance": given.provenance,
        "shown": inputs.shown_value(given),
        "shown_standard_uncertainty": inputs.shown_figure(given, line.standard_uncertainty),
        "shown_contribution": f"{significant(contribution, digits=2)}\u00a0{shown_unit(kind.shown_unit)}",
    }
    if given.why:
        row["why"] = given.why
    return row
