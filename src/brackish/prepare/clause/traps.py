# SPDX-License-Identifier: MIT
"""The traps of a clause: one function a code, each with the size of its effect for this clause.

A trap is reported once for a text, at the first place it applies to. What is missing has no words of
its own: its span is the sentence of the limit. Next: `questions.py`, which asks what settles each.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from fractions import Fraction

from brackish.prepare.clause import counts, effects, languages, lexicon, limits, subjects
from brackish.prepare.clause.criteria import Claim, Passage, Survey
from brackish.prepare.clause.figures import Figure
from brackish.prepare.clause.limits import Limit
from brackish.prepare.clause.reading import Trap
from brackish.prepare.clause.standards import Citation
from brackish.quantities import IMPOSSIBLE_UNITS, shown_unit

_CONDUCTOMETRIC = ("extract_conductivity", "mixed_salt_per_area", "nacl_equivalent_per_area")
_CHLORIDE = ("chloride_per_area", "chloride_as_nacl_per_area", "chloride_concentration", "chloride_mass_fraction")
Found = Iterator[tuple[tuple[int, int], dict[str, object], str]]


def find(survey: Survey) -> list[Trap]:
    """Every trap of the text, in the order of the table; none without a requirement."""
    if not survey.claims:
        return []
    out = []
    for code, function in _TRAPS.items():
        for span, params, message in function(survey):
            out.append(Trap(code=f"clause.{code}", span=span, params=params, message=message))
            break
    return sorted(out, key=lambda trap: (trap.span, trap.code))


def _steel(survey: Survey, *, numbered: bool = False) -> list[Claim]:
    return [claim for claim in survey.claims if claim.target == subjects.STEEL and (claim.limit.figure or not numbered)]


def _abrasive(survey: Survey) -> list[Claim]:
    return [claim for claim in survey.claims if claim.target == subjects.ABRASIVE]


def _at(survey: Survey, claim: Claim) -> tuple[int, int]:
    limit = claim.limit
    return survey.plain.span(limit.start, limit.restated[-1].end if limit.restated else limit.end)


def _sentence(claim: Claim) -> tuple[int, int]:
    return claim.requirement.span


def _has(claim: Claim, *names: str) -> bool:
    return all(name in claim.requirement.fields for name in names)


def _shown(claim: Claim) -> str:
    return claim.limit.figure.shown if claim.limit.figure else "the limit"


def _conductometric(survey: Survey, claim: Claim) -> bool:
    if claim.get("quantity") in _CONDUCTOMETRIC or any(c.standard.gives == "conductivity" for c in claim.methods):
        return claim.get("quantity") not in _CHLORIDE
    return claim.get("quantity") == "" and claim.dimension == "amount_per_area" and any(_CONDUCTIVITY.search(passage.segment.low) for passage in survey.passages if _steel_passage(passage, claim))


_CONDUCTIVITY = re.compile(r"conductiv|conductom|conductance")


def _steel_passage(passage: Passage, claim: Claim) -> bool:
    return passage is claim.passage or (passage.about == "salt" and not passage.limits and passage.strong in ("", subjects.STEEL) and passage.target in ("", subjects.STEEL))


# ---------------------------------------------------------------- what the number means


def _conductivity_without_volume_and_area(survey: Survey) -> Found:
    for claim in _steel(survey, numbered=True):
        if claim.dimension == "conductivity" and not _has(claim, "solution_volume", "area"):
            value = effects.inside(claim.limit.figure)  # type: ignore[arg-type]
            low, high = (effects.mixed_salt(conductivity=value, volume=v) for v in (3.0, 15.0))
            yield (
                _at(survey, claim),
                {"limit": claim.get("limit"), "at_3_mL_mg_m2": low, "at_15_mL_mg_m2": high, "factor": high / low},
                f"No volume and no area. The same {_shown(claim)} on 1250 mm² is {effects.text(low, 'mg/m2')} of mixed salts in 3 mL and {effects.text(high, 'mg/m2')} in 15 mL: a factor of {effects.text(high / low)}.",
            )


def _concentration_without_volume_and_area(survey: Survey) -> Found:
    for claim in _steel(survey, numbered=True):
        if claim.dimension in ("concentration", "parts") and not _has(claim, "solution_volume", "area"):
            value = float(claim.limit.figure.value) if claim.dimension == "parts" else effects.inside(claim.limit.figure)  # type: ignore[arg-type, union-attr]
            low, high = (value * volume / (effects.PATCH / 100.0) for volume in (3.0, 15.0))
            yield (
                _at(survey, claim),
                {"limit": claim.get("limit"), "at_3_mL_ug_cm2": low, "at_15_mL_ug_cm2": high},
                f"No volume and no area. {_shown(claim)} of extract is {effects.text(low, 'ug/cm2')} in 3 mL and {effects.text(high, 'ug/cm2')} in 15 mL on 1250 mm²: a factor of {effects.text(high / low)}.",
            )


def _species_missing(survey: Survey) -> Found:
    for claim in survey.claims:
        figure = claim.limit.figure
        if not figure or claim.species or claim.get("quantity") or figure.dimension not in ("amount_per_area", "parts", "concentration", "mass_fraction"):
            continue
        ratio, share = effects.nacl_of_chloride(), effects.nacl_over_mixed()
        value = float(figure.value)
        unit = shown_unit(figure.unit)
        yield (
            _at(survey, claim),
            {"limit": claim.get("limit"), "as_nacl_if_chloride": value * ratio, "factor": ratio, "nacl_against_mixed_percent": 100 * abs(share)},
            f"Which salt? Mixed salts, sodium chloride and chloride are three limits. {effects.text(value)} {unit} as chloride is {effects.text(value * ratio)} {unit} as NaCl (× {ratio:.2f}); NaCl and the mixed-salt constant differ by about {100 * abs(share):.0f} % at 25 °C.",
        )


def _unit_factor_conflict(survey: Survey) -> Found:
    for claim in survey.claims:
        for other in claim.limit.restated:
            ratio = _ratio(claim.limit.figure, other)
            if ratio is not None and (_power_of_ten(ratio) or other.value == claim.limit.figure.value):  # type: ignore[union-attr]
                yield (_at(survey, claim), *_factor(claim.limit.figure, other))  # type: ignore[arg-type, misc]
    for passage in survey.passages:
        for pair in passage.conversions:
            ratio = _ratio(pair.first, pair.second)
            if ratio is not None and not _close(ratio, Fraction(1)) and not pair.first.species and not pair.second.species:
                yield (survey.plain.span(pair.start, pair.end), *_factor(pair.first, pair.second))
    numbered = [claim for claim in survey.claims if claim.limit.figure]
    for index, one in enumerate(numbered):
        for two in numbered[index + 1 :]:
            ratio = _ratio(one.limit.figure, two.limit.figure)
            same = ratio is not None and one.target == two.target and one.limit.figure.value == two.limit.figure.value and _power_of_ten(ratio)  # type: ignore[union-attr]
            if same and one.species == two.species and not _told_apart(one, two):
                yield (_at(survey, two), *_factor(one.limit.figure, two.limit.figure))  # type: ignore[arg-type]


def _factor(one: Figure, two: Figure) -> tuple[dict[str, object], str]:
    converted = two.to(one.unit)
    ratio = converted / one.value if one.value else Fraction(1)
    factor = max(ratio, 1 / ratio)
    return (
        {"first": one.text, "second": two.text, "factor": float(factor)},
        f"The two units differ. {two.shown} is {effects.text(converted, one.unit)}, not {one.shown}: a factor of {effects.text(factor)}.",
    )


def _ratio(one: Figure | None, two: Figure | None) -> Fraction | None:
    """The second figure over the first, or None where they are not of one dimension."""
    if one is None or two is None or one.unit == two.unit or one.dimension != two.dimension or one.dimension in ("impossible", "parts") or not one.value or not two.value:
        return None
    return two.to(one.unit) / one.value


def _close(a: Fraction, b: Fraction) -> bool:
    return abs(a / b - 1) <= Fraction(3, 100)


def _power_of_ten(ratio: Fraction) -> bool:
    return any(_close(ratio, Fraction(10) ** power) for power in (-4, -3, -2, -1, 1, 2, 3, 4))


def _dual_units_differ(survey: Survey) -> Found:
    for claim in survey.claims:
        for other in claim.limit.restated:
            ratio = _ratio(claim.limit.figure, other)
            if ratio is None or _close(ratio, Fraction(1)) or _power_of_ten(ratio) or other.value == claim.limit.figure.value:  # type: ignore[union-attr]
                continue
            factor = Fraction(effects.nacl_of_chloride())
            if (other.species or claim.species) and (_close(ratio * factor, Fraction(1)) or _close(ratio, factor)):
                continue
            yield (
                _at(survey, claim),
                {"first": claim.get("limit"), "second": other.text, "ratio": float(ratio)},
                f"Two amounts for one limit. {other.shown} is {effects.text(other.to(claim.limit.figure.unit), claim.limit.figure.unit)}, not {_shown(claim)}.",  # type: ignore[union-attr]
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


def _impossible_unit(survey: Survey) -> Found:
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
            yield (_at(survey, claim), {"limit": claim.get("limit"), "unit": figure.unit, "why": why}, f"The unit cannot measure this. {shown_unit(figure.unit)}: {why}.")


# ---------------------------------------------------------------- methods and editions

_OTHER_MEANS = re.compile(r"\btubes?\b|titrat|chromatograph|ion[- ]selective|test strip|\bmeter\b|conductometric|conductivity[- ](?:type|meter|probe|cell)|photomet")


def _method_cannot_give_quantity(survey: Survey) -> Found:
    for claim in survey.claims:
        if not claim.limit.figure:
            continue
        named = claim.methods or [c for c in claim.passage.citations if c.standard.gives in ("other", "visual")]
        if not named:
            continue
        gives = {c.standard.gives for c in named} - {"", "requirement"}
        own = claim.limit.segment.low
        quantity = claim.get("quantity")
        cannot = ""
        if gives and gives <= {"extraction"} and claim.target == subjects.STEEL and not any(_OTHER_MEANS.search(p.segment.low) for p in survey.passages if _steel_passage(p, claim)):
            cannot = "is an extraction only and gives no result"
        elif gives and gives <= {"other", "visual"} and not any(c.standard.gives == "" for c in claim.methods):
            cannot = f"is about {named[0].standard.about} and gives no salt result"
        elif "conductivity" in gives and "chloride" not in gives and quantity in _CHLORIDE and quantity != "chloride_as_nacl_per_area" and not re.search(r"\btubes?\b|titrat", own):
            cannot = "measures conductivity, which cannot tell chloride from other salts"
        elif "chloride" in gives and "conductivity" not in gives and (quantity in _CONDUCTOMETRIC or claim.dimension == "conductivity"):
            cannot = "measures chloride and gives no conductivity"
        elif claim.target == subjects.ABRASIVE and any(c.standard.target == subjects.STEEL for c in claim.methods) and not any(c.standard.target == subjects.ABRASIVE for c in claim.methods):
            cannot = "is for steel surfaces, not for abrasive"
        if cannot:
            names = " with ".join(dict.fromkeys(c.standard.name for c in named if c.standard.gives in gives)) or named[0].standard.name
            yield (_cited(survey, named), {"methods": names, "limit": claim.get("limit"), "why": cannot}, f"The method does not give this. {names} {cannot}; {_shown(claim)} cannot be shown by it.")


def _cited(survey: Survey, citations: list[Citation]) -> tuple[int, int]:
    return survey.plain.span(min(c.start for c in citations), max(c.end for c in citations))


_DESCRIBED = [
    ("ISO 8502-6", re.compile(r"conductom|conductivity|titrat|chloride det|determination of|dust|profile")),
    ("ISO 8502-9", re.compile(r"extraction|patch method|titrat|chloride|dust")),
    ("ISO 8502-3", re.compile(r"salt|chloride|conductiv|extraction")),
    ("ISO 8502-2", re.compile(r"conductiv|patch|dust")),
    ("ISO 8502-5", re.compile(r"conductiv|patch|dust")),
    ("ISO 8502-10", re.compile(r"conductiv|patch|dust")),
    ("ISO 11127-6", re.compile(r"chlorid|titrat|moisture|hardness")),
    ("ISO 11127-7", re.compile(r"conductiv|moisture|hardness")),
    ("ASTM D4940", re.compile(r"chlorid|titrat")),
]


def _edition_doubtful(survey: Survey) -> Found:
    for passage in survey.passages:
        for citation in passage.citations:
            if citation.doubt and citation.standard.gives != "visual":
                yield (
                    survey.plain.span(citation.start, citation.end),
                    {"standard": citation.text, "why": citation.doubt, "current": citation.standard.current},
                    f"Which edition? {citation.text}: {citation.doubt}. The argument comes at sign-off.",
                )
    for passage in survey.passages:
        for citation in passage.citations:
            behind = re.match(r"\s*[(,:–-]\s*([^()|;]{3,60})", survey.plain.low[citation.end : citation.end + 64])
            wrong = behind and next((pattern.search(behind[1]) for name, pattern in _DESCRIBED if name == citation.standard.name), None)
            if wrong and "(" in survey.plain.low[citation.end : citation.end + 3]:
                yield (survey.plain.span(citation.start, citation.end), *_swapped(citation, behind[1].strip()))  # type: ignore[index]
    abrasive = _abrasive(survey)
    crossed = [(claim, c) for claim in abrasive for c in claim.methods if _crossed(claim, c)]
    if len(crossed) > 1 and len({c.standard.name for _, c in crossed}) > 1:
        claim, citation = crossed[0]
        yield (survey.plain.span(citation.start, citation.end), *_swapped(citation, "conductivity" if claim.dimension == "conductivity" else "chlorides"))


def _crossed(claim: Claim, citation: Citation) -> bool:
    wanted = "conductivity" if claim.dimension == "conductivity" else "chloride"
    return citation.standard.gives in ("conductivity", "chloride") and citation.standard.gives != wanted


def _swapped(citation: Citation, said: str) -> tuple[dict[str, object], str]:
    return (
        {"standard": citation.standard.name, "said": said, "about": citation.standard.about},
        f"Which part? {citation.standard.name} is about {citation.standard.about}; the text says “{said}”. One of the two is a slip.",
    )


# ---------------------------------------------------------------- what is missing


def _each_or_mean_missing(survey: Survey) -> Found:
    for claim in [*_steel(survey), *_abrasive(survey)]:
        hit = claim.hits.get("count")
        if hit and getattr(hit.detail, "many", False) and not _has(claim, "judged"):
            yield (survey.plain.span(hit.start, hit.end), {"count": hit.value}, f"Each result, or the mean? More than one test is asked for ({hit.value}). One result over the limit fails the first rule and may pass the second: it can turn the verdict.")  # fmt: skip


def _count_or_place_missing(survey: Survey) -> Found:
    for claim in _steel(survey):
        missing = [words for name, words in (("count", "how many tests"), ("placement", "where to test")) if not _has(claim, name)]
        if missing:
            yield (_sentence(claim), {"missing": missing}, f"Not said: {' and '.join(missing)}. Free choice leans to easy places; one clean place can pass a salty area.")
    for claim in _abrasive(survey):
        if not _has(claim, "count"):
            yield (_sentence(claim), {"missing": ["how often"]}, "Not said: how often the abrasive is tested. One good delivery can stand for all that follow.")


def _failure_action_missing(survey: Survey) -> Found:
    for claim in [*_steel(survey), *_abrasive(survey)]:
        if not _has(claim, "on_failure"):
            thing = "steel that fails" if claim.target == subjects.STEEL else "abrasive that fails"
            yield (_sentence(claim), {"applies_to": claim.target}, f"Nothing says what happens with {thing}: cleaning, how many new tests and where, and who pays are open.")


def _stage_missing(survey: Survey) -> Found:
    for claim in _steel(survey):
        when = _has(claim, "stage")
        until = _has(claim, "test_within") or _has(claim, "test_within_words")
        if not (when and until):
            missing = [words for known, words in ((when, "when to test"), (until, "how long until coating")) if not known]
            yield (_sentence(claim), {"missing": missing}, f"Not said: {' and '.join(missing)}. Salt can land after the test and before the coat, and the test will not show it.")


def _blank_rule_missing(survey: Survey) -> Found:
    water = any(claim.target == subjects.EXTRACTION_WATER for claim in survey.claims)
    for claim in _steel(survey, numbered=True):
        if water or claim.blank_known or not _conductometric(survey, claim):
            continue
        volume = _volume(claim)
        worth = {v: effects.mixed_salt(conductivity=effects.WATER, volume=v, area=_area(claim)) for v in ((volume,) if volume else effects.VOLUMES)}
        area = effects.text(_area(claim))
        amounts_text = ", ".join(effects.text(w) for w in worth.values())
        volumes_text = ", ".join(effects.text(v) for v in worth)
        share = ""
        if claim.dimension == "amount_per_area" and claim.limit.figure:
            share = f" The limit is {_shown(claim)}."
        yield (
            _sentence(claim),
            {"water_uS_cm": effects.WATER, "worth_mg_m2": list(worth.values()), "volumes_mL": list(worth)},
            f"No word on the blank. Water of 5 µS/cm is worth {amounts_text} mg/m² of mixed salts in {volumes_text} mL on {area} mm².{share}",
        )


def _volume(claim: Claim) -> float:
    hit = claim.hits.get("solution_volume")
    return float(_quantity(str(hit.value), {"mL": Fraction(1), "L": Fraction(1000)})) if hit else 0.0


def _area(claim: Claim) -> float:
    hit = claim.hits.get("area")
    return float(_quantity(str(hit.value), {"mm2": Fraction(1), "cm2": Fraction(100)})) if hit else effects.PATCH


def _quantity(text: str, units: dict[str, Fraction]) -> Fraction:
    digits, unit = text.split()
    return Fraction(digits) * units[unit]


def _reference_temperature_missing(survey: Survey) -> Found:
    for claim in _steel(survey, numbered=True):
        by_constant = claim.get("quantity") == "mixed_salt_per_area" or (claim.get("quantity") == "" and not claim.species and claim.dimension in ("amount_per_area", "impossible") and any(c.standard.gives == "conductivity" for c in claim.methods))  # fmt: skip
        if (claim.get("quantity") == "extract_conductivity" or by_constant) and not _has(claim, "reference_temperature"):
            share = effects.temperature_share()
            size = f"{effects.text(effects.inside(claim.limit.figure) * share)} {shown_unit('mg/m2' if claim.dimension == 'amount_per_area' else 'uS/cm')}" if claim.dimension in ("amount_per_area", "conductivity") else ""  # type: ignore[arg-type]
            yield (
                _sentence(claim),
                {"share_percent": 100 * share},
                f"No reference temperature. One extract read at 20 and at 25 °C differs by about {100 * share:.0f} %{f', here {size}' if size else ''}.",
            )


def _abrasive_basis_missing(survey: Survey) -> Found:
    for claim in _abrasive(survey):
        if claim.dimension == "conductivity" and not claim.basis:
            low, high = effects.DENSITIES
            value = effects.inside(claim.limit.figure)  # type: ignore[arg-type]
            yield (
                _at(survey, claim),
                {"limit": claim.get("limit"), "bulk_density_kg_L": [low, high], "by_volume_uS_cm": [value * low, value * high]},
                f"By mass or by volume? Water and abrasive in equal volumes hold {low} (slag) to {high} (steel grit) times the abrasive of equal masses: {_shown(claim)} by mass is about {effects.text(value * low)} to {effects.text(value * high)} µS/cm by volume. Neither a method nor the ratio is named.",
            )


# ---------------------------------------------------------------- limits that are none


def _limit_elsewhere(survey: Survey) -> Found:
    for passage in survey.passages:
        for limit in passage.limits:
            if limit.words == "elsewhere":
                words = survey.plain.text[limit.start : limit.end]
                yield (survey.plain.span(limit.start, limit.end), {"words": " ".join(words.split())}, "The limit stands in another paper. It may not be there, or differ from coat to coat; without it no result can be judged.")  # fmt: skip


def _none_detectable(survey: Survey) -> Found:
    for claim in survey.claims:
        if claim.limit.words == "free":
            yield (_at(survey, claim), {"applies_to": claim.target}, "Cannot be shown. No detection limit is given, so no test can prove it; a finer instrument will always find some salt.")


def _limit_below_capability(survey: Survey) -> Found:
    for claim in _steel(survey, numbered=True):
        figure = claim.limit.figure
        if figure is None:
            continue
        value = effects.inside(figure)
        if claim.dimension == "amount_per_area" and claim.get("quantity") not in _CHLORIDE and value < effects.SINGLE_RESULT:
            yield (_at(survey, claim), {"limit_mg_m2": value, "single_result_mg_m2": effects.SINGLE_RESULT}, f"Smaller than a result is sure. {_shown(claim)} is {effects.text(value, 'mg/m2')}; a single conductometric result is good to ±8.2 mg/m² (NACE SP0508, found between 30 and 80 mg/m²).")  # fmt: skip
        elif claim.get("quantity") == "chloride_per_area" and value < 10 * effects.LEAST_CHLORIDE * (_volume(claim) or 3.0) / (_area(claim) / 100.0):
            least = effects.LEAST_CHLORIDE * (_volume(claim) or 3.0) / (_area(claim) / 100.0)
            yield (_at(survey, claim), {"limit_ug_cm2": value / 10, "least_ug_cm2": least}, f"Below the first mark of a tube. 1 mg/L in {effects.text(_volume(claim) or 3.0)} mL on {effects.text(_area(claim))} mm² is {effects.text(least, 'ug/cm2')}; the limit is {_shown(claim)}.")  # fmt: skip
        elif claim.dimension == "conductivity" and value < 2.0:
            yield (_at(survey, claim), {"limit_uS_cm": value}, f"Within the water. Clean water that has stood in air reads about 1 µS/cm by itself; {_shown(claim)} leaves no room for a reading.")
        else:
            yield from _blank_over_limit(survey, claim, value)
    for claim in survey.claims:
        if claim.target in (subjects.EXTRACTION_WATER, subjects.WASHING_WATER) and claim.dimension == "conductivity" and effects.inside(claim.limit.figure) < 0.8:  # type: ignore[arg-type]
            yield (_at(survey, claim), {"limit_uS_cm": effects.inside(claim.limit.figure)}, f"Cannot be kept in air. Pure water open to air takes up carbon dioxide and reads about 1 µS/cm; the limit is {_shown(claim)}.")  # type: ignore[arg-type]  # fmt: skip


def _blank_over_limit(survey: Survey, claim: Claim, value: float) -> Found:
    allowed = [effects.inside(one.limit.figure) for one in survey.claims if one.target == subjects.EXTRACTION_WATER and one.dimension == "conductivity" and one.limit.figure]
    if not allowed or claim.get("blank_rule") in ("water", "full-kit") or not _conductometric(survey, claim):
        return
    volume = _volume(claim)
    if claim.dimension == "amount_per_area" and volume:
        worth = effects.mixed_salt(conductivity=max(allowed), volume=volume, area=_area(claim))
        if worth >= 0.8 * value:
            yield (_at(survey, claim), {"limit_mg_m2": value, "water_uS_cm": max(allowed), "worth_mg_m2": worth}, f"The water alone reaches it. {effects.text(max(allowed))} µS/cm in {effects.text(volume)} mL on {effects.text(_area(claim))} mm² is worth {effects.text(worth)} mg/m²; the limit is {_shown(claim)}.")  # fmt: skip
    elif claim.dimension == "conductivity" and max(allowed) >= 0.8 * value:
        yield (_at(survey, claim), {"limit_uS_cm": value, "water_uS_cm": max(allowed)}, f"The water alone reaches it: {effects.text(max(allowed))} µS/cm is allowed in the water, {_shown(claim)} in the extract.")


def _or_equivalent(survey: Survey) -> Found:
    for passage in survey.passages:
        for hit in passage.hits:
            if hit.field == "or_equivalent" and hit.value:
                words = survey.plain.text[hit.start : hit.end]
                yield (survey.plain.span(hit.start, hit.end), {"words": words}, f"“{' '.join(words.split())}” without how equivalence is shown. Two devices on one plate can differ by more than the limit; evidence is needed before the first test.")  # fmt: skip


_NOT_REUSED = re.compile(r"not (?:be |to be )?(?:recycl|re-?us)|no recycl|never (?:recycl|re-?us)|once only|(?:recycl\w+|re-?us\w+)[^.;]{0,40}(?:not (?:be )?(?:permitted|allowed|used|accepted)|prohibited|forbidden)|shall not be re")


def _new_abrasive_limit_on_recycled(survey: Survey) -> Found:
    claims = _abrasive(survey)
    if any(claim.get("condition") == "in-use" for claim in claims):
        return
    for passage in survey.passages:
        low = passage.segment.low
        used = next((at for value, at in subjects.conditions_in(low, 0, len(low)) if value == "in-use"), None)
        abrasive = passage.target == subjects.ABRASIVE or any(m.target == subjects.ABRASIVE for m in subjects.find(low, 0, len(low)))
        if used is None or not abrasive or _NOT_REUSED.search(low):
            continue
        own = [claim for claim in claims if claim.passage is passage]
        for_new = any(c.standard.name.startswith(("ISO 11126", "ISO 11124")) for p in survey.passages for c in p.citations) or any(claim.get("condition") == "new" for claim in claims)
        if own and not for_new and not re.search(r"\bnew\b|unused|virgin|as delivered", low):
            continue
        both = own and re.search(r"\b(?:new|unused|virgin) (?:and|or|as well as) (?:for )?(?:recycl|re-?us|used|in-?use)|both new and", low) and not any(c.standard.name.startswith("ISO 11126") for c in passage.citations)
        if both:
            continue
        start = passage.segment.start + used
        end = start + len(re.match(r"[\w-]+(?:\s(?:mix|use))?", low[used:])[0])  # type: ignore[index]
        limit = f"{_shown(claims[0])} is a limit for new abrasive" if claims and claims[0].limit.figure else "No limit is given for it"
        yield (survey.plain.span(start, end), {"limit": claims[0].get("limit") if claims else ""}, f"Abrasive in use is not covered. {limit}; salt and dust gather in a working mix with every turn.")


# ---------------------------------------------------------------- two answers

_GOVERNS = re.compile(r"whichever|more stringent|most stringent|strict(?:er|est)|lower of|lowest of|lesser of|governs?\b|prevails?|precedence|takes? priority|both (?:limits|criteria|values|requirements|shall|must)|shall both|in addition to|as well as|and also|minimum of the two|smaller of")


def _two_limits(survey: Survey) -> Found:
    numbered = [claim for claim in survey.claims if claim.limit.figure and claim.target in (subjects.STEEL, subjects.ABRASIVE)]
    for index, one in enumerate(numbered):
        for two in numbered[index + 1 :]:
            if one.target == two.target and _one_thing(one, two) and not _told_apart(one, two) and not _settled(survey, one, two):
                yield (_at(survey, two), {"first": one.get("limit"), "second": two.get("limit")}, f"Two limits for one thing: {_shown(one)} and {_shown(two)}. Nothing says which governs.")
    for passage in survey.passages:
        for limit in passage.limits:
            other = next((claim for claim in numbered if claim.target == limit.target), None)
            if limit.words == "elsewhere" and other and not _settled(survey, other, None, passage):
                words = " ".join(survey.plain.text[limit.start : limit.end].split())
                yield (survey.plain.span(limit.start, limit.end), {"first": other.get("limit"), "second": words}, f"Two limits for one thing: {_shown(other)} here, and another left to “{words}”. Nothing says which governs.")


def _one_thing(one: Claim, two: Claim) -> bool:
    kinds = {_kind(one), _kind(two)}
    if one.target == subjects.ABRASIVE:
        return one.dimension == two.dimension and len(kinds) == 1 and one.basis == two.basis and not _same_amount(one, two)
    return len(kinds) == 1 and not _same_amount(one, two) and "impossible" not in (one.dimension, two.dimension)


def _kind(claim: Claim) -> str:
    if claim.species in ("sulfate", "nitrate", "iron"):
        return claim.species
    return "chloride" if claim.get("quantity") in _CHLORIDE or claim.species in ("chloride", "chloride-as-nacl") else "total"


def _same_amount(one: Claim, two: Claim) -> bool:
    ratio = _ratio(one.limit.figure, two.limit.figure)
    if ratio is None:
        return one.limit.figure.unit == two.limit.figure.unit and one.limit.figure.value == two.limit.figure.value  # type: ignore[union-attr]
    return _close(ratio, Fraction(1)) or (one.limit.figure.value == two.limit.figure.value and _power_of_ten(ratio))  # type: ignore[union-attr]


_GENERIC = re.compile(r"(?:prepared |blast-?cleaned |blasted |cleaned |salts? )?(?:surfaces?|steel\w*|substrates?|metal\w*|areas?|plates?|plating|water|spots?|patch\w*|members?|sleeve)")
# Words between two limits of a sentence that do not name another thing.
_SHARED_WORDS = re.compile(
    r"and|or|of|as|the|by|to|in|nacl|sodium|chlorides?|ions?|salts?|soluble|mixed|total|max\w*|not|no|shall|must|be|is|are|exceed\w*|above|below|over|under|than|less|more|greater|higher|levels?|limit\w*|values?"
    r"|conductivity|extract|surface|steel|density|equivalent|expressed|calculated|respectively|also|with|its|alternatively|either|spec\w*|drawing\w*|annex|section|clause|table|sheet|page|item|per|according|accordance|acc|iso|astm|method|test\w*|reading\w*|result\w*|maker\w*|manufacturer\w*|but|whereas|while|elsewhere|allowed|permitted|accepted"
)
_ARTICLES = re.compile(r"the|a|an|all|any|of|on|for|in|each|every|from|prepared|cleaned|blasted|blast-cleaned|bare|dry|clean|and|or|to|by|at|is|this|that|steel|finished|final|no")
_SCOPE = re.compile(r"\b(?:for|on|in|at|of|inside|outside)\s+(?:the\s+|all\s+|any\s+)?([a-z-]+(?:\s[a-z-]+)?)")


def _told_apart(one: Claim, two: Claim) -> bool:
    """Whether the text gives the two limits different things, places, conditions or stages."""
    for name in ("service", "condition"):
        if one.get(name) != two.get(name) and (one.get(name) or two.get(name)):
            return True
    stages = [{hit.value for hit in claim.passage.hits if hit.field == "stage"} for claim in (one, two)]
    if one.passage is not two.passage and stages[0] and stages[1] and stages[0] != stages[1]:
        return True
    if one.limit.segment is two.limit.segment:
        scopes = [_scope(claim.limit) for claim in (one, two)]
        between = one.limit.segment.low[one.limit.end - one.limit.segment.start : two.limit.start - one.limit.segment.start]
        own_words = [word for word in re.findall(r"[a-z]{3,}", between) if not _SHARED_WORDS.fullmatch(word)]
        return bool(scopes[0] and scopes[1] and scopes[0] != scopes[1]) or bool(own_words)
    if one.limit.segment.kind == two.limit.segment.kind == "row":
        first = [re.split(r"[|\t]|\s{3,}", claim.limit.segment.low.strip("| "))[:2] for claim in (one, two)]
        return first[0] != first[1]
    names = [_thing(claim) for claim in (one, two)]
    return bool(names[0] and names[1] and names[0] != names[1])


def _thing(claim: Claim) -> str:
    subject = claim.limit.subject
    if subject and claim.target == subjects.STEEL:
        start, end = subject.start - claim.limit.segment.start, subject.end - claim.limit.segment.start
        words = claim.limit.segment.low[start:end]
        before = re.search(r"([a-z-]+) $", claim.limit.segment.low[:start])
        if before and not _ARTICLES.fullmatch(before[1]):
            words = f"{before[1]} {words}"
        if not _GENERIC.fullmatch(words):
            return words
    label = re.match(r"(?:[\d.]+\s+|[a-z][.)]\s+)?([a-z][a-z /-]{2,40}):", claim.limit.segment.low)
    if label and not re.search(r"salt|chlor|conduct|limit|max|section|clause|annex|table|item|para|note|drawing|accept|test", label[1]):
        return label[1]
    heading = claim.limit.segment.heading
    return heading.low if heading and re.search(r"tank|hull|deck|bottom|internal|external|pipe|bridge|girder|void|topside|interior|exterior", heading.low) else ""


def _scope(limit: Limit) -> str:
    low = limit.segment.low
    offset = limit.segment.start
    behind = low[limit.end - offset : limit.part[1] - offset]
    before = low[max(limit.part[0] - offset, 0) : limit.start - offset]
    match = _SCOPE.search(behind[:60]) or next(iter(reversed(list(_SCOPE.finditer(before[-70:])))), None)
    return match[1] if match else ""


def _settled(survey: Survey, one: Claim, two: Claim | None, passage: Passage | None = None) -> bool:
    texts = [claim.limit.segment.low for claim in (one, two) if claim] + ([passage.segment.low] if passage else [])
    last = (two or one).passage
    following = [p.segment.low for p in survey.passages if last.segment.start < p.segment.start < last.segment.end + 300]
    if two and _CORRESPONDS.search(survey.masked[one.limit.end : two.limit.start]) and two.limit.start - one.limit.end < 60:
        return True
    return any(_GOVERNS.search(text) for text in texts + following)


_CORRESPONDS = re.compile(r"correspond|equivalent|equal to|equals|i\.?\s?e\.?|that is|(?<![<>])=")


def _language_precedence(survey: Survey) -> Found:
    if languages.GOVERNS.search(survey.plain.low):
        return
    said = languages.TRANSLATED.search(survey.plain.low)
    second = languages.second_language(survey.plain.low)
    if said:
        yield (survey.plain.span(said.start(), said.end()), {"words": said.group()}, "A translated clause without a governing language. Where the versions differ, each side has its own limit.")
    elif second:
        name, start, end = second
        yield (survey.plain.span(start, end), {"language": name}, f"Two languages (English and {name}) and no word on which governs. Where they differ, each side has its own limit.")


_TRAPS: dict[str, Callable[[Survey], Found]] = {
    "conductivity_without_volume_and_area": _conductivity_without_volume_and_area,
    "species_missing": _species_missing,
    "unit_factor_conflict": _unit_factor_conflict,
    "concentration_without_volume_and_area": _concentration_without_volume_and_area,
    "impossible_unit": _impossible_unit,
    "method_cannot_give_quantity": _method_cannot_give_quantity,
    "edition_doubtful": _edition_doubtful,
    "each_or_mean_missing": _each_or_mean_missing,
    "count_or_place_missing": _count_or_place_missing,
    "failure_action_missing": _failure_action_missing,
    "limit_elsewhere": _limit_elsewhere,
    "none_detectable": _none_detectable,
    "limit_below_capability": _limit_below_capability,
    "or_equivalent": _or_equivalent,
    "blank_rule_missing": _blank_rule_missing,
    "stage_missing": _stage_missing,
    "new_abrasive_limit_on_recycled": _new_abrasive_limit_on_recycled,
    "dual_units_differ": _dual_units_differ,
    "two_limits": _two_limits,
    "language_precedence": _language_precedence,
    "reference_temperature_missing": _reference_temperature_missing,
    "abrasive_basis_missing": _abrasive_basis_missing,
}
CODES = tuple(f"clause.{code}" for code in _TRAPS)
