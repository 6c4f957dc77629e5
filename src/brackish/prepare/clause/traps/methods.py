# SPDX-License-Identifier: MIT
"""Traps in methods and editions: a method that cannot give the limit, a year or part that will be argued over."""

from __future__ import annotations

import re

from brackish.prepare.clause import subjects
from brackish.prepare.clause.passages import Claim, Survey
from brackish.prepare.clause.standards import Citation
from brackish.prepare.clause.traps.common import CHLORIDE, CONDUCTOMETRIC, Found, abrasive_claims, shown, steel_passage

_OTHER_MEANS = re.compile(
    r"\btubes?\b|titrat|chromatograph|ion[- ]selective|test strip|\bmeter\b|conductometric|conductivity[- ](?:type|meter|probe|cell)|photomet"
)


Cannot = tuple[tuple[int, int], str, str]  # where, which method, why it cannot give the quantity
_READS_ALL = "measures conductivity, which cannot tell chloride from other salts"


def method_cannot_give_quantity(survey: Survey) -> Found:
    for claim in survey.claims:
        if not claim.limit.figure:
            continue
        by_words = _words_that_cannot(survey, claim)
        found = by_words or _standards_that_cannot(survey, claim)
        if found:
            place, method, why = found
            said = f"“{method}”" if by_words else method
            yield (
                place,
                {"methods": method, "limit": claim.get("limit"), "why": why},
                f"The method does not give this. {said} {why}; {shown(claim)} cannot be shown by it.",
            )


_BY_TITRATION = re.compile(r"titrat\w*|silver nitrate|ion[- ]detection tubes?")
_BY_METER = re.compile(r"(?:by|with|using|from|on)\s(?:an?\s|the\s)?conductivity[- ](?:meter|cell|probe|gauge)")


def _words_that_cannot(survey: Survey, claim: Claim) -> Cannot | None:
    """A means named in the sentence of the limit that measures something else, and no standard beside it."""
    own = claim.limit.segment.low
    chloride, conductivity = _BY_TITRATION.search(own), _BY_METER.search(own)
    if claim.methods or bool(chloride) == bool(conductivity) or claim.target != subjects.STEEL:
        return None
    by_conductivity = claim.dimension == "conductivity"
    named = chloride if by_conductivity else conductivity if claim.get("quantity") == "chloride_per_area" else None
    if named is None:
        return None
    start, end = claim.passage.segment.start + named.start(), claim.passage.segment.start + named.end()
    words = " ".join(survey.plain.low[start:end].split())
    return survey.plain.span(start, end), words, "gives no conductivity" if by_conductivity else _READS_ALL


def _standards_that_cannot(survey: Survey, claim: Claim) -> Cannot | None:
    """Standards named for a limit that give another quantity, or none."""
    named = claim.methods or [c for c in claim.passage.citations if c.standard.gives in ("other", "visual")]
    gives = {c.standard.gives for c in named} - {"", "requirement"}
    why = _why_not(survey, claim, named, gives)
    if not why:
        return None
    names = " with ".join(dict.fromkeys(c.standard.name for c in named if c.standard.gives in gives)) or named[0].standard.name
    return _cited(survey, named), names, why


def _why_not(survey: Survey, claim: Claim, named: list[Citation], gives: set[str]) -> str:
    """Why what these standards give is not what the limit is on; empty where it is."""
    quantity, steel = claim.get("quantity"), claim.target == subjects.STEEL
    targets = {c.standard.target for c in claim.methods}
    if gives == {"extraction"} and steel and not any(_OTHER_MEANS.search(p.segment.low) for p in survey.passages if steel_passage(p, claim)):
        return "is an extraction only and gives no result"
    if gives and gives <= {"other", "visual"} and not any(c.standard.gives == "" for c in claim.methods):
        return f"is about {named[0].standard.about} and gives no salt result"
    counts_chloride = quantity in CHLORIDE and quantity != "chloride_as_nacl_per_area" and not re.search(r"\btubes?\b|titrat", claim.limit.segment.low)
    if "conductivity" in gives and "chloride" not in gives and counts_chloride:
        return _READS_ALL
    if "chloride" in gives and "conductivity" not in gives and (quantity in CONDUCTOMETRIC or claim.dimension == "conductivity"):
        return "measures chloride and gives no conductivity"
    if claim.target == subjects.ABRASIVE and subjects.STEEL in targets and subjects.ABRASIVE not in targets:
        return "is for steel surfaces, not for abrasive"
    return ""


def _cited(survey: Survey, citations: list[Citation]) -> tuple[int, int]:
    return survey.plain.span(min(c.start for c in citations), max(c.end for c in citations))


_DESCRIBED = [
    ("ISO 8502-6", re.compile(r"conductom|conductivity|titrat|chloride det|determination of|dust|profile")),
    ("ISO 8502-9", re.compile(r"extraction|patch method|titrat|chloride|dust")),
    ("ISO 8502-3", re.compile(r"salt|chloride|conductiv|extraction")),
    ("ISO 8502-2", re.compile(r"conductiv|patch|dust")),
    ("ISO 8502-5", re.compile(r"conductiv|patch|dust")),
    ("ISO 8502-10", re.compile(r"conductiv|patch|dust")),
    ("ISO 11127-6", re.compile(r"chlorid|titrat|moisture|hardness")),
    ("ISO 11127-7", re.compile(r"conductiv|moisture|hardness")),
    ("ASTM D4940", re.compile(r"chlorid|titrat")),
]


def edition_doubtful(survey: Survey) -> Found:
    for passage in survey.passages:
        for citation in passage.citations:
            if citation.doubt and citation.standard.gives != "visual":
                yield (
                    survey.plain.span(citation.start, citation.end),
                    {"standard": citation.text, "why": citation.doubt, "current": citation.standard.current},
                    f"Which edition? {citation.text}: {citation.doubt}. The argument comes at sign-off.",
                )
    for passage in survey.passages:
        for citation in passage.citations:
            behind = re.match(r"\s*[(,:–-]\s*([^()|;]{3,60})", survey.plain.low[citation.end : citation.end + 64])
            wrong = behind and next((pattern.search(behind[1]) for name, pattern in _DESCRIBED if name == citation.standard.name), None)
            if wrong and "(" in survey.plain.low[citation.end : citation.end + 3]:
                yield (survey.plain.span(citation.start, citation.end), *_swapped(citation, behind[1].strip()))  # type: ignore[index]
    abrasive = abrasive_claims(survey)
    crossed = [(claim, c) for claim in abrasive for c in claim.methods if _crossed(claim, c)]
    if len(crossed) > 1 and len({c.standard.name for _, c in crossed}) > 1:
        claim, citation = crossed[0]
        yield (survey.plain.span(citation.start, citation.end), *_swapped(citation, "conductivity" if claim.dimension == "conductivity" else "chlorides"))


def _crossed(claim: Claim, citation: Citation) -> bool:
    wanted = "conductivity" if claim.dimension == "conductivity" else "chloride"
    return citation.standard.gives in ("conductivity", "chloride") and citation.standard.gives != wanted


def _swapped(citation: Citation, said: str) -> tuple[dict[str, object], str]:
    return (
        {"standard": citation.standard.name, "said": said, "about": citation.standard.about},
        f"Which part? {citation.standard.name} is about {citation.standard.about}; the text says “{said}”. One of the two is a slip.",
    )
