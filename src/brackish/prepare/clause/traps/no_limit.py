# SPDX-License-Identifier: MIT
"""Limits that are none: left to another paper, nil, below what can be shown, not covering what is used."""

from __future__ import annotations

import re

from brackish.prepare.clause import effects, subjects
from brackish.prepare.clause.passages import Claim, Survey
from brackish.prepare.clause.traps.common import CHLORIDE, Found, abrasive_claims, area_of, conductometric, place_of, shown, steel_claims, volume_of


def limit_elsewhere(survey: Survey) -> Found:
    for passage in survey.passages:
        for limit in passage.limits:
            if limit.words == "elsewhere":
                words = survey.plain.text[limit.start : limit.end]
                yield (survey.plain.span(limit.start, limit.end), {"words": " ".join(words.split())}, "The limit stands in another paper. It may not be there, or differ from coat to coat; without it no result can be judged.")  # fmt: skip


def none_detectable(survey: Survey) -> Found:
    for claim in survey.claims:
        if claim.limit.words == "free":
            yield (
                place_of(survey, claim),
                {"applies_to": claim.target},
                "Cannot be shown. No detection limit is given, so no test can prove it; a finer instrument will always find some salt.",
            )


def limit_below_capability(survey: Survey) -> Found:
    for claim in steel_claims(survey, numbered=True):
        figure = claim.limit.figure
        if figure is None:
            continue
        value = effects.inside(figure)
        if claim.dimension == "amount_per_area" and claim.get("quantity") not in CHLORIDE and value < effects.SINGLE_RESULT:
            yield (place_of(survey, claim), {"limit_mg_m2": value, "single_result_mg_m2": effects.SINGLE_RESULT}, f"Smaller than a result is sure. {shown(claim)} is {effects.text(value, 'mg/m2')}; a single conductometric result is good to ±8.2 mg/m² (NACE SP0508, found between 30 and 80 mg/m²).")  # fmt: skip
        elif claim.get("quantity") == "chloride_per_area" and value < 10 * effects.LEAST_CHLORIDE * (volume_of(claim) or 3.0) / (area_of(claim) / 100.0):
            least = effects.LEAST_CHLORIDE * (volume_of(claim) or 3.0) / (area_of(claim) / 100.0)
            yield (place_of(survey, claim), {"limit_ug_cm2": value / 10, "least_ug_cm2": least}, f"Below the first mark of a tube. 1 mg/L in {effects.text(volume_of(claim) or 3.0)} mL on {effects.text(area_of(claim))} mm² is {effects.text(least, 'ug/cm2')}; the limit is {shown(claim)}.")  # fmt: skip
        elif claim.dimension == "conductivity" and value < 2.0:
            yield (
                place_of(survey, claim),
                {"limit_uS_cm": value},
                f"Within the water. Clean water that has stood in air reads about 1 µS/cm by itself; {shown(claim)} leaves no room for a reading.",
            )
        else:
            yield from _blank_over_limit(survey, claim, value)
    for claim in survey.claims:
        if (
            claim.target in (subjects.EXTRACTION_WATER, subjects.WASHING_WATER)
            and claim.dimension == "conductivity"
            and effects.inside(claim.limit.figure) < 0.8
        ):
            yield (place_of(survey, claim), {"limit_uS_cm": effects.inside(claim.figure)}, f"Cannot be kept in air. Pure water open to air takes up carbon dioxide and reads about 1 µS/cm; the limit is {shown(claim)}.")  # fmt: skip


def _blank_over_limit(survey: Survey, claim: Claim, value: float) -> Found:
    allowed = [
        effects.inside(one.limit.figure)
        for one in survey.claims
        if one.target == subjects.EXTRACTION_WATER and one.dimension == "conductivity" and one.limit.figure
    ]
    if not allowed or claim.get("blank_rule") in ("water", "full-kit") or not conductometric(survey, claim):
        return
    volume = volume_of(claim)
    if claim.dimension == "amount_per_area" and volume:
        worth = effects.mixed_salt(conductivity=max(allowed), volume=volume, area=area_of(claim))
        if worth >= 0.8 * value:
            yield (place_of(survey, claim), {"limit_mg_m2": value, "water_uS_cm": max(allowed), "worth_mg_m2": worth}, f"The water alone reaches it. {effects.text(max(allowed))} µS/cm in {effects.text(volume)} mL on {effects.text(area_of(claim))} mm² is worth {effects.text(worth)} mg/m²; the limit is {shown(claim)}.")  # fmt: skip
    elif claim.dimension == "conductivity" and max(allowed) >= 0.8 * value:
        yield (
            place_of(survey, claim),
            {"limit_uS_cm": value, "water_uS_cm": max(allowed)},
            f"The water alone reaches it: {effects.text(max(allowed))} µS/cm is allowed in the water, {shown(claim)} in the extract.",
        )


def or_equivalent(survey: Survey) -> Found:
    for passage in survey.passages:
        for hit in passage.hits:
            if hit.field == "or_equivalent" and hit.value:
                words = survey.plain.text[hit.start : hit.end]
                yield (survey.plain.span(hit.start, hit.end), {"words": words}, f"“{' '.join(words.split())}” without how equivalence is shown. Two devices on one plate can differ by more than the limit; evidence is needed before the first test.")  # fmt: skip


_NOT_REUSED = re.compile(
    r"not (?:be |to be )?(?:recycl|re-?us)|no recycl|never (?:recycl|re-?us)|once only|(?:recycl\w+|re-?us\w+)[^.;]{0,40}(?:not (?:be )?(?:permitted|allowed|used|accepted)|prohibited|forbidden)|shall not be re"
)


def new_abrasive_limit_on_recycled(survey: Survey) -> Found:
    claims = abrasive_claims(survey)
    if any(claim.get("condition") == "in-use" for claim in claims):
        return
    for passage in survey.passages:
        low = passage.segment.low
        used = next((at for value, at in subjects.conditions_in(low, 0, len(low)) if value == "in-use"), None)
        abrasive = passage.target == subjects.ABRASIVE or any(m.target == subjects.ABRASIVE for m in subjects.find(low, 0, len(low)))
        if used is None or not abrasive or _NOT_REUSED.search(low):
            continue
        own = [claim for claim in claims if claim.passage is passage]
        for_new = any(c.standard.name.startswith(("ISO 11126", "ISO 11124")) for p in survey.passages for c in p.citations) or any(
            claim.get("condition") == "new" for claim in claims
        )
        if own and not for_new and not re.search(r"\bnew\b|unused|virgin|as delivered", low):
            continue
        both = (
            own
            and re.search(r"\b(?:new|unused|virgin) (?:and|or|as well as) (?:for )?(?:recycl|re-?us|used|in-?use)|both new and", low)
            and not any(c.standard.name.startswith("ISO 11126") for c in passage.citations)
        )
        if both:
            continue
        start = passage.segment.start + used
        end = start + len(re.match(r"[\w-]+(?:\s(?:mix|use))?", low[used:])[0])  # type: ignore[index]
        limit = f"{shown(claims[0])} is a limit for new abrasive" if claims and claims[0].limit.figure else "No limit is given for it"
        yield (
            survey.plain.span(start, end),
            {"limit": claims[0].get("limit") if claims else ""},
            f"Abrasive in use is not covered. {limit}; salt and dust gather in a working mix with every turn.",
        )
