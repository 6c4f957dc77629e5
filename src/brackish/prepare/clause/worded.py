# SPDX-License-Identifier: MIT
"""Limits without a number: "free of salts", or left to another paper."""

from __future__ import annotations

import re

from brackish.prepare.clause import senses, subjects
from brackish.prepare.clause.limits import SALT, Limit
from brackish.prepare.clause.segments import Segment

_FREE = re.compile(
    r"\b(?:free|clean|clear|devoid|rid|void)\s+(?:of|from)\s[^.;|:]{0,90}?\b(?:salts?|chlorides?|salt contamination)\b(?!\s+(?:spray|fog|deposits?|crust|crystals|water|shall|must|not|level|limit|content))|(?:salts?|chlorides?)\b[^.;|]{0,45}?(?:\babsent\b|\babsence\b|\bnegative\b|not (?:be )?(?:found|present|measurable|traceable|tolerated|noticeable|seen|there)|\bn\.?d\.?(?=\W|$)|no traces?)|(?:no|not (?:any|a)|never any|without (?:any )?|absence of|nothing of) (?:trace|sign|residue|remnant|amount)s? of (?:\w+ ){0,3}(?:salts?|chlorides?)|(?:not|never)\s(?:show|contain|carry|hold|bear|have|exhibit|reveal)\s(?:any|a trace of)\s(?:\w+\s){0,3}(?:salts?|chlorides?)|(?:entirely|completely|totally|absolutely|wholly) without (?:\w+ ){0,2}(?:salts?|chlorides?)|(?:\b(?:free|clean|clear)\s+(?:of|from)|\bno|\bnil|\bzero|absence\s+of|without|not\s+contain|devoid\s+of|\bnone?)\s+(?:any\s+|all\s+|detectable\s+|traces?\s+of\s+|measurable\s+|water[- ]?\s?soluble\s+|soluble\s+|surface\s+|oil,?\s+|grease,?\s+|dust,?\s+|dirt,?\s+|rust,?\s+|(?:and|or)\s+|moisture,?\s+|residual\s+|invisible\s+|harmful\s+|other\s+|remaining\s+|contamination\s+by\s+|oils?,?\s+|water,?\s+){0,6}"
    r"(?:soluble\s+)?(?:salts?\b(?!\s+(?:spray|fog|test|measure|limit|deposits?|water|crust|crystals))|chlorides?(?:\s+ions?)?\b|salt\s+contamination)(?!\s+(?:tests?|testing|measure\w*|readings?|is\s+spread|shall\s+be\s+spread|limit|requirement))"
    r"|(?:salts?|chlorides?|conductivity|contamination|contaminants)\b[^.;|]{0,40}?(?:\bnil\b|none[- ]detect\w*|non[- ]detect\w*|not (?:be )?detect\w*|undetect\w*|\bzero\b|\bnone\b(?=\s*(?:$|[|.;,])))|(?:all|any)\s+(?:traces?\s+of\s+)?(?:water[- ]?)?(?:soluble\s+)?(?:salts?|chlorides?)\b[^.;]{0,40}(?:shall|must|to)\s+be\s+(?:completely\s+|fully\s+|totally\s+)?(?:removed|eliminated)|salt[- ]free\b|chloride[- ]free\b|no (?:detectable|measurable) (?:level|amount|quantit\w+|trace)s?[^.;]{0,30}(?:salt|chlorid)|none detectable|no detectable[^.;]{0,25}(?:salts?|chlorid\w+|contamin\w+)|libre de sales|frei von (?:losliche\w* )?salz\w*|exempte? de sels|(?:undetectable|non-?detectable)[^.;]{0,25}(?:salts?|chlorides?)"
)
_VISIBLE = re.compile(r"visib|deposits?|crust|crystals|encrust")
_OTHER_PAPER = r"(?:(?:paint|coating|product|material)s?'?s?\s+)?(?:manufacturer|maker|supplier|vendor|producer|applicator)s?'?s?\b|data\s?sheets?|\btds\b|\bpds\b|product (?:information|instructions?)|written instructions|instructions|recommendations?"
_DELEGATES = re.compile(
    rf"(?:manufacturer|maker|supplier|vendor|producer)s?'?s? (?:own )?(?:figures?|values?|limits?|numbers?|levels?|thresholds?)\b|(?:as|acc\.? to|according to|see|refer to|to be|be|is|are|limits?|levels?|values?|comply|accordance|conform\w*|per|by|of|set|within|below|under|from|with|not exceed|exceed)\b[^.;|]{{0,60}}?\b(?:{_OTHER_PAPER})"
    r"|(?:salts?|chlorides?|contamination|limits?|levels?|values?|criteri\w+|figures?|maximum|exceed|meet|comply with|requirements?|thresholds?|content|below|within|acceptable|acceptance)\b[^.;|]{0,50}?(?:given|stated|listed|specified|defined|set out|set|shown|found|laid down|contained|prescribed|provided|required|indicated|quoted|mentioned|in accordance with|according to|as per|of|per|in|by|meet|meets|satisfy|comply with|conform to|fulfil|see|refer(?:red)? to|acc\.? to|acc\.? with|as in|to)\s+(?:in|by|under|of|to|the|with|as)?\s*(?:the\s+|a\s+|its\s+)?(?:section|clause|item|table|appendix|annex|chapter|schedule|document|drawing|specification|spec\.?|project specification|particular specification|contract documents?|paint(?:ing)? specification|coating specification|data ?sheet|owner'?s specification|company specification|norsok|m-501|imo|pspc|iso 12944|iso 11126|sspc|mil-|procedure|technical specification|preceding|another|other|item|part|volume)\b"
    r"|to be (?:agreed|advised|confirmed|decided|defined|determined by|approved)|to (?:the )?(?:satisfaction|approval) of|as (?:agreed|directed|advised|instructed) (?:with|by)|\bt\.?b\.?[acd]\.?\b|as (?:agreed|required) by the (?:engineer|paint|coating)"
)
_OWN_TABLE = re.compile(r"table\s+\d+\s*(?:below|hereafter|of this)|following table|below table")
_LIMIT_WORD = re.compile(
    r"limit|level|maximum|accept|exceed|criteri|below|within|allow|permi|content|threshold|value|comply|figure|concentration|amount|contaminat|conductivity|salts?|chloride"
)


def in_words(low: str, segment: Segment, header: str, default_target: str, has_figure: bool, *, about_salt: bool) -> Limit | None:
    """A limit without a number: "free of salts", or left to another paper."""
    text = segment.low
    free = _FREE.search(text)
    if free and not _VISIBLE.search(text) and not _says_spread(text):
        return _worded(low, segment, free, "free", header, default_target)
    named = SALT.search(text) or (SALT.search(header) and _LIMIT_WORD.search(text))
    if not named and not (about_salt and re.search(r"reading|result|limit|level|value", text)):
        return None
    delegated = _DELEGATES.search(text)
    if delegated and _limit_is_delegated(text, delegated, has_figure):
        return _worded(low, segment, delegated, "elsewhere", header, default_target)
    return None


def _says_spread(text: str) -> bool:
    return bool(re.search(r"de-?icing|spread", text))


_TESTED_BY = re.compile(
    r"(?:meter|instrument|kit|device|tube|patch|sleeve|tester|test (?:carried|performed|made)|calibrat|method|cleaning|wash|appl(?:y|ied|ication)|mixing|storage|thinn|reagent|sealed|certificate|tested|measured|used)"
)


def _limit_is_delegated(text: str, match: re.Match[str], has_figure: bool) -> bool:
    words = match.group()
    if _OWN_TABLE.search(text):
        return False
    before = text[max(0, match.start() - 90) : match.start()] + words
    if (
        re.search(r"in accordance|according|as per|\bper\b|\bby\b", words)
        and _TESTED_BY.search(before[-110:])
        and not re.search(r"limit|level|accept|exceed|maximum|criteri|value|content", before)
    ):
        return False
    if not _LIMIT_WORD.search(before):
        return False
    if re.search(r"(?:certificate|confirm|report|inform|submit|sent|notify)\w*", words) and not re.search(r"limit|level|exceed", before):
        return False
    if has_figure and not re.search(rf"(?:{_OTHER_PAPER})|to be (?:agreed|advised|confirmed)|specification", words):
        return False
    return not (
        re.search(r"to be (?:agreed|approved|decided)|as agreed|as directed|satisfaction|approval", words)
        and (has_figure or not re.search(r"limit|level|value|accept|content|conductiv|salt|chlorid", before))
    )


def _worded(low: str, segment: Segment, match: re.Match[str], words: str, header: str, default: str) -> Limit:
    start, end = segment.start + match.start(), segment.start + match.end()
    subject = subjects.subject_at(low, segment.start, segment.end, start)
    heading = subjects.subject_at(header, 0, len(header), len(header)) if header else None
    target = (
        subject.target
        if subject and subject.strong
        else heading.target
        if heading and heading.strong
        else default or (subject.target if subject else subjects.STEEL)
    )
    sense = "at-most" if words == "free" else ""
    if words == "elsewhere":
        said = low[max(segment.start, start - 60) : end]
        found = max(((last.end(), name) for name, pattern in senses.SENSES if (last := senses.last_match(pattern, said))), default=(0, ""))
        sense = found[1] if found[1] in ("below", "at-most") else ""
    return Limit(
        segment=segment,
        figure=None,
        sense=sense,
        target=target,
        start=start,
        end=end,
        part=(segment.start, segment.end),
        words=words,
        subject=subject,
        sense_at=(start, end),
    )
