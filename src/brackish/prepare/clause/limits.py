# SPDX-License-Identifier: MIT
"""Which figures are limits, in which sense, of what, on what.

A figure is a limit when its unit can be one and nothing around it says that it is something else:
a meter's accuracy, a standard solution, a conversion, another material. The sense is read from the
words before and after it. A limit in words ("free of salts") or left to another paper is kept too,
without a number.
Next: `fields.py`, which reads the rest of the criterion; `species.py`, which names the quantity.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace

from brackish.prepare.clause import subjects
from brackish.prepare.clause.figures import BARE_UNIT, DIGITS, Figure, number_of, unit_of
from brackish.prepare.clause.segments import Segment
from brackish.prepare.clause.standards import Citation

MOST_IN_ONE = 20  # limits read in one sentence or row

SALT = re.compile(
    r"\bsalts?\b|salinity|chlorid|conductiv|conductance|\bnacl\b|(?<![a-z])cl\s?-(?!\d)|soluble|8502-(?:2|5|6|9|10|15)\b|11127-[67]|d4940|salzgehalt|salze|\bsales\b|\bsels\b|\bsali\b|\bsais\b|salter|leitfahigkeit|cloruro|chlorure|cloruri|\bionic\b|sulphate|sulfate|[mu]s\s?/\s?c?m"
)
OTHER_TOPIC = re.compile(
    r"film thickness|\bn?dft\b|\bwft\b|adhesion|pull-?off|(?<!removal of )(?<!removing )\bdust\b(?! removal)|holiday|profile|roughness|dew point|humidity|disbond|impact|hardness|moisture|thickness|chlorine|\btoc\b|galvani|concrete|cement|grading|oil and grease|particle size|density of|lead content|odour"
)
_NOT_SALT = re.compile(
    r"\bdust\b|zinc|galvani|coating (?:weight|mass)|spread(?:ing)? rate|consumption|coverage|\boil\b(?! tank)|grease|chlorine|\btoc\b|cement|concrete|resistivity|soil|trench|lead\b|chromate|moisture|film|phosphat|residue|turbidity|hardness|suspended|cure|\bdose\b|hydro-?(?:static|test)\w*|boiler|cooling|feed ?water|drinking|effluent|waste ?water|ground ?water|sea ?water|ballast water|\bpool\b|fire ?water|condensate|river|lake|\bfuel|lubric|silicone|chamber|polymer|\bvoc\b|admixture|mortar|sulphuric"
)
_METER = re.compile(
    r"accura\w+|resolution|resolv\w+|readab\w+|calibrat\w+|verification solution|standard solution|check solution|certified|reference solution|potassium chloride|\bkcl\b|cell constant|detection limit|limit of detection|lowest mark|measur\w+ range|range of (?:the )?(?:meter|tube|instrument)|ranges? from|guard band|expanded uncertainty of|for information|typical(?:ly)?|graduat\w+|repeatability|reproducib\w+|scale of|verif\w* (?:against|with|in|solution)|checked (?:against|with|in)|within \d+ ?% of|for example|e\.g\.|uncertainty (?:of|is)|±|\+/-|\btolerance|divisions?"
)
_ABOUT = re.compile(r"\b(?:about|approximately|approx\.?|ca\.?|around|some|typically|circa)\s*$")
_HISTORY = re.compile(r"\b(?:was|were|had been|has been|have been)\b")
_BINDING = re.compile(r"\b(?:shall|must|should|limit|max\w*|not|required|accept\w*|agreed|exceed\w*|reject\w*)\b|<")

_NEGATIVE = r"(?:\bno\b|\bnot\b|\bnever\b|\bnor\b|\bnone\b|\bneither\b|\bwithout\b|n't|\bcannot\b|\bnicht\b|\bne\b|\bikke\b|\bniet\b|\bkein\w*|\bnao\b|\bnon\b|\bforbidden\b|\bprohibited\b)"
_EXCEED = r"(?:exceed\w*|surpass\w*|overcom\w*|overpass\w*|go(?:es)? (?:past|over|beyond)|\bpast\b|(?:more|greater|higher|larger|bigger)\s+(?:or equal\s+)?than|above(?! (?:the )?(?:deep |load |low )*(?:water|load) ?line)(?! water)(?! ground)(?! dew)|over(?!all)|in excess of|superior(?:\s+to)?|beyond|upwards of|ubersteig\w+|uberschreit\w+|depass\w+|excede\w*|exceder|superar\w*|supera|overstig\w+|overskrid\w+|overschrijd\w+|>=?)"
_SENSES = [
    ("at-most", re.compile(rf"{_NEGATIVE}(?:\s+\w+){{0,5}}?\s*{_EXCEED}")),
    ("at-most", re.compile(r"(?:less|lower|smaller|fewer|inferior)\s+(?:than\s+)?or\s+equals?|equal(?:s|\s+to)?\s+or\s+(?:less|lower|smaller|below|under)|at or (?:below|under)|<=|=<|not?\s+(?:more|greater|higher)\s+(?:[a-z]+\s+){1,3}than|not?\s+(?:be\s+)?(?:more|greater|higher|larger|bigger)\s+than|up to|at (?:the )?most|not more than|may (?:at most )?reach|within\s*$|hochstens|au plus|como maximo|maks\w*|within the limit of")),
    ("at-least", re.compile(rf"{_NEGATIVE}(?:\s+\w+){{0,2}}?\s+(?:less|lower|smaller|below|under|fewer)|at least|minimum|\bmin\b|mindestens|>=")),
    ("below", re.compile(r"(?:less|lower|smaller|fewer)\s+than|\bbelow\b|\bunder\b(?!\s+(?:section|clause|item))|beneath|<|inferior|kleiner als|\bunter\b|inferieure?s?|menor(?:es)? (?:que|a|de)|lagere? dan|lavere enn|mindre enn|shall not reach|not reach|minor\w*\s+(?:than|of)")),
]  # fmt: skip
_OVER = re.compile(_EXCEED)
_LIMIT_SAID = re.compile(r"\bmax(?:im(?:um|al|ale|o|a))?\b\.?|limit(?:s|ed|ing)?\b|ceiling|threshold|accept\w*|allow\w*|permi(?:tted|ssible|t)\w*|tolerat\w*|criteri\w*|requirement|comply with|no worse than|admissib\w*|bearable|\bcap(?:ped)?\b|upper bound|pass(?:es)? (?:at|when|if)|required|guarantee\w*|target|grenzwert|limite|grens\w*|correspond\w* to no")
_AFTER = [
    ("at-most", re.compile(r"^[\s,(]*(?:or|and|ou|oder|eller)\s+(?:better|less|lower|below|under|fewer|smaller|weniger|menos|moins|mindre)|^[^.;]{0,24}?(?:,|\bbut\b|\band\b)\s*(?:not?|never)\s+(?:more|higher|greater|over|above|larger)\b|^[^.;]{0,40}?not to be (?:exceeded|passed|surpassed)|^[^.;]{0,32}?(?:upper (?:value|figure|limit)[^.;]{0,12}not)|^[^.;,]{0,32}?(?:\bmax(?:imum)?\b|as (?:a |the )?(?:maximum|limit|ceiling|upper)|is the (?:limit|maximum|highest)|at (?:the )?most|or less|upper limit|shall not be (?:exceeded|passed|surpassed)|must not be (?:exceeded|passed)|not to be exceeded|is not (?:to be )?exceeded|nicht ubersch\w+|not exceeded|hochstens|not be overcome)")),
    ("over", re.compile(r"^[\s,(]*(?:or|and|ou)\s+(?:more|above|higher|greater|over)|^[^.;]{0,30}?\b(?:or (?:more|above|higher|greater))\b")),
    ("at-least", re.compile(r"^[^.;,]{0,24}?(?:\bmin(?:imum)?\b|at least)")),
]  # fmt: skip
_REJECT = re.compile(r"chang|turned|swap|renew|reject|unaccept|not (?:be )?accept|fail|re-?(?:clean|wash|blast|test|treat|work)|wash|contaminated|not comply|non-?c|repeat|clean\w* again|cleaned|quarantin|stop|not be (?:coated|painted|used)|refus|remov|return|discard|replac|go back|hold|cause for|unsatisf|not (?:permitted|tolerat\w+|admissible)|prohibit|forbidden|not allowed")
_FORBID = re.compile(r"(?:not\s+(?:be\s+)?(?:permitted|allowed|accepted|acceptable|tolerated|tolerable|admissible)|forbidden|prohibited|unacceptable)")
_MEAN = re.compile(r"\b(?:average|averaged|mean(?!\s+that|s)|arithmetic)\b")
_EACH_LOCAL = re.compile(r"\b(?:no|any|each|every|single|individual)\b(?:\s\w+){0,2}\s?(?:results?|readings?|values?|tests?|measurements?|spots?|determinations?|location)?\b")

_RESTATES = re.compile(r"^\s{0,2}(?:[(\[/=,]|\bi\.?\s?e\.?|\bor\b|that is|equal to|equivalent to|\bequals\b|corresponding to|which (?:is|equals)|resp\.?|\bthat is to say\b|namely|being)[\s,(=]*(?:i\.?\s?e\.?,?|equal to|equivalent to|that is,?|or|approx\.?(?:imately)?|about|ca\.?|=|corresponding to|resp\.?|which is)?\s*$")
_CONVERSION = re.compile(r"^\s{0,2}(?:=|equals?|is equal to|corresponds? to|is equivalent to|are equal to|being|is)\s*$")

_FREE = re.compile(
    r"\b(?:free|clean|clear|devoid|rid|void)\s+(?:of|from)\s[^.;|:]{0,90}?\b(?:salts?|chlorides?|salt contamination)\b(?!\s+(?:spray|fog|deposits?|crust|crystals|water|shall|must|not|level|limit|content))|(?:salts?|chlorides?)\b[^.;|]{0,45}?(?:\babsent\b|\babsence\b|\bnegative\b|not (?:be )?(?:found|present|measurable|traceable|tolerated|noticeable|seen|there)|\bn\.?d\.?(?=\W|$)|no traces?)|(?:no|not (?:any|a)|never any|without (?:any )?|absence of|nothing of) (?:trace|sign|residue|remnant|amount)s? of (?:\w+ ){0,3}(?:salts?|chlorides?)|(?:not|never)\s(?:show|contain|carry|hold|bear|have|exhibit|reveal)\s(?:any|a trace of)\s(?:\w+\s){0,3}(?:salts?|chlorides?)|(?:entirely|completely|totally|absolutely|wholly) without (?:\w+ ){0,2}(?:salts?|chlorides?)|(?:\b(?:free|clean|clear)\s+(?:of|from)|\bno|\bnil|\bzero|absence\s+of|without|not\s+contain|devoid\s+of|\bnone?)\s+(?:any\s+|all\s+|detectable\s+|traces?\s+of\s+|measurable\s+|water[- ]?\s?soluble\s+|soluble\s+|surface\s+|oil,?\s+|grease,?\s+|dust,?\s+|dirt,?\s+|rust,?\s+|(?:and|or)\s+|moisture,?\s+|residual\s+|invisible\s+|harmful\s+|other\s+|remaining\s+|contamination\s+by\s+|oils?,?\s+|water,?\s+){0,6}"
    r"(?:soluble\s+)?(?:salts?\b(?!\s+(?:spray|fog|test|measure|limit|deposits?|water|crust|crystals))|chlorides?(?:\s+ions?)?\b|salt\s+contamination)(?!\s+(?:tests?|testing|measure\w*|readings?|is\s+spread|shall\s+be\s+spread|limit|requirement))"
    r"|(?:salts?|chlorides?|conductivity|contamination|contaminants)\b[^.;|]{0,40}?(?:\bnil\b|none[- ]detect\w*|non[- ]detect\w*|not (?:be )?detect\w*|undetect\w*|\bzero\b|\bnone\b(?=\s*(?:$|[|.;,])))|(?:all|any)\s+(?:traces?\s+of\s+)?(?:water[- ]?)?(?:soluble\s+)?(?:salts?|chlorides?)\b[^.;]{0,40}(?:shall|must|to)\s+be\s+(?:completely\s+|fully\s+|totally\s+)?(?:removed|eliminated)|salt[- ]free\b|chloride[- ]free\b|no (?:detectable|measurable) (?:level|amount|quantit\w+|trace)s?[^.;]{0,30}(?:salt|chlorid)|none detectable|no detectable[^.;]{0,25}(?:salts?|chlorid\w+|contamin\w+)|libre de sales|frei von (?:losliche\w* )?salz\w*|exempte? de sels|(?:undetectable|non-?detectable)[^.;]{0,25}(?:salts?|chlorides?)"
)
_VISIBLE = re.compile(r"visib|deposits?|crust|crystals|encrust")
_OTHER_PAPER = (
    r"(?:(?:paint|coating|product|material)s?'?s?\s+)?(?:manufacturer|maker|supplier|vendor|producer|applicator)s?'?s?\b|data\s?sheets?|\btds\b|\bpds\b|product (?:information|instructions?)|written instructions|instructions|recommendations?"
)
_DELEGATES = re.compile(
    rf"(?:as|acc\.? to|according to|see|refer to|to be|be|is|are|limits?|levels?|values?|comply|accordance|conform\w*|per|by|of|set|within|below|under|from|with|not exceed|exceed)\b[^.;|]{{0,60}}?\b(?:{_OTHER_PAPER})"
    r"|(?:salts?|chlorides?|contamination|limits?|levels?|values?|criteri\w+|figures?|maximum|exceed|meet|comply with|requirements?|thresholds?|content|below|within|acceptable|acceptance)\b[^.;|]{0,50}?(?:given|stated|listed|specified|defined|set out|set|shown|found|laid down|contained|prescribed|provided|required|indicated|quoted|mentioned|in accordance with|according to|as per|of|per|in|by|meet|meets|satisfy|comply with|conform to|fulfil|see|refer(?:red)? to|acc\.? to|acc\.? with|as in|to)\s+(?:in|by|under|of|to|the|with|as)?\s*(?:the\s+|a\s+|its\s+)?(?:section|clause|item|table|appendix|annex|chapter|schedule|document|drawing|specification|spec\.?|project specification|particular specification|contract documents?|paint(?:ing)? specification|coating specification|data ?sheet|owner'?s specification|company specification|norsok|m-501|imo|pspc|iso 12944|iso 11126|sspc|mil-|procedure|technical specification|preceding|another|other|item|part|volume)\b"
    r"|to be (?:agreed|advised|confirmed|decided|defined|determined by|approved)|to (?:the )?(?:satisfaction|approval) of|as (?:agreed|directed|advised|instructed) (?:with|by)|\bt\.?b\.?[acd]\.?\b|as (?:agreed|required) by the (?:engineer|paint|coating)"
)
_OWN_TABLE = re.compile(r"table\s+\d+\s*(?:below|hereafter|of this)|following table|below table")
_LIMIT_WORD = re.compile(r"limit|level|maximum|accept|exceed|criteri|below|within|allow|permi|content|threshold|value|comply|figure|concentration|amount|contaminat|conductivity|salts?|chloride")


@dataclass
class Limit:
    """A limit as it stands: figure or words, sense, target, and the stretch of text it governs."""

    segment: Segment
    figure: Figure | None
    sense: str
    target: str
    start: int
    end: int
    part: tuple[int, int]  # the stretch between its neighbours, where its own words stand
    restated: list[Figure] = field(default_factory=list)
    words: str = ""  # "free" or "elsewhere" for a limit without number
    mean: bool = False
    each: bool = False
    sense_at: tuple[int, int] = (0, 0)
    subject: subjects.Mention | None = None
    unsure_target: bool = False


@dataclass(frozen=True)
class Conversion:
    """Two figures that the text sets equal."""

    first: Figure
    second: Figure
    start: int
    end: int


def in_segment(low: str, segment: Segment, figures: list[Figure], header: str, default_target: str, text_has_other: str) -> tuple[list[Limit], list[Conversion]]:
    """Limits of one segment, in order; and the conversions it states."""
    measured = [f for f in figures if f.dimension in ("conductivity", "amount_per_area", "concentration", "mass_fraction", "impossible", "parts")]
    limits: list[Limit] = []
    conversions: list[Conversion] = []
    previous: Figure | None = None
    after = segment.start
    for index, figure in enumerate(measured):
        if previous is not None and _is_conversion(low, previous, figure):
            conversions.append(Conversion(previous, figure, previous.start, figure.end))
            if previous.value == 1 or figure.value == 1 and not limits:
                if limits and limits[-1].figure is previous:
                    limits.pop()
                previous = figure
                continue
        if limits and previous is not None and limits[-1].figure is not None and _restates(low, previous, figure, limits[-1].figure):
            limits[-1].restated.append(figure)
            previous = figure
            after = figure.end
            continue
        following = measured[index + 1].start if index + 1 < len(measured) else segment.end
        part = (after, following)
        if len(limits) < MOST_IN_ONE and _stands_alone(low, segment, figure, part, header):
            limits.append(_limit(low, segment, figure, part, header, default_target, after))
            after = figure.end
        previous = figure
    _share_list(low, limits)
    _inherit_sense(low, segment, limits)
    return [limit for limit in limits if limit.target != "none"], conversions


def _is_conversion(low: str, first: Figure, second: Figure) -> bool:
    between = low[first.end : second.start]
    return bool(_CONVERSION.match(between)) and first.dimension == second.dimension


def _restates(low: str, previous: Figure, figure: Figure, main: Figure) -> bool:
    between = low[previous.end : figure.start]
    if len(between) > 40 or figure.joined:
        return False
    plain = between.replace("nacl", "").replace("chlorides", "").replace("chloride", "").replace("sodium", "").replace("mixed salts", "").replace("max.", "").replace("max", "")
    linked = bool(_RESTATES.match(between) or _RESTATES.match(plain) or _CONVERSION.match(between)) or (previous.end - 1 < figure.start and between.strip() in ("(", "/", "[", "or", "=", "respectively"))
    same_kind = figure.dimension == main.dimension or {figure.dimension, main.dimension} <= {"concentration", "parts"} or {figure.dimension, main.dimension} <= {"mass_fraction", "parts"}
    if not linked or not same_kind or figure.unit == main.unit:
        return False
    return "," not in between or "i" in between


def _stands_alone(low: str, segment: Segment, figure: Figure, part: tuple[int, int], header: str) -> bool:
    """Whether nothing says that this figure is not a limit on salt."""
    begin, end = max(part[0], segment.start), min(part[1], segment.end)
    before, behind = low[max(begin, figure.start - 110) : figure.start], low[figure.end : min(end, figure.end + 50)]
    near = before[-60:] + " # " + behind[:36]
    if subjects.OTHER_TRADE.search(before) and not re.search(r"(?:steel|surface|plate|abrasive|hull|extract|wash|rins|salts? (?:on|level))", before[_last_end(subjects.OTHER_TRADE, before) :]) and figure.dimension not in ("amount_per_area",):
        return False
    meter = list(_METER.finditer(before + " # " + behind[:28]))
    if meter and not re.search(r"(?:shall|must|may) not (?:be )?(?:exceed|more|over|above)|not exceed", before[meter[-1].end() if meter[-1].end() < len(before) else 0 :]):
        if "without allowance" not in before and "information" in near or not re.search(r"uncertainty", meter[-1].group()):
            return False
    if _ABOUT.search(before) and not _BINDING.search(before):
        return False
    if figure.dimension in ("concentration", "parts", "mass_fraction") and re.match(rf"\s*(?:of\s+)?(?:free\s+)?(?:{_NOT_SALT.pattern})", behind):
        return False
    if _HISTORY.search(before) and not _BINDING.search(before + behind):
        return False
    context = f"{header} {low[segment.start : figure.end]}"
    if figure.dimension == "amount_per_area":
        if figure.unit == "g/m2" and not SALT.search(context) and not figure.species:
            return False
        return not _NOT_SALT.search(near) or bool(SALT.search(near))
    if figure.dimension in ("conductivity", "impossible"):
        if figure.unit in ("uS", "mS", "mg/m3", "mg/m"):
            return bool(SALT.search(near) or SALT.search(context)) and (figure.unit != "mg/m3" or bool(re.search(r"surface|steel|plate|substrate", context)))
        other = re.search(r"resistivity|soil|trench|anode|hydraulic|thermal|electrical continuity|\bearth|hydro-?(?:static|test)|boiler|cooling|feed ?water|drinking|effluent|waste ?water|ground ?water|sea ?water|ballast water|\bpool\b|condensate|river|\bfuel|chamber|\bbath\b|floor|copper(?! (?:refinery |furnace )*slag)|alumin", near)
        return not other
    substance = [m for m in re.finditer(rf"{SALT.pattern}|{_NOT_SALT.pattern}", before + " # " + behind[:30])]
    named = [m for m in substance if m.start() < len(before)] or substance
    if figure.species:
        salty = bool(SALT.search(figure.species) or figure.species.startswith("cl"))
    elif named:
        salty = not _NOT_SALT.fullmatch((named[-1] if named[-1].start() < len(before) else named[0]).group())
    else:
        salty = bool(SALT.search(header)) or segment.kind == "row" and bool(SALT.search(low, segment.start, segment.end))
    if not salty or re.match(r"\s*(?:n?acl|sodium chloride|salt)?\s?(?:solution|brine)|\s*of\s+(?:the\s+)?(?:tests?|readings?|all|locations|cement|surface|concrete|limit|area)|\s*(?:confidence|coverage|level of conf|probab|relative|r\.?h)", behind):
        return False
    if figure.unit == "%":
        return not re.search(r"cement|concrete|humid|confidence|coverage|uncertainty|tests\b.{0,20}$|two-sided|expanded", near) and figure.value < 20
    return True


def _last_end(pattern: re.Pattern[str], text: str) -> int:
    last = _last(pattern, text)
    return last.end() if last else 0


def _limit(low: str, segment: Segment, figure: Figure, part: tuple[int, int], header: str, default_target: str, after: int) -> Limit:
    subject = subjects.subject_at(low, segment.start, segment.end, figure.start, after=after if after > segment.start else 0)
    target, unsure = _target(low, segment, figure, subject, header, default_target)
    sense, sense_at = _sense(low, segment, figure, part, header)
    words = low[max(part[0], figure.start - 120) : figure.start]
    return Limit(
        segment=segment, figure=figure, sense=sense, target=target, start=figure.start, end=figure.end, part=part, mean=bool(_MEAN.search(words)),
        each=bool(_EACH_LOCAL.search(words)), sense_at=sense_at, subject=subject, unsure_target=unsure,
    )  # fmt: skip


def _target(low: str, segment: Segment, figure: Figure, subject: subjects.Mention | None, header: str, default: str) -> tuple[str, bool]:
    mentions = subjects.find(low, segment.start, segment.end)
    named = {m.target for m in mentions if m.strong}
    if figure.dimension == "amount_per_area" or figure.unit in ("mg/m", "ug/cm"):
        if subject and subject.target == subjects.ABRASIVE and subject.strong and (subjects.STEEL not in named or subject.measured):
            return subjects.ABRASIVE, False
        if not subject and default == subjects.ABRASIVE:
            return subjects.ABRASIVE, False
        return subjects.STEEL, False
    if subject and subject.strong:
        return subject.target, False
    heading = subjects.subject_at(header, 0, len(header), len(header)) if header else None
    if heading and heading.strong:
        return heading.target, False
    if default:
        return default, False
    if subject:
        return subject.target, False
    if figure.dimension == "mass_fraction":
        return "none", True
    if figure.dimension == "concentration" and not SALT.search(low, segment.start, segment.end):
        return "none", True
    return subjects.STEEL, True


def _sense(low: str, segment: Segment, figure: Figure, part: tuple[int, int], header: str) -> tuple[str, tuple[int, int]]:
    begin = max(part[0], figure.start - 130, segment.start)
    before = low[begin : figure.start]
    cut = max(before.rfind(" | "), before.rfind(": "), before.rfind(";"))
    close = before[cut + 1 :] if cut >= 0 and len(before) - cut < 60 else before
    behind = low[figure.end : min(part[1], segment.end, figure.end + 90)]
    behind_stop = re.search(r"\.\s|;|\|", behind)
    behind = behind[: behind_stop.start()] if behind_stop else behind
    for name, pattern in _AFTER:
        match = pattern.match(behind)
        if match:
            at = (figure.end, figure.end + match.end())
            if name == "over":
                negated = re.search(rf"{_NEGATIVE}[^.;]{{0,50}}$", before)
                return ("below" if _REJECT.search(low[segment.start : segment.end]) or negated else "at-least"), at
            return name, at
    found = _last_sense(close) or _last_sense(before)
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


def _last_sense(text: str) -> tuple[str, int, int] | None:
    """The sense word nearest to the figure; an "over" without negation after it is left to the caller."""
    strong: tuple[int, int, str] | None = None
    for name, pattern in _SENSES:
        last = _last(pattern, text)
        if last and (strong is None or (last.end(), -last.start()) > (strong[0], -strong[1])):
            strong = (last.end(), last.start(), name)
    over = _last(_OVER, text)
    if strong:
        return None if over and over.start() >= strong[0] else (strong[2], strong[1], strong[0])
    weak = None if over else _last(_LIMIT_SAID, text)
    return ("at-most", weak.start(), weak.end()) if weak else None


def _inherit_sense(low: str, segment: Segment, limits: list[Limit]) -> None:
    """A sense that stands after the figure in brackets, or that an earlier limit of the sentence gives."""
    said = ""
    for limit in limits:
        if not limit.sense and limit.restated:
            behind = low[limit.restated[-1].end : min(segment.end, limit.restated[-1].end + 60)].lstrip(") ]")
            limit.sense = next((name for name, pattern in _AFTER if name != "over" and pattern.match(behind)), "")
        limit.sense = limit.sense or said
        said = limit.sense
    later = {limit.sense for limit in limits if limit.sense}
    for limit in limits:
        if not limit.sense and len(later) == 1 and not re.search(r"[.;|]", low[limit.end : limit.part[1]]):
            limit.sense = next(iter(later))


def _last(pattern: re.Pattern[str], text: str) -> re.Match[str] | None:
    last = None
    for match in pattern.finditer(text):
        last = match
    return last


def _share_list(low: str, limits: list[Limit]) -> None:
    """Members of "30 / 70 uS/cm" share sense and target."""
    for one, two in zip(limits, limits[1:], strict=False):
        if one.figure and two.figure and one.figure.joined and two.figure.joined and one.end >= two.start - 8:
            two.sense = two.sense or one.sense
            one.sense = one.sense or two.sense
            if one.sense:
                two.sense = one.sense
            two.target = one.target


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


_TESTED_BY = re.compile(r"(?:meter|instrument|kit|device|tube|patch|sleeve|tester|test (?:carried|performed|made)|calibrat|method|cleaning|wash|appl(?:y|ied|ication)|mixing|storage|thinn|reagent|sealed|certificate|tested|measured|used)")


def _limit_is_delegated(text: str, match: re.Match[str], has_figure: bool) -> bool:
    words = match.group()
    if _OWN_TABLE.search(text):
        return False
    before = text[max(0, match.start() - 90) : match.start()] + words
    if re.search(r"in accordance|according|as per|\bper\b|\bby\b", words) and _TESTED_BY.search(before[-110:]) and not re.search(r"limit|level|accept|exceed|maximum|criteri|value|content", before):
        return False
    if not _LIMIT_WORD.search(before):
        return False
    if re.search(r"(?:certificate|confirm|report|inform|submit|sent|notify)\w*", words) and not re.search(r"limit|level|exceed", before):
        return False
    if has_figure and not re.search(rf"(?:{_OTHER_PAPER})|to be (?:agreed|advised|confirmed)|specification", words):
        return False
    return not (re.search(r"to be (?:agreed|approved|decided)|as agreed|as directed|satisfaction|approval", words) and (has_figure or not re.search(r"limit|level|value|accept|content|conductiv|salt|chlorid", before)))


def _worded(low: str, segment: Segment, match: re.Match[str], words: str, header: str, default: str) -> Limit:
    start, end = segment.start + match.start(), segment.start + match.end()
    subject = subjects.subject_at(low, segment.start, segment.end, start)
    heading = subjects.subject_at(header, 0, len(header), len(header)) if header else None
    target = subject.target if subject and subject.strong else heading.target if heading and heading.strong else default or (subject.target if subject else subjects.STEEL)
    sense = "at-most" if words == "free" else ""
    if words == "elsewhere":
        said = low[max(segment.start, start - 60) : end]
        found = max(((last.end(), name) for name, pattern in _SENSES if (last := _last(pattern, said))), default=(0, ""))
        sense = found[1] if found[1] in ("below", "at-most") else ""
    return Limit(segment=segment, figure=None, sense=sense, target=target, start=start, end=end, part=(segment.start, segment.end), words=words, subject=subject, sense_at=(start, end))


_CELL = re.compile(r"[|\t]|\s{3,}")


def bare_numbers(low: str, segment: Segment, header_units: list[tuple[int, str]], comma_decimals: bool) -> list[Figure]:
    """Figures whose unit stands before the number, or in the header of their table column."""
    out: list[Figure] = []
    for match in BARE_UNIT.finditer(low, segment.start, segment.end):
        unit = unit_of(match)
        if not unit or unit in ("other", "", "L", "h", "s", "d", "min", "%", "um") or (match.start() and low[match.start() - 1].isdigit()):
            continue
        previous = low[max(segment.start, match.start() - 3) : match.start()]
        if re.search(r"\d\s*$", previous):
            continue
        window = low[match.end() : min(segment.end, match.end() + 70)]
        number = re.match(rf"[\s)\]:,|\t=-]*(?:[a-z<>=.,\s:|-]{{0,48}}?)(?P<number>(?<![\w.-]){DIGITS})(?!\d|\s?[-/]\d|\s{{0,2}}(?:m|u|%|°|h\b|ft|sq|tests?|read))", window)
        if number and not re.search(r"iso|astm|test|per\b|table|within|hour|section|clause|part|en\s?$|sspc|nace", number.group()):
            digits, value = number_of(number["number"], comma_decimals=comma_decimals)
            if digits:
                out.append(Figure(digits, value, unit, match.end() + number.start("number"), match.end() + number.end("number"), (match["species"] or "").strip()))
    if header_units:
        out += _in_columns(low, segment, header_units, comma_decimals)
    return out


def cells(low: str, segment: Segment) -> list[tuple[int, int]]:
    """Start and end of each cell of a row."""
    out, at = [], segment.start
    for match in _CELL.finditer(low, segment.start, segment.end):
        out.append((at, match.start()))
        at = match.end()
    out.append((at, segment.end))
    return [cell for cell in out if low[cell[0] : cell[1]].strip()]


def _in_columns(low: str, segment: Segment, header_units: list[tuple[int, str]], comma_decimals: bool) -> list[Figure]:
    row = cells(low, segment)
    out = []
    for index, unit in header_units:
        if index >= len(row):
            continue
        match = re.fullmatch(rf"\s*(?:max\.?|<=?|not more than|up to|not over)?\s*(?P<number>{DIGITS})\s*(?:max\.?)?\s*", low[row[index][0] : row[index][1]])
        if match:
            digits, value = number_of(match["number"], comma_decimals=comma_decimals)
            if digits:
                out.append(Figure(digits, value, unit, row[index][0] + match.start("number"), row[index][0] + match.end("number")))
    return out


def header_units_of(low: str, segment: Segment) -> list[tuple[int, str]]:
    """Units that stand alone in the cells of a row: the header of a table."""
    out = []
    for index, (a, b) in enumerate(cells(low, segment)):
        match = BARE_UNIT.search(low, a, b)
        unit = unit_of(match) if match else ""
        if match and unit and unit != "other" and not re.search(r"\d", low[a : match.start()]) and ("/" in unit or unit == "ppm"):
            out.append((index, unit))
    return out


def without_citations(figures: list[Figure], citations: list[Citation]) -> list[Figure]:
    """Figures that are not part of a standard's number."""
    return [f for f in figures if not any(c.start < f.end and f.start < c.end for c in citations)]


def moved(limit: Limit, **changes: object) -> Limit:
    return replace(limit, **changes)  # type: ignore[arg-type]
