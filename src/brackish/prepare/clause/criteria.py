# SPDX-License-Identifier: MIT
"""From segments to requirements: limits, and the fields that belong to each.

The reader walks the text once and keeps what a segment is about (`Passage`). A field goes to the
limits of its own sentence or row; a sentence without a limit gives its fields to the limits of the
material it speaks of. Nothing is filled in that no words say.
Next: `traps.py`, which looks at the result.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from brackish.prepare.clause import fields, figures, lexicon, limits, segments, species, standards, subjects
from brackish.prepare.clause.fields import Hit
from brackish.prepare.clause.figures import Figure
from brackish.prepare.clause.limits import Conversion, Limit
from brackish.prepare.clause.normalise import Plain
from brackish.prepare.clause.reading import Requirement
from brackish.prepare.clause.segments import Segment
from brackish.prepare.clause.standards import Citation

MOST_LIMITS = 60
MOST_READ = 60_000  # characters of sentences about salt that are read in full: some twenty dense pages
_WORTH = re.compile(
    rf"{limits.SALT.pattern}|abrasive|\bgrit\b|garnet|slag|\btests?\b|tested|reading|measure|extract|patch|sleeve|\bblank|sampl|result|limit|fail|exceed|accept|reject|retest|repeat|wash|rins|clean|coat|paint|prim|blast|spots?\b|locations?|places?\b|\bper\b|each|average|mean\b|uncertainty|water|deliver|\blots?\b|translat|language|prevail|govern|precedence|version|equivalent|ppm|[mu]g\s?/|micro|milli|immers|temperature|\d\s?(?:ml|cm2|mm2|m2)"
)


@dataclass
class Passage:
    """One segment with everything that was read in it."""

    segment: Segment
    citations: list[Citation]
    figures: list[Figure]
    header: str
    about: str  # salt, other
    default: str  # the target that holds before this segment
    limits: list[Limit] = field(default_factory=list)
    conversions: list[Conversion] = field(default_factory=list)
    hits: list[Hit] = field(default_factory=list)
    target: str = ""
    strong: str = ""
    used: bool = False


@dataclass
class Claim:
    """A limit on its way to a requirement."""

    limit: Limit
    passage: Passage
    species: str = ""
    basis: str = ""
    methods: list[Citation] = field(default_factory=list)
    hits: dict[str, Hit] = field(default_factory=dict)
    requirement: Requirement = field(default_factory=Requirement)
    limit_mean: Limit | None = None
    blank_known: bool = False

    @property
    def target(self) -> str:
        return self.limit.target

    @property
    def dimension(self) -> str:
        return self.limit.figure.dimension if self.limit.figure else ""

    def get(self, name: str) -> str:
        return self.requirement.get(name)


@dataclass
class Survey:
    """The whole text as read: what the traps and questions look at."""

    plain: Plain
    masked: str
    passages: list[Passage]
    claims: list[Claim]
    citations: list[Citation]
    unread: list[tuple[int, int]]
    truncated: bool


def survey(plain: Plain) -> Survey:
    """Read a text as far as criteria; `traps.py` judges the result."""
    everything = segments.split(plain)
    chosen, truncated = _chosen(everything)
    comma = figures.uses_comma_decimals(plain.low)
    cited = {id(one): standards.find(plain, one.start, one.end) for one in chosen}
    masked = _mask(plain.low, [citation for found in cited.values() for citation in found]).replace("\n", " ")
    passages = _passages(plain, masked, chosen, cited, comma)
    passages, cut = _bounded(passages)
    _bare_water(passages)
    truncated = truncated or cut
    claims = _merge(plain, [Claim(limit, passage) for passage in passages for limit in passage.limits])
    _fill(plain, masked, passages, claims)
    citations = [citation for passage in passages for citation in passage.citations]
    return Survey(plain, masked, passages, claims, citations, _unread(passages, claims), truncated)


def _chosen(everything: list[Segment]) -> tuple[list[Segment], bool]:
    out, spent = [], 0
    small = bool(everything) and everything[-1].end <= MOST_READ
    for segment in everything:
        if small or _WORTH.search(segment.low):
            if spent + len(segment.low) > MOST_READ:
                return out, True
            spent += len(segment.low)
            out.append(segment)
    return out, False


def _bare_water(passages: list[Passage]) -> None:
    """Water without a purpose is the water of the test where the text only speaks of tests."""
    everything = " ".join(passage.segment.low for passage in passages)
    if subjects.WASHES.search(everything) or not subjects.EXTRACTS.search(everything):
        return
    for passage in passages:
        for limit in passage.limits:
            if limit.target == subjects.WASHING_WATER and limit.subject and limit.subject.end - limit.subject.start == len("water"):
                limit.target = subjects.EXTRACTION_WATER


def _bounded(passages: list[Passage]) -> tuple[list[Passage], bool]:
    """Passages up to the most limits one text is read for."""
    count = 0
    for index, passage in enumerate(passages):
        count += len(passage.limits)
        if count > MOST_LIMITS:
            passage.limits = passage.limits[: max(0, MOST_LIMITS - count + len(passage.limits))]
            return passages[: index + 1], True
    return passages, False


def _mask(low: str, citations: list[Citation]) -> str:
    """Standards replaced by ¤, so that their digits are never read as numbers."""
    out, at = [], 0
    for citation in sorted(citations, key=lambda one: one.start):
        if citation.start >= at:
            out += [low[at : citation.start], "¤" * (citation.end - citation.start)]
            at = citation.end
    return "".join([*out, low[at:]])


def _passages(plain: Plain, masked: str, chosen: list[Segment], cited: dict[int, list[Citation]], comma: bool) -> list[Passage]:
    out: list[Passage] = []
    current, about, columns, units = "", "salt", "", []
    all_text = " ".join(segment.low for segment in chosen)
    salty = bool(limits.SALT.search(all_text))
    previous: Segment | None = None
    limits_found = 0
    for segment in chosen:
        if limits_found > MOST_LIMITS:
            break
        low = masked
        if segment.kind != "row" or (previous is not None and previous.kind == "row" and previous.paragraph != segment.paragraph):
            columns, units = "", []
        found = figures.find(plain, segment.start, segment.end, comma_decimals=comma, taken=[(c.start, c.end) for c in cited[id(segment)]])
        if segment.kind == "row" and not any(f.dimension in ("amount_per_area", "conductivity", "parts", "concentration", "impossible") for f in found):
            header_units = limits.header_units_of(low, segment)
            data = any(re.fullmatch(r"\W*\d[\d.,]*\W*", low[a:b]) for a, b in limits.cells(low, segment))
            if (header_units and not data) or re.search(r"accept|criteri|limit|method|frequency|requirement|extent", segment.low):
                columns, units = segment.low, header_units
        header = f"{segment.header} {columns if columns != segment.low else ''}".strip()
        if not any(f.dimension in ("amount_per_area", "conductivity") for f in found):
            found = sorted(found + limits.bare_numbers(low, segment, units if columns != segment.low else [], comma), key=lambda f: f.start)
        about = _about(segment, header, about, salty)
        mentions = [m for m in subjects.find(low, segment.start, segment.end) if m.strong]
        if segment.kind == "heading":
            current = mentions[0].target if mentions else "" if limits.SALT.search(segment.low) else current
        passage = Passage(segment, cited[id(segment)], found, header, about, "" if segment.kind == "row" else current)
        _read_passage(masked, passage, current)
        if passage.limits:
            current = passage.limits[-1].target
        elif mentions and segment.kind != "row" and about == "salt" and (limits.SALT.search(segment.low) or mentions[0].target != subjects.STEEL or current != subjects.ABRASIVE):
            current = mentions[0].target if mentions[0].target in (subjects.STEEL, subjects.ABRASIVE) or limits.SALT.search(segment.low) else current
        passage.limits = [one for one in passage.limits if one.words or _ours(one, segment, header, all_text)]
        limits_found += len(passage.limits)
        passage.target = passage.limits[-1].target if passage.limits else mentions[0].target if mentions else current
        passage.strong = mentions[0].target if mentions else ""
        out.append(passage)
        previous = segment
    return out


def _ours(limit: Limit, segment: Segment, header: str, everything: str) -> bool:
    """Whether the words around a figure are of this trade; other waters and materials have limits too."""
    near = f"{header} {segment.low}"
    if limit.target in (subjects.EXTRACTION_WATER, subjects.WASHING_WATER):
        purpose = subjects.WASHES.search(near) or subjects.EXTRACTS.search(near)
        other = subjects.OTHER_TRADE.search(near)
        return bool(purpose and not other) or bool(not other and subjects.OUR_TRADE.search(everything) and "water" in near) or bool(other and re.search(r"wash|rins|extract|jetting", near))
    if limit.unsure_target:
        return bool(subjects.OUR_TRADE.search(near) or (subjects.OUR_TRADE.search(everything) and limits.SALT.search(near))) and not (subjects.OTHER_TRADE.search(near) and not re.search(r"steel|surface|plate|blast|extract", near))
    return True


def _about(segment: Segment, header: str, before: str, salty: bool) -> str:
    if limits.SALT.search(segment.low):
        return "salt"
    if limits.OTHER_TOPIC.search(segment.low) and not (limits.SALT.search(header) and segment.kind != "row"):
        return "other"
    if segment.kind == "row":
        return "salt" if limits.SALT.search(header) else "other"
    if segment.kind == "heading":
        return "salt"
    return before if salty else "other"


def _read_passage(masked: str, passage: Passage, current: str) -> None:
    segment = passage.segment
    if passage.about != "salt" and not any(f.dimension in ("amount_per_area", "conductivity") for f in passage.figures):
        return
    passage.limits, passage.conversions = limits.in_segment(masked, segment, passage.figures, passage.header, passage.default or (current if segment.kind != "row" else ""), "")
    worded = limits.in_words(masked, segment, passage.header, passage.default, bool(passage.limits), about_salt=passage.about == "salt")
    if worded and (worded.words == "elsewhere" or not any(one.figure and one.target == worded.target for one in passage.limits)):
        passage.limits.append(worded)
        passage.limits.sort(key=lambda one: one.start)
    if passage.about == "salt" or passage.limits:
        passage.hits = fields.in_segment(masked, segment, passage.figures, passage.header, [one.start for one in passage.limits])


def _merge(plain: Plain, claims: list[Claim]) -> list[Claim]:
    """Drop repeats of one limit; join "mean not over 10, no single one over 15" to one criterion."""
    out: list[Claim] = []
    numbered = {claim.target for claim in claims if claim.limit.figure}
    for claim in claims:
        limit = claim.limit
        if limit.words and claim.target in numbered:
            claim.passage.used = True
            continue
        if limit.words and any(other.limit.words == limit.words and other.target == claim.target for other in out):
            continue
        twin = next((other for other in out if _same_limit(other.limit, limit)), None)
        if twin:
            twin.limit.sense = twin.limit.sense or limit.sense
            continue
        partner = next((other for other in out if _each_and_mean(other, claim)), None)
        if partner:
            mean, each = (partner.limit, limit) if partner.limit.mean and not limit.mean else (limit, partner.limit)
            partner.limit, partner.limit_mean = each, mean
            continue
        out.append(claim)
    return out


def _same_limit(one: Limit, two: Limit) -> bool:
    if not one.figure or not two.figure or one.target != two.target:
        return False
    if one.segment is two.segment and one.figure.joined:
        return False
    same = one.figure.dimension == two.figure.dimension and one.figure.dimension not in ("impossible", "parts") and one.figure.to(_inside(one)) == two.figure.to(_inside(one))
    same = same or (one.figure.unit == two.figure.unit and one.figure.value == two.figure.value)
    return same and one.segment is not two.segment and (not two.sense or not one.sense or one.sense == two.sense)


def _inside(limit: Limit) -> str:
    return limit.figure.unit if limit.figure else ""


def _each_and_mean(other: Claim, claim: Claim) -> bool:
    one, two = other.limit, claim.limit
    if not one.figure or not two.figure or other.limit_mean or one.target != two.target or one.figure.dimension != two.figure.dimension:
        return False
    return one.mean != two.mean and (two.each or one.each or one.segment is two.segment) and abs(claim.passage.segment.paragraph - other.passage.segment.paragraph) <= 1


# ---------------------------------------------------------------- fields to requirements

_SHARED = ("count", "stage", "test_within", "test_within_words", "on_failure", "blank_rule", "blank_mentioned", "decision_rule", "guard_band", "level", "uncertainty", "on_inconclusive", "judged", "placement", "reference_temperature", "solution_volume", "area", "or_equivalent", "extraction_liquid", "dwell", "cycles")  # fmt: skip
_STEEL_ONLY = frozenset(("placement", "test_within", "test_within_words", "blank_rule", "blank_mentioned", "reference_temperature", "solution_volume", "area", "extraction_liquid", "dwell", "cycles"))
_ALL_TARGETS = frozenset(("decision_rule", "guard_band", "level", "uncertainty", "on_inconclusive"))
_BASIS_VOLUME = re.compile(r"(?:equal|same) volumes?|by volume|volume basis|volumetric|1\s?:\s?1 (?:by|\(?v)|(?:ml|cm3|litres?) of (?:the )?abrasive")
_BASIS_MASS = re.compile(r"100 g\b|mass basis|(?:equal|same) (?:mass|weight)|(?<!% )(?<!percent )(?<!percentage )(?<!cent )by (?:mass|weight)(?! of cement)|g of (?:the )?abrasive|g(?:rams?)? (?:of \w+ )?(?:in|per|to|with) (?:each )?\d+ ?ml|mass ratio|1\s?:\s?1 \(?by (?:mass|weight)")


def _fill(plain: Plain, masked: str, passages: list[Passage], claims: list[Claim]) -> None:
    everywhere = next((found for passage in passages if (found := species.said_elsewhere(passage.segment.low)) and passage.about == "salt"), "")
    _services(masked, passages, claims)
    _service_said(passages, claims)
    by_field: dict[str, list[tuple[Hit, Passage]]] = {}
    for passage in passages:
        for hit in passage.hits:
            by_field.setdefault(hit.field, []).append((hit, passage))
    for claim in claims:
        _methods(passages, claim, claims)
        _species(masked, claim, everywhere, passages)
        _basis(masked, passages, claim)
    _shared_species(claims)
    for claim in claims:
        for name in _SHARED:
            hit = _best(name, claim, by_field.get(name, []), passages, claims)
            if hit:
                claim.hits[name] = hit
        _judgement(claim, passages, claims)
        claim.blank_known = "blank_rule" in claim.hits or "blank_mentioned" in claim.hits
        _write(plain, claim)


def _best(name: str, claim: Claim, hits: list[tuple[Hit, Passage]], passages: list[Passage], claims: list[Claim]) -> Hit | None:
    if name in _STEEL_ONLY and claim.target != subjects.STEEL:
        return None
    if claim.target not in (subjects.STEEL, subjects.ABRASIVE) and name not in ("decision_rule", "on_failure", "count"):
        return None
    best: tuple[int, Hit, Passage] | None = None
    for hit, passage in hits:
        score = _fits(name, hit, claim, passage, claims)
        if score and (best is None or score > best[0]):
            best = (score, hit, passage)
    if best:
        best[2].used = True
        return best[1]
    if name == "stage" and claim.target == subjects.ABRASIVE:
        for passage in passages:
            match = lexicon.INCOMING.search(passage.segment.low)
            if match and (passage is claim.passage or passage.target == subjects.ABRASIVE or len({one.target for one in claims}) == 1) and claim.get("condition") != "in-use":
                return Hit("stage", "incoming", passage.segment.start + match.start(), passage.segment.start + match.end())
    return None


_TESTED = re.compile(rf"{limits.SALT.pattern}|\btest|reading|measur|check|sampl|extract|locations?|spots?")
_LOTS = re.compile(r"\blots?\b|deliver\w+|consignment|shipment|batch(?:es)?\b|\bbags?\b|work(?:ing)? mix|\babrasive\b(?! blast)")


def _fits(name: str, hit: Hit, claim: Claim, passage: Passage, claims: list[Claim]) -> int:
    """How well a field fits a limit: 0 not at all, 9 in the same sentence."""
    own = passage is claim.passage
    if name in _ALL_TARGETS:
        return 9 if own else 5
    targets = {one.target for one in passage.limits}
    lot_count = name == "count" and getattr(hit.detail, "item", "") in ("lot", "delivery", "batch", "consignment", "shipment")
    if own:
        if len(targets) > 1:
            nearest = min(passage.limits, key=lambda one: abs(one.start - hit.start))
            if nearest.target != claim.target:
                return 0
        if lot_count and claim.target == subjects.STEEL and subjects.ABRASIVE in {one.target for one in claims}:
            return 0
        return 9
    if passage.segment.kind == "row" and claim.passage.segment.kind == "row" and passage.limits:
        return 0
    stated = targets or {_target_of(name, hit, passage, claims)}
    if name.startswith("blank") or (name in _STEEL_ONLY and not stated & {subjects.STEEL, subjects.ABRASIVE}):
        stated = {claim.target}  # water with a limit of its own is still the water of this test
    if claim.target not in stated and "" not in stated:
        return 0
    if targets and name == "or_equivalent":
        return 0
    if name in ("stage",) and claim.target == subjects.ABRASIVE:
        return 0
    under_same_heading = passage.segment.root is claim.passage.segment.root
    if name == "stage" and passage.segment.kind == "heading" and not under_same_heading:
        return 0
    near = 2 if under_same_heading else 0
    tested = bool(_TESTED.search(passage.segment.low)) if name in ("stage", "count", "placement") else hit.detail == "total"
    return 3 + near + tested + (1 if not targets else 0)


def _target_of(name: str, hit: Hit, passage: Passage, claims: list[Claim]) -> str:
    low = passage.segment.low
    wanted = {one.target for one in claims}
    if name in ("on_failure", "count") and subjects.ABRASIVE in wanted:
        if getattr(hit.detail, "item", "") in ("lot", "delivery", "batch") or (_LOTS.search(low) and passage.strong != subjects.STEEL):
            return subjects.ABRASIVE
    if len(wanted & {subjects.STEEL, subjects.ABRASIVE}) == 1:
        only = next(iter(wanted & {subjects.STEEL, subjects.ABRASIVE}))
        if passage.strong in ("", only) or only == subjects.STEEL and passage.strong != subjects.ABRASIVE or name not in ("stage", "count"):
            return only if passage.strong != subjects.ABRASIVE or only == subjects.ABRASIVE or name not in ("stage", "count", "on_failure") else passage.strong
    return passage.target if passage.target in (subjects.STEEL, subjects.ABRASIVE) else subjects.STEEL


def _judgement(claim: Claim, passages: list[Passage], claims: list[Claim]) -> None:
    if claim.limit_mean:
        claim.hits["judged"] = Hit("judged", "each-and-mean", claim.limit.start, claim.limit.end)
        return
    own = {hit.value: hit for hit in claim.passage.hits if hit.field == "judged"}
    if claim.limit.mean and "mean" in own:
        claim.hits["judged"] = own["mean"]
        return
    found: dict[object, Hit] = {}
    for passage in passages:
        for hit in passage.hits:
            if hit.field == "judged" and _fits("judged", hit, claim, passage, claims):
                found.setdefault(hit.value, hit)
    if {"each", "mean"} <= set(found) and claim.target == subjects.STEEL:
        claim.hits["judged"] = own.get("mean", own.get("each", found["each"]))


def _methods(passages: list[Passage], claim: Claim, claims: list[Claim]) -> None:
    wanted = subjects.STEEL if claim.target == subjects.STEEL else subjects.ABRASIVE if claim.target == subjects.ABRASIVE else "water"
    near = [c for c in claim.passage.citations if _may_measure(c, wanted, claim)]
    part = [c for c in near if claim.limit.part[0] <= c.start < claim.limit.part[1]]
    own = _compatible(part or near, claim) if len(claim.passage.limits) > 1 else near
    general: list[Citation] = []
    for passage in passages:
        if not passage.limits and passage.about == "salt" and not (claim.passage.segment.kind == "row" and passage.segment.kind == "row"):
            general += [c for c in passage.citations if _may_measure(c, wanted, claim)]
    general = _compatible(general, claim)
    if own:
        names = {c.standard.name for c in own}
        dated = {c.standard.name: c for c in general if c.year}
        own = [c if c.year else dated.get(c.standard.name, c) for c in own]
        measured = any(c.standard.gives in ("conductivity", "chloride") for c in own)
        own += [c for c in general if c.standard.name not in names and (not measured or c.standard.gives == "extraction")]
    chosen = sorted(own or general, key=lambda c: c.start)
    seen: set[str] = set()
    claim.methods = [c for c in chosen if not (c.text in seen or seen.add(c.text))]


def _may_measure(citation: Citation, wanted: str, claim: Claim) -> bool:
    standard = citation.standard
    if standard.gives in ("visual",) or standard.about in ("sampling",) or standard.name in ("ISO 12944", "ISO 15235", "SSPC-Guide 24", "NACE SP0716", "BS 7079", "ISO 3696", "ASTM D1193"):
        return False
    return not standard.target or standard.target == wanted or (wanted != "water" and standard.gives in ("conductivity", "chloride") and claim.passage.citations == [citation])


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


_FOLLOWED = re.compile(r"^(?:[\s(,:)]|\bmax(?:imum)?\b\.?|\bof\b|\bas\b|\bsoluble\b|\btotal\b|\bexpressed\b|\bcalculated\b|\bthe\b|\bcalculated as\b|\breported\b|\bcounted\b|\bin\b|\bterms\b|\bwhen\b|\bof\b|\bby\b|\bequivalent to\b|\bequiv\.?|\bto\b){0,10}")


def _species(low: str, claim: Claim, everywhere: str, passages: list[Passage]) -> None:
    limit, segment = claim.limit, claim.limit.segment
    if not limit.figure:
        found = species.names_in(low[limit.start : limit.end])
        claim.species = "chloride" if found == {"chloride"} and limit.words == "free" else ""
        return
    unit_words = limit.figure.species if species.names_in(limit.figure.species) or not limit.figure.species.startswith("cl") else "chloride"
    end = limit.restated[-1].end if limit.restated else limit.end
    following = min((f.start for f in claim.passage.figures if f.start >= end and f.dimension in ("amount_per_area", "conductivity", "mass_fraction", "concentration", "parts")), default=segment.end)
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


def _shared_species(claims: list[Claim]) -> None:
    """"3 and 7 ug/cm2 of chloride": figures of one sentence and one unit are of one salt."""
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


def _basis(low: str, passages: list[Passage], claim: Claim) -> None:
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


def _services(low: str, passages: list[Passage], claims: list[Claim]) -> None:
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


def _service_said(passages: list[Passage], claims: list[Claim]) -> None:
    """A sentence of its own: "the gates are immersed"."""
    steel = [claim for claim in claims if claim.target == subjects.STEEL]
    if any("service" in claim.requirement.fields for claim in steel):
        return
    said = {value for passage in passages if not passage.limits and re.search(r"\b(?:is|are|will be|permanently)\b", passage.segment.low) for value, _ in subjects.services_in(passage.segment.low, 0, len(passage.segment.low))}
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


def _write(plain: Plain, claim: Claim) -> None:
    """The claim as criterion fields with spans of the original text."""
    limit, requirement = claim.limit, claim.requirement
    out: dict[str, object] = {"applies_to": limit.target}
    spans: dict[str, tuple[int, int]] = {name: _word_span(plain, at[0]) for name, at in requirement.spans.items()}
    if limit.subject and limit.subject.target == limit.target:
        spans["applies_to"] = plain.span(limit.subject.start, limit.subject.end)
    out |= requirement.fields
    if limit.figure:
        figure = limit.figure
        quantity = species.quantity_of(dimension=figure.dimension, unit=figure.unit, target=limit.target, species=claim.species, basis=claim.basis)
        if quantity:
            out["quantity"] = quantity
        out["limit"] = figure.text
        spans["limit"] = plain.span(figure.start, figure.end)
        if figure.lower:
            out["limit_lower"] = f"{figure.lower} {figure.unit}"
    if claim.species:
        out["species"] = claim.species
    if limit.sense:
        out["sense"] = limit.sense
        if limit.sense_at[1]:
            spans["sense"] = plain.span(*limit.sense_at)
    if limit.restated:
        out["limit_restated"] = limit.restated[0].text
        spans["limit_restated"] = plain.span(limit.restated[0].start, limit.restated[-1].end)
    if claim.limit_mean and claim.limit_mean.figure:
        out["limit_mean"] = claim.limit_mean.figure.text
        spans["limit_mean"] = plain.span(claim.limit_mean.start, claim.limit_mean.end)
    if claim.methods:
        out["methods"] = [c.text for c in claim.methods]
        spans["methods"] = plain.span(claim.methods[0].start, claim.methods[-1].end if claim.methods[-1].end > claim.methods[0].start else claim.methods[0].end)
        ids = sorted({c.standard.method for c in claim.methods if c.standard.method})
        if ids:
            out["method_ids"] = ids
    for name, hit in claim.hits.items():
        if name in ("blank_mentioned",) or (name == "or_equivalent" and not hit.value):
            continue
        if name == "test_within_words" and "test_within" in claim.hits:
            continue
        span = plain.span(hit.start, hit.end)
        out[name] = hit.value if hit.value is not None else plain.text[hit.start : hit.end].strip(" ,;")
        spans[name] = span
    requirement.fields = out
    requirement.spans = spans
    requirement.span = plain.span(limit.segment.start, limit.segment.end)


def _word_span(plain: Plain, at: int) -> tuple[int, int]:
    end = at
    while end < len(plain.low) and (plain.low[end].isalnum() or plain.low[end] == "-"):
        end += 1
    return plain.span(at, end)


_ASKS = re.compile(r"(?:abrasive|\bgrit\b|garnet|slag|water)\b[^.;]{0,80}\b(?:tests?|tested|testing|check\w*|analys\w+|sampl\w+|qualit\w+|clean\w*|contamin\w+)|\b(?:tests?|tested|testing|check\w*|analys\w+|sampl\w+)\b[^.;]{0,60}(?:abrasive(?! blast)|\bgrit\b|garnet|slag)")


def _unread(passages: list[Passage], claims: list[Claim]) -> list[tuple[int, int]]:
    """Sentences that speak of salt, abrasive or water tests and gave nothing."""
    spoken = {id(claim.passage) for claim in claims}
    used_methods = {id(c) for claim in claims for c in claim.methods}
    out = []
    for passage in passages:
        segment = passage.segment
        if segment.kind == "heading" or len(segment.low.split()) < 4 or id(passage) in spoken or passage.used or passage.limits or passage.conversions:
            continue
        if segment.kind == "row" and not any(f.dimension for f in passage.figures):
            continue
        if any(id(c) in used_methods for c in passage.citations) or species.said_elsewhere(segment.low):
            continue
        if limits.SALT.search(segment.low) or _ASKS.search(segment.low):
            out.append((segment.start, segment.end))
    return out
