# SPDX-License-Identifier: MIT
"""What the traps share: which claims, where they stand, and how two figures or two limits compare."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction

from brackish.prepare.clause import effects, subjects
from brackish.prepare.clause.figures import Figure
from brackish.prepare.clause.limits import Limit
from brackish.prepare.clause.passages import Claim, Passage, Survey
from brackish.quantities import convert

CONDUCTOMETRIC = ("extract_conductivity", "mixed_salt_per_area", "nacl_equivalent_per_area")
CHLORIDE = ("chloride_per_area", "chloride_as_nacl_per_area", "chloride_concentration", "chloride_mass_fraction")
Found = Iterator[tuple[tuple[int, int], dict[str, object], str]]


def steel_claims(survey: Survey, *, numbered: bool = False) -> list[Claim]:
    return [claim for claim in survey.claims if claim.target == subjects.STEEL and (claim.limit.figure or not numbered)]


def abrasive_claims(survey: Survey) -> list[Claim]:
    return [claim for claim in survey.claims if claim.target == subjects.ABRASIVE]


def place_of(survey: Survey, claim: Claim) -> tuple[int, int]:
    limit = claim.limit
    return survey.plain.span(limit.start, limit.restated[-1].end if limit.restated else limit.end)


def sentence(claim: Claim) -> tuple[int, int]:
    return claim.requirement.span


def has(claim: Claim, *names: str) -> bool:
    return all(name in claim.requirement.fields for name in names)


def known(claim: Claim, topic: str, *names: str) -> bool:
    """Whether the text gives one of the fields, or at least speaks of their topic."""
    return topic in claim.spoken or any(has(claim, name) for name in names)


def shown(claim: Claim) -> str:
    return claim.limit.figure.shown if claim.limit.figure else "the limit"


def conductometric(survey: Survey, claim: Claim) -> bool:
    if claim.get("quantity") in CONDUCTOMETRIC or any(c.standard.gives == "conductivity" for c in claim.methods):
        measured = {c.standard.gives for c in claim.methods}
        return claim.get("quantity") != "chloride_as_nacl_per_area" and not (claim.get("quantity") in CHLORIDE and "chloride" in measured)
    return (
        claim.get("quantity") == ""
        and claim.dimension == "amount_per_area"
        and any(_CONDUCTIVITY.search(passage.segment.low) for passage in survey.passages if steel_passage(passage, claim))
    )


_CONDUCTIVITY = re.compile(r"conductiv|conductom|conductance")


def steel_passage(passage: Passage, claim: Claim) -> bool:
    return passage is claim.passage or (
        passage.about == "salt" and not passage.limits and passage.strong in ("", subjects.STEEL) and passage.target in ("", subjects.STEEL)
    )


def ratio_of(one: Figure | None, two: Figure | None) -> Fraction | None:
    """The second figure over the first, or None where they are not of one dimension."""
    if (
        one is None
        or two is None
        or one.unit == two.unit
        or one.dimension != two.dimension
        or one.dimension in ("impossible", "parts")
        or not one.value
        or not two.value
    ):
        return None
    return two.to(one.unit) / one.value


def close(a: Fraction, b: Fraction) -> bool:
    return abs(a / b - 1) <= Fraction(3, 100)


def power_of_ten(ratio: Fraction) -> bool:
    return any(close(ratio, Fraction(10) ** power) for power in (-4, -3, -2, -1, 1, 2, 3, 4))


def volume_of(claim: Claim) -> float:
    hit = claim.hits.get("solution_volume")
    return float(_in(str(hit.value), "mL", "volume")) if hit else 0.0


def area_of(claim: Claim) -> float:
    hit = claim.hits.get("area")
    return float(_in(str(hit.value), "mm2", "area")) if hit else effects.PATCH


def _in(text: str, unit: str, dimension: str) -> Fraction:
    digits, given = text.split()
    return Fraction(convert(value=Fraction(digits), unit=given, to=unit, dimension=dimension))


_GENERIC = re.compile(
    r"(?:prepared |blast-?cleaned |blasted |cleaned |salts? )?(?:surfaces?|steel\w*|substrates?|metal\w*|areas?|plates?|plating|water|spots?|patch\w*|members?|sleeve)"
)
# Words between two limits of a sentence that do not name another thing.
_SHARED_WORDS = re.compile(
    r"and|or|of|as|the|by|to|in|nacl|sodium|chlorides?|ions?|salts?|soluble|mixed|total|max\w*|not|no|shall|must|be|is|are|exceed\w*|above|below|over|under|than|less|more|greater|higher|levels?|limit\w*|values?"
    r"|conductivity|extract|surface|steel|density|equivalent|expressed|calculated|respectively|also|with|its|alternatively|either|spec\w*|drawing\w*|annex|section|clause|table|sheet|page|item|per|according|accordance|acc|iso|astm|method|test\w*|reading\w*|result\w*|maker\w*|manufacturer\w*|but|whereas|while|elsewhere|allowed|permitted|accepted"
)
_ARTICLES = re.compile(
    r"the|a|an|all|any|of|on|for|in|each|every|from|prepared|cleaned|blasted|blast-cleaned|bare|dry|clean|and|or|to|by|at|is|this|that|steel|finished|final|no"
)
_SCOPE = re.compile(r"\b(?:for|on|in|at|of|inside|outside)\s+(?:the\s+|all\s+|any\s+)?([a-z-]+(?:\s[a-z-]+)?)")


def told_apart(one: Claim, two: Claim) -> bool:
    """Whether the text gives the two limits different things, places, conditions or stages."""
    for name in ("service", "condition"):
        if one.get(name) != two.get(name) and (one.get(name) or two.get(name)):
            return True
    stages = [{hit.value for hit in claim.passage.hits if hit.field == "stage"} for claim in (one, two)]
    if one.passage is not two.passage and stages[0] and stages[1] and stages[0] != stages[1]:
        return True
    if one.limit.segment is two.limit.segment:
        scopes = [_scope(claim.limit) for claim in (one, two)]
        between = one.limit.segment.low[one.limit.end - one.limit.segment.start : two.limit.start - one.limit.segment.start]
        own_words = [word for word in re.findall(r"[a-z]{3,}", between) if not _SHARED_WORDS.fullmatch(word)]
        return bool(scopes[0] and scopes[1] and scopes[0] != scopes[1]) or bool(own_words)
    if one.limit.segment.kind == two.limit.segment.kind == "row":
        first = [re.split(r"[|\t]|\s{3,}", claim.limit.segment.low.strip("| "))[:2] for claim in (one, two)]
        return first[0] != first[1]
    names = [_thing(claim) for claim in (one, two)]
    return bool(names[0] and names[1] and names[0] != names[1])


def _thing(claim: Claim) -> str:
    subject = claim.limit.subject
    if subject and claim.target == subjects.STEEL:
        start, end = subject.start - claim.limit.segment.start, subject.end - claim.limit.segment.start
        words = claim.limit.segment.low[start:end]
        before = re.search(r"([a-z-]+) $", claim.limit.segment.low[:start])
        if before and not _ARTICLES.fullmatch(before[1]):
            words = f"{before[1]} {words}"
        if not _GENERIC.fullmatch(words):
            return words
    label = re.match(r"(?:[\d.]+\s+|[a-z][.)]\s+)?([a-z][a-z /-]{2,40}):", claim.limit.segment.low)
    if label and not re.search(r"salt|chlor|conduct|limit|max|section|clause|annex|table|item|para|note|drawing|accept|test", label[1]):
        return label[1]
    heading = claim.limit.segment.heading
    return (
        heading.low if heading and re.search(r"tank|hull|deck|bottom|internal|external|pipe|bridge|girder|void|topside|interior|exterior", heading.low) else ""
    )


def _scope(limit: Limit) -> str:
    low = limit.segment.low
    offset = limit.segment.start
    behind = low[limit.end - offset : limit.part[1] - offset]
    before = low[max(limit.part[0] - offset, 0) : limit.start - offset]
    match = _SCOPE.search(behind[:60]) or next(iter(reversed(list(_SCOPE.finditer(before[-70:])))), None)
    return match[1] if match else ""
