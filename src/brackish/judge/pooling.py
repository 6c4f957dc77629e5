# SPDX-License-Identifier: MIT
"""Separate portions of one lot: their mean as one measurement, and whether they agree.

Two readings of one extract say how steady the meter is, never how even the lot is; only separate
portions do. How far apart they may lie is data of the method file.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from math import fsum
from typing import Any

from brackish import library
from brackish.judge.inputs import Kit, joined_bound
from brackish.judge.measurement import Measurement, joined
from brackish.judge.patch import step
from brackish.judge.portions import portions_of
from brackish.library.types import Method
from brackish.quantities import QUANTITIES, parse, show, to_shown
from brackish.science import agreement

Portion = Callable[[Mapping[str, Any], str], Measurement]


def of_portions(kit: Kit, portion: Portion) -> Measurement:
    """The mean over the portions of a test; disagreement and lonely portions are noted."""
    method = library.method(kit.test.method)
    facts = portions_of(kit.test)
    marks = [""] if len(facts) == 1 else [f":{index}" for index in range(1, len(facts) + 1)]
    parts = [portion(each, mark) for each, mark in zip(facts, marks, strict=True)]
    if len(parts) < method.determinations:
        kit.note("replicate.one_portion", "warning", wanted=method.determinations)
    if len(parts) == 1:
        return parts[0]
    if not any(row.method == method.id for row in kit.job.history):
        kit.note("replicate.portions_scatter", n=len(parts))
    bound = joined_bound(part.bound for part in parts)
    if not bound:
        _note_disagreement(kit, method, parts)
        _note_range(kit, method, parts)
    mean = joined(parts, weights=[1.0 / len(parts)] * len(parts))
    return replace(mean, steps=_steps(parts, mean), bound=bound)


def _note_disagreement(kit: Kit, method: Method, parts: list[Measurement]) -> None:
    rule, quantity = method.agreement, parts[0].quantity
    if not rule or rule.get("quantity", quantity) != quantity:
        return
    kind = QUANTITIES[quantity]
    floor = parse(rule["floor"], dimension=kind.dimension).inside
    values = [part.value for part in parts]
    check = agreement.check_share(values=values, share=parse(rule["relative"], dimension="ratio").inside, floor=floor)
    if not check.agree:
        given = show(to_shown(value=check.spread, quantity=quantity), unit=kind.shown_unit, decimals=2)
        mean = abs(fsum(values)) / len(values)
        share = show(100.0 * check.spread / mean, unit="%", decimals=1) if mean else "over 1000\u00a0%"
        kit.note("replicate.disagree", "warning", given=given, share=share, allowed=f"{rule['relative']} and {rule['floor']}")


def _note_range(kit: Kit, method: Method, parts: list[Measurement]) -> None:
    """Portions against the scatter known from earlier records, and what follows where they lie further apart; no result is dropped."""
    quantity, kind = parts[0].quantity, QUANTITIES[parts[0].quantity]
    known = next((row for row in kit.job.history if row.method == method.id and row.standard_deviation.dimension == kind.dimension), None)
    if known is None or len(parts) not in agreement.CRITICAL_RANGE_FACTORS:
        return
    check = agreement.check_range(values=[part.value for part in parts], repeatability_sd=known.standard_deviation.inside)
    if check.agree:
        return

    def shown(value: float) -> str:
        return show(to_shown(value=value, quantity=quantity), unit=kind.shown_unit, decimals=2)

    params = {"n": len(parts), "given": shown(check.spread), "allowed": shown(check.critical_range)}
    if check.result is None:
        kit.note("replicate.range_of_two", "warning", **params)
    else:
        kit.note("replicate.range_apart", "warning", median=shown(check.result), **params)


def _steps(parts: list[Measurement], mean: Measurement) -> tuple:
    kind = QUANTITIES[mean.quantity]
    shown = [show(to_shown(value=part.value, quantity=mean.quantity), unit="", decimals=kind.decimals) for part in parts]
    each = [{**row, "text": f"portion {index}: {row['text']}"} for index, part in enumerate(parts, start=1) for row in part.steps]
    value = to_shown(value=mean.value, quantity=mean.quantity)
    return (*each, step("mean of the portions", f"({' + '.join(shown)}) ÷ {len(parts)}", value, kind.shown_unit, kind.decimals))
