# SPDX-License-Identifier: MIT
"""A meter's checks in standard solutions: what each found, and which tests stand between a bad one and the last good one.

The same functions that give a result its gain (`judge/meters.py`, `science/solutions.py`) say here, before any
test, whether the meter is fit for the day.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from brackish.errors import BrackishError, InputFaults, OutOfRange
from brackish.judge import meters
from brackish.judge.inputs import figure
from brackish.quantities import show
from brackish.record import fields
from brackish.record.job import Equipment, Verification
from brackish.science import solutions

SAME = 1e-12  # a deviation this close to the limits of error, relative, counts as within them
METER = "conductivity-meter"


@dataclass(frozen=True, kw_only=True)
class Check:
    """One reading of a standard solution, compared."""

    at: datetime
    solution: str
    reading: str
    expected: str  # what a faultless meter would show; empty where nothing is known of the solution there
    deviation: float | None  # relative
    shown: str
    allowed: float
    shown_allowed: str
    good: bool | None

    def to_dict(self) -> dict[str, Any]:
        """As the API says it; what cannot be said is absent."""
        row = {"solution": self.solution, "reading": self.reading, "allowed": self.allowed, "shown_allowed": self.shown_allowed}
        known = {"expected": self.expected, "deviation": self.deviation, "shown": self.shown, "good": self.good}
        return row | (known if self.good is not None else {})


def meter_of(entry: Mapping[str, Any]) -> Equipment:
    """A meter as its entry in a job says it; raises all its faults."""
    return _read(Equipment, entry, "equipment")


def check_of(*, meter: Equipment, check: Mapping[str, Any]) -> Check:
    """One check of a meter, from its texts."""
    return compared(meter, _read(Verification, check, "verification"))


def checks_of(meter: Equipment) -> list[Check]:
    """All checks of a meter in the order of their times."""
    return [compared(meter, check) for check in sorted(meter.verification, key=lambda check: check.at)]


def compared(meter: Equipment, check: Verification) -> Check:
    """How far a check found the meter off, and whether its limits of error allow that."""
    reference = meters.reference_temperature(meter)
    as_set: dict[str, Any] = {
        "solution": check.solution,
        "temperature": check.temperature.inside if check.temperature else reference,
        "compensation": meter.temperature_compensation or "linear",
        "coefficient": (meter.temperature_coefficient or figure("temperature_coefficient")).inside,
        "reference_temperature": reference,
    }
    most = meters.allowed(meter, check)
    try:
        expected: float | None = solutions.reading_expected(**as_set)
        deviation: float | None = solutions.verification_deviation(reading=check.reading.inside, **as_set)
    except OutOfRange:
        expected = deviation = None
    return Check(
        at=check.at,
        solution=check.solution,
        reading=check.reading.text,
        expected=show(expected, unit="uS/cm", decimals=1) if expected is not None else "",
        deviation=deviation,
        shown=meters.percent(deviation) if deviation is not None else "",
        allowed=most,
        shown_allowed=meters.percent(most).replace("+", "±\u202f"),
        good=None if deviation is None else abs(deviation) <= most * (1.0 + SAME),
    )


def doubtful(*, checks: list[Check], times: Mapping[str, datetime]) -> dict[str, Check]:
    """Tests read after the last good check before a bad one, or after a bad one before the next good one: test -> the bad check."""
    found: dict[str, Check] = {}
    for index, bad in enumerate(checks):
        if bad.good is not False:
            continue
        since = max((check.at for check in checks[:index] if check.good), default=None)
        until = min((check.at for check in checks[index + 1 :] if check.good), default=None)
        for test, at in times.items():
            if (since is None or at > since) and (until is None or at < until):
                found.setdefault(test, bad)
    return found


def _read(kind: type, raw: Mapping[str, Any], place: str) -> Any:
    faults: list[BrackishError] = []
    read = fields.read_table(kind, raw, place, faults)
    if faults:
        raise InputFaults(faults)
    return read
