# SPDX-License-Identifier: MIT
"""What a clause does not say: judging, number and place, failure, waiting time, blank, temperature, basis."""

from __future__ import annotations

from brackish.prepare.clause import effects, subjects
from brackish.prepare.clause.passages import Survey
from brackish.prepare.clause.traps.common import Found, abrasive_claims, area_of, conductometric, has, known, place_of, sentence, shown, steel_claims, volume_of
from brackish.quantities import shown_unit


def each_or_mean_missing(survey: Survey) -> Found:
    for claim in [*steel_claims(survey), *abrasive_claims(survey)]:
        hit = claim.hits.get("count")
        if hit and getattr(hit.detail, "many", False) and not known(claim, "each", "judged"):
            yield (survey.plain.span(hit.start, hit.end), {"count": hit.value}, f"Each result, or the mean? More than one test is asked for ({hit.value}). One result over the limit fails the first rule and may pass the second: it can turn the verdict.")  # fmt: skip


def count_or_place_missing(survey: Survey) -> Found:
    for claim in steel_claims(survey):
        missing = [
            words for topic, name, words in (("count", "count", "how many tests"), ("place", "placement", "where to test")) if not known(claim, topic, name)
        ]
        if missing:
            yield (
                sentence(claim),
                {"missing": missing},
                f"Not said: {' and '.join(missing)}. Free choice leans to easy places; one clean place can pass a salty area.",
            )
    for claim in abrasive_claims(survey):
        if not known(claim, "count", "count"):
            yield (sentence(claim), {"missing": ["how often"]}, "Not said: how often the abrasive is tested. One good delivery can stand for all that follow.")


def failure_action_missing(survey: Survey) -> Found:
    for claim in [*steel_claims(survey), *abrasive_claims(survey)]:
        if not known(claim, "failure", "on_failure"):
            thing = "steel that fails" if claim.target == subjects.STEEL else "abrasive that fails"
            yield (
                sentence(claim),
                {"applies_to": claim.target},
                f"Nothing says what happens with {thing}: cleaning, how many new tests and where, and who pays are open.",
            )


def stage_missing(survey: Survey) -> Found:
    for claim in steel_claims(survey):
        when = known(claim, "stage", "stage")
        until = known(claim, "wait", "test_within", "test_within_words")
        if not (when and until):
            missing = [words for known, words in ((when, "when to test"), (until, "how long until coating")) if not known]
            yield (
                sentence(claim),
                {"missing": missing},
                f"Not said: {' and '.join(missing)}. Salt can land after the test and before the coat, and the test will not show it.",
            )


def blank_rule_missing(survey: Survey) -> Found:
    water = any(claim.target == subjects.EXTRACTION_WATER for claim in survey.claims)
    for claim in steel_claims(survey, numbered=True):
        if water or claim.blank_known or "blank" in claim.spoken or not conductometric(survey, claim):
            continue
        volume = volume_of(claim)
        worth = {v: effects.mixed_salt(conductivity=effects.WATER, volume=v, area=area_of(claim)) for v in ((volume,) if volume else effects.VOLUMES)}
        area = effects.text(area_of(claim))
        amounts_text = ", ".join(effects.text(w) for w in worth.values())
        volumes_text = ", ".join(effects.text(v) for v in worth)
        share = ""
        if claim.dimension == "amount_per_area" and claim.limit.figure:
            share = f" The limit is {shown(claim)}."
        yield (
            sentence(claim),
            {"water_uS_cm": effects.WATER, "worth_mg_m2": list(worth.values()), "volumes_mL": list(worth)},
            f"No word on the blank. Water of 5 µS/cm is worth {amounts_text} mg/m² of mixed salts in {volumes_text} mL on {area} mm².{share}",
        )


def reference_temperature_missing(survey: Survey) -> Found:
    for claim in steel_claims(survey, numbered=True):
        by_constant = claim.get("quantity") == "mixed_salt_per_area" or (claim.get("quantity") == "" and not claim.species and claim.dimension in ("amount_per_area", "impossible") and any(c.standard.gives == "conductivity" for c in claim.methods))  # fmt: skip
        if (claim.get("quantity") == "extract_conductivity" or by_constant) and not has(claim, "reference_temperature"):
            share = effects.temperature_share()
            size = (
                f"{effects.text(effects.inside(claim.limit.figure) * share)} {shown_unit('mg/m2' if claim.dimension == 'amount_per_area' else 'uS/cm')}"
                if claim.dimension in ("amount_per_area", "conductivity")
                else ""
            )
            yield (
                sentence(claim),
                {"share_percent": 100 * share},
                f"No reference temperature. One extract read at 20 and at 25 °C differs by about {100 * share:.0f} %{f', here {size}' if size else ''}.",
            )


def abrasive_basis_missing(survey: Survey) -> Found:
    for claim in abrasive_claims(survey):
        if claim.dimension == "conductivity" and not claim.basis:
            low, high = effects.DENSITIES
            value = effects.inside(claim.figure)
            yield (
                place_of(survey, claim),
                {"limit": claim.get("limit"), "bulk_density_kg_L": [low, high], "by_volume_uS_cm": [value * low, value * high]},
                f"By mass or by volume? Water and abrasive in equal volumes hold {low} (slag) to {high} (steel grit) times the abrasive of equal masses: {shown(claim)} by mass is about {effects.text(value * low)} to {effects.text(value * high)} µS/cm by volume. Neither one method nor the ratio is named.",
            )
