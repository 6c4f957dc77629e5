# SPDX-License-Identifier: MIT
"""Standards named in a clause: what each can give, and which years raise an argument.

The table says what a document is for, not what it says: nobody here has seen the full texts of the
ISO, ASTM and AMPP methods, so check your copy of the standard. Titles and years are from public title
pages and catalogues, except where a row says recalled.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from brackish.prepare.clause.normalise import Plain


@dataclass(frozen=True)
class Standard:
    """One document: the target it belongs to, what it yields, its method in the library, its doubtful years."""

    name: str
    target: str = ""  # steel, abrasive, water
    gives: str = ""  # "" nothing measured, extraction, conductivity, chloride, other, requirement
    about: str = ""
    method: str = ""
    basis: str = ""  # of an abrasive extract
    current: str = ""
    superseded: tuple[str, ...] = ()
    withdrawn: str = ""  # the whole document, with what replaced it


def _iso(part: str, **more: object) -> Standard:
    return Standard(name=f"ISO {part}", **more)  # type: ignore[arg-type]


_ROWS = [
    _iso("8502-1", target="steel", gives="other", about="soluble iron corrosion products", withdrawn="withdrawn (recalled)"),
    _iso("8502-2", target="steel", gives="chloride", about="washing and laboratory chloride", method="wash-chloride-titration", current="2017", superseded=("1992", "1999", "2005")),
    _iso("8502-3", target="steel", gives="other", about="dust by adhesive tape", current="2017", superseded=("1992", "1999")),
    _iso("8502-4", target="steel", gives="other", about="probability of condensation", method="condensation-check", current="2017", superseded=("1993", "1999")),
    _iso("8502-5", target="steel", gives="chloride", about="chloride by detection tube", current="1998"),
    _iso("8502-6", target="steel", gives="extraction", about="extraction with a patch, no result of its own", method="patch-conductivity", current="2020", superseded=("1995", "2000", "2006")),
    _iso("8502-8", target="steel", gives="other", about="moisture by refractometer"),
    _iso("8502-9", target="steel", gives="conductivity", about="conductometric determination", method="patch-conductivity", current="2020", superseded=("1998", "1999", "2001")),
    _iso("8502-10", target="steel", gives="chloride", about="chloride by titration in the field", method="wash-chloride-titration", current="1999"),
    _iso("8502-11", target="steel", gives="other", about="sulfate by turbidity", current="2006"),
    _iso("8502-12", target="steel", gives="other", about="ferrous ions by titration", current="2003"),
    _iso("8502-15", target="steel", gives="extraction", about="acid extraction, no result of its own", method="sleeve-chloride-tube", current="2020"),
    _iso("8501-1", gives="visual", about="visual grades", current="2007", superseded=("1988",)),
    _iso("8501-4", gives="visual", about="visual grades after water jetting", current="2020", superseded=("2006",)),
    _iso("8503", gives="visual", about="roughness"),
    _iso("11127-1", target="abrasive", about="sampling"),
    _iso("11127-6", target="abrasive", gives="conductivity", about="conductivity of the aqueous extract", method="abrasive-conductivity", basis="by mass", current="2022", superseded=("1993", "2011")),
    _iso("11127-7", target="abrasive", gives="chloride", about="water-soluble chlorides", method="abrasive-chloride-titration", current="2022", superseded=("1993", "2011")),
    _iso("11126", target="abrasive", gives="requirement", about="requirements for new non-metallic abrasives"),
    _iso("11124", target="abrasive", gives="requirement", about="requirements for new metallic abrasives"),
    _iso("11125", target="abrasive", gives="other", about="tests of metallic abrasives"),
    _iso("3696", target="water", gives="requirement", about="laboratory water"),
    _iso("12944", gives="requirement", about="protective paint systems"),
    _iso("15235", about="report on salt levels, gives no limit"),
    _iso("16145-4", target="steel", gives="conductivity", about="automated conductivity cell", method="patch-conductivity", current="2013"),
    Standard("ASTM D4940", "abrasive", "conductivity", "conductivity of a slurry of equal volumes", "abrasive-conductivity-equal-volume", "by volume", "2015", ("1989", "1998", "2003", "2010")),
    Standard("ASTM D1193", "water", "requirement", "reagent water"),
    Standard("ASTM D1125", "water", "conductivity", "conductivity of water", "water-conductivity"),
    Standard("ASTM D512", "water", "chloride", "chloride in water"),
    Standard("SSPC-AB", "abrasive", "requirement", "abrasives, conductivity by ASTM D4940", "abrasive-conductivity-equal-volume", "by volume"),
    Standard("SSPC-Guide 15", "steel", "", "guide to methods"),
    Standard("SSPC-Guide 24", "steel", "", "where and how often; full-kit baseline"),
    Standard("SSPC-TU 4", "steel", "", "field methods", withdrawn="withdrawn, folded into SSPC-Guide 15"),
    Standard("SSPC-SP 12", "steel", "requirement", "water jetting", withdrawn="replaced in 2012 by the SSPC-SP WJ / NACE WJ standards, whose body holds no table of salt grades"),
    Standard("NACE SP0508", "steel", "conductivity", "equivalence to ISO 8502-9", "patch-conductivity"),
    Standard("NACE SP0213", "steel", "", "names of salt levels, no acceptance"),
    Standard("NACE SP0716", "steel", "", "where and how often on coated steel"),
    Standard("MIL-A-22262", "abrasive", "requirement", "blasting media for ship hulls"),
    Standard("IMO PSPC", "steel", "requirement", "ballast tanks and similar"),
    Standard("NORSOK M-501", "steel", "requirement", "offshore coating"),
    Standard("GB/T 18570.9", "steel", "conductivity", "adoption of ISO 8502-9", "patch-conductivity", "", "2025", ("2005",)),
    Standard("BS 7079", gives="", about="national series", withdrawn="replaced by the ISO 8501 to 8504 series (recalled)"),
]  # fmt: skip
STANDARDS = {row.name: row for row in _ROWS}

_YEAR = r"(?:\s?[:(]\s?(?P<year{n}>(?:19|20)\d\d)\)?|\s?[-/](?P<dash{n}>(?:19|20)\d\d|\d\d)\b(?!\s?(?:/|\.\d|mg|ug|us|ms)))?"
_ISO = re.compile(
    r"(?<![\w/])(?:(?:bs|din|ns|nf|uni|sfs|ss|is)[ -]{0,2})?(?:en[ -]{0,2})?(?:iso(?:/tr|/dis)?[ -]{0,2})?"
    r"(?<![\d.,-])(?P<number>8501|8502|8503|8504|1112[4567]|3696|12944|15235|16145)"
    r"(?:\s{0,2}[-/]\s{0,2}(?P<part>\d{1,2})(?!\d)|[ ,]{0,2}\(?\s?part[s]?\s{0,2}(?P<worded>\d{1,2})(?!\d)\)?)?" + _YEAR.format(n="")
)
_NEXT_PART = re.compile(
    r"\s{0,2}(?:,|and|&|/|\+|with|or|plus|to)\s{0,2}(?:,\s{0,2})?(?:and\s)?(?:(?:[-]|part\s{0,2}|pt\.?\s{0,2})(?P<dashed>\d{1,2})|(?P<bare>\d{1,2}))(?![\w%]|[.,]\d|\s{0,2}(?:mg|ug|us|ms|m2|test|read|loc|spot|%|sq|ml|meas|per|hour|h\b|day|min|times|and\s\d+\s))"
    + _YEAR.format(n="")
)
_OTHER = [
    ("ASTM D4940", r"(?:astm[ -]{0,2})?(?<![\w])d[ -]?4940" + _YEAR.format(n="")),
    ("ASTM D1193", r"(?:astm[ -]{0,2})?(?<![\w])d[ -]?1193"),
    ("ASTM D1125", r"(?:astm[ -]{0,2})?(?<![\w])d[ -]?1125"),
    ("ASTM D512", r"(?:astm[ -]{0,2})?(?<![\w])d[ -]?512(?!\d)"),
    ("SSPC-AB", r"(?:sspc[ -]{0,2}|ampp[ -]{0,2})?(?<![\w])ab[ -]{0,2}[1-4](?!\d)"),
    ("SSPC-Guide 15", r"(?<!\w)(?:sspc|ampp)?[ -]{0,2}guide[ -]{0,2}15(?!\d)"),
    ("SSPC-Guide 24", r"(?<!\w)(?:sspc|ampp)?[ -]{0,2}guide[ -]{0,2}24(?!\d)"),
    ("SSPC-TU 4", r"(?<!\w)(?:sspc[ -]{0,2})?tu[ -]{0,2}4(?!\d)"),
    ("SSPC-SP 12", r"(?<!\w)(?:sspc[ -]{0,2})?sp[ -]{0,2}12(?!\d)|(?<!\w)nace[ -]{0,2}(?:no\.? ?)?5(?!\d)|(?<!\w)(?:nv|sc)-?[123](?!\d)"),
    ("NACE SP0508", r"(?<!\w)(?:nace[ -]{0,2}|ampp[ -]{0,2})?sp[ -]?0508"),
    ("NACE SP0213", r"(?<!\w)(?:nace[ -]{0,2}|ampp[ -]{0,2})?sp[ -]?0213"),
    ("NACE SP0716", r"(?<!\w)(?:nace[ -]{0,2}|ampp[ -]{0,2})?sp[ -]?0716"),
    ("MIL-A-22262", r"(?<!\w)mil-?a-?22262\w?"),
    ("IMO PSPC", r"(?<!\w)(?:imo[ -]{0,2})?pspc(?!\w)|(?<!\w)msc\.?(?:1/circ\.?)?\s?(?:215|288|244|1378|1399)(?:\s?\(\d\d\))?"),
    ("NORSOK M-501", r"(?<!\w)(?:norsok[ -]{0,2})?m-?501(?!\d)"),
    ("GB/T 18570.9", r"(?<!\w)gb/?t?[ -]?18570[.-]9" + _YEAR.format(n="")),
    ("BS 7079", r"(?<!\w)bs[ -]?7079"),
]  # fmt: skip
_NAMED = [(name, re.compile(pattern)) for name, pattern in _OTHER]
_MAYBE = re.compile(r"\d{3}|guide|tu[ -]|sp[ -]?\d|ab[ -]|nv|sc|pspc|nace")


@dataclass(frozen=True)
class Citation:
    """A standard as it stands in the text."""

    standard: Standard
    year: str
    start: int
    end: int
    parts: tuple[str, ...] = field(default=())

    @property
    def text(self) -> str:
        return f"{self.standard.name}:{self.year}" if self.year else self.standard.name

    @property
    def doubt(self) -> str:
        """Why the edition may be argued over, or an empty text."""
        if self.standard.withdrawn:
            return self.standard.withdrawn
        if self.year and self.year in self.standard.superseded:
            return f"{self.year} was superseded; {self.standard.current} is the later edition this program knows"
        return ""


def find(plain: Plain, start: int, end: int) -> list[Citation]:
    """Citations in one segment, in order."""
    low = plain.low
    if not _MAYBE.search(low, start, end):
        return []
    found: list[Citation] = []
    for match in _ISO.finditer(low, start, end):
        number, part = match["number"], match["part"] or match["worded"]
        if not re.search(r"iso|en\b|[-/]\s{0,2}\d|part", match.group()) and number not in ("8502", "11126", "11127"):
            continue
        _add(found, f"{number}-{part}" if part else number, match)
        at = match.end()
        while (
            part
            and number in ("8501", "8502", "11127", "11126")
            and (more := _NEXT_PART.match(low, at, end))
            and (more["dashed"] or f"ISO {number}-{more['bare']}" in STANDARDS)
        ):
            _add(found, f"{number}-{more['dashed'] or more['bare']}", more)
            at = more.end()
    for name, pattern in _NAMED:
        for match in pattern.finditer(low, start, end):
            found.append(Citation(STANDARDS[name], _year(match), match.start(), match.end()))
    return sorted(found, key=lambda one: (one.start, one.end))


def _add(found: list[Citation], number: str, match: re.Match[str]) -> None:
    name = f"ISO {number}"
    family = name.rsplit("-", 1)[0]
    standard = STANDARDS.get(name) or STANDARDS.get(family)
    if standard is None:
        standard = Standard(name, target="steel" if number.startswith("8502") else "abrasive" if number.startswith("1112") else "")
    elif standard.name != name:
        standard = Standard(name, standard.target, standard.gives, standard.about, standard.method, standard.basis)
    start = match.start() + len(match.group()) - len(match.group().lstrip(" ,"))
    found.append(Citation(standard, _year(match), start, match.end()))


def _year(match: re.Match[str]) -> str:
    groups = match.groupdict()
    year = groups.get("year") or groups.get("dash") or ""
    if len(year) == 2:
        year = ("19" if int(year) > 70 else "20") + year
    return year
