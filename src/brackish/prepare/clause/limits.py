# SPDX-License-Identifier: MIT
"""Which figures are limits, in which sense, of what, on what.

A figure is a limit when its unit can be one and nothing around it says that it is something else:
a meter's accuracy, a standard solution, a conversion, another material. The sense is read from the
words before and after it. A limit in words ("free of salts") or left to another paper is kept too,
without a number.
Next: `fields.py`, which reads the rest of the criterion; `species.py`, which names the quantity.
"""

from __future__ import annotations

import itertools
import re
from dataclasses import dataclass, field

from brackish.prepare.clause import senses, subjects
from brackish.prepare.clause.figures import Figure
from brackish.prepare.clause.segments import Segment

MOST_IN_ONE = 20  # limits read in one sentence or row

SALT = re.compile(
    r"\bsalts?\b|salinity|chlorid|conductiv|conductance|\bnacl\b|(?<![a-z])cl\s?-(?!\d)|soluble|8502-(?:2|5|6|9|10|15)\b|11127-[67]|d4940|salzgehalt|salze|\bsales\b|\bsels\b|\bsali\b|\bsais\b|salter|leitfahigkeit|cloruro|chlorure|cloruri|\bionic\b|sulphate|sulfate|[mu]s\s?/\s?c?m"
)
OTHER_TOPIC = re.compile(
    r"film thickness|\bn?dft\b|\bwft\b|adhesion|pull-?off|(?<!removal of )(?<!removing )\bdust\b(?! removal| (?:has been |is |was )?(?:blown|removed|swept|vacuum))|holiday|profile|roughness|dew point|humidity|disbond|impact|hardness|moisture|thickness|chlorine|\btoc\b|galvani|concrete|cement|grading|oil and grease|particle size|density of|lead content|odour"
)
_NOT_SALT = re.compile(
    r"\bdust\b|zinc|galvani|coating (?:weight|mass)|spread(?:ing)? rate|consumption|coverage|\boil\b(?! tank)|grease|chlorine|\btoc\b|cement|concrete|resistivity|soil|trench|lead\b|chromate|moisture|film|phosphat|residue|turbidity|hardness|suspended|cure|\bdose\b|hydro-?(?:static|test)\w*|boiler|cooling|feed ?water|drinking|effluent|waste ?water|ground ?water|sea ?water|ballast water|\bpool\b|fire ?water|condensate|river|lake|\bfuel|lubric|silicone|chamber|polymer|\bvoc\b|admixture|mortar|sulphuric"
)
_METER = re.compile(
    r"accura\w+|resolution|resolv\w+|readab\w+|calibrat\w+|verification solution|standard solution|check solution|certified|reference solution|potassium chloride|\bkcl\b|cell constant|detection limit|limit of detection|lowest mark|measur\w+ range|range of (?:the )?(?:meter|tube|instrument)|ranges? from|guard band|expanded uncertainty of|for information|typical(?:ly)?|graduat\w+|repeatability|reproducib\w+|scale of|verif\w* (?:against|with|in|solution)|checked (?:against|with|in)|within \d+ ?% of|for example|e\.g\.|uncertainty (?:of|is)|±|\+/-|\btolerance|divisions?"
)
# A sentence about an instrument, about an earlier time, or about what is usual sets no limit.
_DEVICE = re.compile(
    r"(?:^|[.;:]\s|\bthe |\ban? )(?:[a-z-]+ ){0,2}(?:gauge|meter|instrument|device|tubes?|electrode|probe|lab(?:oratory)?|display|scale|strips?|cell|check (?:liquid|fluid)|reference (?:liquid|fluid))s?\b[^.;]{0,40}?\b(?:reads?|reports?|able|capable|tells?|resolves?|shows?|covers?|steps?|has|have|holds?|spans?|detects?|graded|marked|starts?|down to|indicates?|works?)\b"
)
_TOLD = re.compile(
    r"\b(?:former|earlier|previous|old|superseded|last|prior) (?:edition|issue|revision|version|survey|report|contract|job|year|inspection|dry-?docking|limit|specification)s?\b|\b(?:usual(?:ly)?|typical(?:ly)?|expected|normally|commonly|often|customary)\b|for (?:orientation|example|instance|information|comparison)|\bto (?:give|make|prepare|obtain)\b|\b(?:repeatab|reproducib)|\be\.g\.|\bdissolv|\btrial panel|\bonce allowed|\b(?:result|reading|value)s? of (?:exactly )?#"
)
_ABOUT = re.compile(r"\b(?:about|approximately|approx\.?|ca\.?|around|some|typically|circa)\s*$")
_HISTORY = re.compile(r"\b(?:was|were|had been|has been|have been)\b")
_BINDING = re.compile(r"\b(?:shall|must|should|limit|max\w*|not|required|accept\w*|agreed|exceed\w*|reject\w*)\b|<")

_SETS = re.compile(
    r"\bnot (?:be )?(?:exceed|more|over|above|higher|greater)|\b(?:below|under|limit|max\w*|exceed\w*|up to|(?:un)?accept\w*|reject\w*|fails?|(?:and|or) (?:above|over|more|higher))\b|<"
)

_MEAN = re.compile(r"\b(?:average|averaged|mean(?!\s+that|s)|arithmetic)\b")
_EACH_LOCAL = re.compile(
    r"\b(?:no|any|each|every|single|individual)\b(?:\s\w+){0,2}\s?(?:results?|readings?|values?|tests?|measurements?|spots?|determinations?|location)?\b"
)

_RESTATES = re.compile(
    r"^\s{0,2}(?:[(\[/=,]|\bi\.?\s?e\.?|\bor\b|that is|equal to|equivalent to|\bequals\b|corresponding to|which (?:is|equals)|resp\.?|\bthat is to say\b|namely|being)[\s,(=]*(?:i\.?\s?e\.?,?|equal to|equivalent to|that is,?|or|approx\.?(?:imately)?|about|ca\.?|=|corresponding to|resp\.?|which is)?\s*$"
)
_CONVERSION = re.compile(r"^\s{0,2}(?:=|equals?|is equal to|corresponds? to|is equivalent to|are equal to|being|is)\s*$")


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


def in_segment(
    low: str, segment: Segment, figures: list[Figure], header: str, default_target: str, text_has_other: str
) -> tuple[list[Limit], list[Conversion]]:
    """Limits of one segment, in order; and the conversions it states."""
    measured = [f for f in figures if f.dimension in ("conductivity", "amount_per_area", "concentration", "mass_fraction", "impossible", "parts")]
    limits: list[Limit] = []
    conversions: list[Conversion] = []
    previous: Figure | None = None
    after = segment.start
    for index, figure in enumerate(measured):
        if previous is not None and _is_conversion(low, previous, figure):
            conversions.append(Conversion(previous, figure, previous.start, figure.end))
            if previous.value == 1 or (figure.value == 1 and not limits):
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
    plain = (
        between.replace("nacl", "")
        .replace("chlorides", "")
        .replace("chloride", "")
        .replace("sodium", "")
        .replace("mixed salts", "")
        .replace("max.", "")
        .replace("max", "")
    )
    linked = bool(_RESTATES.match(between) or _RESTATES.match(plain) or _CONVERSION.match(between)) or (
        previous.end - 1 < figure.start and between.strip() in ("(", "/", "[", "or", "=", "respectively")
    )
    same_kind = (
        figure.dimension == main.dimension
        or {figure.dimension, main.dimension} <= {"concentration", "parts"}
        or {figure.dimension, main.dimension} <= {"mass_fraction", "parts"}
    )
    if not linked or not same_kind or figure.unit == main.unit:
        return False
    return "," not in between or "i" in between


@dataclass(frozen=True)
class _Around:
    """The words before and behind a figure; `near` are the closest of both, the figure a #."""

    before: str
    behind: str

    @property
    def near(self) -> str:
        return self.before[-60:] + " # " + self.behind[:36]


def _stands_alone(low: str, segment: Segment, figure: Figure, part: tuple[int, int], header: str) -> bool:
    """Whether nothing says that this figure is not a limit on salt."""
    begin, end = max(part[0], segment.start), min(part[1], segment.end)
    words = _Around(low[max(begin, figure.start - 110) : figure.start], low[figure.end : min(end, figure.end + 50)])
    if _of_another_trade(figure, words) or _of_a_meter(words) or _only_told(words):
        return False
    context = f"{header} {low[segment.start : figure.end]}"
    if figure.dimension == "amount_per_area":
        return _salt_on_steel(figure, words, context)
    if figure.dimension in ("conductivity", "impossible"):
        return _conductivity_of_salt(figure, words, context)
    in_row = segment.kind == "row" and bool(SALT.search(low, segment.start, segment.end))
    return _salt_content(figure, words, salty_row=bool(SALT.search(header)) or in_row)


def _of_another_trade(figure: Figure, words: _Around) -> bool:
    """Another water or material was spoken of last, or the figure itself is of one."""
    last = words.before[_last_end(subjects.OTHER_TRADE, words.before) :]
    if (
        figure.dimension != "amount_per_area"
        and subjects.OTHER_TRADE.search(words.before)
        and not re.search(r"(?:steel|surface|plate|abrasive|hull|extract|wash|rins|salts? (?:on|level))", last)
    ):
        return True
    content = figure.dimension in ("concentration", "parts", "mass_fraction")
    return content and bool(re.match(rf"\s*(?:of\s+)?(?:free\s+)?(?:{_NOT_SALT.pattern})", words.behind))


def _of_a_meter(words: _Around) -> bool:
    """What an instrument can do or was checked with, unless the words bind all the same."""
    meter = list(_METER.finditer(words.before + " # " + words.behind[:28]))
    if not meter:
        return False
    last = meter[-1]
    behind_it = words.before[last.end() if last.end() < len(words.before) else 0 :]
    binding = re.search(r"(?:shall|must|may) not (?:be )?(?:exceed|more|over|above)|not exceed", behind_it)
    allowance = "uncertainty" in last.group() and not ("information" in words.near and "without allowance" not in words.before)
    return not binding and not allowance


def _only_told(words: _Around) -> bool:
    """A figure of an instrument, of an earlier time or of what is usual, in words that bind nobody."""
    if (_DEVICE.search(words.before) or _TOLD.search(words.before + "#" + words.behind)) and not _SETS.search(words.before + words.behind):
        return True
    if _ABOUT.search(words.before) and not _BINDING.search(words.before):
        return True
    return bool(_HISTORY.search(words.before)) and not _BINDING.search(words.before + words.behind)


def _salt_on_steel(figure: Figure, words: _Around, context: str) -> bool:
    if figure.unit == "g/m2" and not SALT.search(context) and not figure.species:
        return False
    return not _NOT_SALT.search(words.near) or bool(SALT.search(words.near))


_OTHER_CONDUCTIVITY = re.compile(
    r"resistivity|soil|trench|anode|hydraulic|thermal|electrical continuity|\bearth|hydro-?(?:static|test)|boiler|cooling|feed ?water|drinking|effluent|waste ?water|ground ?water|sea ?water|ballast water|\bpool\b|condensate|river|\bfuel|chamber|\bbath\b|floor|copper(?! (?:refinery |furnace )*slag)|alumin"
)


def _conductivity_of_salt(figure: Figure, words: _Around, context: str) -> bool:
    if figure.unit in ("uS", "mS", "mg/m3", "mg/m"):
        salty = bool(SALT.search(words.near) or SALT.search(context))
        return salty and (figure.unit != "mg/m3" or bool(re.search(r"surface|steel|plate|substrate", context)))
    return not _OTHER_CONDUCTIVITY.search(words.near)


_OF_SOMETHING_ELSE = re.compile(
    r"\s*(?:n?acl|sodium chloride|salt)?\s?(?:solution|brine)|\s*of\s+(?:the\s+)?(?:tests?|readings?|all|locations|cement|surface|concrete|limit|area)|\s*(?:confidence|coverage|level of conf|probab|relative|r\.?h)"
)


def _salt_content(figure: Figure, words: _Around, *, salty_row: bool) -> bool:
    """A concentration or a share: of salt by its own name, by what was named last before it, or by its row."""
    substance = list(re.finditer(rf"{SALT.pattern}|{_NOT_SALT.pattern}", words.before + " # " + words.behind[:30]))
    named = [m for m in substance if m.start() < len(words.before)] or substance
    if figure.species:
        salty = bool(SALT.search(figure.species) or figure.species.startswith("cl"))
    elif named:
        salty = not _NOT_SALT.fullmatch((named[-1] if named[-1].start() < len(words.before) else named[0]).group())
    else:
        salty = salty_row
    if not salty or _OF_SOMETHING_ELSE.match(words.behind):
        return False
    if figure.unit == "%":
        return not re.search(r"cement|concrete|humid|confidence|coverage|uncertainty|tests\b.{0,20}$|two-sided|expanded", words.near) and figure.value < 20
    return True


def _last_end(pattern: re.Pattern[str], text: str) -> int:
    last = senses.last_match(pattern, text)
    return last.end() if last else 0


def _limit(low: str, segment: Segment, figure: Figure, part: tuple[int, int], header: str, default_target: str, after: int) -> Limit:
    subject = subjects.subject_at(low, segment.start, segment.end, figure.start, after=after if after > segment.start else 0)
    target, unsure = _target(low, segment, figure, subject, header, default_target)
    sense, sense_at = senses.sense_of(low, segment, figure, part, header)
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


def _inherit_sense(low: str, segment: Segment, limits: list[Limit]) -> None:
    """A sense that stands after the figure in brackets, or that an earlier limit of the sentence gives."""
    said = ""
    for limit in limits:
        if not limit.sense and limit.restated:
            behind = low[limit.restated[-1].end : min(segment.end, limit.restated[-1].end + 60)].lstrip(") ]")
            limit.sense = next((name for name, pattern in senses.AFTER if name != "over" and pattern.match(behind)), "")
        limit.sense = limit.sense or said
        said = limit.sense
    later = {limit.sense for limit in limits if limit.sense}
    for limit in limits:
        if not limit.sense and len(later) == 1 and not re.search(r"[.;|]", low[limit.end : limit.part[1]]):
            limit.sense = next(iter(later))


def _share_list(low: str, limits: list[Limit]) -> None:
    """Members of "30 / 70 uS/cm" share sense and target."""
    for one, two in itertools.pairwise(limits):
        if one.figure and two.figure and one.figure.joined and two.figure.joined and one.end >= two.start - 8:
            two.sense = two.sense or one.sense
            one.sense = one.sense or two.sense
            if one.sense:
                two.sense = one.sense
            two.target = one.target
