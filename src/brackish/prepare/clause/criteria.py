# SPDX-License-Identifier: MIT
"""From passages to requirements: repeats joined, and the fields that belong to each limit.

A field goes to the limits of its own sentence or row; a sentence without a limit gives its fields to
the limits of the material it speaks of. Nothing is filled in that no words say.
Next: `traps.py`, which looks at the result.
"""

from __future__ import annotations

import re

from brackish.prepare.clause import governing, languages, lexicon, limits, particulars, species, spoken, subjects, tables
from brackish.prepare.clause.fields import Hit
from brackish.prepare.clause.limits import Limit
from brackish.prepare.clause.normalise import Plain
from brackish.prepare.clause.passages import Claim, Passage, Survey, walk


def survey(plain: Plain) -> Survey:
    """Read a text as far as criteria; `traps` judges the result."""
    passages, masked, truncated = walk(plain)
    claims = _merge(_binding([Claim(limit, passage) for passage in passages for limit in passage.limits]))
    _fill(plain, masked, passages, claims)
    citations = [citation for passage in passages for citation in passage.citations]
    return Survey(plain, masked, passages, claims, citations, _unread(masked, passages, claims), spoken.half_read(passages, claims), truncated)


_TELLS = re.compile(
    r"\b(?:is|are|was|were|has|have|had|gives?|gave|runs?|ran|reads?|shows?|showed|covers?|found|measured|lies?|comes?|holds?|contains?|carries|carried|reaches|passes|means|makes?)\b"
)


def _binding(claims: list[Claim]) -> list[Claim]:
    """Without figures that a sentence only tells of, where another figure of the text sets the limit."""
    set_for = {claim.target for claim in claims if claim.limit.figure and claim.limit.sense}
    return [claim for claim in claims if claim.limit.sense or claim.limit.words or claim.target not in set_for or claim.passage.segment.kind != "sentence" or not _TELLS.search(claim.passage.segment.low)]  # fmt: skip


def _merge(claims: list[Claim]) -> list[Claim]:
    """Drop repeats of one limit; join "mean not over 10, no single one over 15" to one criterion."""
    out: list[Claim] = []
    numbered = {claim.target for claim in claims if claim.limit.figure}
    for claim in claims:
        limit = claim.limit
        if limit.words and claim.target in numbered and not _another_salt(claim, claims):
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


def _another_salt(claim: Claim, claims: list[Claim]) -> bool:
    """ "Free of chlorides" beside a limit on conductivity: two things, the second does not settle the first."""
    words = claim.passage.segment.low[claim.limit.start - claim.passage.segment.start : claim.limit.end - claim.passage.segment.start]
    numbered = [one for one in claims if one.limit.figure and one.target == claim.target]
    return claim.limit.words == "free" and species.names_in(words) == {"chloride"} and all(one.dimension == "conductivity" for one in numbered)


def _same_limit(one: Limit, two: Limit) -> bool:
    if not one.figure or not two.figure or one.target != two.target:
        return False
    if one.segment is two.segment and one.figure.joined:
        return False
    same = (
        one.figure.dimension == two.figure.dimension
        and one.figure.dimension not in ("impossible", "parts")
        and one.figure.to(_inside(one)) == two.figure.to(_inside(one))
    )
    same = same or (one.figure.unit == two.figure.unit and one.figure.value == two.figure.value)
    if not same or (one.segment is two.segment and languages.second_language(one.segment.low) is None):
        return False
    return not two.sense or not one.sense or one.sense == two.sense


def _inside(limit: Limit) -> str:
    return limit.figure.unit if limit.figure else ""


def _each_and_mean(other: Claim, claim: Claim) -> bool:
    one, two = other.limit, claim.limit
    if not one.figure or not two.figure or other.limit_mean or one.target != two.target or one.figure.dimension != two.figure.dimension:
        return False
    return (
        one.mean != two.mean
        and (two.each or one.each or one.segment is two.segment)
        and abs(claim.passage.segment.paragraph - other.passage.segment.paragraph) <= 1
    )


# ---------------------------------------------------------------- fields to requirements

_SHARED = ("count", "stage", "test_within", "test_within_of", "test_within_words", "on_failure", "blank_rule", "blank_mentioned", "decision_rule", "guard_band", "level", "uncertainty", "on_inconclusive", "judged", "placement", "reference_temperature", "solution_volume", "area", "or_equivalent", "extraction_liquid", "dwell", "cycles")  # fmt: skip
_STEEL_ONLY = frozenset(
    (
        "placement",
        "test_within",
        "test_within_of",
        "test_within_words",
        "blank_rule",
        "blank_mentioned",
        "reference_temperature",
        "solution_volume",
        "area",
        "extraction_liquid",
        "dwell",
        "cycles",
    )
)
_ALL_TARGETS = frozenset(("decision_rule", "guard_band", "level", "uncertainty", "on_inconclusive"))


def _fill(plain: Plain, masked: str, passages: list[Passage], claims: list[Claim]) -> None:
    everywhere = next((found for passage in passages if (found := species.said_elsewhere(passage.segment.low)) and passage.about == "salt"), "")
    particulars.services_of(masked, passages, claims)
    particulars.service_said(passages, claims)
    by_field: dict[str, list[tuple[Hit, Passage]]] = {}
    for passage in passages:
        for hit in passage.hits:
            by_field.setdefault(hit.field, []).append((hit, passage))
    for claim in claims:
        particulars.methods_of(passages, claim)
        particulars.species_of(masked, claim, everywhere, passages)
        particulars.basis_of(passages, claim)
    particulars.share_species(claims)
    for claim in claims:
        for name in _SHARED:
            best = _best(name, claim, by_field.get(name, []), passages, claims)
            if best:
                claim.hits[name] = best
        _judgement(claim, passages, claims)
        claim.blank_known = "blank_rule" in claim.hits or "blank_mentioned" in claim.hits
        spoken.complete(claim, passages)
        _write(plain, claim)
        source, at = governing.source_of(plain.text, claim, passages)
        if source:
            claim.requirement.fields["source"], claim.requirement.spans["source"] = source, plain.span(*at)


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
            if (
                match
                and (passage is claim.passage or passage.target == subjects.ABRASIVE or len({one.target for one in claims}) == 1)
                and claim.get("condition") != "in-use"
            ):
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
    of_a_lot = getattr(hit.detail, "item", "") in ("lot", "delivery", "batch") or (_LOTS.search(low) and passage.strong != subjects.STEEL)
    if name in ("on_failure", "count") and subjects.ABRASIVE in wanted and of_a_lot:
        return subjects.ABRASIVE
    if len(wanted & {subjects.STEEL, subjects.ABRASIVE}) == 1:
        only = next(iter(wanted & {subjects.STEEL, subjects.ABRASIVE}))
        if passage.strong in ("", only) or (only == subjects.STEEL and passage.strong != subjects.ABRASIVE) or name not in ("stage", "count"):
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


_ASKS = re.compile(
    r"(?:abrasive|\bgrit\b|garnet|slag|water)\b[^.;]{0,80}\b(?:tests?|tested|testing|check\w*|analys\w+|sampl\w+|qualit\w+|clean\w*|contamin\w+)|\b(?:tests?|tested|testing|check\w*|analys\w+|sampl\w+)\b[^.;]{0,60}(?:abrasive(?! blast)|\bgrit\b|garnet|slag)"
)


def _unread(masked: str, passages: list[Passage], claims: list[Claim]) -> list[tuple[int, int]]:
    """Sentences that speak of salt, abrasive or water tests and gave nothing; of any length where a spoilt number stands."""
    spoken = {id(claim.passage) for claim in claims}
    used_methods = {id(c) for claim in claims for c in claim.methods}
    out = []
    for passage in passages:
        segment = passage.segment
        if id(passage) in spoken or passage.used or passage.limits or passage.conversions:
            continue
        if not passage.figures and limits.SALT.search(f"{passage.header} {segment.low}") and tables.spoilt(masked, segment):
            out.append((segment.start, segment.end))
            continue
        if segment.kind == "heading" or len(segment.low.split()) < 4:
            continue
        if segment.kind == "row" and not any(f.dimension for f in passage.figures):
            continue
        if any(id(c) in used_methods for c in passage.citations) or species.said_elsewhere(segment.low):
            continue
        if limits.SALT.search(segment.low) or _ASKS.search(segment.low):
            out.append((segment.start, segment.end))
    return out
