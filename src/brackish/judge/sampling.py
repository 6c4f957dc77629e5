# SPDX-License-Identifier: MIT
"""What so many passes can and cannot show about the places that nobody tested."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from brackish.quantities import QUANTITIES, show, significant
from brackish.science import sampling

CONFIDENCE = 0.95
SHARE = 0.95  # of all places, where a share to be shown must be named


def of_passes(passes: int, *, retested: int = 0, sense: str = "at-most", done: bool = True) -> dict[str, Any]:
    """The share of places that could still miss the limit when every tested one passed: {passes, confidence, share_open, needed, shown}.

    `retested` of them passed in a later round only: no sample of the rest any more, so all of it is open.
    `done` False: how it would be if all those asked for passed.
    """
    share_open = 1.0 if retested else sampling.largest_share_bad(passes=passes, confidence=CONFIDENCE)
    needed = sampling.smallest_count(content=SHARE, confidence=CONFIDENCE)
    return {
        "passes": passes,
        "confidence": CONFIDENCE,
        "share_open": share_open,
        "needed": needed,
        "shown": _after_retests(passes, retested) if retested else _by_chance(passes, share_open, needed, sense, done),
    }


def _by_chance(passes: int, share_open: float, needed: int, sense: str, done: bool) -> str:
    if passes == 1:
        found = "The one tested passed: if" if done else "If the one passes and"
    else:
        found = f"All {passes} passed: if" if done else f"If all {passes} pass and"
    return (
        f"{found} the places were chosen by chance, up to {_percent(share_open)} of such places could still be "
        f"{'under' if sense == 'at-least' else 'over'} the limit ({_percent(CONFIDENCE)} confidence). "
        f"To show less than {_percent(1.0 - SHARE)}, {needed} must pass."
    )


def _after_retests(passes: int, retested: int) -> str:
    found = "The one tested passed" if passes == 1 else f"All {passes} passed"
    when = "only when tested again" if retested == passes else f"{retested} of them only when tested again"
    return f"{found}, {when}. What was tested again because of its result says nothing about places that nobody tested."


def of_results(values: Sequence[float], quantity: str) -> dict[str, Any] | None:
    """A limit that 95 % of such places lie under with 95 % confidence, if the amounts scatter as a normal distribution does; None of fewer than three.

    Parameters
    ----------
    values : sequence, in the unit of the outcome
        One result a place.
    quantity : name
        What they are.

    Returns
    -------
    table
        {n, mean, standard_deviation, factor, reach, shown}, in that unit.

    """
    if len(values) < 3:
        return None
    kind, found = QUANTITIES[quantity], sampling.tolerance_limit(values=values, content=SHARE, confidence=CONFIDENCE)
    shown = show(found.limit, unit=kind.shown_unit, decimals=kind.decimals)
    return {
        "n": found.n,
        "mean": found.mean,
        "standard_deviation": found.standard_deviation,
        "factor": found.factor,
        "reach": found.limit,
        "shown": f"By the scatter of {found.n} results, {_percent(SHARE)} of such places lie under {shown} ({_percent(CONFIDENCE)} confidence): "
        f"mean + {significant(found.factor)} × standard deviation. It holds where results scatter as a normal distribution does and places were chosen by chance.",
    }


def _percent(share: float) -> str:
    return show(100.0 * share, unit="%", decimals=0)
