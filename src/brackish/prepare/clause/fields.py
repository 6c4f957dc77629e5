# SPDX-License-Identifier: MIT
"""The rest of a criterion: stage, count, place, blank, judgement, failure, each with its words.

Every segment that is about a salt test is searched for each field; `criteria.py` then gives what was
found to the requirements it belongs to.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from brackish.prepare.clause import counts, lexicon, topics
from brackish.prepare.clause.figures import Figure
from brackish.prepare.clause.segments import Segment


@dataclass(frozen=True)
class Hit:
    """A field that a segment gives, with the words it stands in."""

    field: str
    value: object
    start: int
    end: int
    detail: object = None


def in_segment(text: str, segment: Segment, figures: list[Figure], header: str, limit_starts: list[int]) -> list[Hit]:
    """All fields of one segment. `text` is the plain text with standards masked."""
    hits: list[Hit] = []
    for find in (_count, _stage, _within, _blank, _decision, _judged, _place, _temperature, _volume_and_area, _equivalent, _liquid, _dwell):
        hits += find(text, segment, figures, header, limit_starts)
    return [*hits, *_spoken(text, segment)]


def _spoken(text: str, segment: Segment) -> Iterator[Hit]:
    """Topics the segment speaks of, read or not; the words are the whole part of the sentence."""
    for topic, net in topics.NETS.items():
        match = net(text[segment.start : segment.end])
        if match:
            start, end = _clause_around(text, segment, segment.start + match.start(), segment.start + match.end())
            yield Hit("speaks", topic, start, end)


def _first(pattern: re.Pattern[str], text: str, segment: Segment) -> re.Match[str] | None:
    return pattern.search(text, segment.start, segment.end)


def _count(text: str, segment: Segment, *_: object) -> Iterator[Hit]:
    found = counts.find(text, segment.start, segment.end)
    if found:
        yield Hit("count", found.text, found.start, found.end, found)


def _stage(text: str, segment: Segment, *_: object) -> Iterator[Hit]:
    for value, pattern in lexicon.STAGES:
        match = _first(pattern, text, segment)
        if match:
            yield Hit("stage", value, match.start(), match.end(), "said")
            return


def _within(text: str, segment: Segment, figures: list[Figure], *_: object) -> Iterator[Hit]:
    for figure in figures:
        if figure.dimension != "time" or figure.unit == "s":
            continue
        before = text[max(segment.start, figure.start - 80) : figure.start]
        around = text[max(segment.start, figure.start - 90) : min(segment.end, figure.end + 90)]
        near = text[max(segment.start, figure.start - 60) : min(segment.end, figure.end + 45)]
        direct = re.match(
            rf"\s*(?:or less\s+)?(?:before|prior to|ahead of|of|from|after|preceding|between)\s+(?:the\s+)?(?:test\w*|{lexicon.COAT}|blast\w*|prim\w+|being)",
            text[figure.end : figure.end + 60],
        )
        valid = re.search(r"valid (?:for|only)|holds? for|older than|count\w* for", before[-30:])
        coated = re.search(rf"\b(?:{lexicon.COAT}|primed|painted|coated|lined)\b", around) and figure.to("h") <= 72
        if (lexicon.TIME_BEFORE.search(before) or direct or coated or valid) and lexicon.TIME_CONTEXT.search(around) and not lexicon.NOT_A_WAIT.search(near):
            yield Hit("test_within", figure.text, figure.start, figure.end)
            if lexicon.OF_THE_BLAST.match(text, figure.end):
                yield Hit("test_within_of", "blasting", figure.start, figure.end)
            return
    soon = _first(lexicon.SOON, text, segment)
    if soon and (lexicon.TIME_CONTEXT.search(text, segment.start, segment.end)):
        yield Hit("test_within_words", text[soon.start() : soon.end()], soon.start(), soon.end())


_JOIN = re.compile(r"[;|\t:]|\s-\s|\s{3,}")


def _clause_around(text: str, segment: Segment, start: int, end: int) -> tuple[int, int]:
    """The part of the sentence in which a word stands: the whole sentence unless a row or a colon cuts it."""
    left = max((m.end() for m in _JOIN.finditer(text, segment.start, start)), default=segment.start)
    right = _JOIN.search(text, end, segment.end)
    if text[left:start].count(",") and re.search(r"[\d)]\s*[,(]", text[left:start]):
        comma = max(text.rfind(", ", left, start), left)
        if re.match(r", (?:if|where|when|re-?|wash|reject|otherwise|and if|fail)", text[comma : comma + 12]):
            left = comma + 2
    return left + len(text[left:start]) - len(text[left:start].lstrip()), right.start() if right else segment.end


def _blank(text: str, segment: Segment, *_: object) -> Iterator[Hit]:
    none = _first(lexicon.NO_BLANK, text, segment)
    if none and re.search(r"blank|water|background|baseline", text[segment.start : segment.end]):
        yield Hit("blank_rule", "none", none.start(), none.end())
        return
    blank = _first(lexicon.BLANK, text, segment)
    if not blank:
        return
    kit = _first(lexicon.FULL_KIT, text, segment)
    if kit:
        yield Hit("blank_rule", "full-kit", min(kit.start(), blank.start()), max(kit.end(), blank.end()))
    elif _first(lexicon.SUBTRACTS, text, segment):
        yield Hit("blank_rule", "water", blank.start(), blank.end())
    else:
        yield Hit("blank_mentioned", blank.group(), blank.start(), blank.end())


def _decision(text: str, segment: Segment, figures: list[Figure], *_: object) -> Iterator[Hit]:
    whole = text[segment.start : segment.end]
    found = None
    if lexicon.PASS_LESS.search(whole) and lexicon.FAIL_PLUS.search(whole):
        found = ("three-way", segment.start + lexicon.PASS_LESS.search(whole).start(), segment.end)  # type: ignore[union-attr]
    for value, pattern in lexicon.DECISIONS:
        match = None if found else _first(pattern, text, segment)
        if match:
            found = (value, match.start(), match.end())
    if found:
        yield Hit("decision_rule", *found)
    if not found and not re.search(r"guard[ -]?band|uncertainty|ilac", whole):
        return
    side = re.search(r"(one|two)[- ]sided", whole)
    if side:
        yield Hit("guard_band", side.group().replace(" ", "-"), segment.start + side.start(), segment.start + side.end())
    for figure in figures:
        near = text[max(segment.start, figure.start - 70) : min(segment.end, figure.end + 40)]
        if figure.unit == "%" and 50 < figure.value < 100 and re.search(r"uncertainty|confidence|coverage|level|guard|sided", near):
            yield Hit("level", f"{figure.digits} %", figure.start, figure.end)
        if figure.dimension == "amount_per_area" and re.search(
            r"guard[ -]?band (?:of|is|shall be|=|:)\s*$", near[: len(near) - 40 - len(text[figure.start : figure.end])] + " "
        ):
            yield Hit("guard_band", figure.text, figure.start, figure.end)
    budget = re.search(r"uncertainty budget|from the budget|budget of", whole)
    if budget:
        yield Hit("uncertainty", "budget", segment.start + budget.start(), segment.start + budget.end())
    published = re.search(r"published (?:method )?(?:uncertainty|precision)|uncertainty of the method|sp ?0508", whole)
    if published and not budget:
        yield Hit("uncertainty", "method", segment.start + published.start(), segment.start + published.end())
    for value, pattern in lexicon.ON_INCONCLUSIVE:
        match = pattern.search(whole)
        if match and (found or "doubt" in match.group() or "inconclusive" in match.group()):
            yield Hit("on_inconclusive", value, segment.start + match.start(), segment.start + match.end())
            return


def _judged(text: str, segment: Segment, *_: object) -> Iterator[Hit]:
    each = _first(lexicon.EACH, text, segment)
    mean = _first(lexicon.MEAN, text, segment)
    if mean and lexicon.NOT_MEAN.search(text, segment.start, segment.end):
        each, mean = each or mean, None
    if mean and re.search(r"dft|thickness|adhesion|pull-?off", text[max(segment.start, mean.start() - 40) : mean.end() + 40]):
        mean = None
    if mean and re.search(r"determination|portion|duplicate|two readings", text[mean.start() : mean.end() + 30]) and not each:
        mean = None
    if each:
        yield Hit("judged", "each", each.start(), each.end())
    if mean:
        yield Hit("judged", "mean", mean.start(), mean.end())


def _place(text: str, segment: Segment, *_: object) -> Iterator[Hit]:
    if lexicon.NOT_A_PLACE.search(text, segment.start, segment.end) and not re.search(r"inspector|engineer|surveyor|owner", text[segment.start : segment.end]):
        return
    for match in lexicon.PLACE.finditer(text, segment.start, segment.end):
        start, end = _phrase(text, segment, match.start(), match.end())
        words = text[start:end]
        if re.match(r"(?:grind|ground|weld(?:ing|s)? (?:continuous|shall|must|to be))", words) or re.search(
            r"(?:soluble|previous)\s*$|selected by the (?:contractor|applicator)", words
        ):
            continue
        if match.lastgroup != "rule" and not _PREPOSITION.search(text, start, match.end()) and not _LISTED.search(text[max(segment.start, start - 18) : start]):
            continue
        yield Hit("placement", None, start, end)
        return


_LISTED = re.compile(r"(?:locations?|places?|points?|areas?|spots?|positions?)\s*:\s*$")
_PREPOSITION = re.compile(
    r"\b(?:at|on|in|beside|near|along|wherever|where|under|beneath|close to|next to|around|adjacent to|of|with|each|particular|one|spread|locations?|places?|points?|positions?|spots?|randomly|evenly|low|junto|chosen|selected|agreed|marked)\b"
)


def _phrase(text: str, segment: Segment, start: int, end: int) -> tuple[int, int]:
    """From the preposition before a place to the end of its part of the sentence."""
    floor = max(segment.start, start - 60)
    cuts = [m.end() for m in re.finditer(r"[,;:|\t(]|\s{3,}", text[floor:start])]
    begin = floor + (cuts[-1] if cuts else 0)
    first = _PREPOSITION.search(text, begin, start)
    left = first.start() if first else begin if cuts or floor == segment.start else start
    stop = re.compile(
        r"[.;:|\t)](?=\s|$)|,(?=\s(?!and|on|in|at|of|under|beneath|or|near)\w)|\s(?:and|shall|will|must|is|are)\s(?:the|be|send|report|to)\b|\s(?:after|before|prior|immediately|directly)\b|\swith (?:a|an|the)\s|\sonce\s|\s{3,}|$"
    ).search(text, end, segment.end)
    right = stop.start() if stop else segment.end
    return left + len(text[left:start]) - len(text[left:start].lstrip()), right


lexicon_units = re.compile(r"conductiv|[um]s\s?/|meter|compensat|salt|chlorid")


def _temperature(text: str, segment: Segment, figures: list[Figure], *_: object) -> Iterator[Hit]:
    for figure in figures:
        if figure.dimension != "temperature" or not 15 <= figure.to("degC") <= 30:
            continue
        before = text[max(segment.start, figure.start - 70) : figure.start]
        behind = text[figure.end : min(segment.end, figure.end + 40)]
        if re.search(r"dew|steel temp|air temp|humid|cure|curing|preheat|surface temp|ambient|\bfill|store|kept|warm", before[-45:] + behind[:12]):
            continue
        if (
            re.search(r"compensat|refer|conductiv|reading|correct|normali|measured|converted|¤|meter|at\s*\(?$|salt|result|water|extract|instrument", before)
            or re.search(r"refer|compensat|basis|correct", behind)
            or (lexicon_units.search(text[segment.start : segment.end]) and figure.to("degC") in (18, 20, 23, 25))
            or text[segment.start : segment.end].strip(" ().") == text[figure.start : figure.end].strip(" ().")
        ):
            yield Hit("reference_temperature", f"{figure.digits} {figure.unit}", figure.start, figure.end)
            return


def _volume_and_area(text: str, segment: Segment, figures: list[Figure], *_: object) -> Iterator[Hit]:
    volumes = [f for f in figures if f.dimension == "volume" and 0 < f.to("mL") <= 2000]
    if volumes:
        total = [
            f
            for f in volumes
            if re.search(
                r"beaker|total|made up|returned|dilut|make up|final|altogether|measured (?:in|solution)",
                text[max(segment.start, f.start - 45) : min(segment.end, f.end + 32)],
            )
        ]
        chosen = total[-1] if total else volumes[0]
        on_area = re.match(r"\s(?:\w+\s){1,3}[\d.,]+\s?(?:mm|cm|sq)", text[chosen.end : chosen.end + 40])
        if on_area or re.search(r"titr|paint|thinner|silver|consum", text[max(segment.start, chosen.start - 30) : chosen.end + 20]) is None:
            yield Hit("solution_volume", chosen.text, chosen.start, chosen.end, "total" if total else "")
    for figure in figures:
        if figure.dimension == "area" and 0 < figure.to("mm2") <= 100000 and figure.unit in ("mm2", "cm2", "in2", "dm2"):
            yield Hit("area", figure.text, figure.start, figure.end)
            return
    code = re.search(r"\ba[- ]?(0155|0310|0625|1250|2500)\b", text[segment.start : segment.end])
    if code:
        yield Hit("area", f"{int(code[1])} mm2", segment.start + code.start(), segment.start + code.end())


def _equivalent(text: str, segment: Segment, figures: list[Figure], header: str, *_: object) -> Iterator[Hit]:
    for match in lexicon.EQUIVALENT.finditer(text, segment.start, segment.end):
        before = text[max(segment.start, match.start() - 90) : match.start()]
        if not re.search(rf"{lexicon.DEVICE.pattern}|¤", before) or re.search(
            r"(?:nacl|chlorides?|salts?|mg|class|sa 2\S*|garnet|slag|grit|abrasives?|paint|primer|epoxy|water|media|material)\W*$", before
        ):
            continue
        if re.search(r"\d\s*(?:mg|ug|us|ms|%)\s?\S{0,5}\s*$", before):
            continue
        shown = lexicon.EQUIVALENCE_SHOWN.search(text, segment.start, segment.end)
        yield Hit("or_equivalent", not shown, match.start(), match.end())
        return


def _liquid(text: str, segment: Segment, *_: object) -> Iterator[Hit]:
    acid = re.search(
        r"acid(?:ic|ified)? (?:extract|solution|liquid)|(?:dilute|weak|mild) acid|extract\w* (?:with|in) (?:an? )?(?:\w+ )?acid",
        text[segment.start : segment.end],
    )
    if acid:
        yield Hit("extraction_liquid", "acid", segment.start + acid.start(), segment.start + acid.end())


def _dwell(text: str, segment: Segment, figures: list[Figure], *_: object) -> Iterator[Hit]:
    for figure in figures:
        near = text[max(segment.start, figure.start - 50) : min(segment.end, figure.end + 40)]
        if figure.dimension == "time" and figure.unit in ("min", "s") and re.search(r"dwell|inject|extract|cycles|agitat|contact time", near):
            yield Hit("dwell", figure.text, figure.start, figure.end)
            break
    cycles = re.search(rf"\b({lexicon.NUMBER}) (?:suction |injection |suck\w* |pumping |full )?cycles\b", text[segment.start : segment.end])
    if cycles:
        number = int(cycles[1]) if cycles[1].isdigit() else lexicon_number(cycles[1])
        yield Hit("cycles", number, segment.start + cycles.start(), segment.start + cycles.end())


def lexicon_number(word: str) -> int:
    return counts.number_word(word)
