# SPDX-License-Identifier: MIT
"""In which sense a figure limits: the words before it, after it, and what happens when it is passed.

"Not exceed" and "in excess of … is rejected" say the same; "at or above … is rejected" means below.
"""

from __future__ import annotations

import re

from brackish.prepare.clause.figures import Figure
from brackish.prepare.clause.segments import Segment

_NEGATIVE = r"(?:\bno\b|\bnot\b|\bnever\b|\bnor\b|\bnone\b|\bneither\b|\bwithout\b|n't|\bcannot\b|\bnicht\b|\bne\b|\bikke\b|\bniet\b|\bkein\w*|\bnao\b|\bnon\b|\bforbidden\b|\bprohibited\b)"
_EXCEED = r"(?:exceed\w*|surpass\w*|overcom\w*|overpass\w*|go(?:es)? (?:past|over|beyond)|\bpast\b|(?:more|greater|higher|larger|bigger)\s+(?:or equal\s+)?than|above(?! (?:the )?(?:deep |load |low )*(?:water|load) ?line)(?! water)(?! ground)(?! dew)|over(?!all)|in excess of|superior(?:\s+to)?|beyond|upwards of|ubersteig\w+|uberschreit\w+|depass\w+|excede\w*|exceder|superar\w*|supera|overstig\w+|overskrid\w+|overschrijd\w+|>=?)"
SENSES = [
    ("at-most", re.compile(rf"{_NEGATIVE}(?:\s+\w+){{0,5}}?\s*{_EXCEED}")),
    ("at-most", re.compile(r"(?:less|lower|smaller|fewer|inferior)\s+(?:than\s+)?or\s+equals?|equal(?:s|\s+to)?\s+or\s+(?:less|lower|smaller|below|under)|at or (?:below|under)|<=|=<|not?\s+(?:more|greater|higher)\s+(?:[a-z]+\s+){1,3}than|not?\s+(?:be\s+)?(?:more|greater|higher|larger|bigger)\s+than|up to|at (?:the )?most|not more than|may (?:at most )?reach|within\s*$|hochstens|au plus|como maximo|maks\w*|within the limit of")),
    ("at-least", re.compile(rf"{_NEGATIVE}(?:\s+\w+){{0,2}}?\s+(?:less|lower|smaller|below|under|fewer)|at least|minimum|\bmin\b|mindestens|>=")),
    ("below", re.compile(r"(?:less|lower|smaller|fewer)\s+than|\bbelow\b|\bunder\b(?!\s+(?:section|clause|item))|beneath|<|inferior|kleiner als|\bunter\b|inferieure?s?|menor(?:es)? (?:que|a|de)|lagere? dan|lavere enn|mindre enn|shall not reach|not reach|minor\w*\s+(?:than|of)")),
]  # fmt: skip
_OVER = re.compile(_EXCEED)
_LIMIT_SAID = re.compile(
    r"\bmax(?:im(?:um|al|ale|o|a))?\b\.?|limit(?:s|ed|ing)?\b|ceiling|threshold|accept\w*|allow\w*|permi(?:tted|ssible|t)\w*|tolerat\w*|criteri\w*|requirement|comply with|no worse than|admissib\w*|bearable|\bcap(?:ped)?\b|upper bound|pass(?:es)? (?:at|when|if)|required|guarantee\w*|target|grenzwert|limite|grens\w*|correspond\w* to no"
)
AFTER = [
    ("at-most", re.compile(r"^[\s,(]*(?:or|and|ou|oder|eller)\s+(?:better|less|lower|below|under|fewer|smaller|weniger|menos|moins|mindre)|^[^.;]{0,24}?(?:,|\bbut\b|\band\b)\s*(?:not?|never)\s+(?:more|higher|greater|over|above|larger)\b|^[^.;]{0,40}?(?:not to be (?:exceeded|passed|surpassed)|(?:nicht|niet|ikke|inte) (?:zu )?(?:ubersch|uberst|overschr|overskr|overstig|overstijg)\w+)|^[^.;]{0,32}?(?:upper (?:value|figure|limit)[^.;]{0,12}not)|^[^.;,]{0,32}?(?:\bmax(?:imum)?\b|as (?:a |the )?(?:maximum|limit|ceiling|upper)|is the (?:limit|maximum|highest)|at (?:the )?most|or less|upper limit|shall not be (?:exceeded|passed|surpassed)|must not be (?:exceeded|passed)|not to be exceeded|is not (?:to be )?exceeded|nicht ubersch\w+|not exceeded|hochstens|not be overcome)")),
    ("over", re.compile(r"^[\s,(]*(?:or|and|ou)\s+(?:more|above|higher|greater|over)|^[^.;]{0,30}?\b(?:or (?:more|above|higher|greater))\b")),
    ("at-least", re.compile(r"^[^.;,]{0,24}?(?:\bmin(?:imum)?\b|at least)")),
]  # fmt: skip
_REJECT = re.compile(
    r"chang|turned|swap|renew|reject|unaccept|not (?:be )?accept|fail|re-?(?:clean|wash|blast|test|treat|work)|wash|contaminated|not comply|non-?c|repeat|clean\w* again|cleaned|quarantin|stop|not be (?:coated|painted|used)|refus|remov|return|discard|replac|go back|hold|cause for|unsatisf|not (?:permitted|tolerat\w+|admissible)|prohibit|forbidden|not allowed"
)
_FORBID = re.compile(r"(?:not\s+(?:be\s+)?(?:permitted|allowed|accepted|acceptable|tolerated|tolerable|admissible)|forbidden|prohibited|unacceptable)")


def sense_of(low: str, segment: Segment, figure: Figure, part: tuple[int, int], header: str) -> tuple[str, tuple[int, int]]:
    begin = max(part[0], figure.start - 130, segment.start)
    before = low[begin : figure.start]
    cut = max(before.rfind(" | "), before.rfind(": "), before.rfind(";"))
    close = before[cut + 1 :] if cut >= 0 and len(before) - cut < 60 else before
    behind = low[figure.end : min(part[1], segment.end, figure.end + 90)]
    behind_stop = re.search(r"\.\s|;|\|", behind)
    behind = behind[: behind_stop.start()] if behind_stop else behind
    for name, pattern in AFTER:
        match = pattern.match(behind)
        if match:
            at = (figure.end, figure.end + match.end())
            if name == "over":
                negated = re.search(rf"{_NEGATIVE}[^.;]{{0,50}}$", before)
                return ("below" if _REJECT.search(low[segment.start : segment.end]) or negated else "at-least"), at
            return name, at
    found = nearest(close) or nearest(before)
    if found:
        sense, first, last = found
        at = (begin + before.rfind(close) + first, begin + before.rfind(close) + last) if close in before else (begin + first, begin + last)
        return sense, at
    over = list(_OVER.finditer(close)) or list(_OVER.finditer(before))
    if over:
        strict = re.search(r"at or|equal|>=|reach", before[-40:])
        at = (figure.start, figure.end)
        if _REJECT.search(low[segment.start : segment.end]) or _FORBID.search(before):
            return ("below" if strict else "at-most"), at
        return ("at-least" if not re.search(r"exceed", over[-1].group()) else "at-most"), at
    if re.search(r"\bbetween\b|\brange\b", before[-40:]) and figure.lower:
        return "at-most", (figure.start, figure.end)
    around = f"{header} {low[segment.start : figure.start]}"
    if _LIMIT_SAID.search(around):
        return "at-most", (figure.start, figure.end)
    rejected = re.search(r"(?:at or above|at and above)", before)
    return ("below" if rejected else ""), (figure.start, figure.end)


def nearest(text: str) -> tuple[str, int, int] | None:
    """The sense word nearest to the figure; an "over" without negation after it is left to the caller."""
    strong: tuple[int, int, str] | None = None
    for name, pattern in SENSES:
        last = last_match(pattern, text)
        if last and (strong is None or (last.end(), -last.start()) > (strong[0], -strong[1])):
            strong = (last.end(), last.start(), name)
    over = last_match(_OVER, text)
    if strong:
        return None if over and over.start() >= strong[0] else (strong[2], strong[1], strong[0])
    weak = None if over else last_match(_LIMIT_SAID, text)
    return ("at-most", weak.start(), weak.end()) if weak else None


def last_match(pattern: re.Pattern[str], text: str) -> re.Match[str] | None:
    last = None
    for match in pattern.finditer(text):
        last = match
    return last
