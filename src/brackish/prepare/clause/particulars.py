# SPDX-License-Identifier: MIT
"""What a limit counts and by what: its methods, its species, the basis of an abrasive extract, its service.

Words beside the figure come first, then its sentence, its headings, the sentences around it.
Next: `species.py` for the quantities, `standards.py` for the methods.
"""

from __future__ import annotations

import re

from brackish.prepare.clause import species, subjects
from brackish.prepare.clause.passages import Claim, Passage
from brackish.prepare.clause.standards import Citation

_BASIS_VOLUME = re.compile(r"(?:equal|same) volumes?|by volume|volume basis|volumetric|1\s?:\s?1 (?:by|\(?v)|(?:ml|cm3|litres?) of (?:the )?abrasive")
_BASIS_MASS = re.compile(
    r"100 g\b|mass basis|(?:equal|same) (?:mass|weight)|(?<!% )(?<!percent )(?<!percentage )(?<!cent )by (?:mass|weight)(?! of cement)|g of (?:the )?abrasive|g(?:rams?)? (?:of \w+ )?(?:in|per|to|with) (?:each )?\d+ ?ml|mass ratio|1\s?:\s?1 \(?by (?:mass|weight)"
)


def methods_of(passages: list[Passage], claim: Claim) -> None:
    wanted = subjects.STEEL if claim.target == subjects.STEEL else subjects.ABRASIVE if claim.target == subjects.ABRASIVE else "water"
    near = [c for c in claim.passage.citations if _may_measure(c, wanted, claim)]
    part = [c for c in near if claim.limit.part[0] <= c.start < claim.limit.part[1]]
    own = _compatible(part or near, claim) if len(claim.passage.limits) > 1 else near
    general: list[Citation] = []
    for passage in passages:
        if not passage.limits and passage.about == "salt" and not (claim.passage.segment.kind == "row" and passage.segment.kind == "row"):
            general += [c for c in passage.citations if _may_measure(c, wanted, claim)]
    general = _compatible(general, claim)
    own = own or _just_before(passages, claim, general)
    if own:
        names = {c.standard.name for c in own}
        dated = {c.standard.name: c for c in general if c.year}
        own = [c if c.year else dated.get(c.standard.name, c) for c in own]
        measured = any(c.standard.gives in ("conductivity", "chloride") for c in own)
        own += [c for c in general if c.standard.name not in names and (not measured or c.standard.gives == "extraction")]
    chosen = sorted(own or general, key=lambda c: c.start)
    claim.methods = list({c.text: c for c in reversed(chosen)}.values())[::-1]


def _just_before(passages: list[Passage], claim: Claim, general: list[Citation]) -> list[Citation]:
    """Of methods by mass and by volume in one text, those of the words before the limit: "tested to ISO 11127-6; the conductivity shall not exceed"."""
    if len({c.standard.basis for c in general if c.standard.basis}) < 2:
        return []
    before = passages[: passages.index(claim.passage)][-1:]
    return [c for passage in before for c in passage.citations if c in general]


def _may_measure(citation: Citation, wanted: str, claim: Claim) -> bool:
    standard = citation.standard
    if (
        standard.gives in ("visual",)
        or standard.about in ("sampling",)
        or standard.name in ("ISO 12944", "ISO 15235", "SSPC-Guide 24", "NACE SP0716", "BS 7079", "ISO 3696", "ASTM D1193")
    ):
        return False
    return (
        not standard.target
        or standard.target == wanted
        or (wanted != "water" and standard.gives in ("conductivity", "chloride") and claim.passage.citations == [citation])
    )


def _kind_wanted(claim: Claim) -> str:
    dimension = claim.dimension
    if dimension == "conductivity" or dimension == "impossible":
        return "conductivity"
    return "chloride" if dimension in ("mass_fraction", "parts", "concentration") else ""


def _compatible(citations: list[Citation], claim: Claim) -> list[Citation]:
    wanted = _kind_wanted(claim)
    if not wanted:
        return citations
    fitting = [c for c in citations if c.standard.gives in (wanted, "extraction", "requirement", "")]
    return fitting if any(c.standard.gives == wanted for c in fitting) else citations


def species_of(low: str, claim: Claim, everywhere: str, passages: list[Passage]) -> None:
    limit, segment = claim.limit, claim.limit.segment
    if not limit.figure:
        found = species.names_in(low[limit.start : limit.end])
        claim.species = "chloride" if found == {"chloride"} and limit.words == "free" else ""
        return
    unit_words = limit.figure.species if species.names_in(limit.figure.species) or not limit.figure.species.startswith("cl") else "chloride"
    end = limit.restated[-1].end if limit.restated else limit.end
    following = min(
        (
            f.start
            for f in claim.passage.figures
            if f.start >= end and f.dimension in ("amount_per_area", "conductivity", "mass_fraction", "concentration", "parts")
        ),
        default=segment.end,
    )
    behind = low[limit.end : following]
    stop = re.search(r"[;|\t]|\.\s", behind)
    behind = behind[: stop.start()] if stop else behind
    if following < segment.end:
        behind = behind[:34]
        comma = re.search(r",|\band\b", behind)
        behind = behind[: comma.start()] if comma else behind
    before = low[max(limit.part[0], segment.start) : limit.start]
    cell = low[segment.start : segment.end]
    if len([one for one in claim.passage.limits if one.figure]) > 1:
        cell = before
    name, _ = species.species_of(unit_words=unit_words, behind=behind[:70], before=before, whole=f"{cell} {claim.passage.header}")
    claim.species = name or (everywhere if claim.target == subjects.STEEL and claim.dimension == "amount_per_area" else "")
    if not claim.species and cell is before:
        claim.species, _ = species.species_of(unit_words="", behind="", before=low[segment.start : limit.start], whole="")
    if not claim.species and not re.search(r"\bsalts?\b|salinity", segment.low):
        claim.species = _measured_before(passages, claim)


def share_species(claims: list[Claim]) -> None:
    """ "3 and 7 ug/cm2 of chloride": figures of one sentence and one unit are of one salt."""
    for claim in claims:
        figure = claim.limit.figure
        if claim.species or not figure or re.search(r"\bsalts\b", claim.limit.segment.low):
            continue
        beside = {one.species for one in claims if one.passage is claim.passage and one.limit.figure and one.limit.figure.unit == figure.unit and one.species}
        claim.species = beside.pop() if len(beside) == 1 else ""


def _measured_before(passages: list[Passage], claim: Claim) -> str:
    """What the sentences before (then after) this limit measure, when its own says neither salt nor species."""
    own = passages.index(claim.passage)
    for passage in [*reversed(passages[max(0, own - 4) : own]), *passages[own + 1 : own + 3]]:
        if passage.about != "salt" or passage.target not in ("", claim.target) or claim.passage.segment.kind == "row":
            continue
        found = species.names_in(passage.segment.low)
        if found and not (found == {"chloride"} and re.search(r"\bsalts\b", passage.segment.low)):
            passage.used = True
            return found.pop() if len(found) == 1 else "nacl" if found == {"nacl", "chloride"} else ""
        if re.search(r"\bsalts?\b", passage.segment.low):
            return ""
    return ""


def basis_of(passages: list[Passage], claim: Claim) -> None:
    if claim.target != subjects.ABRASIVE:
        return
    bases = {c.standard.basis for c in claim.methods if c.standard.basis and c.standard.gives != "chloride"}
    if len(bases) == 1:
        claim.basis = bases.pop()
    if claim.basis:
        return
    for passage in [claim.passage, *[p for p in passages if p.target == subjects.ABRASIVE]]:
        text = passage.segment.low
        if _BASIS_VOLUME.search(text):
            claim.basis = "by volume"
        elif _BASIS_MASS.search(text):
            claim.basis = "by mass"
        if claim.basis:
            passage.used = True
            return


def services_of(low: str, passages: list[Passage], claims: list[Claim]) -> None:
    for passage in passages:
        own = [claim for claim in claims if claim.passage is passage and claim.target in (subjects.STEEL, subjects.ABRASIVE) and claim.limit.figure]
        if not own:
            continue
        segment = passage.segment
        for name, finder, wanted in (("service", subjects.services_in, subjects.STEEL), ("condition", subjects.conditions_in, subjects.ABRASIVE)):
            mine = [claim for claim in own if claim.target == wanted]
            _pair(name, finder(low, segment.start, segment.end), mine, low)
            if len(mine) == 1 and name not in mine[0].requirement.fields:
                header = passage.header
                if name == "condition" and not any(m.target == subjects.ABRASIVE for m in subjects.find(segment.low, 0, len(segment.low))):
                    before = passages[max(0, passages.index(passage) - 1)]
                    if before is not passage and before.target == subjects.ABRASIVE:
                        header = f"{header} {subjects.condition_of_subject(before.segment.low)}"
                found = {value for value, _ in finder(header, 0, len(header))}
                if len(found) == 1:
                    mine[0].requirement.fields[name] = found.pop()


def service_said(passages: list[Passage], claims: list[Claim]) -> None:
    """A sentence of its own: "the gates are immersed"."""
    steel = [claim for claim in claims if claim.target == subjects.STEEL]
    if any("service" in claim.requirement.fields for claim in steel):
        return
    said = {
        value
        for passage in passages
        if not passage.limits and re.search(r"\b(?:is|are|will be|permanently)\b", passage.segment.low)
        for value, _ in subjects.services_in(passage.segment.low, 0, len(passage.segment.low))
    }
    if len(said) == 1:
        for claim in steel:
            claim.requirement.fields["service"] = next(iter(said))


def _pair(name: str, found: list[tuple[str, int]], mine: list[Claim], low: str) -> None:
    """Give each limit of a sentence its service or condition, by order."""
    values = [value for value, _ in found]
    if not mine or not found:
        return
    if len(mine) == 1:
        near = [(value, at) for value, at in found if abs(at - mine[0].limit.start) < 220]
        if near and len(set(values)) == 1:
            mine[0].requirement.fields[name] = values[0]
            mine[0].requirement.spans[name] = (near[0][1], near[0][1] + 3)
        return
    unique = [item for index, item in enumerate(found) if index == 0 or item[0] != found[index - 1][0]]
    if len(unique) == len(mine):
        for claim, (value, at) in zip(mine, unique, strict=True):
            claim.requirement.fields[name] = value
            claim.requirement.spans[name] = (at, at + 3)
        return
    for claim in mine:
        after = [(at, value) for value, at in found if claim.limit.end <= at < claim.limit.part[1]]
        if after:
            claim.requirement.fields[name] = min(after)[1]
            claim.requirement.spans[name] = (min(after)[0], min(after)[0] + 3)
