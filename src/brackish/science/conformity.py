# SPDX-License-Identifier: MIT
"""A result against a limit: the plain comparison, the chance of being over, the guard band and the four decision rules.

The rule is agreed before the result is known (ISO/IEC 17025, ILAC-G8) and is an argument here, never a default. Each
rule is one row of `RULES`: where acceptance ends and where rejection begins, in guard bands from the limit.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

from brackish.errors import InputError
from brackish.science.elementary import student_cdf, student_quantile
from brackish.science.uncertainty import LEVEL, UNCERTAINTY
from brackish.science.validity import Range, check_finite

SAME = 1e-12  # relative: closer than this to a limit is at the limit, whatever the units it was typed in
GUARD_BAND = Range("guard band", "", 0.0, float("inf"), "a guard band is a width")
SENSES = ("at-most", "below", "at-least")

Comparison = Literal["below", "at", "over"]
Decision = Literal["pass", "fail", "inconclusive"]
BoundDecision = Literal["pass", "fail", "withheld"]


class Rule(NamedTuple):
    """Where acceptance ends and rejection begins, in guard bands from the limit (minus: on its safe side)."""

    acceptance: float
    rejection: float


RULES = {
    "simple-acceptance": Rule(0.0, 0.0),
    "guarded-acceptance": Rule(-1.0, -1.0),
    "three-way": Rule(-1.0, 1.0),
    "guarded-rejection": Rule(1.0, 1.0),
}


def compare(*, value: float, limit: float) -> Comparison:
    """Whether a value is "below", "at" or "over" a limit; every comparison with a limit goes through here.

    Parameters
    ----------
    value, limit : scalar
        In one unit.

    Returns
    -------
    word
        "at" within 1e-12 relative, so that a limit typed in another unit gives the same verdict.

    Source
    ------
    own

    """
    check_finite("value", value)
    check_finite("limit", limit)
    if abs(value - limit) <= SAME * max(abs(value), abs(limit)):
        return "at"
    return "over" if value > limit else "below"


def probability_over(*, value: float, limit: float, standard_uncertainty: float, degrees_of_freedom: float | None = None) -> float:
    """The chance that the true value is over the limit, given what was measured and nothing else.

    For `at-least` criteria the chance of being below is one minus this. What was known before (an amount cannot be
    negative) is left out; that matters for results below twice their uncertainty.

    Parameters
    ----------
    value, limit, standard_uncertainty : scalar
        In one unit.
    degrees_of_freedom : scalar
        None: infinite.

    Returns
    -------
    scalar
        0 to 1.

    Source
    ------
    jcgm-106 7.3, with Student's t in place of the normal where degrees of freedom are finite

    """
    UNCERTAINTY.check(standard_uncertainty)
    if not standard_uncertainty:
        return 1.0 if compare(value=value, limit=limit) == "over" else 0.0
    return student_cdf((value - limit) / standard_uncertainty, degrees_of_freedom)


def guard_band(*, kind: str, standard_uncertainty: float, degrees_of_freedom: float | None, level: float) -> float:
    """The width by which a limit is moved to guard against wrong acceptance.

    Parameters
    ----------
    kind : word
        "two-sided": the expanded uncertainty at the level, at 95 % about 2.5 % wrong acceptance at worst. "one-sided": 5 %.
    standard_uncertainty : scalar
        Of the result.
    degrees_of_freedom : scalar
        None: infinite. With few, a factor of 2 would guard too little.
    level : scalar
        Such as 0.95.

    Returns
    -------
    scalar
        In the unit of the result.

    Source
    ------
    ilac-g8 4.2.2; jcgm-106 8.3

    """
    LEVEL.check(level)
    UNCERTAINTY.check(standard_uncertainty)
    chances = {"two-sided": 0.5 * (1.0 + level), "one-sided": level}
    if kind not in chances:
        raise InputError("science.unknown", name="kind of guard band", given=kind, allowed=list(chances))
    return max(student_quantile(chances[kind], degrees_of_freedom), 0.0) * standard_uncertainty


def acceptance_limit(*, rule: str, sense: str, limit: float, guard_band: float = 0.0) -> float:
    """The last value that passes: the limit moved by the guard band as the rule says (`RULES`)."""
    return limit + _side(sense) * _rule(rule, guard_band).acceptance * guard_band


def rejection_limit(*, rule: str, sense: str, limit: float, guard_band: float = 0.0) -> float:
    """The value beyond which a result fails; between acceptance and rejection limit it is inconclusive."""
    return limit + _side(sense) * _rule(rule, guard_band).rejection * guard_band


def decide(*, rule: str, sense: str, value: float, limit: float, guard_band: float = 0.0) -> Decision:
    """The verdict on a value under the agreed rule.

    Parameters
    ----------
    rule : word
        A key of `RULES`.
    sense : word
        "at-most" and "at-least" accept a value at the edge, "below" does not.
    value, limit, guard_band : scalar
        In one unit.

    Returns
    -------
    word
        "pass", "fail" or "inconclusive". A pass over the limit is possible under guarded-rejection only.

    Source
    ------
    ilac-g8 4.2

    """
    accepted_to = acceptance_limit(rule=rule, sense=sense, limit=limit, guard_band=guard_band)
    rejected_from = rejection_limit(rule=rule, sense=sense, limit=limit, guard_band=guard_band)
    if _meets(sense, value, accepted_to):
        return "pass"
    return "inconclusive" if _meets(sense, value, rejected_from) else "fail"


def decide_bound(*, rule: str, sense: str, bound: str, value: float, limit: float, guard_band: float = 0.0) -> BoundDecision:
    """The verdict on a reading known only as "<" or ">" a value: given where every reading it can stand for has the same, else withheld.

    A bound short of the limit itself never fails, not even under guarded-acceptance, by agreement.

    Parameters
    ----------
    rule, sense : word
        As `decide`.
    bound : word
        "<" or ">".
    value, limit, guard_band : scalar
        In one unit; the guard band is an agreed amount or that of a reading at the bound.

    Returns
    -------
    word
        "pass", "fail" or "withheld".

    Source
    ------
    contract bounds under guarded rules

    """
    if bound not in ("<", ">"):
        raise InputError("science.unknown", name="bound", given=bound, allowed=["<", ">"])
    side = _side(sense)
    if (bound == "<") == (side > 0.0):  # all readings lie to the good side of the bound
        accepted_to = acceptance_limit(rule=rule, sense=sense, limit=limit, guard_band=guard_band)
        return "withheld" if compare(value=side * value, limit=side * accepted_to) == "over" else "pass"
    failing_from = limit + side * max(_rule(rule, guard_band).rejection, 0.0) * guard_band
    return "withheld" if compare(value=side * value, limit=side * failing_from) == "below" else "fail"


def _meets(sense: str, value: float, edge: float) -> bool:
    """Whether a value is on the good side of an edge."""
    found = compare(value=value, limit=edge)
    return {"at-most": found != "over", "below": found == "below", "at-least": found != "below"}[sense]


def _side(sense: str) -> float:
    """Which way is worse: up, or down for at-least."""
    if sense not in SENSES:
        raise InputError("science.unknown", name="sense", given=sense, allowed=list(SENSES))
    return -1.0 if sense == "at-least" else 1.0


def _rule(rule: str, guard_band: float) -> Rule:
    if rule not in RULES:
        raise InputError("science.unknown", name="decision rule", given=rule, allowed=list(RULES))
    GUARD_BAND.check(guard_band)
    return RULES[rule]
