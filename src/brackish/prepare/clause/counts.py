# SPDX-License-Identifier: MIT
"""How many tests a clause asks for, written as the count rule of a job file.

"Three tests for the first 100 m2 (1000 ft2) and one for each further 200 m2 (2000 ft2)" becomes
"3 for the first 100 m2 (1000 ft2), then 1 per 200 m2 (2000 ft2)". A plate, a block, a pipe or a girder is an item of
the job; a shift, a lot or a delivery is not, and keeps its name.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from fractions import Fraction

from brackish.prepare.clause import lexicon
from brackish.prepare.clause.figures import DIGITS, NUMBER_WORDS, number_of
from brackish.quantities import convert

_T = lexicon.TEST
_AREA_UNIT = r"m\s?\^?2|sq(?:uare|\.)?\s?-?m(?:et(?:re|er)s?)?\b|sqm|ft\s?\^?2|sq(?:uare|\.)?\s?-?(?:ft|feet|foot)|qm"
_AREA_NUMBER = rf"(?:{DIGITS}|one hundred|one thousand|two hundred|five hundred|hundred|thousand|fifty|twenty|ten)"


def _n(name: str) -> str:
    return rf"(?:(?:at least|minimum|a minimum of|not less than|no fewer than|min\.?)\s+)?(?P<{name}>{lexicon.NUMBER})\b(?:\s?\(\d{{1,3}}\))?"


def _a(name: str) -> str:
    second = rf"(?:\s{{0,2}}[(\[/]?\s?(?:approx\.?\s|about\s|ca\.?\s)?(?P<{name}b>{DIGITS})\s?-?(?P<{name}bu>{_AREA_UNIT})[)\]]?)?"
    return rf"(?P<{name}>{_AREA_NUMBER})\s{{0,2}}-?(?P<{name}u>{_AREA_UNIT}){second}"


_EACH = r"(?:per|for each|for every|in each|in every|on each|on every|from each|from every|of each|of every|each|every|a|to each|at each|/)"
_FURTHER = r"(?:further|additional|subsequent|next|remaining|following|extra|more|other)"

TIERED = re.compile(
    rf"{_n('n1')}\s+(?:{_T}\s+)?(?:shall be \w+\s+|are \w+\s+|is \w+\s+|to be \w+\s+|will be \w+\s+)?(?:for|on|in|per|over|within)\s+(?:the\s+)?(?:first|initial)\s+{_a('a1')}"
    rf"[^.;]{{0,40}}?\b(?:(?:then|and|plus|with|followed by|thereafter)\b[,\s]*|,\s*)+(?:by\s+|an?\s+additional\s+)?{_n('n2')}\s+(?:more\s+|additional\s+|further\s+|extra\s+)?(?:{_T}\s+)?(?:shall be \w+\s+)?(?:for|per|in|on|over)\s*(?:the\s+)?(?:each|every|any)?\s*(?:{_FURTHER}\s+)?{_a('a2')}"
)
PER_AREA = re.compile(
    rf"{_n('n')}\s*(?:{_T}\s*)?(?:(?:shall|will|must|is to|are to) be \w+(?:\s+out)?\s+|are (?:required|made|taken|done)\s+|is (?:required|made|taken|done)\s+|made\s+|taken\s+|required\s+)?{_EACH}\s*(?:each\s+|every\s+)?(?:the\s+)?{_a('a')}"
)
AREA_FIRST = re.compile(
    rf"(?:per|each|every|for each|for every|on each|on every|in each|in every)\s+{_a('a')}(?:\s+of\s+\w+(?:\s\w+)?)?(?:\s+or part(?: thereof)?)?\s*[:,-]?\s*(?:a minimum of\s+|at least\s+|there shall be\s+|take\s+|make\s+)?{_n('n')}\s+{_T}"
)
TEST_PER_AREA_ONLY = re.compile(
    rf"(?:{_T}|once|one|tested|frequency)\W+(?:shall be (?:made|taken|carried out|performed)\s+)?(?:per|every|for each|for every|each)\s+{_a('a')}"
)
_ITEM = r"(?P<item>[a-z][a-z-]+(?:\s(?!is|are|shall|will|must|and|or|at|in|on|by|before|after|the|to|with|for|of|from|where|when|which|that|as|prior|per|within|has|have|under|not|a|be|taken|made|tested|minimum|beside|near|along|immediately|directly|if|then|plus|it|wherever|exceed)[a-z][a-z-]+)?)"
PER_ITEM = re.compile(
    rf"{_n('n')}\s+(?:complete\s+|such\s+)?(?:{_T}\s*)?(?:(?:\([^)]{{0,30}}\)|only|chosen at random|at random|randomly|of salts?|for salts?|of chlorides?|for chlorides?)\s*)?(?:(?:shall|will|must|is to|are to|has to|have to)\s+be\s+\w+(?:\s+out)?\s*|(?:is|are|to be)\s+(?:to be\s+)?\w+\s*|made\s+|taken\s+|carried out\s+|required\s+)?(?:at|on|in|from|for|over)?\s*{_EACH}\s+(?:the\s+|single\s+|individual\s+)?{_ITEM}"
)
EACH_ITEM_N = re.compile(
    rf"(?:for|in|on|from|at|per)\s+(?:every|each)\s+{_ITEM}\s*[:,]?\s*(?:the\s+)?(?:average of\s+|mean of\s+|at least\s+|a minimum of\s+|minimum\s+|there shall be\s+|take\s+|make\s+)?{_n('n')}\s+{_T}"
)
ITEM_N = re.compile(rf"(?:every|each|per)\s+{_ITEM}\s*[:,]\s*{_n('n')}\s+{_T}")
END_OF_EACH = re.compile(
    rf"(?:tested|test(?:s|ing)?|measured|check\w*|extraction)\b[^.;|]{{0,60}}?\b(?:at|on|of)\s+(?:(?P<n>one|both|two|each)\s+(?:end|side|place|location|spot|point|face)s?\s+)?(?:of\s+)?(?:each|every)\s+{_ITEM}"
)
EVERY_ITEM = re.compile(rf"\b(?:each|every)\s+{_ITEM}\s+(?:shall|will|must|is to|has to|to)\s+be\s+(?:tested|checked|measured|sampled)")
ONE_OF_PERIOD = re.compile(
    r"\b(?P<n>one|two|three|\d{1,2}|once|twice|a)\s+(?:\w+\s+){0,2}?(?:per|each|every|a|in each|during each)\s+(?P<item>(?:working\s+)?shift|day|week|month|lot|delivery|batch|consignment|shipment|hour|night)\b"
)
FREQUENCY = re.compile(
    r"\b(?P<word>daily|weekly|monthly|hourly)\b|\b(?:each|every|per|for each|of each|from each|for every|with each|of every)\s+(?:new\s+|incoming\s+|delivered\s+|fresh\s+|separate\s+)?(?P<item>lot|delivery|arrival|truck|batch|consignment|shipment|load|truckload|bag|shift|day|week|recycling(?:\s+cycle)?|month)\b|(?:delivered|supplied|comes?|accompanied|covered)\s+(?:with|by)\s+(?:a|an|its|their)\s+(?:\w+\s+){0,2}(?P<certificate>certificate)|(?P<perlot>certificate per lot|lot certificate)"
)
TOTAL = re.compile(
    rf"(?<![-\w.])(?:at least\s+|a minimum of\s+|minimum\s+|min\.?\s+|a total of\s+|in total\s+|not (?:less|fewer) than\s+|no (?:less|fewer) than\s+)?(?P<n>{lexicon.NUMBER}) {_T}(?!\s+(?:meter|kit|result|report|method|panel|certificate|piece|in excess|above|over))"
)
NTH_ITEM = re.compile(
    r"\b(?:every|each) (?P<nth>second|third|fourth|fifth|sixth|eighth|tenth|twentieth|\d{1,2}(?:st|nd|rd|th)) (?P<item>[a-z]+)|\b(?:one|1) (?:[a-z]+ )?(?:in|out of|of) (?:every |each )?(?P<out>ten|twenty|five|\d{1,3})\b(?! ?(?:m2|m |cm|h\\b|hours|min|ml|mg|%))"
)
SHARE = re.compile(
    r"(?P<share>\d{1,2}|ten|five|twenty) ?(?:%|percent|per cent) of (?:the |all |all the )?(?P<item>pipes?|plates?|items?|panels?|girders?|sections?|pieces|joints?|spools?|beams?|blocks?)"
)
REPLICATE = re.compile(rf"in (?P<n>duplicate|triplicate) (?:on|at|in|for|from) (?:each|every) {_ITEM}")
NUMBER_OF = re.compile(rf"(?:number|no\.?|quantity|qty) of (?:{_T})\W{{0,3}}(?:is |shall be |to be |= |: ?|at least |minimum )*(?P<n>{lexicon.NUMBER})\b")
AREA_ONLY = re.compile(rf"\b(?:per|every|each|for each|for every)\s+{_a('a')}")
ON_ALL = re.compile(
    r"\b(?:tests?|readings?|checks?|measurements?) (?:shall |is |are |will |must |to )*be (?:done|made|carried out|performed|taken) (?:on|in|at) (?:all|each|every)(?: the)? (?P<item>[a-z]+)"
)
SUMMED = re.compile(
    rf"\b(?P<n1>{lexicon.NUMBER}) (?:of them )?(?:on|at|in|below|above) the [a-z ]{{3,30}},? (?:and )?(?P<n2>{lexicon.NUMBER}) (?:of them )?(?:on|at|in|below|above|to) "
)
FOR_EVERY_LIST = re.compile(rf"(?:in number of|number:?)\s+(?P<n>{lexicon.NUMBER})\s+(?:for|per|in)\s+(?:every|each)\s+{_ITEM}")
N_PER = re.compile(rf"(?<![-\w.])(?P<n>{lexicon.NUMBER})\s?(?:x\s+)?(?:{_T}\s+)?(?:/|per|off per|no\.? per|nos\.? per)\s?{_ITEM}")


LEAST = re.compile(
    rf"(?:\s+of\s+\w+)?(?:\s+or part(?: thereof)?)?\s?[,;:(-]*\s*(?:(?:and|but|with|subject to|in any case|always|however)\s+)*(?:an?\s+)?(?:absolute\s+)?(?:minimum|min\.?|at least|not (?:less|fewer) than|no (?:less|fewer) than)(?:\s+number)?(?:\s+(?:of|is|to be))?:?\s+(?P<n>{lexicon.NUMBER})\b(?!(?:\s?\(\d{{1,3}}\))?(?:\s+{_T})?(?:\s?(?:%|m2|mg|h\b|hours|µ|min\b|minutes)|\s+(?:(?:per|for each|for every)\s+(?:\d|m2|sq)|(?:shall|must|will|are|is|to be|on|at|along|beside|near|of (?:them|these|which|the))\b)))(?:\s?\(\d{{1,3}}\))?(?:\s+{_T})?"
)


@dataclass(frozen=True)
class Count:
    """A count rule as text, where it stands, how many it may mean, and its areas in two unit systems."""

    text: str
    start: int
    end: int
    many: bool
    pairs: tuple[tuple[Fraction, str, Fraction, str], ...] = ()
    item: str = ""


def find(low: str, start: int, end: int) -> Count | None:
    """The first count rule of a segment, the most definite form first."""
    for pattern, build in _FORMS:
        for match in pattern.finditer(low, start, end):
            found = build(match)
            if found and not _about_other_things(low, start, match):
                return _at_least(found, low, end) if pattern in _BY_AREA else found
    return None


def _at_least(count: Count, low: str, end: int) -> Count:
    """A rule by area with the smallest number that stands behind it: "one per 100 m2, minimum three tests"."""
    least = LEAST.match(low, count.end, end)
    return replace(count, text=f"{count.text}, at least {number_word(least['n'])}", end=least.end(), many=True) if least else count


_OTHER_TESTS = re.compile(r"dft|thickness|adhesion|pull-?off|dust|holiday|profile|roughness|dew|humidity|hardness|sieve|rings?\b|replica")


def _about_other_things(low: str, start: int, match: re.Match[str]) -> bool:
    near = low[max(start, match.start() - 30) : match.end() + 20]
    return bool(_OTHER_TESTS.search(near)) and not re.search(r"salt|chlorid|conduct", near)


def number_word(word: str) -> int:
    if word.isdigit():
        return int(word)
    return {
        "a": 1,
        "an": 1,
        "once": 1,
        "twice": 2,
        "single": 1,
        "both": 2,
        "a pair of": 2,
        "a couple of": 2,
        "half a dozen": 6,
        "a dozen": 12,
        "duplicate": 2,
        "triplicate": 3,
        "each": 1,
    }.get(word, NUMBER_WORDS.get(word, 1))


def _area(match: re.Match[str], name: str) -> tuple[str, tuple[Fraction, str, Fraction, str] | None]:
    value, digits, unit = _one_area(match[name], match[f"{name}u"])
    if not match[f"{name}b"]:
        return f"{digits} {unit}", None
    other, other_digits, other_unit = _one_area(match[f"{name}b"], match[f"{name}bu"])
    return f"{digits} {unit} ({other_digits} {other_unit})", (value, unit, other, other_unit)


def _one_area(number: str, unit: str) -> tuple[Fraction, str, str]:
    digits, value = number_of(number, comma_decimals=False)
    name = "ft2" if "f" in unit else "m2"
    return value, digits or "0", name


def same_area(pair: tuple[Fraction, str, Fraction, str]) -> Fraction:
    """The second area over the first; 1 when both say the same."""
    first, unit, second, other = pair
    return convert(value=second, unit=other, to="mm2", dimension="area") / convert(value=first, unit=unit, to="mm2", dimension="area")


def _tiered(match: re.Match[str]) -> Count:
    first, pair1 = _area(match, "a1")
    then, pair2 = _area(match, "a2")
    text = f"{number_word(match['n1'])} for the first {first}, then {number_word(match['n2'])} per {then}"
    return Count(text, match.start(), match.end(), True, tuple(pair for pair in (pair1, pair2) if pair))


def _per_area(match: re.Match[str]) -> Count:
    area, pair = _area(match, "a")
    number = number_word(match["n"]) if "n" in match.groupdict() else 1
    return Count(f"{number} per {area}", match.start(), match.end(), True, (pair,) if pair else ())


def _per_item(match: re.Match[str]) -> Count | None:
    item = match["item"].strip()
    head = item.split()
    if head[0] in lexicon.ITEM_STOP and not lexicon.PERIOD.match(head[0]):
        return None
    if head[0] in (
        "test",
        "tests",
        "result",
        "reading",
        "results",
        "readings",
        "location",
        "other",
        "of",
        "coat",
        "further",
        "additional",
        "each",
        "every",
        "single",
        "required",
        "such",
        "case",
        "time",
        "litre",
        "the",
    ):
        return None
    word = match.groupdict().get("n") or "one"
    number = number_word(word)
    for name in (head[0], item):
        if lexicon.PERIOD.match(name):
            return Count(f"{number} per {head[0]}", match.start(), match.end(), number > 1, item=head[0])
        if lexicon.LOT.match(name):
            kind = "delivery" if "deliver" in name else "lot" if "lot" in name else name
            return Count(f"{number} per {kind}", match.start(), match.end(), number > 1, item=kind)
    return Count(f"{number} per item", match.start(), match.end(), number > 1, item=head[0])


def _nth(match: re.Match[str]) -> Count:
    ordinals = {"second": 2, "third": 3, "fourth": 4, "fifth": 5, "sixth": 6, "eighth": 8, "tenth": 10, "twentieth": 20}
    said = match["nth"] or match["out"]
    number = ordinals.get(said) or (int(re.sub(r"\D", "", said)) if re.search(r"\d", said) else number_word(said))
    return Count(f"1 per {number} items", match.start(), match.end(), False)


def _summed(match: re.Match[str]) -> Count:
    return Count(f"{number_word(match['n1']) + number_word(match['n2'])} per item", match.start(), match.end(), True)


def _share(match: re.Match[str]) -> Count:
    return Count(f"{number_word(match['share'])} % of items", match.start(), match.end(), True)


def _area_only(match: re.Match[str]) -> Count:
    area, pair = _area(match, "a")
    return Count(f"1 per {area}", match.start(), match.end(), True, (pair,) if pair else ())


def _frequency(match: re.Match[str]) -> Count:
    word = {"daily": "day", "weekly": "week", "monthly": "month", "hourly": "hour"}.get(match["word"] or "", "")
    item = word or match["item"] or "lot"
    return Count(f"1 per {item.split()[0]}", match.start(), match.end(), False, item=item)


def _total(match: re.Match[str]) -> Count | None:
    number = number_word(match["n"])
    if match["n"] in ("a", "an", "single"):
        return None
    return Count(f"{number} per item", match.start("n"), match.end(), number > 1)


_BY_AREA = (TIERED, PER_AREA, AREA_FIRST, TEST_PER_AREA_ONLY)
_FORMS = [
    (TIERED, _tiered),
    (PER_AREA, _per_area),
    (AREA_FIRST, _per_area),
    (TEST_PER_AREA_ONLY, _per_area),
    (FOR_EVERY_LIST, _per_item),
    (ONE_OF_PERIOD, _per_item),
    (EACH_ITEM_N, _per_item),
    (ITEM_N, _per_item),
    (PER_ITEM, _per_item),
    (N_PER, _per_item),
    (END_OF_EACH, _per_item),
    (EVERY_ITEM, _per_item),
    (FREQUENCY, _frequency),
    (NTH_ITEM, _nth),
    (ON_ALL, _per_item),
    (SUMMED, _summed),
    (SHARE, _share),
    (REPLICATE, _per_item),
    (NUMBER_OF, _total),
    (AREA_ONLY, _area_only),
    (TOTAL, _total),
]
