# SPDX-License-Identifier: MIT
"""Where things stand on a ruler: pure positions in percent of its width, for any program that draws.

A ruler shows one result with its interval, the limit and the guard band. A strip shows several
results of an item on one limit line, and no band, because each result has its own.
Nothing is judged here: verdicts come from the outcome, numbers for people from its `shown` texts.
Next: `typ/ruler.typ`, which draws what is returned.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

Drawing = dict[str, Any]

ROOM = 1.6  # the scale ends at this many limits, so that the limit stands at about five eighths
NEAR = 6.0  # a close-up is added when the interval is narrower than this, in percent
FLAG_TURNS = 55.0  # the flag flies to the right up to here, then to the left
WORDS_NEED = 15.0  # the words of an edge of the band want this much room, in percent; else both stand on the other side
STEPS = (1.0, 2.0, 2.5, 5.0, 10.0)


@dataclass(frozen=True)
class Reading:
    """What is to be placed: one result against one limit, all in one unit."""

    value: float
    expanded: float | None = None
    bound: str = ""  # "<" or ">" where the value is a bound
    limit: float | None = None
    band: tuple[float | None, float | None] = (None, None)  # lower and upper edge, where the rule has them


@dataclass(frozen=True)
class Scale:
    """A line from `low` to `high` with a numeral each `step`."""

    low: float
    high: float
    step: float

    def at(self, value: float) -> float:
        """The place of a value, percent of the width, never outside the line."""
        return round(min(100.0, max(0.0, 100.0 * (value - self.low) / (self.high - self.low))), 3)

    def numerals(self) -> list[Drawing]:
        count = round((self.high - self.low) / self.step)
        decimals = next(n for n in range(12) if abs(round(self.step, n) - self.step) < 1e-9 * self.step)
        values = [self.low + index * self.step for index in range(count + 1)]
        return [{"at": self.at(value), "label": f"{value:.{decimals}f}".replace("-", "\u2212")} for value in values]

    def fine(self) -> list[float]:
        """Short ticks: four to a numeral where the line is long enough for them, else two."""
        parts = 4 if (self.high - self.low) / self.step <= 6 else 2
        count = round((self.high - self.low) / self.step) * parts
        return [self.at(self.low + index * self.step / parts) for index in range(count + 1) if index % parts]


def scale_over(*, low: float, high: float, most: int = 6) -> Scale:
    """The narrowest scale with round numerals, at most `most` steps, that holds both ends.

    >>> scale_over(low=0, high=80)
    Scale(low=0.0, high=80.0, step=20.0)

    """
    width = high - low if high > low else abs(high) or 1.0
    size = 1.0
    while size * 10 <= width:
        size *= 10
    while size > width:
        size /= 10
    for step in (size * factor / 10 for factor in (*STEPS, *(10 * factor for factor in STEPS))):
        first, last = step * _floor(low / step), step * -_floor(-high / step)
        if round((last - first) / step) <= most:
            return Scale(low=first, high=last if last > first else first + step, step=step)
    raise ValueError(f"no scale from {low} to {high}")  # cannot happen: ten times the width holds any


def _floor(value: float) -> int:
    whole = int(value // 1)
    return whole + 1 if value - whole > 1 - 1e-9 else whole


def common_scale(*, values: list[float], limit: float | None) -> Scale:
    """One scale for several results: from zero, or below it, to the largest or well past the limit."""
    ends = [*values, 0.0]
    if limit is not None:
        ends.append(ROOM * limit)
    return scale_over(low=min(ends), high=max(ends), most=5)


def ruler(reading: Reading) -> Drawing:
    """The positions of one result on its ruler, with a close-up where the interval is too small to see."""
    edges = _interval(reading)
    scale = common_scale(values=[reading.value, *edges], limit=reading.limit)
    drawing = _line(reading, scale)
    window = _window(reading)
    if window and edges and scale.at(edges[1]) - scale.at(edges[0]) < NEAR and window.high - window.low < (scale.high - scale.low) / 2:
        drawing["closeup"] = _line(reading, window)
        drawing["lens"] = [scale.at(window.low), scale.at(window.high)]
    return drawing


def _interval(reading: Reading) -> list[float]:
    if reading.bound or reading.expanded is None:
        return []
    return [reading.value - reading.expanded, reading.value + reading.expanded]


def _window(reading: Reading) -> Scale | None:
    """The part of the scale that holds limit, band and interval, where they lie near each other."""
    if reading.limit is None or not reading.expanded or reading.bound:
        return None
    marks = [reading.limit, *_interval(reading), *(edge for edge in reading.band if edge is not None)]
    room = reading.expanded
    if abs(reading.value - reading.limit) > 6 * reading.expanded:
        return None
    return scale_over(low=min(marks) - room, high=max(marks) + room, most=8)


def _line(reading: Reading, scale: Scale) -> Drawing:
    at = scale.at(reading.value)
    drawing: Drawing = {"numerals": scale.numerals(), "fine": scale.fine(), "at": at, "flag": "right" if at <= FLAG_TURNS else "left"}
    if reading.limit is not None:
        drawing["limit"] = scale.at(reading.limit)
        drawing["numerals"] = [mark for mark in drawing["numerals"] if abs(mark["at"] - drawing["limit"]) > 4]
        lower, upper = reading.band
        if lower is not None or upper is not None:
            drawing["band"] = [scale.at(reading.limit if edge is None else edge) for edge in (lower, upper)]
            drawing["words"] = "right" if drawing["band"][0] < WORDS_NEED else "left" if drawing["band"][1] > 100 - WORDS_NEED else "apart"
    if edges := _interval(reading):
        drawing["span"] = [scale.at(edge) for edge in edges]
    if reading.bound:
        drawing["arrow"] = [scale.at(0.0), at] if reading.bound == "<" else [at, 100.0]
    return drawing


def strip(*, readings: list[tuple[float, str]], limit: float | None, scale: Scale) -> Drawing:
    """Several results of one item: the place of each, with the kind of mark it gets."""
    drawing: Drawing = {"marks": [{"at": scale.at(value), "kind": kind} for value, kind in readings]}
    if limit is not None:
        drawing["limit"] = scale.at(limit)
    return drawing


def bars(contributions: list[float]) -> list[float]:
    """The length of each bar of a budget, percent of the longest."""
    longest = max((abs(part) for part in contributions), default=0.0)
    return [round(100 * abs(part) / longest, 3) if longest else 0.0 for part in contributions]
