# SPDX-License-Identifier: MIT
"""For each method: its quantities as formulas of named inputs, with the working shown.

`MODELS` maps the `model` of a method file to the function that builds the measurements of a test.
The formulas themselves are in `science/amounts.py` and `science/electrolyte.py`; here they meet the
facts of a test. `patch.py` holds the patch, `chloride.py` tubes and titrations, `abrasive.py`
abrasives and waters, `climate.py` the dew point.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

from brackish.judge.inputs import Kit
from brackish.judge.measurement import Measurement
from brackish.library.frozen import Frozen
from brackish.record.job import Blank


class Wish(Frozen):
    """What a criterion asks of a result: quantity, temperature it refers to, blank to take off."""

    quantity: str
    reference_temperature: float | None
    blank: Blank | None


Model = Callable[[Kit, Wish], Measurement]


@cache
def models() -> dict[str, Model]:
    """The builders by the `model` name of the method files."""
    from brackish.judge import abrasive, chloride, climate, patch

    return {
        "patch": patch.measure,
        "tube": chloride.tube,
        "sleeve": chloride.sleeve,
        "wash-titration": chloride.wash_titration,
        "abrasive-mass": abrasive.by_mass,
        "abrasive-volume": abrasive.by_volume,
        "abrasive-titration": chloride.abrasive_titration,
        "water": abrasive.water,
        "condensation": climate.measure,
    }
