# SPDX-License-Identifier: MIT
"""Two answers to one question: two limits, two languages."""

from __future__ import annotations

import re
from fractions import Fraction

from brackish.prepare.clause import languages, subjects
from brackish.prepare.clause.passages import Claim, Passage, Survey
from brackish.prepare.clause.traps.common import CHLORIDE, Found, close, place_of, power_of_ten, ratio_of, shown, told_apart

_GOVERNS = re.compile(
    r"whichever|more stringent|most stringent|strict(?:er|est)|lower of|lowest of|lesser of|governs?\b|prevails?|precedence|takes? priority|both (?:limits|criteria|values|requirements|shall|must)|shall both|in addition to|as well as|and also|minimum of the two|smaller of"
)


def two_limits(survey: Survey) -> Found:
    numbered = [claim for claim in survey.claims if claim.limit.figure and claim.target in (subjects.STEEL, subjects.ABRASIVE)]
    for index, one in enumerate(numbered):
        for two in numbered[index + 1 :]:
            if one.target == two.target and _one_thing(one, two) and not told_apart(one, two) and not _settled(survey, one, two):
                yield (
                    place_of(survey, two),
                    {"first": one.get("limit"), "second": two.get("limit")},
                    f"Two limits for one thing: {shown(one)} and {shown(two)}. Nothing says which governs.",
                )
    for passage in survey.passages:
        for limit in passage.limits:
            other = next((claim for claim in numbered if claim.target == limit.target), None)
            if limit.words == "elsewhere" and other and not _settled(survey, other, None, passage):
                words = " ".join(survey.plain.text[limit.start : limit.end].split())
                yield (
                    survey.plain.span(limit.start, limit.end),
                    {"first": other.get("limit"), "second": words},
                    f"Two limits for one thing: {shown(other)} here, and another left to “{words}”. Nothing says which governs.",
                )


def _one_thing(one: Claim, two: Claim) -> bool:
    kinds = {_kind(one), _kind(two)}
    if one.target == subjects.ABRASIVE:
        return one.dimension == two.dimension and len(kinds) == 1 and one.basis == two.basis and not _same_amount(one, two)
    return len(kinds) == 1 and not _same_amount(one, two) and "impossible" not in (one.dimension, two.dimension)


def _kind(claim: Claim) -> str:
    if claim.species in ("sulfate", "nitrate", "iron"):
        return claim.species
    return "chloride" if claim.get("quantity") in CHLORIDE or claim.species in ("chloride", "chloride-as-nacl") else "total"


def _same_amount(one: Claim, two: Claim) -> bool:
    ratio = ratio_of(one.limit.figure, two.limit.figure)
    if ratio is None:
        return one.figure.unit == two.figure.unit and one.figure.value == two.figure.value
    return close(ratio, Fraction(1)) or (one.figure.value == two.figure.value and power_of_ten(ratio))


def _settled(survey: Survey, one: Claim, two: Claim | None, passage: Passage | None = None) -> bool:
    texts = [claim.limit.segment.low for claim in (one, two) if claim] + ([passage.segment.low] if passage else [])
    last = (two or one).passage
    following = [p.segment.low for p in survey.passages if last.segment.start < p.segment.start < last.segment.end + 300]
    if two and _CORRESPONDS.search(survey.masked[one.limit.end : two.limit.start]) and two.limit.start - one.limit.end < 60:
        return True
    return any(_GOVERNS.search(text) for text in texts + following)


_CORRESPONDS = re.compile(r"correspond|equivalent|equal to|equals|i\.?\s?e\.?|that is|(?<![<>])=")


def language_precedence(survey: Survey) -> Found:
    if languages.GOVERNS.search(survey.plain.low):
        return
    said = languages.TRANSLATED.search(survey.plain.low)
    second = languages.second_language(survey.plain.low)
    if said:
        yield (
            survey.plain.span(said.start(), said.end()),
            {"words": said.group()},
            "A translated clause without a governing language. Where the versions differ, each side has its own limit.",
        )
    elif second:
        name, start, end = second
        yield (
            survey.plain.span(start, end),
            {"language": name},
            f"Two languages (English and {name}) and no word on which governs. Where they differ, each side has its own limit.",
        )
