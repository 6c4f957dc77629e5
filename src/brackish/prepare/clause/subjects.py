# SPDX-License-Identifier: MIT
"""What a stretch of text is about: steel, abrasive, extraction water or washing water.

A word that names a thing is not always the subject: in "steel blasted with garnet" the garnet is the
tool, in "water used to wash the steel" the steel is the purpose. Those mentions are weak. A limit
takes the strong mention that stands in its own part of the sentence; without one, what the sentence,
the row, the heading or the sentence before was about.
Next: `limits.py`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import lru_cache

STEEL, ABRASIVE, EXTRACTION_WATER, WASHING_WATER = "steel", "abrasive", "extraction-water", "washing-water"

_ABRASIVE = (
    r"abrasives?(?:\s(?:materials?|grit|medi(?:a|um)|mix))?(?![ -]{0,2}(?:blast|clean(?!liness)))|(?:blast(?:ing)?|cleaning)[ -](?:cleaning[ -])?(?:medi(?:a|um)|agents?|materials?|grit|abrasives?)"
    r"|(?<!sand )(?:steel[ -]|iron[ -]|chilled[ -])?grit(?![ -]?\s?(?:blast|swe[ep]|and\s(?:dust|oil)|residue|size))|(?:steel[ -])?shot(?![ -]?\s?(?:blast|swe[ep]|peen|prim|crete|and))|garnet|(?:copper|iron|nickel|coal|refinery|furnace)[ -](?:furnace[ -]|refinery[ -])*slag|slags?\b"
    r"|work(?:ing)?[ -]mix|operating[ -]mix|strahlmittel|abrasifs?|abrasivos?|abrasivi?|granalla|graniglia|blasemiddel|blastring|straalmiddel|straalgrit"
)
_EXTRACTION_WATER = (
    r"(?:extract(?:ion|ing)?|test(?:ing)?|reagent|blank|sampling|solvent|laboratory)[ -]water|water\s(?:that\sis\s|which\sis\s)?(?:used|employed|intended)?\s?(?:for|in|as|to)\s(?:the\s|any\s|a\s|patch\s|salt\s|this\s|these\s|prepare\sthe\s|make\sthe\s)*"
    r"(?:extract\w*|tests?|testing|patch\w*|(?:preparation\s+of\s+(?:the\s+)?)?(?:abrasive\s+)?slurry|blank|sleeve|measurements?|salt\stests?|solvent|determinations?)"
    r"|(?:de-?ioni[sz]ed|distilled|demineral(?:i[sz]ed)|purified|pure|di|grade\s?3)[ -]water(?!\s(?:rins|wash|jet|(?:that is |which is |to be |being )?(?:used |employed |intended )?(?:for|in|during) (?:the |final |a )*(?:wash|rins|clean|jet|flush)))|(?<!\w)blanks?(?:\sreadings?|\svalues?)?(?!\s(?:flange|panel|sheet|field|cell|form))|extraktionswasser|(?:extraction|test)[ -](?:liquid|fluid)|extractant|unused water"
)
_WASHING_WATER = (
    r"(?:wash(?:ing)?|rins(?:e|ing)|clean(?:ing)?|jetting|blasting|flush(?:ing)?|pressure|surface[ -]preparation|make[ -]?up|supply|supplied|mains|fresh|potable|drinking|tap|town|process|cooling|slurry|recycled|reclaimed)[ -]water(?![ -]?(?:wash|jet|blast|rins|clean|flush|tank|ballast|immers|pipe|main))"
    r"|water\s(?:that\sis\s|which\sis\s|to\sbe\s|being\s)?(?:used|employed|intended|supplied|taken)?\s?(?:for|in|to|during|on)\s(?:the\s|any\s|all\s|final\s|high[ -]pressure\s|low[ -]pressure\s|pressure\s|wet\s|surface\s|steel\s|abrasive\s|steelwork\s|uhp\s|hp\s)*(?:wash\w*|rins\w*|clean\w*|jetting|blast\w*|flush\w*|preparation(?! of (?:the )?(?:abrasive |test )?(?:slurry|extract|solution|blank))|removal|hosing)"
    r"|(?:jetting|washing|rinsing)\swater|waschwasser|spulwasser|eau\sde\s(?:lavage|rincage)|agua\sde\s(?:lavado|enjuague)|acqua\sdi\s(?:lavaggio|risciacquo)|vaskevann|spoelwater|\brinsate"
)
_STEEL = (
    r"surfaces?(?!\s(?:preparation\swater|active|tension|profile|roughness))|steel(?:work)?(?![ -](?:grit|shot|wool|brush|abrasive|blasting))|substrates?|plates?\b|plating|pip(?:e|es|ing)\b|spools?|welds?\b|hull|girders?|tank(?:s)?(?:\s(?:internals?|interiors?|shell|bottoms?))?|blocks?\b|bridge|metalwork|members?"
    r"|patch(?:es)?(?:\s(?:test|extract|reading|result)s?)?|areas?\b|spots?\b|(?:void\s)?spaces\b|voids\b|compartments?\b|decks?\b|shell\b|beams?\b|columns?\b|structures?\b|frames?\b|towers?\b|vessels?\b|penstocks?\b|gates?\b|cleaned\ssteel|stahl\w*|oberflache\w*|acier|acero|superficies?|superfici|stal(?:overflate\w*)?|overflate\w*|oppervlak\w*|sleeve|base\smetal|metal\b|silos?|(?:mono)?piles?|pontoons?|buoys?|masts?|truss(?:es)?|chimneys?|bulkheads?|casings?|valves?|fittings?|webs?\b|flanges?|floors?|roofs?"
)
_WATER = r"water(?![ -]?\s?(?:soluble|jet|blast|wash|rins|clean|line|tank|ballast|tight|side|borne|based|extract|works|main|level|pipe|pressure|content|after|is\sto\sbe\sdrained))"

_MENTION = re.compile(rf"(?<![a-z-])(?:(?P<w>{_WASHING_WATER})|(?P<e>{_EXTRACTION_WATER})|(?P<a>{_ABRASIVE})|(?P<s>{_STEEL})|(?P<any>{_WATER}))(?![a-z])")
_TOOL = re.compile(
    r"(?:\bwith|\busing|\bby|by means of|\bthrough|mixed in|free from|free of|embedded|residual|spent|\bremov\w+|\bwithout|prior to|\bdust,?|\bused for|\bused on|\bused to \w+|\bwash\w*|\brins\w*|\bcleaning|\bblasting|\bblasted|for use on|in contact with|suitable for|\bonto)\s+(?:(?:a|an|the|any|all|new|fresh|clean|recycled|reused|expendable|mineral|non-?metallic|metallic|dry|suitable|approved|of|ml|m2|steel|prepared|blasted|low[ -]pressure|high[ -]pressure|potable|sodium|chilled|angular|and|or)\s+){0,3}$"
)
_MEASURED = re.compile(
    r"(?:conductiv\w+|salts?|chlorides?|contents?|levels?|contaminat\w+|concentrations?|amounts?|extracts?|leitfahigkeit|limits?|values?|quality|purity|purity|solution|leachate)\s+(?:\w+\s+){0,3}(?:of|in|on|from|for|der|des|auf|sur|sobre|en|de|du|pa)\s+(?:(?:the|any|all|a|an|new|fresh|recycled|reused|re-?used|virgin|used|each|every|as|delivered|prepared|blasted|blast|cleaned|blast-?cleaned|abrasive|la|les|el|los|den|water|aqueous|of|unused|bulk|mineral|expendable|recyclable|metallic|non-?metallic|extract|its)[\s-]+){0,5}$"
)
_BLANK_IS = re.compile(r"\s*(?:shall|must|should|may|not|<|:|max|water|conductivity|reading)")
_MODAL = re.compile(r"\b(?:shall|must|should|will|may|is to|are to|has to|have to|needs? to|cannot|can|darf|durfen|doit|doivent|debe|deben|deve|skal|mag)\b")
_WEAK_STEEL = frozenset(("area", "areas", "spot", "spots", "metal", "blocks", "block", "member", "members", "bridge", "tank", "tanks"))
WASHES = re.compile(r"wash|rins|jet|flush|clean|hos(?:e|ing)|pressure|potable|\btap\b|mains")
EXTRACTS = re.compile(r"subtract|deduct|extract|patch|\btest|blank|reagent|de-?ioni|distill|deminerali|laborator|slurry")


@dataclass(frozen=True)
class Mention:
    """A word that names a target."""

    target: str
    start: int
    end: int
    strong: bool
    measured: bool


def find(low: str, start: int, end: int) -> list[Mention]:
    """Mentions of targets in one segment."""
    return [replace(one, start=one.start + start, end=one.end + start) for one in _mentions(low[start:end])]


@lru_cache(maxsize=64)
def _mentions(text: str) -> tuple[Mention, ...]:
    out = []
    for match in _MENTION.finditer(text):
        target = {"w": WASHING_WATER, "e": EXTRACTION_WATER, "a": ABRASIVE, "s": STEEL, "any": "water"}[match.lastgroup or "any"]
        tool = bool(_TOOL.search(text, max(0, match.start() - 70), match.start()))
        measured = bool(_MEASURED.search(text, max(0, match.start() - 90), match.start()))
        sure = not tool and match.group() not in _WEAK_STEEL
        if target == "water":
            target = WASHING_WATER if WASHES.search(text) else EXTRACTION_WATER if EXTRACTS.search(text) else WASHING_WATER
            sure = not tool and match.start() < 25
        if match.group().startswith("blank"):
            sure = match.start() < 14 and bool(_BLANK_IS.match(text, match.end()))
            if not (sure or measured):
                continue  # a blank that is only spoken of
        out.append(Mention(target, match.start(), match.end(), sure or measured, measured))
    return tuple(out)


def subject_at(low: str, segment_start: int, segment_end: int, position: int, *, after: int = 0) -> Mention | None:
    """The mention that governs `position` in its segment, or None; `after` is where the limit before it ended."""
    mentions = find(low, segment_start, segment_end)
    before = [m for m in mentions if m.end <= position]
    following = [m for m in mentions if m.start >= position]
    edges = _regions(low, segment_start, position, after)
    for begin, stop in edges:
        inside = [m for m in before if begin <= m.start < stop]
        measured = [m for m in inside if m.measured]
        strong = [m for m in inside if m.strong]
        if measured:
            return measured[-1]
        if strong:
            return strong[0]
    if following:
        measured = [m for m in following if m.measured or m.strong]
        if measured and measured[0].start - position < 90:
            return measured[0]
    return before[0] if before else following[0] if following else None


def _regions(low: str, start: int, position: int, after: int) -> list[tuple[int, int]]:
    """Parts of the sentence before `position`, the nearest first: between verbs, and after an earlier limit."""
    modals = [m.start() for m in _MODAL.finditer(low, start, position)]
    last = modals[-1] if modals else position
    cuts = sorted({start, *(m for m in modals[:-1]), *([after] if start < after < last else [])})
    if after >= last:  # the verb is shared: "chloride shall not exceed 5 and conductivity 30"
        cuts = sorted({*cuts, after})
        last = position
    bounds = [*cuts, max(last, cuts[-1])]
    parts = [(bounds[i], bounds[i + 1]) for i in range(len(bounds) - 1)]
    parts.append((max(last, after), position))
    return [parts[-1], *reversed(parts[:-1])] if after >= last else [*reversed(parts[:-1]), parts[-1]]


# Things of other trades that conduct or hold chloride too.
OTHER_TRADE = re.compile(
    r"hydro-?(?:static|test)\w*|boiler|cool(?:ing|ant)|feed ?water|drinking|effluent|waste ?water|ground ?water|sea ?water|ballast water|\bpool\b|fire ?(?:fighting )?water|condensate|\briver|\blake|\bfuel|lubric|chamber|cabinet|salt[- ](?:spray|fog|mist)|spray test|concrete|cement|mortar|grout|soil|trench|anode|cathod|electrolyt|aquarium|irrigation|antistatic|floor(?:ing)?\b|insulation|\bbath\b|plating bath|brine|de-?icing|swimming|tap for|rain ?water|leachate of soil|resistiv|(?:check|standard|calibration|reference|verification|buffer) solution"
)
OUR_TRADE = re.compile(
    r"\bblank|1250|blast|\bpaint|\bcoat|abrasive|\bgrit\b|garnet|slag|\bsteel|\bsurface|substrate|\bpatch|sleeve|extract|soluble|8502|11127|d4940|\bsalts\b|salt (?:level|content|test|contam|value|load)|wash|rins|jetting|hull|plat(?:e|ing)|prim(?:er|ing)|pipe|weld|chlorides? (?:on|level|read)|\breading"
)
_NEW = re.compile(r"\b(?:new|virgin|unused|fresh|as[ -](?:delivered|supplied|received))\b")
_IN_USE = re.compile(
    r"\b(?:recycl\w+|re-?us\w+|reclaim\w+|recover(?:ed|y)|re-?circulat\w+|circulat\w+|closed[- ](?:loop|cycle|circuit)|several (?:times|passes|cycles)|more than once|(?:second|third) (?:use|time|pass)|many times|times over|multiple (?:use|times|passes)|repeated(?:ly)? use\w*|topped up|blasting mix|grit mix|used (?:grit|shot|garnet|slag)|once[- ]used|work(?:ing)?[ -]mix|operating[ -]mix|in[ -]use|in service|recirculat\w+|used abrasive|after use|already used|in circulation|remanufactured)\b"
)
IMMERSED = re.compile(r"(?<!non-)(?<!non )(?<!not )\bimmers(?:ed|ion)|\bsubmerged|\bunder ?water\b(?! jet)|\bbelow (?:the )?(?:deep |load |low )*water ?line")
NOT_IMMERSED = re.compile(
    r"\bnon[- ]?(?:immers(?:ed|ion)|submerged)|\bnot immersed|\batmospheric(?:ally)?|\babove[- ](?:the )?(?:deep |load )*(?:water|load) ?line|\babove water\b|\bweather[- ]exposed|exposed to (?:the )?(?:weather|atmosphere)|\ball other (?:surfaces|areas|steel\w*)|\bother (?:surfaces|areas|service)|\btopsides?\b|\bnot (?:to be )?immersed"
)
BURIED = re.compile(r"\b(?:buried|underground|below ground)\b")


def condition_of_subject(low: str) -> str:
    """The condition that stands right before the abrasive it describes: "new steel grit"."""
    starts = [m.start for m in find(low, 0, len(low)) if m.target == ABRASIVE]
    return next((value for value, at in conditions_in(low, 0, len(low)) if any(0 <= start - at <= 12 for start in starts)), "")


def conditions_in(low: str, start: int, end: int) -> list[tuple[str, int]]:
    found = [("new", m.start()) for m in _NEW.finditer(low, start, end)] + [("in-use", m.start()) for m in _IN_USE.finditer(low, start, end)]
    return sorted(found, key=lambda one: one[1])


def services_in(low: str, start: int, end: int) -> list[tuple[str, int]]:
    """Kinds of service named in a stretch, with where they stand."""
    found = [("atmospheric", m.start(), m.end()) for m in NOT_IMMERSED.finditer(low, start, end)]
    covered = [(a, b) for _, a, b in found]
    found += [("immersed", m.start(), m.end()) for m in IMMERSED.finditer(low, start, end) if not any(a <= m.start() < b for a, b in covered)]
    found += [("buried", m.start(), m.end()) for m in BURIED.finditer(low, start, end)]
    return [(name, at) for name, at, _ in sorted(found, key=lambda one: one[1])]
