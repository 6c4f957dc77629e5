# SPDX-License-Identifier: MIT
"""What so many passes can and cannot show about the places that nobody tested."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from brackish.quantities import QUANTITIES, show, significant
from brackish.science import sampling
from brackish.science.uncertainty import from_repeats, pooled_scatter

CONFIDENCE = 0.95
SHARE = 0.95  # of all places, where a share to be shown must be named


def of_passes(passes: int, *, done: bool = True) -> dict[str, Any]:
    """The share of places that could still be over the limit when every tested one passed: {passes, confidence, share_open, needed, shown}.

    `done` False: how it would be if all those asked for passed.
    """
    share_open = sampling.largest_share_bad(passes=passes, confidence=CONFIDENCE)
    needed = sampling.smallest_count(content=SHARE, confidence=CONFIDENCE)
    if passes == 1:
        found = "The one tested passed: if" if done else "If the one passes and"
    else:
        found = f"All {passes} passed: if" if done else f"If all {passes} pass and"
    return {
        "passes": passes,
        "confidence": CONFIDENCE,
        "share_open": share_open,
        "needed": needed,
        "shown": f"{found} the places were chosen by chance, up to {_percent(share_open)} of such places could still be over the limit "
        f"({_percent(CONFIDENCE)} confidence). To show less than {_percent(1.0 - SHARE)}, {needed} must pass.",
    }


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
    kind, n = QUANTITIES[quantity], len(values)
    mean, spread = from_repeats(values=values).value, pooled_scatter(groups=[values])[0]
    factor = sampling.tolerance_factor(n=n, content=SHARE, confidence=CONFIDENCE)
    reach = mean + factor * spread
    shown = show(reach, unit=kind.shown_unit, decimals=kind.decimals)
    return {
        "n": n,
        "mean": mean,
        "standard_deviation": spread,
        "factor": factor,
        "reach": reach,
        "shown": f"By the scatter of {n} results, {_percent(SHARE)} of such places lie under {shown} ({_percent(CONFIDENCE)} confidence): "
        f"mean + {significant(factor)} × standard deviation. It holds where results scatter as a normal distribution does and places were chosen by chance.",
    }


def _percent(share: float) -> str:
    return show(100.0 * share, unit="%", decimals=0)
