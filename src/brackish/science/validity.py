# SPDX-License-Identifier: MIT
"""The range of one parameter, as data: the code checks it, the reference pages print it."""

from __future__ import annotations

from math import isfinite
from typing import NamedTuple

from brackish.errors import InputError, OutOfRange


class Range(NamedTuple):
    """From `lowest` to `highest`, both allowed, in `unit`; `source` says why not further."""

    name: str
    unit: str
    lowest: float
    highest: float
    source: str

    def check(self, value: float) -> None:
        """Raise OutOfRange unless the value lies inside."""
        if not self.lowest <= value <= self.highest:
            if value != value:
                raise InputError("science.not_finite", name=self.name, given=value)
            raise OutOfRange("science.out_of_range", name=self.name, value=value, unit=self.unit, lowest=self.lowest, highest=self.highest, source=self.source)


def check_finite(name: str, value: float, /) -> None:
    """Raise InputError for infinity and for what is not a number."""
    if not isfinite(value):
        raise InputError("science.not_finite", name=name, given=value)
