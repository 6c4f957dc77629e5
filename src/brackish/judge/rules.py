# SPDX-License-Identifier: MIT
"""The seven kinds of rule a method file may hold, applied to one test.

Each kind is one small function: it answers None when the rule is kept or says nothing, else the
parameters of its finding.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from functools import cache
from typing import Any

from brackish.judge.inputs import mean_value
from brackish.judge.outcome import Finding
from brackish.judge.terms import TERMS, Seen
from brackish.library.types import Rule
from brackish.quantities import DIMENSIONS, Quantity, dimension_of, parse, show, shown_unit, significant

Params = dict[str, Any]


def findings_of(rules: tuple[Rule, ...], seen: Seen) -> list[Finding]:
    """The findings that the rules of a method give for this test."""
    found = []
    for rule in rules:
        params = KINDS[rule.kind](rule, seen)
        if params is not None:
            found.append(Finding(code=rule.code, severity=rule.severity, params=params | _source(rule)))
    return found


def _source(rule: Rule) -> Params:
    return {"rule": rule.kind, "source": rule.source} | ({} if rule.checked else {"checked": False})


def _value(rule: Rule, seen: Seen) -> Any:
    if rule.value in TERMS:
        return TERMS[rule.value](seen)
    return seen.facts.get(rule.value)


def _limit(text: str, seen: Seen) -> Any:
    """A limit as written in the file, or a field the contract agreed."""
    if text.startswith("criterion."):
        return getattr(seen.criterion, text.removeprefix("criterion."), None)
    if text == "test.date":
        return seen.kit.test.at.date() if seen.kit.test.at else None
    if text.isdigit():
        return int(text)
    return _written(text)


@cache
def _written(text: str) -> Quantity:
    """A limit of a method file, of which there are few."""
    unit = text.split(" ", 1)[1]
    return parse(text, dimension="ratio" if unit == "%" else (dimension_of(unit) or "ratio"))


def _number(value: Any) -> float | None:
    if isinstance(value, Quantity):
        return value.inside
    if isinstance(value, tuple):
        return mean_value(value)
    return value if isinstance(value, int | float) and not isinstance(value, bool) else None


def _text(value: Any, like: Any) -> str:
    """A value as people write it, in the unit of the limit it was compared with."""
    if isinstance(value, Quantity):
        return value.text
    if isinstance(value, tuple) and value:
        return ", ".join(each.text for each in value)
    if isinstance(like, Quantity) and isinstance(value, float):
        factor = float(DIMENSIONS[like.dimension].units[like.unit])
        return f"{significant(value / factor)}\u00a0{shown_unit(like.unit)}"
    return show(value, unit="", decimals=2) if isinstance(value, float) else str(value)


def _compared(rule: Rule, seen: Seen, broken: Callable[[float, float], bool]) -> Params | None:
    value, limit = _value(rule, seen), _limit(rule.limit, seen)
    number, bound = _number(value), _number(limit)
    if number is None or bound is None or not broken(number, bound):
        return None
    return {"fact": rule.value, "given": _text(value, limit), "allowed": _text(limit, limit)}


def _at_most(rule: Rule, seen: Seen) -> Params | None:
    return _compared(rule, seen, lambda number, bound: number > bound * (1.0 + 1e-12))


def _at_least(rule: Rule, seen: Seen) -> Params | None:
    return _compared(rule, seen, lambda number, bound: number < bound * (1.0 - 1e-12))


def _between(rule: Rule, seen: Seen) -> Params | None:
    value, lowest, highest = _value(rule, seen), _limit(rule.lowest, seen), _limit(rule.highest, seen)
    number = _number(value)
    if number is None or _number(lowest) * (1.0 - 1e-12) <= number <= _number(highest) * (1.0 + 1e-12):  # type: ignore[operator]
        return None
    return {"fact": rule.value, "given": _text(value, lowest), "lowest": _text(lowest, lowest), "highest": _text(highest, highest)}


def _one_of(rule: Rule, seen: Seen) -> Params | None:
    value = _value(rule, seen)
    if value is None or value in rule.allowed:
        return None
    return {"fact": rule.value, "given": _word(value), "allowed": ", ".join(_word(each) for each in rule.allowed)}


def _word(value: Any) -> str:
    return {True: "yes", False: "no"}.get(value, str(value)) if isinstance(value, bool) else str(value)


def _required(rule: Rule, seen: Seen) -> Params | None:
    return {"fact": rule.value} if _value(rule, seen) is None else None


def _agreed_by(rule: Rule, seen: Seen) -> Params | None:
    """The value says who agreed what the limit names; nothing is asked when that was not done."""
    done = rule.limit == "" or seen.facts.get(rule.limit) is not None
    return {"fact": rule.limit or rule.value} if done and not _value(rule, seen) else None


def _not_after(rule: Rule, seen: Seen) -> Params | None:
    """The limit (often the day of the test) is not after the value (often an expiry)."""
    last, day = _value(rule, seen), _limit(rule.limit, seen)
    if not isinstance(last, date) or not isinstance(day, date) or day <= last:
        return None
    return {"fact": rule.value, "given": day.isoformat(), "allowed": last.isoformat()}


KINDS: dict[str, Callable[[Rule, Seen], Params | None]] = {
    "required": _required,
    "at_most": _at_most,
    "at_least": _at_least,
    "between": _between,
    "one_of": _one_of,
    "agreed_by": _agreed_by,
    "not_after": _not_after,
}
