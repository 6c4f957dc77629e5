# SPDX-License-Identifier: MIT
"""Outside values as data: every `tests/evidence/*.toml`, read into single cases.

A file is a list of

    [[case]]
    function = "detection.critical_value"     # below brackish.science; or "chains.NAME" for a step of several (chains.py)
    kind = "published"                        # published exact other-program common-practice model recalled own
    source = "JCGM 100:2008, GUM"             # what was seen; for other-program its name and version
    place = "H.1.4"                           # page, table, section
    inputs = {blank_standard_uncertainty = 1.0}
    result = "standard_uncertainty"           # attribute, key or index of what is returned, dots between; absent: all of it
    printed = "2.326"                         # a text, with the digits of the source: tolerance is half a unit of the last one
    seen = "GTC documentation"                # where a published number was read, if not in the source itself
    beside = "scipy 1.17.1"                   # the program that a recalled number agrees with

Instead of the digits: `tolerance = 0.5` (absolute) or `accuracy = 0.002` (relative), each with `because`. Instead of
`printed`: `raises = "science.out_of_range"`. A printed word is compared as it stands. A table is one case with

    columns = ["temperature", "concentration", "printed"]
    rows = [["0", "10", "7.1"], ...]          # printed as text, the others as text or number

whose other columns join `inputs`. A column `place` replaces the place, `result` the result.
`test_evidence.py` runs them all; `dev.py docs` counts them by function and kind.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation
from functools import cache
from pathlib import Path

FOLDER = Path(__file__).parent
KINDS = ("published", "exact", "other-program", "common-practice", "model", "recalled", "own")
OUTSIDE = ("published", "exact", "other-program")  # what counts as outside evidence; recalled only with a program beside it


@dataclass(frozen=True, kw_only=True)
class Case:
    """One value that a function must give, with the reason to believe it."""

    file: str
    function: str
    kind: str
    source: str
    place: str
    inputs: Mapping[str, object]
    result: str = ""
    printed: str = ""
    raises: str = ""
    tolerance: float | None = None
    accuracy: float | None = None
    because: str = ""
    seen: str = ""
    beside: str = ""
    number: int = field(default=0, compare=False)

    @property
    def name(self) -> str:
        return f"{self.file}-{self.number}-{self.function}-{self.result or 'value'}"

    @property
    def counts(self) -> bool:
        """Whether this is outside evidence."""
        return self.kind in OUTSIDE or (self.kind == "recalled" and bool(self.beside))

    @property
    def expected(self) -> float | None:
        """The printed number, or None where a word is printed."""
        try:
            return float(Decimal(self.printed))
        except InvalidOperation:
            return None

    @property
    def allowed(self) -> float:
        """How far the function may be off: half a unit of the last printed digit unless stated."""
        if self.tolerance is not None:
            return self.tolerance
        if self.accuracy is not None:
            return self.accuracy * abs(float(self.printed))
        exponent = Decimal(self.printed).as_tuple().exponent
        assert isinstance(exponent, int), self.printed
        return 0.5 * 10.0**exponent


def read(path: Path) -> Iterator[Case]:
    number = 0
    for entry in tomllib.loads(path.read_text(encoding="utf-8"))["case"]:
        for single in _rows(entry):
            number += 1
            yield Case(file=path.stem, number=number, **single)


def _rows(entry: dict) -> Iterator[dict]:
    columns, rows = entry.pop("columns", None), entry.pop("rows", None)
    entry.setdefault("inputs", {})
    if columns is None:
        yield entry
        return
    for row in rows:
        values = dict(zip(columns, row, strict=True))
        own = {key: values.pop(key) for key in ("printed", "place", "result", "raises") if key in values}
        yield {**entry, **own, "inputs": {**entry["inputs"], **{key: _number(value) for key, value in values.items()}}}


def _number(value: object) -> object:
    if not isinstance(value, str):
        return value
    try:
        return float(Decimal(value))
    except InvalidOperation:
        return value


@cache
def all_cases() -> list[Case]:
    return [case for path in sorted(FOLDER.glob("*.toml")) for case in read(path)]
