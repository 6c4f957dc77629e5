# SPDX-License-Identifier: MIT
"""How many tests a rule asks for: "3 per item", "1 per 50 m2", "3 for the first 100 m2, then 1 per 200 m2".

A rule by area may end in ", at least 3". Part of an area counts as a whole. A second unit system may
follow each amount in brackets; the two often ask for different numbers, and the larger is taken
unless one is said to govern.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import NamedTuple

from brackish import library
from brackish.errors import InputError
from brackish.quantities import parse

_AMOUNT = r"([\d.,]+\s*[a-z]+2)\s*(?:\(([\d.,]+\s*[a-z]+2)\))?"
_PER_ITEM = re.compile(r"(\d{1,4}) per (?:item|plate|block|pipe|lot|test)", re.ASCII)
_PER_AREA = re.compile(rf"(\d{{1,4}}) per {_AMOUNT}", re.ASCII)
_FIRST_THEN = re.compile(rf"(\d{{1,4}}) for the first {_AMOUNT},? then (\d{{1,4}}) per (?:further )?{_AMOUNT}", re.ASCII)
_AT_LEAST = re.compile(r"(.*?),? at least (\d{1,4})", re.ASCII)
_FOOT = ("ft2", "in2")


class Tier(NamedTuple):
    """A rule in one unit system: `first` tests for `first_area`, then `each` per `each_area` (mm², exact)."""

    system: str  # metric | foot
    first: int
    first_area: Fraction
    each: int
    each_area: Fraction

    def tests(self, area: Fraction) -> int:
        """The tests for one item of this area; part of an area counts as a whole."""
        further = max(Fraction(0), area - self.first_area)
        return self.first + self.each * -int(-further // self.each_area)


class Rule(NamedTuple):
    """A count rule: per item, or by area in one or two unit systems and never fewer than `least`."""

    text: str
    per_item: int | None = None
    tiers: tuple[Tier, ...] = ()
    least: int = 0

    @property
    def by_area(self) -> bool:
        return self.per_item is None


def read_rule(text: str, /) -> Rule:
    """A count rule from its text or its name in the library; raises InputError with the allowed forms."""
    named = library.count_rules().get(text)
    words = re.sub(r"\s+", " ", (named.rule if named else text).strip().replace("²", "2"))
    if match := _PER_ITEM.fullmatch(words):
        return Rule(text=words, per_item=int(match[1]))
    by_area, least = match.groups() if (match := _AT_LEAST.fullmatch(words)) else (words, 0)
    if tiers := _tiers(by_area):
        return Rule(text=words, tiers=tiers, least=int(least))
    raise InputError("input.not_a_count_rule", given=repr(text), allowed=tuple(library.count_rules()))


def _tiers(words: str) -> tuple[Tier, ...]:
    if match := _PER_AREA.fullmatch(words):
        each, area, other = match.groups()
        return tuple(_tier(0, None, each, one) for one in (area, other) if one)
    if match := _FIRST_THEN.fullmatch(words):
        first, first_area, first_other, each, area, other = match.groups()
        if bool(first_other) == bool(other):
            return tuple(_tier(first, one, each, two) for one, two in ((first_area, area), (first_other, other)) if one)
    return ()


def _tier(first: int | str, first_area: str | None, each: int | str, each_area: str) -> Tier:
    area = parse(each_area.replace(",", ""), dimension="area")
    start = parse(first_area.replace(",", ""), dimension="area").exact if first_area else Fraction(0)
    if area.value <= 0:
        raise InputError("input.not_positive", given=repr(each_area))
    return Tier(system="foot" if area.unit in _FOOT else "metric", first=int(first), first_area=start, each=int(each), each_area=area.exact)


def tests_by_system(*, rule: Rule, area: Fraction | None) -> dict[str, int]:
    """Tests asked for by each unit system of the rule, for one item of this area (mm², exact).

    A rule per item needs no area and answers under the key `item`; a rule by area with no area
    answers nothing.
    """
    if rule.per_item is not None:
        return {"item": rule.per_item}
    if area is None:
        return {}
    return {tier.system: max(rule.least, tier.tests(area)) for tier in rule.tiers}


def required(*, rule: Rule, area: Fraction | None, governs: str = "") -> int | None:
    """The number of tests asked for, or None where the area is needed and missing."""
    by_system = tests_by_system(rule=rule, area=area)
    return by_system.get(governs, max(by_system.values())) if by_system else None
