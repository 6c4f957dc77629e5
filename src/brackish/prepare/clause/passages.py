# SPDX-License-Identifier: MIT
"""The text walked once: each segment with its figures, standards, limits and fields.

A `Passage` keeps what one segment says and what it is about; a `Claim` is a limit on its way to a
requirement; a `Survey` is the whole text as read. Next: `criteria.py`, which joins them.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from brackish.prepare.clause import fields, figures, limits, segments, standards, subjects, tables
from brackish.prepare.clause import worded as worded_limits
from brackish.prepare.clause.fields import Hit
from brackish.prepare.clause.figures import Figure
from brackish.prepare.clause.limits import Conversion, Limit
from brackish.prepare.clause.normalise import Plain
from brackish.prepare.clause.reading import Requirement
from brackish.prepare.clause.segments import Segment
from brackish.prepare.clause.standards import Citation

MOST_LIMITS = 60
MOST_READ = 60_000  # characters of sentences about salt that are read in full: some twenty dense pages
_WORTH = re.compile(
    rf"{limits.SALT.pattern}|abrasive|\bgrit\b|garnet|slag|\btests?\b|tested|reading|measure|extract|patch|sleeve|\bblank|sampl|result|limit|fail|exceed|accept|reject|retest|repeat|wash|rins|clean|coat|paint|prim|blast|spots?\b|locations?|places?\b|\bper\b|each|average|mean\b|uncertainty|water|deliver|\blots?\b|translat|language|prevail|govern|precedence|version|equivalent|ppm|[mu]g\s?/|micro|milli|immers|temperature|\d\s?(?:ml|cm2|mm2|m2)"
)


@dataclass
class Passage:
    """One segment with everything that was read in it."""

    segment: Segment
    citations: list[Citation]
    figures: list[Figure]
    header: str
    about: str  # salt, other
    default: str  # the target that holds before this segment
    limits: list[Limit] = field(default_factory=list)
    conversions: list[Conversion] = field(default_factory=list)
    hits: list[Hit] = field(default_factory=list)
    target: str = ""
    strong: str = ""
    used: bool = False


@dataclass
class Claim:
    """A limit on its way to a requirement."""

    limit: Limit
    passage: Passage
    species: str = ""
    basis: str = ""
    methods: list[Citation] = field(default_factory=list)
    hits: dict[str, Hit] = field(default_factory=dict)
    requirement: Requirement = field(default_factory=Requirement)
    limit_mean: Limit | None = None
    blank_known: bool = False
    spoken: set[str] = field(default_factory=set)  # topics that the text speaks of and nobody could read
    half_read: list[Hit] = field(default_factory=list)  # the words that spoke of them

    @property
    def target(self) -> str:
        return self.limit.target

    @property
    def figure(self) -> Figure:
        """The figure of a limit that has one."""
        assert self.limit.figure is not None, "asked of a limit with a number only"
        return self.limit.figure

    @property
    def dimension(self) -> str:
        return self.limit.figure.dimension if self.limit.figure else ""

    def get(self, name: str) -> str:
        return self.requirement.get(name)


@dataclass
class Survey:
    """The whole text as read: what the traps and questions look at."""

    plain: Plain
    masked: str
    passages: list[Passage]
    claims: list[Claim]
    citations: list[Citation]
    unread: list[tuple[int, int]]
    half_read: list[tuple[int, int]]  # sentences that speak of a topic and gave it no value
    truncated: bool


def walk(plain: Plain) -> tuple[list[Passage], str, bool]:
    """Passages of a text, the text with standards masked, and whether its end was left out."""
    everything = segments.split(plain)
    chosen, truncated = _chosen(everything)
    comma = figures.uses_comma_decimals(plain.low)
    cited = {id(one): standards.find(plain, one.start, one.end) for one in chosen}
    masked = _mask(plain.low, [citation for found in cited.values() for citation in found]).replace("\n", " ")
    passages, cut = _bounded(_passages(plain, masked, chosen, cited, comma))
    _bare_water(passages)
    return passages, masked, truncated or cut


def _chosen(everything: list[Segment]) -> tuple[list[Segment], bool]:
    out: list[Segment] = []
    spent = 0
    small = bool(everything) and everything[-1].end <= MOST_READ
    for segment in everything:
        if small or _WORTH.search(segment.low):
            if spent + len(segment.low) > MOST_READ:
                return out, True
            spent += len(segment.low)
            out.append(segment)
    return out, False


def _bare_water(passages: list[Passage]) -> None:
    """Water without a purpose is the water of the test where the text only speaks of tests."""
    everything = " ".join(passage.segment.low for passage in passages)
    if subjects.WASHES.search(everything) or not subjects.EXTRACTS.search(everything):
        return
    for passage in passages:
        for limit in passage.limits:
            if limit.target == subjects.WASHING_WATER and limit.subject and limit.subject.end - limit.subject.start == len("water"):
                limit.target = subjects.EXTRACTION_WATER


def _bounded(passages: list[Passage]) -> tuple[list[Passage], bool]:
    """Passages up to the most limits one text is read for."""
    count = 0
    for index, passage in enumerate(passages):
        count += len(passage.limits)
        if count > MOST_LIMITS:
            passage.limits = passage.limits[: max(0, MOST_LIMITS - count + len(passage.limits))]
            return passages[: index + 1], True
    return passages, False


def _mask(low: str, citations: list[Citation]) -> str:
    """Standards replaced by ¤, so that their digits are never read as numbers."""
    out, at = [], 0
    for citation in sorted(citations, key=lambda one: one.start):
        if citation.start >= at:
            out += [low[at : citation.start], "¤" * (citation.end - citation.start)]
            at = citation.end
    return "".join([*out, low[at:]])


@dataclass
class _Walk:
    """One walk over the segments, and what it remembers from one to the next."""

    plain: Plain
    masked: str
    comma: bool
    everything: str
    salty: bool  # whether salt is spoken of anywhere
    target: str = ""  # what limits without a subject are for
    about: str = "salt"
    columns: str = ""  # the head of the table that is walked through
    units: list[tuple[int, str]] = field(default_factory=list)  # of its columns
    previous: Segment | None = None
    limits_found: int = 0

    def passage(self, segment: Segment, citations: list[Citation]) -> Passage:
        """What one segment says."""
        found, header = self._figures(segment, citations)
        self.about = self._topic(segment, header)
        mentions = [m for m in subjects.find(self.masked, segment.start, segment.end) if m.strong]
        if segment.kind == "heading":
            self.target = mentions[0].target if mentions else "" if limits.SALT.search(segment.low) else self.target
        passage = Passage(segment, citations, found, header, self.about, "" if segment.kind == "row" else self.target)
        _read_passage(self.masked, passage, self.target)
        self.target = self._next_target(passage, mentions)
        previous = self.previous
        beside = previous.low if previous is not None and previous.paragraph == segment.paragraph and not limits.SALT.search(previous.low) else ""
        passage.limits = [one for one in passage.limits if one.words or _ours(one, segment, f"{header} {beside}", self.everything)]
        passage.target = passage.limits[-1].target if passage.limits else mentions[0].target if mentions else self.target
        passage.strong = mentions[0].target if mentions else ""
        self.limits_found += len(passage.limits)
        self.previous = segment
        return passage

    def _figures(self, segment: Segment, citations: list[Citation]) -> tuple[list[Figure], str]:
        """The figures of a segment, numbers under a unit of the table's head among them; and the headings over it."""
        found = figures.find(self.plain, segment.start, segment.end, comma_decimals=self.comma, taken=[(c.start, c.end) for c in citations])
        self._take_head(segment, found)
        is_head = self.columns == segment.low
        header = f"{segment.header} {'' if is_head else self.columns}".strip()
        if not any(f.dimension in ("amount_per_area", "conductivity") for f in found):
            bare = tables.bare_numbers(self.masked, segment, [] if is_head else self.units, self.comma)
            found = sorted(found + bare, key=lambda f: f.start)
        return found, header

    def _take_head(self, segment: Segment, found: list[Figure]) -> None:
        """Remember the head of a table while its rows last."""
        previous = self.previous
        if segment.kind != "row" or (previous is not None and previous.kind == "row" and previous.paragraph != segment.paragraph):
            self.columns, self.units = "", []
        if segment.kind != "row" or any(f.dimension in ("amount_per_area", "conductivity", "parts", "concentration", "impossible") for f in found):
            return
        units = tables.header_units_of(self.masked, segment)
        data = any(re.fullmatch(r"\W*\d[\d.,]*\W*", self.masked[a:b]) for a, b in tables.cells(self.masked, segment))
        if (units and not data) or re.search(r"accept|criteri|limit|method|frequency|requirement|extent", segment.low):
            self.columns, self.units = segment.low, units

    def _topic(self, segment: Segment, header: str) -> str:
        """salt or other; a row that goes on keeps the topic, remarks under a table speak of all its rows."""
        previous = self.previous
        if previous is not None and segment.kind == previous.kind == "row" and "\n" not in self.plain.text[previous.end : segment.start]:
            return self.about
        about = _about(segment, header, self.about, salty=self.salty)
        under_table = previous is not None and previous.kind == "row" != segment.kind and not limits.OTHER_TOPIC.search(segment.low)
        return "salt" if about == "other" and under_table and self.limits_found else about

    def _next_target(self, passage: Passage, mentions: list[subjects.Mention]) -> str:
        """What the next segment is taken to speak of, where it does not say."""
        if passage.limits:
            return passage.limits[-1].target
        if not mentions or passage.segment.kind == "row" or passage.about != "salt":
            return self.target
        named = mentions[0].target
        if limits.SALT.search(passage.segment.low):
            return named
        return named if named == subjects.ABRASIVE or (named == subjects.STEEL and self.target != subjects.ABRASIVE) else self.target


def _passages(plain: Plain, masked: str, chosen: list[Segment], cited: dict[int, list[Citation]], comma: bool) -> list[Passage]:
    everything = " ".join(segment.low for segment in chosen)
    walk = _Walk(plain, masked, comma, everything, salty=bool(limits.SALT.search(everything)))
    out: list[Passage] = []
    for segment in chosen:
        if walk.limits_found > MOST_LIMITS:
            break
        out.append(walk.passage(segment, cited[id(segment)]))
    return out


def _ours(limit: Limit, segment: Segment, header: str, everything: str) -> bool:
    """Whether the words around a figure are of this trade; other waters and materials have limits too."""
    near = f"{header} {segment.low}"
    if limit.target in (subjects.EXTRACTION_WATER, subjects.WASHING_WATER):
        purpose = subjects.WASHES.search(near) or subjects.EXTRACTS.search(near)
        other = subjects.OTHER_TRADE.search(near)
        return (
            bool(purpose and not other)
            or bool(not other and subjects.OUR_TRADE.search(everything) and "water" in near)
            or bool(other and re.search(r"wash|rins|extract|jetting", near))
        )
    if limit.unsure_target:
        return bool(subjects.OUR_TRADE.search(near) or (subjects.OUR_TRADE.search(everything) and limits.SALT.search(near))) and not (
            subjects.OTHER_TRADE.search(near) and not re.search(r"steel|surface|plate|blast|extract", near)
        )
    return True


def _about(segment: Segment, header: str, before: str, *, salty: bool) -> str:
    if limits.SALT.search(segment.low):
        return "salt"
    if limits.OTHER_TOPIC.search(segment.low) and not (limits.SALT.search(header) and segment.kind != "row"):
        return "other"
    if segment.kind == "row":
        return "salt" if limits.SALT.search(header) else "other"
    if segment.kind == "heading":
        return "salt"
    return before if salty else "other"


def _read_passage(masked: str, passage: Passage, current: str) -> None:
    segment = passage.segment
    if passage.about != "salt" and not any(f.dimension in ("amount_per_area", "conductivity") for f in passage.figures):
        return
    passage.limits, passage.conversions = limits.in_segment(
        masked, segment, passage.figures, passage.header, passage.default or (current if segment.kind != "row" else ""), ""
    )
    worded = worded_limits.in_words(masked, segment, passage.header, passage.default, bool(passage.limits), about_salt=passage.about == "salt")
    if worded:
        passage.limits.append(worded)
        passage.limits.sort(key=lambda one: one.start)
    if passage.about == "salt" or passage.limits:
        passage.hits = fields.in_segment(masked, segment, passage.figures, passage.header, [one.start for one in passage.limits])
