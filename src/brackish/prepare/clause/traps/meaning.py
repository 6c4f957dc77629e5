# SPDX-License-Identifier: MIT
"""Traps in what the number means: volume and area, species, units."""

from __future__ import annotations

from fractions import Fraction

from brackish.prepare.clause import counts, effects, subjects
from brackish.prepare.clause.figures import Figure
from brackish.prepare.clause.passages import Survey
from brackish.prepare.clause.traps.common import Found, close, has, place_of, power_of_ten, ratio_of, shown, steel_claims, told_apart
from brackish.quantities import IMPOSSIBLE_UNITS, shown_unit


def conductivity_without_volume_and_area(survey: Survey) -> Found:
    for claim in steel_claims(survey, numbered=True):
        if claim.dimension == "conductivity" and not has(claim, "solution_volume", "area"):
            value = effects.inside(claim.figure)
            low, high = (effects.mixed_salt(conductivity=value, volume=v) for v in (3.0, 15.0))
            yield (
                place_of(survey, claim),
                {"limit": claim.get("limit"), "at_3_mL_mg_m2": low, "at_15_mL_mg_m2": high, "factor": high / low},
                f"No volume and no area. The same {shown(claim)} on 1250 mm² is {effects.text(low, 'mg/m2')} of mixed salts in 3 mL and {effects.text(high, 'mg/m2')} in 15 mL: a factor of {effects.text(high / low)}.",
            )


def concentration_without_volume_and_area(survey: Survey) -> Found:
    for claim in steel_claims(survey, numbered=True):
        if claim.dimension in ("concentration", "parts") and not has(claim, "solution_volume", "area"):
            value = float(claim.figure.value) if claim.dimension == "parts" else effects.inside(claim.figure)
            low, high = (value * volume / (effects.PATCH / 100.0) for volume in (3.0, 15.0))
            yield (
                place_of(survey, claim),
                {"limit": claim.get("limit"), "at_3_mL_ug_cm2": low, "at_15_mL_ug_cm2": high},
                f"No volume and no area. {shown(claim)} of extract is {effects.text(low, 'ug/cm2')} in 3 mL and {effects.text(high, 'ug/cm2')} in 15 mL on 1250 mm²: a factor of {effects.text(high / low)}.",
            )


def species_missing(survey: Survey) -> Found:
    for claim in survey.claims:
        figure = claim.limit.figure
        if not figure or claim.species or claim.get("quantity") or figure.dimension not in ("amount_per_area", "parts", "concentration", "mass_fraction"):
            continue
        ratio, share = effects.nacl_of_chloride(), effects.nacl_over_mixed()
        value = float(figure.value)
        unit = shown_unit(figure.unit)
        yield (
            place_of(survey, claim),
            {"limit": claim.get("limit"), "as_nacl_if_chloride": value * ratio, "factor": ratio, "nacl_against_mixed_percent": 100 * abs(share)},
            f"Which salt? Mixed salts, sodium chloride and chloride are three limits. {effects.text(value)} {unit} as chloride is {effects.text(value * ratio)} {unit} as NaCl (× {ratio:.2f}); NaCl and the mixed-salt constant differ by about {100 * abs(share):.0f} % at 25 °C.",
        )


def unit_factor_conflict(survey: Survey) -> Found:
    for claim in survey.claims:
        for other in claim.limit.restated:
            ratio = ratio_of(claim.limit.figure, other)
            if ratio is not None and (power_of_ten(ratio) or other.value == claim.figure.value):
                yield (place_of(survey, claim), *_factor(claim.figure, other))
    for passage in survey.passages:
        for pair in passage.conversions:
            ratio = ratio_of(pair.first, pair.second)
            if ratio is not None and not close(ratio, Fraction(1)) and not pair.first.species and not pair.second.species:
                yield (survey.plain.span(pair.start, pair.end), *_factor(pair.first, pair.second))
    numbered = [claim for claim in survey.claims if claim.limit.figure]
    for index, one in enumerate(numbered):
        for two in numbered[index + 1 :]:
            ratio = ratio_of(one.limit.figure, two.limit.figure)
            same = ratio is not None and one.target == two.target and one.figure.value == two.figure.value and power_of_ten(ratio)
            if same and one.species == two.species and not told_apart(one, two):
                yield (place_of(survey, two), *_factor(one.figure, two.figure))


def _factor(one: Figure, two: Figure) -> tuple[dict[str, object], str]:
    converted = two.to(one.unit)
    ratio = converted / one.value if one.value else Fraction(1)
    factor = max(ratio, 1 / ratio)
    return (
        {"first": one.text, "second": two.text, "factor": float(factor)},
        f"The two units differ. {two.shown} is {effects.text(converted, one.unit)}, not {one.shown}: a factor of {effects.text(factor)}.",
    )


def dual_units_differ(survey: Survey) -> Found:
    for claim in survey.claims:
        for other in claim.limit.restated:
            ratio = ratio_of(claim.limit.figure, other)
            if ratio is None or close(ratio, Fraction(1)) or power_of_ten(ratio) or other.value == claim.figure.value:
                continue
            factor = Fraction(effects.nacl_of_chloride())
            if (other.species or claim.species) and (close(ratio * factor, Fraction(1)) or close(ratio, factor)):
                continue
            yield (
                place_of(survey, claim),
                {"first": claim.get("limit"), "second": other.text, "ratio": float(ratio)},
                f"Two amounts for one limit. {other.shown} is {effects.text(other.to(claim.figure.unit), claim.figure.unit)}, not {shown(claim)}.",
            )
        hit = claim.hits.get("count")
        pairs = getattr(hit.detail, "pairs", ()) if hit else ()
        if hit and any(abs(counts.same_area(pair) - 1) > Fraction(1, 100) for pair in pairs):
            yield (survey.plain.span(hit.start, hit.end), *_two_counts(str(hit.value)))


def _two_counts(rule: str) -> tuple[dict[str, object], str]:
    """The smallest whole area, in steps of 10 m2, at which the two unit systems ask for different counts."""
    from brackish.library import counting

    read = counting.read_rule(rule)
    for area in range(10, 3001, 10):
        by_system = counting.tests_by_system(rule=read, area=Fraction(area) * 10**6)
        if len(set(by_system.values())) > 1:
            metric, foot = by_system.get("metric", 0), by_system.get("foot", 0)
            return (
                {"rule": rule, "area_m2": area, "metric": metric, "foot": foot},
                f"Two unit systems, two counts. {area} m² asks for {metric} by metres and {foot} by feet.",
            )
    return {"rule": rule}, "The two unit systems in this rule are not the same area."


def impossible_unit(survey: Survey) -> Found:
    for claim in survey.claims:
        figure = claim.limit.figure
        if not figure:
            continue
        why = IMPOSSIBLE_UNITS.get(figure.unit, "")
        if claim.target == subjects.ABRASIVE and figure.dimension == "amount_per_area":
            why = "an abrasive has no surface that a patch could cover; it is limited by the conductivity or the chloride of its extract"
        elif claim.target not in (subjects.STEEL, subjects.ABRASIVE) and figure.dimension in ("amount_per_area", "mass_fraction"):
            why = "water is limited by its conductivity or by a concentration"
        elif claim.target == subjects.STEEL and figure.dimension == "mass_fraction":
            why = "salt on steel is an amount per area, not a share of mass"
        if why:
            yield (
                place_of(survey, claim),
                {"limit": claim.get("limit"), "unit": figure.unit, "why": why},
                f"The unit cannot measure this. {shown_unit(figure.unit)}: {why}.",
            )
