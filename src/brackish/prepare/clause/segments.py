# SPDX-License-Identifier: MIT
"""Plain text split into sentences, table rows and headings, in one pass.

A line end inside a sentence is only a line end; before a bullet, after a full stop, beside a short
line or in a table it ends the segment. A heading holds until the next one.
Next: `subjects.py`, which says what each segment is about.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from brackish.prepare.clause.normalise import Plain

LONGEST = 1500  # characters of one segment; a longer run without a stop is cut at a space
_SHORT_LINE = 48  # a line this short, with a capital after it, ended on purpose

_BULLET = re.compile(
    r"[ \t]*(?:[-*>]+[ \t]|\(?[a-z]{1,2}\)[ \t]|[a-z]\.[ \t]+(?=[A-Z])|\(?[ivx]{1,5}\)[ \t]|\(?\d{1,2}[.)][ \t]|\d{1,2}(?:\.\d{1,3}){1,4}\.?[ \t]+(?=[A-Z\"]))"
)
_ABBREVIATED = frozenset(
    "max min approx e.g i.e no nos cl sec sect fig ref temp cond incl acc resp cf ca spec para art est equiv inc std dept vol abs deg rev eq sq wt mr mrs ms dr inkl bzw z.b etc tab pt pcs nr".split()
)
_STOP = re.compile(r"[.!?][\"')\]]{0,2}(?=\s|$)|;+|\n")
_TABLE_MARK = re.compile(r"\||\t|\S {3,}\S")


@dataclass(frozen=True)
class Segment:
    """A stretch of plain text: where it stands, what kind it is, and the heading over it."""

    start: int
    end: int
    kind: str  # "sentence", "row", "heading"
    heading: Segment | None
    paragraph: int
    low: str

    @property
    def root(self) -> Segment | None:
        """The outermost heading it stands under."""
        over = self if self.kind == "heading" else self.heading
        while over is not None and over.heading is not None:
            over = over.heading
        return over

    @property
    def header(self) -> str:
        """The words of the headings over it, the nearest last."""
        words: list[str] = []
        over = self.heading
        while over is not None and len(words) < 3:
            words.append(over.low)
            over = over.heading
        return " ".join(reversed(words))


def split(plain: Plain) -> list[Segment]:
    """Segments in order; blank ones left out."""
    out: list[Segment] = []
    heading: Segment | None = None
    for start, end, paragraph in _pieces(plain.text):
        raw = plain.text[start:end]
        lead = len(raw) - len(raw.lstrip())
        start, end = start + lead, start + len(raw.rstrip())
        if end <= start:
            continue
        kind = _kind(plain.text[start:end])
        low = plain.low[start:end].replace("\n", " ")
        above = _parent(low, heading) if kind == "heading" else heading
        segment = Segment(start=start, end=end, kind=kind, heading=above, paragraph=paragraph, low=low)
        if kind == "heading":
            heading = segment
        out.append(segment)
    return out


_HEADING_NUMBER = re.compile(r"\(?(\d{1,2}(?:\.\d{1,3})*)[.)]?\s")


def _parent(low: str, heading: Segment | None) -> Segment | None:
    """The numbered heading over a numbered heading: 4 over 4.1."""
    number = _HEADING_NUMBER.match(low)
    while number and heading is not None:
        above = _HEADING_NUMBER.match(heading.low)
        if above and number[1].startswith(f"{above[1]}."):
            return heading
        heading = heading.heading
    return None


def _pieces(text: str) -> Iterator[tuple[int, int, int]]:
    begin, line, paragraph = 0, 0, 0
    for stop in _STOP.finditer(text):
        at = stop.start()
        is_line_end = text[at] == "\n"
        blank = is_line_end and (at + 1 >= len(text) or text[at + 1] == "\n")
        if is_line_end:
            ends = blank or _line_ends_segment(text, line, at)
            line = at + 1
        else:
            ends = _is_full_stop(text, at, stop.end())
        if ends or at - begin > LONGEST:
            yield from _cut(text, begin, stop.end(), paragraph)
            begin = stop.end()
        paragraph += blank
    yield from _cut(text, begin, len(text), paragraph)


def _cut(text: str, begin: int, end: int, paragraph: int) -> Iterator[tuple[int, int, int]]:
    while end - begin > LONGEST:
        space = text.rfind(" ", begin + LONGEST // 2, begin + LONGEST)
        cut = space if space > 0 else begin + LONGEST
        yield begin, cut, paragraph
        begin = cut
    if end > begin:
        yield begin, end, paragraph


def _is_full_stop(text: str, at: int, after: int) -> bool:
    if text[at] != ".":
        return True
    before = text[max(0, at - 9) : at].lower().split()
    word = before[-1].lstrip("([") if before else ""
    if word in ("max", "min"):
        following = text[after : after + 12].lstrip()
        return bool(following) and following[0].isupper()
    if len(word) == 1 and word.isalpha() and re.search(r"\d\s?[a-zA-Z]$", text[max(0, at - 4) : at]):
        return text[after : after + 12].lstrip()[:1].isupper()  # "24 h." ends a sentence, "p. 3" does not
    if word in _ABBREVIATED or (len(word) == 1 and word.isalpha()):
        return False
    if _BULLET.fullmatch(text[max(at - 19, text.rfind("\n", max(0, at - 19), at) + 1, 0) : at + 1] + " "):
        return False  # the number of a list entry
    following = text[after : after + 40].lstrip()
    return not following or not following[0].islower()


def _line_ends_segment(text: str, line: int, at: int) -> bool:
    here = text[line:at] if at - line < 400 else text[at - 400 : at]
    next_end = text.find("\n", at + 1, at + 400)
    following = text[at + 1 : next_end if next_end >= 0 else at + 400]
    if _BULLET.match(following) or here.rstrip().endswith(":"):
        return True
    if _TABLE_MARK.search(here.strip()) or ("|" in following or "\t" in following.strip()):
        return True
    first = following.lstrip()[:1]
    words = here.strip()
    if not words or not first:
        return True
    dangling = words[-1] in ",-/(&<=" or words.rsplit(" ", 1)[-1].lower() in _DANGLING
    return (
        len(words) < _SHORT_LINE and (first.isupper() or first.isdigit()) and not dangling and not _UNIT_AHEAD.match(following.lstrip()) and not first.islower()
    )


_DANGLING = frozenset(
    "of the a an to by with and or per in on for exceed than be is are at iso en astm from not shall below under max maximum sspc nace as part that must clause".split()
)
_UNIT_AHEAD = re.compile(r"[\d.,]+\s*(?:[a-zA-Z%]{1,3}\s?/|%|[mu]S|m2|mm2|cm2|mL|ml|hours|°)")
_SENTENCE_VERB = re.compile(
    r"\b(?:shall|must|should|will|is|are|be|may|has|have|exceeds?|please|darf|doit|debe|skal|deve|mag)\b|<|\bmax|\d\)?\s*(?:[mu]g|[mu]s|micro|milli|ppm|%|ml|um\b|mm\b|[cm]?m2|h\b|hours|°|ft|sq)",
    re.IGNORECASE,
)


def _kind(text: str) -> str:
    columns = len(re.findall(r"\S {3,}(?=\S)", text[:300]))
    if "|" in text or "\t" in text or columns > 1 or (columns and re.search(r"\d\s?[a-zA-Z%]", text)):
        return "row"
    if text.endswith(":") and len(text) < 120 and not _SENTENCE_VERB.search(text):
        return "heading"
    if len(text) < 44 and text[-1] == "." and len(text.split()) <= 5 and not _SENTENCE_VERB.search(text) and re.match(r"(?:[\d.]+|\(?[a-z][.)])\s", text):
        return "heading"
    if len(text) < 70 and text[-1] not in ".;" and not _SENTENCE_VERB.search(text):
        return "heading"
    return "sentence"
