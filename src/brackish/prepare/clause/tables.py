# SPDX-License-Identifier: MIT
"""Figures of tables: a unit in the header or the cell before, the number in a cell of its own."""

from __future__ import annotations

import re

from brackish.prepare.clause.figures import BARE_UNIT, DIGITS, Figure, number_of, unit_of
from brackish.prepare.clause.segments import Segment

_CELL = re.compile(r"[|\t]|\s{3,}")


def bare_numbers(low: str, segment: Segment, header_units: list[tuple[int, str]], comma_decimals: bool) -> list[Figure]:
    """Figures whose unit stands before the number, or in the header of their table column."""
    out: list[Figure] = []
    for match in BARE_UNIT.finditer(low, segment.start, segment.end):
        unit = unit_of(match)
        if not unit or unit in ("other", "", "L", "h", "s", "d", "min", "%", "um") or (match.start() and low[match.start() - 1].isdigit()):
            continue
        if spoilt_number_before(low, segment.start, match.start()):
            continue
        window = low[match.end() : min(segment.end, match.end() + 70)]
        number = re.match(
            rf"[\s)\]:,|\t=-]*(?:[a-z<>=.,\s:|-]{{0,48}}?)(?P<number>(?<![\w.-]){DIGITS})(?!\w|\s?[-/]\d|\s{{0,2}}(?:m|u|%|°|h\b|ft|sq|tests?|read))", window
        )
        if number and not re.search(r"iso|astm|test|per\b|table|within|hour|section|clause|part|en\s?$|sspc|nace", number.group()):
            digits, value = number_of(number["number"], comma_decimals=comma_decimals)
            if digits:
                out.append(
                    Figure(digits, value, unit, match.end() + number.start("number"), match.end() + number.end("number"), (match["species"] or "").strip())
                )
    if header_units:
        out += _in_columns(low, segment, header_units, comma_decimals)
    return out


_SPOILT = re.compile(r"(?:\S*\d\S*|(?<![a-z.-])[oslibz])\s{0,2}[|\[(]?\s?$")


def spoilt_number_before(low: str, start: int, unit: int) -> bool:
    """Whether what stands before a unit is, or was before a scanner spoilt it, a number: 50, 5o, l0, a lone s."""
    return bool(_SPOILT.search(low, max(start, unit - 12), unit))


def spoilt(low: str, segment: Segment) -> bool:
    """Whether a limit seems to stand here whose number cannot be read."""
    units = (match for match in BARE_UNIT.finditer(low, segment.start, segment.end) if "/" in unit_of(match))
    return any(spoilt_number_before(low, segment.start, match.start()) for match in units)


def cells(low: str, segment: Segment) -> list[tuple[int, int]]:
    """Start and end of each cell of a row."""
    out, at = [], segment.start
    for match in _CELL.finditer(low, segment.start, segment.end):
        out.append((at, match.start()))
        at = match.end()
    out.append((at, segment.end))
    return [cell for cell in out if low[cell[0] : cell[1]].strip()]


def _in_columns(low: str, segment: Segment, header_units: list[tuple[int, str]], comma_decimals: bool) -> list[Figure]:
    row = cells(low, segment)
    out = []
    for index, unit in header_units:
        if index >= len(row):
            continue
        match = re.fullmatch(rf"\s*(?:max\.?|<=?|not more than|up to|not over)?\s*(?P<number>{DIGITS})\s*(?:max\.?)?\s*", low[row[index][0] : row[index][1]])
        if match:
            digits, value = number_of(match["number"], comma_decimals=comma_decimals)
            if digits:
                out.append(Figure(digits, value, unit, row[index][0] + match.start("number"), row[index][0] + match.end("number")))
    return out


def header_units_of(low: str, segment: Segment) -> list[tuple[int, str]]:
    """Units that stand alone in the cells of a row: the header of a table."""
    out = []
    for index, (a, b) in enumerate(cells(low, segment)):
        match = BARE_UNIT.search(low, a, b)
        unit = unit_of(match) if match else ""
        if match and unit and unit != "other" and not re.search(r"\d", low[a : match.start()]) and ("/" in unit or unit == "ppm"):
            out.append((index, unit))
    return out
