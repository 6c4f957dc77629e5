# SPDX-License-Identifier: MIT
"""A result against a criterion, by the rule that was agreed before the result was known.

Nothing is filled in: an absent rule, limit, blank or fact withholds the verdict and names itself;
the plain comparison and the chance of being over the limit stand beside it all the same.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from brackish.judge import wording
from brackish.judge.outcome import Note, unique
from brackish.library.frozen import Frozen
from brackish.quantities import DIMENSIONS, QUANTITIES, Quantity, show, show_width, to_shown
from brackish.record.specification import Criterion
from brackish.science import conformity

NEEDED = ("quantity", "sense", "judged", "decision_rule")
DOUBTED = ("blank.exceeds_extract", "blank.over_sample")  # what the value itself is doubted for: no chance is told of it
MAY_BE_NEGATIVE = ("temperature", "temperature_difference")
GUARDED = ("guarded-acceptance", "guarded-rejection", "three-way")


class Figures(Frozen):
    """What is judged: a value in the inside unit with its uncertainty, or a bound."""

    quantity: str
    value: float
    standard_uncertainty: float
    degrees_of_freedom: float | None
    bound: str = ""
    shown: str = ""
    level: float = 0.95
    reference_temperature: float | None = None


class Judgement(Frozen):
    """A verdict with all that led to it; numbers in the inside unit."""

    verdict: str
    reasons: tuple[Note, ...] = ()
    comparison: str = ""
    figures: Figures | None = None
    limit: float | None = None
    guard_band: float | None = None
    probability_over: float | None = None
    judged_as: float | None = None  # what was held against the limit, where the contract rounds first


PAST = {"at-most": ("over",), "below": ("at", "over"), "at-least": ("below",), "": ()}  # sense -> where the limit is not kept


def only_accepted(criterion: Criterion, judgement: Judgement) -> bool:
    """A pass that does not keep the limit: past it, but by less than a guarded rejection fails."""
    return judgement.verdict == "pass" and judgement.comparison in PAST[criterion.sense]


def missing_fields(criterion: Criterion, *, limit: str = "limit") -> list[Note]:
    """Fields without which no verdict can be given, and a limit that nothing can be held against: one reason each.

    A guarded rule needs the level even where its guard band is an amount: the contract asks for both.
    """
    needed = [*NEEDED, limit, *(("guard_band", "level") if criterion.decision_rule in GUARDED else ())]
    absent = [name for name in needed if getattr(criterion, name) in ("", None)]
    reasons = [Note(code=f"criterion.{name}_missing", params={"criterion": criterion.id}) for name in absent]
    asked: Quantity | None = getattr(criterion, limit)
    if asked and asked.value <= 0 and asked.dimension not in MAY_BE_NEGATIVE:
        reasons.append(Note(code="criterion.limit_not_positive", params={"criterion": criterion.id, "limit": asked.text}))
    return reasons


def judge(criterion: Criterion, figures: Figures | None, reasons: Sequence[Note], *, of_mean: bool = False) -> Judgement:
    """The verdict on one value; `reasons` are those that withhold whatever the value is.

    A mean under `each-and-mean` has a limit of its own, `limit_mean`.
    """
    field = "limit_mean" if of_mean and criterion.judged == "each-and-mean" else "limit"
    limit: Quantity | None = getattr(criterion, field)
    reasons = [*reasons, *missing_fields(criterion, limit=field)]
    if figures is None or limit is None or limit.dimension != QUANTITIES[figures.quantity].dimension:
        return Judgement(verdict="withheld", reasons=tuple(reasons), figures=figures)
    value, band = rounded(figures.value, criterion, limit), guard_band(criterion, figures)
    verdict = "withheld" if reasons else _decide(criterion, figures.bound, value, limit.inside, band or 0.0)
    if verdict == "withheld" and not reasons:
        reasons = [Note(code="range.bound_undecided", params={"bound": figures.shown, "limit": limit.text})]
    return Judgement(
        verdict=verdict,
        reasons=tuple(reasons),
        comparison=_plain(figures.bound, value, limit.inside),
        figures=figures,
        limit=limit.inside,
        guard_band=band,
        probability_over=None if figures.bound or any(reason.code in DOUBTED for reason in reasons) else _probability(figures, limit.inside),
        judged_as=value if criterion.rounding == "to-limit" and not figures.bound and value > 0.0 else None,
    )


def _decide(criterion: Criterion, bound: str, value: float, bar: float, band: float) -> str:
    if bound:
        return conformity.decide_bound(rule=criterion.decision_rule, sense=criterion.sense, bound=bound, value=value, limit=bar, guard_band=band)
    return conformity.decide(rule=criterion.decision_rule, sense=criterion.sense, value=value, limit=bar, guard_band=band)


def _plain(bound: str, value: float, bar: float) -> str:
    """below, at or over the limit; nothing where a bound leaves that open."""
    side = conformity.compare(value=value, limit=bar)
    if bound:
        return {"<": "" if side == "over" else "below", ">": "" if side == "below" else "over"}[bound]
    return side


def _probability(figures: Figures, bar: float) -> float:
    return conformity.probability_over(
        value=figures.value, limit=bar, standard_uncertainty=figures.standard_uncertainty, degrees_of_freedom=figures.degrees_of_freedom
    )


def guard_band(criterion: Criterion, figures: Figures) -> float | None:
    """The agreed amount, or what the agreed level makes of this result's uncertainty; None for the simple rule."""
    if criterion.decision_rule not in GUARDED or criterion.guard_band == "":
        return None
    if isinstance(criterion.guard_band, Quantity):
        return criterion.guard_band.inside
    if criterion.level is None:
        return None
    return conformity.guard_band(
        kind=criterion.guard_band,
        standard_uncertainty=figures.standard_uncertainty,
        degrees_of_freedom=figures.degrees_of_freedom,
        level=criterion.level.inside,
    )


def rounded(value: float, criterion: Criterion, limit: Quantity) -> float:
    """The value at the decimals of the limit, half away from zero, where the contract rounds before judging."""
    if criterion.rounding != "to-limit":
        return value
    digits = re.match(r"[^.]*?\d+\.(\d*)", limit.text)
    decimals = len(digits[1]) if digits else 0
    step = Fraction(1, int("1" + "0" * decimals)) * DIMENSIONS[limit.dimension].units[limit.unit]
    steps = Fraction(value) / step
    whole = int(abs(steps) + Fraction(1, 2))
    return float(step * (whole if steps >= 0 else -whole))


def judgement_dict(criterion: Criterion, judgement: Judgement) -> dict[str, Any]:
    """A verdict as it stands in the outcome, in the unit its quantity is shown in."""
    row: dict[str, Any] = {
        "criterion": criterion.id,
        "verdict": judgement.verdict,
        "decision_rule": criterion.decision_rule,
        "reasons": unique(list(judgement.reasons)),
    }
    if not criterion.decision_rule:
        del row["decision_rule"]
    if judgement.comparison:
        row["comparison"] = judgement.comparison
    if only_accepted(criterion, judgement):
        row["accepted"] = True
    figures = judgement.figures
    if figures:
        kind = QUANTITIES[figures.quantity]
        row |= {
            "value": to_shown(value=figures.value, quantity=figures.quantity),
            "unit": kind.shown_unit,
            "quantity": figures.quantity,
            "shown_value": figures.shown,
        }
        if figures.bound:
            row["bound"] = figures.bound
        if figures.reference_temperature is not None:
            row["reference_temperature"] = f"{figures.reference_temperature:g} degC"
        if judgement.guard_band is not None:
            band = to_shown(value=judgement.guard_band, quantity=figures.quantity)
            row |= {"guard_band": band, "shown_guard_band": _shown_band(band, figures.quantity)}
        for name, amount in (("limit", judgement.limit), ("rounded", judgement.judged_as)):
            if amount is not None:
                in_unit = to_shown(value=amount, quantity=figures.quantity)
                row |= {name: in_unit, f"shown_{name}": show(in_unit, unit=kind.shown_unit, decimals=_decimals(in_unit, kind.decimals))}
        _add_edges(row, judgement, criterion, figures)
        if judgement.probability_over is not None:
            row |= {"probability_over_limit": judgement.probability_over, "shown_probability": chance(judgement.probability_over)}
    row["shown"] = wording.verdict_sentence(row, sense=criterion.sense)
    return row


def _add_edges(row: dict[str, Any], judgement: Judgement, criterion: Criterion, figures: Figures) -> None:
    """Where a guarded rule accepts and rejects, for the ruler and the sentence; one place, where nothing is inconclusive."""
    if judgement.limit is None or not judgement.guard_band or not criterion.sense:
        return
    kind = QUANTITIES[figures.quantity]
    agreed = {"rule": criterion.decision_rule, "sense": criterion.sense}
    for name, edge_of in (("accepts_to", conformity.acceptance_limit), ("rejects_from", conformity.rejection_limit)):
        edge = to_shown(value=edge_of(limit=judgement.limit, guard_band=judgement.guard_band, **agreed), quantity=figures.quantity)
        row |= {name: edge, f"shown_{name}": show(edge, unit=kind.shown_unit, decimals=kind.decimals)}


def _shown_band(band: float, quantity: str) -> str:
    """An agreed amount as whole as a limit, what an uncertainty gives as the uncertainty."""
    kind = QUANTITIES[quantity]
    whole = _decimals(band, kind.decimals) == 0
    return show(band, unit=kind.shown_unit, decimals=0) if whole else show_width(band, quantity=quantity)


def _decimals(value: float, usual: int) -> int:
    """Whole limits are shown whole."""
    return 0 if abs(value - int(value)) < 1e-9 and abs(value) >= 1 else max(usual, 1)


def chance(probability: float) -> str:
    """A chance for people: never 0 % or 100 %."""
    if probability < 0.001:
        return "< 0.1\u00a0%"
    if probability > 0.999:
        return "> 99.9\u00a0%"
    decimals = 1 if probability < 0.1 or probability > 0.9 else 0
    return show(100.0 * probability, unit="%", decimals=decimals)
