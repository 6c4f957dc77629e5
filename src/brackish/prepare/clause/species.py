# SPDX-License-Identifier: MIT
"""Which salt a limit counts, and so which quantity of the vocabulary it is.

Chloride counted as NaCl, NaCl that would conduct the same, and mixed salts by the constant are three
different things. Where the text does not say, the quantity stays empty and the question is asked.
"""

from __future__ import annotations

import re

_NACL = re.compile(r"\bnacl\b|sodium[ -]{0,2}chlorides?|(?:cloruro|chlorure) (?:de |di )?(?:sodio|sodium)|natriumchlorid\w*|common salt")
_MIXED = re.compile(
    r"mixed[ -]{0,2}salts?|mixture of salts?|salts? mixtures?|mix of salts|salt mix\b|(?:constant|factor)\s(?:c\s)?(?:of|in|from|given in|according to|as per|to|5\b)\s?(?:the\s)?(?:bs |en |din )*(?:iso\s)?(?:8502-9)?|8502-9 (?:constant|factor)|mischsalz\w*|typical salt"
)
_CHLORIDE = re.compile(
    r"(?<!sodium )(?<!sodium-)(?<!calcium )chlorides?\b(?! (?:meter|kit))|\bcl\s?-(?![a-z0-9])|\bcl\b(?=\s*[,)\]]|\s+(?:ions?|content|level|not|shall|max|<))|\bcloruros?|\bchlorures?|\bchloride?n?\b|\bcloruri|\bklorid\w*|\bcloretos?"
)
_OTHERS = [
    ("sulfate", re.compile(r"sul(?:ph|f)ates?\b|so4")),
    ("nitrate", re.compile(r"nitrates?\b|\bno3")),
    ("iron", re.compile(r"ferrous|soluble iron|iron salts|\bfe\s?2?\+")),
]
_COUNTED_AS = re.compile(
    r"(?:\bas\b|expressed|calculated|counted|reported|stated|given|converted|recalculated|in terms of|equivalents?|equiv\.?|eq\.|corresponding|in|berechnet|expresad\w+|exprim\w+|als|como|comme)\W+(?:\w+\W+){0,4}?(?:nacl|sodium[ -]chloride|natriumchlorid|cloruro de sodio|chlorure de sodium)|(?:nacl|sodium[ -]chloride)\W{0,3}(?:equiv|eq\b)"
)
_BY_CONDUCTIVITY = re.compile(r"conductiv|conductom|conductance|8502-9|sp ?0508|16145|[um]s/")
_BY_CHLORIDE = re.compile(
    r"titrat|tubes?\b|ion[ -](?:detection|chromatograph|selective)|8502-(?:2|5|10)\b|mohr|silver nitrate|chloride (?:test|kit|measure|determin|analys)"
)
_ELSEWHERE = re.compile(r"express|calculat|count|report|state|terms|equivalen|understood|means|refer|basis|convert|throughout|all (?:salt|limits|values)")


def names_in(text: str) -> set[str]:
    """Species named in a stretch of text."""
    found = {name for name, pattern in _OTHERS if pattern.search(text)}
    if _NACL.search(text):
        found.add("nacl")
    if _MIXED.search(text):
        found.add("mixed-salts")
    if _CHLORIDE.search(text):
        found.add("chloride")
    return found


def species_of(*, unit_words: str, behind: str, before: str, whole: str) -> tuple[str, str]:
    """Species and where it was found: in the unit, after the figure, before it, or nowhere.

    `behind` and `before` are the limit's own words, `whole` its sentence or row with the headings.
    """
    for where, text in (("unit", unit_words), ("behind", behind), ("before", before), ("whole", whole)):
        found = names_in(text)
        if (
            where in ("behind", "before", "whole")
            and "nacl" in found
            and "chloride" in found | names_in(before)
            and _COUNTED_AS.search(text)
            and _chloride_measured(text, before, whole)
        ):
            return "chloride-as-nacl", where
        if where == "before" and len(found) > 1:
            return _nearest(text), where
        for name in ("mixed-salts", "nacl", "chloride", "sulfate", "nitrate", "iron"):
            if name in found and not (name == "mixed-salts" and "nacl" in found and _COUNTED_AS.search(text)):
                if name == "nacl" and _chloride_measured(text, before, whole):
                    return "chloride-as-nacl", where
                return name, where
    return "", ""


def _nearest(text: str) -> str:
    last = {"nacl": _NACL, "mixed-salts": _MIXED, "chloride": _CHLORIDE, **dict(_OTHERS)}
    ends = {name: max((m.end() for m in pattern.finditer(text)), default=-1) for name, pattern in last.items()}
    counted = list(_COUNTED_AS.finditer(text))
    if counted and ends["nacl"] >= 0:
        ends["nacl"] = max(ends["nacl"], len(text))
    return max(ends, key=lambda name: ends[name])


def _chloride_measured(text: str, before: str, whole: str) -> bool:
    """Chloride is what is measured, and NaCl only how it is written."""
    stripped = _NACL.sub(" ", f"{before} {text}")
    if _CHLORIDE.search(stripped):
        return not re.search(r"salts?\b[^.;]{0,60}conductiv|conductiv", stripped) or bool(
            re.search(r"chlorides?[^.;]{0,40}(?:express|calculat|count|as|report|convert)", stripped)
        )
    return bool(_BY_CHLORIDE.search(whole)) and not _BY_CONDUCTIVITY.search(whole)


def said_elsewhere(text: str) -> str:
    """A sentence that settles the species for every limit: "all levels are expressed as NaCl"."""
    if not _ELSEWHERE.search(text):
        return ""
    found = names_in(text)
    if "nacl" in found and _COUNTED_AS.search(text):
        return "chloride-as-nacl" if _chloride_measured(text, "", text) else "nacl"
    if "mixed-salts" in found:
        return "mixed-salts"
    return ""


_PER_AREA = {
    "nacl": "nacl_equivalent_per_area",
    "mixed-salts": "mixed_salt_per_area",
    "chloride": "chloride_per_area",
    "chloride-as-nacl": "chloride_as_nacl_per_area",
}


def quantity_of(*, dimension: str, unit: str, target: str, species: str, basis: str) -> str:
    """The quantity of the vocabulary, or an empty text where the clause does not settle it."""
    water = target in ("extraction-water", "washing-water")
    if dimension == "amount_per_area":
        return _PER_AREA.get(species, "") if target == "steel" else ""
    if dimension == "conductivity":
        if target == "steel":
            return "extract_conductivity"
        if target == "abrasive":
            return {"by mass": "abrasive_conductivity_by_mass", "by volume": "abrasive_conductivity_by_volume"}.get(basis, "")
        return "water_conductivity"
    if dimension in ("concentration", "parts", "mass_fraction"):
        if target == "abrasive":
            return "chloride_mass_fraction" if species in ("chloride", "nacl") and dimension != "concentration" else ""
        if water or target == "steel":
            return "chloride_concentration" if species == "chloride" and dimension != "mass_fraction" else ""
    return ""
