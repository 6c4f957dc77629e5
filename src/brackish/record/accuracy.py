# SPDX-License-Identifier: MIT
"""The accuracy of an instrument as its maker writes it: "1 %", "0.5 % of 200 uS/cm + 1 digit", "0.1 mL".

A share of the reading is a gain error; a share of a range, digits and plain amounts are errors of
each reading on their own. Terms add: makers state limits of error, not standard deviations.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from brackish.errors import InputError
from brackish.quantities import parse


class Accuracy(NamedTuple):
    """Limits of error: `share` of the reading, `amount` in the inside unit, `digits` of the display."""

    share: float
    amount: float
    digits: int
    text: str


# What an instrument's own figures are in, by its kind.
DIMENSION_OF_KIND = {
    "conductivity-meter": "conductivity",
    "thermometer": "temperature_difference",
    "surface-thermometer": "temperature_difference",
    "hygrometer": "ratio",
    "balance": "mass",
    "syringe": "volume",
    "flask": "volume",
    "cylinder": "volume",
    "beaker": "volume",
    "pipette": "volume",
    "burette": "volume",
    "compartment": "area",
    "sleeve": "area",
    "tube": "concentration",
}


def dimensions_of_figure(kind: str, *, share: bool) -> tuple[str, ...]:
    """What a figure of an instrument of this kind may be in: its own unit, and where a `share` is meant also %."""
    own = (DIMENSION_OF_KIND[kind],) if kind in DIMENSION_OF_KIND else tuple(DIMENSION_OF_KIND.values())
    return tuple(dict.fromkeys(("ratio", *own) if share else own))


def read_accuracy(text: str, *, dimension: str) -> Accuracy:
    """An accuracy statement as limits of error; raises InputError naming the term that cannot be read."""
    share, amount, digits = 0.0, 0.0, 0
    for term in re.split(r"\s*\+\s*", text.replace("±", "").strip()):
        if match := re.fullmatch(r"(\d{1,3}) digits?", term):
            digits += int(match[1])
        elif term.endswith("of reading"):
            share += parse(term.removesuffix("of reading"), dimension="ratio").inside
        elif " of " in term:
            part, of = term.split(" of ", 1)
            amount += parse(part, dimension="ratio").inside * parse(of, dimension=dimension).inside
        elif term.endswith("%") and dimension != "ratio":
            share += parse(term, dimension="ratio").inside
        else:
            amount += parse(term, dimension=dimension).inside
    if share < 0 or amount < 0:
        raise InputError("input.negative", given=repr(text))
    return Accuracy(share=share, amount=amount, digits=digits, text=text)
