# SPDX-License-Identifier: MIT
"""Which paper a limit stands in: the document, edition and clause that the text names, or its own number.

"In accordance with clause 4.2 of Specification PQ-17, revision B" names all three. A test standard is a
method, never the paper that governs. Read from the text as pasted, as names are told by their capitals.
"""

from __future__ import annotations

import re

from brackish.prepare.clause.passages import Claim, Passage
from brackish.prepare.clause.segments import Segment

_NUMBER = r"[A-Z]?\d{1,3}(?:[.-]\d{1,3}){0,4}[a-z]?"
_CLAUSE = rf"(?i:sub-?clause|clause|section|article|paragraph|para|chapter|item|cl\.|sect?\.|art\.|§)\s*(?P<clause>{_NUMBER})"
_KIND = r"(?:Specifications?|Standard|Procedure|Rules?|Contract|Agreement|Schedule|Annex|Appendix|Spec\.?|Document|Order|Manual|Plan|Drawing|Instruction)"
_NAME = rf"(?P<document>(?:[A-Z][\w&'-]*\s){{0,5}}{_KIND}(?:\s(?:no\.?\s?)?(?=[\w./-]*\d)[A-Z0-9][\w./-]*)?|(?=[\w./-]*\d)[A-Z]{{2,}}[\w./-]*)"
_EDITION = r"(?:[\s,(]{1,3}(?i:revision|rev\.?|edition|ed\.|issue|version)\s*(?P<edition>[A-Z0-9][\w.]*?)(?=[\s,;:).]|$))?"
_PATTERNS = (
    re.compile(rf"\b{_CLAUSE}\s+(?:of|in|to)\s+(?:the\s+|our\s+|your\s+)?{_NAME}{_EDITION}"),
    re.compile(rf"\b{_NAME}{_EDITION}[\s,:(-]{{1,3}}{_CLAUSE}"),
)
_OWN = re.compile(r"\(?(?P<clause>[A-Z]?\d{1,2}(?:\.\d{1,3}){1,4})[.)]?\s")


def source_of(text: str, claim: Claim, passages: list[Passage]) -> tuple[dict[str, str], tuple[int, int]]:
    """Document, edition and clause of a limit as far as the text names them, and where it does."""
    for passage in [claim.passage, *passages]:
        if passage.about != "salt":
            continue
        for pattern in _PATTERNS:
            for match in pattern.finditer(text, passage.segment.start, passage.segment.end):
                if not any(citation.start < match.end("document") and match.start("document") < citation.end for citation in passage.citations):
                    return {name: value.strip(" .") for name, value in match.groupdict().items() if value}, match.span()
    return _own_number(text, claim.passage.segment)


def _own_number(text: str, segment: Segment) -> tuple[dict[str, str], tuple[int, int]]:
    over: Segment | None = segment
    while over is not None:
        match = _OWN.match(text, over.start, over.end)
        if match:
            return {"clause": match["clause"]}, match.span("clause")
        over = over.heading
    return {}, (0, 0)
