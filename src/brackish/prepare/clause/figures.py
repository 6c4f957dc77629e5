# SPDX-License-Identifier: MIT
"""Numbers with units in plain text: every spelling a contract uses, to one spelling a job file takes.

One pattern reads them all; what is not a unit of the trade (µm, MPa, %RH) is read too, so that it
cannot be mistaken for something else, and is then left out. Digits are kept as typed.
Next: `limits.py`, which decides which figures are limits.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from brackish.prepare.clause.normalise import Plain
from brackish.quantities import IMPOSSIBLE_UNITS, convert, dimension_of, shown_unit

NUMBER_WORDS = {
    word: value
    for value, word in enumerate(
        "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen".split()
    )
} | {"twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80, "ninety": 90, "hundred": 100, "thousand": 1000}
_WORD = rf"(?:{'|'.join(sorted(NUMBER_WORDS, key=len, reverse=True))})"
WORDED = rf"(?:{_WORD}(?:(?:[ -]|\sand\s){_WORD}){{0,3}})"
DIGITS = r"(?:\d{1,3}(?:,\d{3}){1,3}(?:\.\d{1,6})?|\d{1,3}(?:\.\d{3}){1,3},\d{1,6}|\d{1,3}(?:[ ']\d{3}){1,2}(?![\d/])|\d{1,9}(?:[.,]\d{1,8})?|\.\d{1,6})"
_BEFORE = r"(?<![a-z0-9_])(?<![0-9][.,])(?<![a-z]-)"
NUMBER = rf"(?:{_BEFORE}{DIGITS}(?!\d)|\b{WORDED}\b(?:\s?\(\s?\d{{1,4}}(?=\s?\)))?)"

_SPECIES = (
    r"(?:\s{0,2}\(?(?:of\s|as\s)?(?P<species>(?:water[ -])?soluble\s(?:salts?|chlorides?)|mixed\ssalts?|total\ssalts?|salts?|nacl(?:[ -]{0,2}eq(?:uivalents?|u?\.?)?)?|sodium[\s-]chlorides?"
    r"|chlorides?(?:\sions?)?|cl(?:\s?-|\sions?)?|sul(?:ph|f)ates?|so4(?:2-|--)?|nitrates?|no3-?|fe(?:2\+|\+\+)?|iron)\)?)?"
)
_TOPS = {
    "ug": r"ugs?|mcg|micro-?\s?gram(?:me)?s?|\bmicrog",
    "mg": r"mgs?|milli-?gram(?:me)?s?",
    "kg": r"kgs?",
    "g": r"g(?:ram(?:me)?s?)?",
    "uS": r"us|u\s?siemens?|micro-?\s?s(?:iemens?)?|u-siemens|mcs",
    "mS": r"ms|m\s?siemens|milli-?\s?s(?:iemens)?",
    "umho": r"umhos?|micro-?\s?mhos?",
    "mmho": r"mmhos?|milli-?\s?mhos?",
    "S": r"siemens",
}
_BOTTOMS = {
    "cm2": r"cm\s?\^?\s?2|cm\s?\(2\)|(?:sq(?:uare)?|sq\.)\s?-?c(?:m|entimet(?:re|er)s?)\b|cm\s?sq(?:uared)?",
    "mm2": r"mm\s?\^?\s?2",
    "dm2": r"dm\s?\^?\s?2",
    "m2": r"m\s?\^?\s{0,2}2|m\s?\(2\)|(?:sq(?:uare)?|sq\.)\s?-?m(?:et(?:re|er)s?)?\b|m\s?sq(?:uared)?|qm",
    "m3": r"m\s?\^?3|cubic\smet(?:re|er)s?",
    "ft2": r"ft\s?\^?2|sq(?:uare)?\.?\s?(?:ft|feet|foot)",
    "cm": r"cm|centimet(?:re|er)s?",
    "m": r"m|met(?:re|er)s?",
    "mL": r"ml|millilit(?:re|er)s?",
    "L": r"l|lit(?:re|er)s?|dm3",
    "kg": r"kg|kilogram(?:me)?s?",
    "g": r"g(?:rams?)?",
}
_POWERS = {"cm": r"[\s.]?cm\s?\^?-\s?{p}", "m": r"[\s.]?m\s?\^?-\s?{p}", "L": r"[\s.]?l\s?\^?-\s?{p}", "kg": r"[\s.]?kg\s?\^?-\s?{p}"}
_LONE = {
    "ppm": r"ppm|parts\sper\smillion",
    "ppb": r"ppb",
    "%": r"%|per\s?cent|percent|wt\.?\s?-?%",
    "mL": r"ml|millilit(?:re|er)s?|cc|cm\s?\^?3",
    "L": r"lit(?:re|er)s?|l",
    "mm2": r"mm\s?\^?2|(?:sq(?:uare)?|sq\.)\s?-?m(?:m|illimet(?:re|er)s?)\b",
    "cm2": _BOTTOMS["cm2"],
    "ft2": r"ft\s?\^?2|(?:sq(?:uare)?|sq\.)\s?-?(?:ft|feet|foot)|s\.f\.|sf",
    "in2": r"in(?:\s?\^)?2(?!\d)|(?:sq(?:uare)?|sq\.)\s?-?(?:in\b|inch(?:es)?)",
    "m2": r"m\s?\^?2|(?:sq(?:uare)?|sq\.)\s?-?m(?:et(?:re|er)s?)?\b|sqm|qm",
    "h": r"hours?|hrs?|h",
    "min": r"min(?:ute)?s?",
    "s": r"sec(?:ond)?s?",
    "d": r"days?",
    "degC": r"°\s?c(?:elsius)?|deg(?:rees?)?\.?\s?c(?:elsius)?\b",
    "degF": r"°\s?f|deg(?:rees?)?\.?\s?f",
    "uS": r"us|micro-?\s?siemens?",
    "mS": r"ms|milli-?\s?siemens?",
    "um": r"um|microns?|micromet(?:re|er)s?",
    "other": r"mils?|mm|mpa|bars?|psi|kpa|db|kg|g|t|tonnes?|tons?|kw|hz|rpm|ph|euros?|usd|gbp|eur|k|m|cm|in|feet|ft|inch(?:es)?|ntu|mv|v|c|f|°",
}


def _options(table: dict[str, str]) -> str:
    return "|".join(f"(?:{pattern})" for pattern in table.values())


_RAISED = "|".join(f"(?:{pattern.format(p='[12]')})" for pattern in _POWERS.values())
_UNIT = (
    rf"(?:(?P<top>{_options(_TOPS)}){_SPECIES}(?:\s{{0,2}}(?:/|\bper\b(?:\seach)?|\b(?:on|for|in)\s(?:each|every|one|a)\b)\s{{0,2}}\(?(?P<bottom>{_options(_BOTTOMS)})(?:(?![a-z])|(?=max))"
    rf"|(?P<power>{_RAISED})(?![\da-z]))"
    rf"|(?P<lone>{_options(_LONE)})(?![a-z]))"
)
FIGURE = re.compile(rf"(?P<number>{NUMBER})\)?[\s-]{{0,3}}{_UNIT}")
BARE_UNIT = re.compile(rf"(?<![a-z0-9]){_UNIT}")
_SIGN_ELSEWHERE = re.compile(r"^(?:\s{0,2}(?:r\.?h\.?|rel))|^\s?relative|^\s?humid")
_SPLIT = re.compile(r"(?<![a-z0-9.,/-])\d (?:\d|0\d)$")  # "2 0", a number that a scanner pulled apart: not known which was meant
_PREVIOUS = re.compile(rf"(?P<number>{_BEFORE}{DIGITS}(?!\d))\s{{0,2}}(?P<join>-|to|and|/|or|\.\.\.?)\s{{0,2}}$")

_TOP_OF = [(name, re.compile(pattern)) for name, pattern in _TOPS.items()]
_BOTTOM_OF = [(name, re.compile(pattern)) for name, pattern in _BOTTOMS.items()]
_LONE_OF = [(name, re.compile(pattern)) for name, pattern in _LONE.items()]


@dataclass(frozen=True)
class Figure:
    """A number with its unit as it stands in the text."""

    digits: str
    value: Fraction
    unit: str
    start: int
    end: int
    species: str = ""  # words put into the unit, as in mg NaCl/m2
    lower: str = ""  # the other end of a range
    joined: str = ""  # how an earlier number shares this unit

    @property
    def dimension(self) -> str:
        if self.unit in IMPOSSIBLE_UNITS:
            return "impossible"
        if self.unit in ("ppm", "ppb"):
            return "parts"
        return dimension_of(self.unit) or ""

    @property
    def text(self) -> str:
        return f"{self.digits} {self.unit}"

    @property
    def shown(self) -> str:
        return f"{self.digits} {shown_unit(self.unit)}"

    def to(self, unit: str) -> Fraction:
        return convert(value=self.value, unit=self.unit, to=unit, dimension=self.dimension)


def find(plain: Plain, start: int, end: int, *, comma_decimals: bool, taken: list[tuple[int, int]]) -> list[Figure]:
    """Figures of one segment in order; those inside a standard's number are left out."""
    return list(_figures(plain.low, start, end, comma_decimals, taken))


def _figures(low: str, start: int, end: int, comma_decimals: bool, taken: list[tuple[int, int]]) -> Iterator[Figure]:
    for match in _outside(low, start, end, taken):
        unit = unit_of(match)
        if (
            not unit
            or unit == "other"
            or ((unit == "%" and _SIGN_ELSEWHERE.match(low, match.end(), match.end() + 12)) or low[match.end() : match.end() + 3] in (" rh", "rh "))
        ):
            continue
        digits, value = number_of(match["number"], comma_decimals=comma_decimals)
        if digits is None or _SPLIT.search(low, max(start, match.start() - 3), match.end("number")):
            continue
        figure = Figure(digits, value, unit, match.start(), _end(match), (match["species"] or "").strip())
        yield from _with_previous(low, start, figure, comma_decimals, taken)


def _outside(low: str, start: int, end: int, taken: list[tuple[int, int]]) -> Iterator[re.Match[str]]:
    at = start
    for a, b in sorted(taken):
        yield from FIGURE.finditer(low, at, max(at, a))
        at = max(at, b)
    yield from FIGURE.finditer(low, at, end)


def _end(match: re.Match[str]) -> int:
    group = match.group()
    return match.end() + (1 if match["bottom"] and group.count("(") > group.count(")") and match.string[match.end() : match.end() + 1] == ")" else 0)


def _with_previous(low: str, start: int, figure: Figure, comma_decimals: bool, taken: list[tuple[int, int]]) -> Iterator[Figure]:
    before = _PREVIOUS.search(low, max(start, figure.start - 24), figure.start)
    if before and not any(a < before.end("number") and before.start("number") < b for a, b in taken):
        digits, value = number_of(before["number"], comma_decimals=comma_decimals)
        between = before["join"] == "and" and low[max(start, before.start() - 9) : before.start()].rstrip().endswith("between")
        if digits is not None and (between or before["join"] in ("-", "to", "..", "...")):
            if value < figure.value:
                yield replace(figure, lower=digits, start=before.start("number"))
                return
        elif digits is not None and before["join"] in ("/", "and", "or") and figure.dimension not in ("time", "volume", "area"):
            yield replace(figure, digits=digits, value=value, start=before.start("number"), end=before.end("number"), joined=before["join"])
            yield replace(figure, joined=before["join"])
            return
    yield figure


def unit_of(match: re.Match[str]) -> str:
    """The unit of a match of `FIGURE` or `BARE_UNIT`, in the spelling of `quantities.py`."""
    if match["lone"]:
        return _name(_LONE_OF, match["lone"])
    top = _name(_TOP_OF, match["top"])
    if match["power"]:
        power = re.sub(r"[\s.^-]", "", match["power"])
        bottom = power.removesuffix("1")
    else:
        bottom = _name(_BOTTOM_OF, match["bottom"])
    unit = f"{top}/{bottom}"
    if unit == "ug/m":
        return ""
    known = dimension_of(unit) or unit in IMPOSSIBLE_UNITS
    return unit if known else ""


def _name(table: list[tuple[str, re.Pattern[str]]], text: str) -> str:
    return next((name for name, pattern in table if pattern.fullmatch(text)), "")


def number_of(text: str, *, comma_decimals: bool) -> tuple[str | None, Fraction]:
    """Digits with a decimal point, and their value; thousands separators are dropped."""
    text = text.strip()
    if text[0].isalpha():
        bracket = re.search(r"\((?:\s?)(\d{1,4})", text)
        value = int(bracket[1]) if bracket else _worded(text)
        return (str(value), Fraction(value)) if value is not None else (None, Fraction(0))
    plain = text.replace(" ", "").replace("'", "")
    thousands_comma = re.fullmatch(r"\d{1,3}(?:,\d{3})+(?:\.\d+)?", plain)
    thousands_point = re.fullmatch(r"\d{1,3}(?:\.\d{3})+(?:,\d+)?", plain)
    if thousands_comma and not plain.startswith("0") and not (comma_decimals and plain.count(",") == 1):
        plain = plain.replace(",", "")
    elif thousands_point and not plain.startswith("0") and (comma_decimals or "," in plain):
        plain = plain.replace(".", "").replace(",", ".")
    else:
        plain = plain.replace(",", ".")
    if plain.count(".") > 1:
        return None, Fraction(0)
    if plain.startswith("."):
        plain = f"0{plain}"
    plain = plain.rstrip(".")
    return plain, Fraction(plain)


def _worded(text: str) -> int | None:
    total = part = 0
    for word in re.split(r"[\s-]+", text):
        value = NUMBER_WORDS.get(word)
        if value is None:
            if word != "and":
                return None
        elif value == 1000:
            total, part = total + max(part, 1) * value, 0
        elif value == 100:
            part = max(part, 1) * value
        else:
            part += value
    return total + part


_COMMA_DECIMAL = re.compile(r"(?<![\d.,])\d{1,4},(?:\d{1,2}|\d{4})(?![\d.,]\d|\d)|(?<![\d.,])0,\d")
_POINT_DECIMAL = re.compile(r"(?<![\d.,-])\d{1,4}\.\d{1,2}(?![\d.,]\d|\d|\.)\s?(?:m|u|%|h|°|l)")


def uses_comma_decimals(low: str) -> bool:
    """Whether the text writes 0,5 for a half: then 1.000 is a thousand."""
    return bool(_COMMA_DECIMAL.search(low)) and not _POINT_DECIMAL.search(low)
