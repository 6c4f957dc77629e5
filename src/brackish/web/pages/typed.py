# SPDX-License-Identifier: MIT
"""A number as a person types it: with a comma or a point, and in the unit of its field where it has none of its own.

The twin of `inUnit` in `record.js`; what it leaves alone, the reader of quantities judges.
"""

from __future__ import annotations

import re

COMMA = re.compile(r"([<>]?\s*-?\d+),(\d+)(?=\s|$)")
NUMBER = re.compile(r"[<>]?\s*[-+]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][-+]?\d+)?")
_WHOLE = re.compile("[0-9]{1,9}")
_THOUSANDS = re.compile(r"\D*[1-9]\d{0,2},\d{3}")


def in_unit(text: str, unit: str) -> str:
    """A bare number in the unit that stands beside it; any other text as it is, also 1,250, which may be either."""
    dotted = text if _THOUSANDS.fullmatch(text) else COMMA.sub(r"\1.\2", text)
    return f"{dotted} {unit}" if unit and NUMBER.fullmatch(dotted) else text


def whole(text: str) -> int | None:
    """A whole number of up to nine digits; nothing for any other text, and ² is no digit here."""
    return int(text) if _WHOLE.fullmatch(text) else None
