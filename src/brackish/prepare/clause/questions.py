# SPDX-License-Identifier: MIT
"""The questions to send before work: one a gap, plain and polite, each able to stand alone.

A trap brings its question; a field that a verdict needs and that no trap speaks of brings another.
"""

from __future__ import annotations

import re

from brackish.prepare.clause import subjects
from brackish.prepare.clause.limits import SALT
from brackish.prepare.clause.passages import Claim, Survey
from brackish.prepare.clause.reading import Question, Trap

_OF_TRAPS = {
    "clause.conductivity_without_volume_and_area": "For which volume of water and which area is {limit} meant: undiluted from the patch, or made up to a larger volume? Please give both, for instance 3 mL on 1250 mm².",
    "clause.species_missing": "Is {limit} counted as mixed salts, as sodium chloride (NaCl equivalent), or as chloride? Please name the one that is meant.",
    "clause.unit_factor_conflict": "The text gives {first} and {second}, which are not the same amount. Which of the two is meant?",
    "clause.concentration_without_volume_and_area": "{limit} depends on the volume of the extract and the area. Please give both, or state the limit as an amount per area.",
    "clause.impossible_unit": "{limit} cannot be measured in this unit ({unit}). Which number and unit are meant?",
    "clause.method_cannot_give_quantity": "{methods} {why}. Which method shall be used for {limit}, or which limit belongs to {methods}?",
    "clause.edition_doubtful": "The text names {standard}. Which document and which edition apply?",
    "clause.each_or_mean_missing": "More than one test is asked for ({count}). Must each result meet the limit, or the mean, or both?",
    "clause.count_or_place_missing": "Please state {missing}. May the inspector choose the places, the worst first?",
    "clause.failure_action_missing": "What shall be done when a result is over the limit: which area is cleaned or rejected, how, how many new tests and where, and at whose cost?",
    "clause.limit_elsewhere": "The limit is left to another paper (“{words}”). Please send the figure with its unit, quantity and source, so that it can be agreed before the first test.",
    "clause.none_detectable": "“Free of salts” cannot be shown without a limit. Which figure, unit and method may be used in its place?",
    "clause.limit_below_capability": "The limit is smaller than the method can surely show. May a higher limit be agreed, or which procedure (volume, blank, number of tests) shall make it provable?",
    "clause.or_equivalent": "How shall it be shown that another device or method is equivalent, and who accepts it?",
    "clause.blank_rule_missing": "How is the blank handled: the water of each test taken off, a blank with the full kit taken off, or none? Which water may be used at most, in µS/cm?",
    "clause.stage_missing": "Please state {missing}, with the longest time allowed between test and coating.",
    "clause.new_abrasive_limit_on_recycled": "Which limit holds for abrasive in use (recycled), and how often is it tested?",
    "clause.dual_units_differ": "The two unit systems do not give the same. Which one governs, the metric or the other?",
    "clause.two_limits": "The text sets {first} and {second} for one thing. Which governs, or must both be met?",
    "clause.language_precedence": "Which language version governs if they differ?",
    "clause.reference_temperature_missing": "To which temperature do the conductivities refer, 20 or 25 °C?",
    "clause.abrasive_basis_missing": "By which method is {limit} meant: equal masses of water and abrasive (as ISO 11127-6), or equal volumes (as ASTM D4940)?",
}  # fmt: skip
_THINGS = {
    subjects.STEEL: "the steel",
    subjects.ABRASIVE: "the abrasive",
    subjects.EXTRACTION_WATER: "the water for extraction",
    subjects.WASHING_WATER: "the wash water",
}


def ask(survey: Survey, traps: list[Trap]) -> list[Question]:
    """Questions in the order of the traps, then what else a verdict needs."""
    out = [Question(trap.code, _fill(trap)) for trap in traps]
    asked = {trap.code for trap in traps}
    claims = survey.claims
    if not claims:
        return _no_limit(survey)
    without = [claim for claim in claims if not claim.limit.figure]
    if without and not asked & {"clause.limit_elsewhere", "clause.none_detectable"}:
        out.append(Question("criterion.limit_missing", f"Which limit, with unit and quantity, holds for {_named(without)}?"))
    no_sense = [claim for claim in claims if claim.limit.figure and not claim.get("sense")]
    if no_sense:
        out.append(
            Question("criterion.sense_missing", f"Is {', '.join(claim.get('limit') for claim in no_sense)} a limit that may be reached but not exceeded?")
        )
    if "clause.each_or_mean_missing" not in asked:
        silent = [claim for claim in claims if not claim.get("judged")]
        if silent:
            out.append(Question("criterion.judged_missing", f"Is each result on {_named(silent)} judged by itself, or the mean?"))
    undecided = [claim for claim in claims if not claim.get("decision_rule")]
    if undecided:
        out.append(Question("criterion.decision_rule_missing", "By which rule is a result judged that lies close to the limit: simple acceptance, guarded acceptance, guarded rejection or three-way; with which guard band, at which level, and what follows when it is inconclusive?"))  # fmt: skip
    else:
        out += _guard(claims)
    unread = _unread_tests(survey)
    if unread:
        out.append(Question("criterion.unclear", f"What is required by “{unread[0]}”: which limit, by which method, and how often?"))
    return out


def _fill(trap: Trap) -> str:
    values = {
        key: " and ".join(value) if isinstance(value, list) and all(isinstance(one, str) for one in value) else value for key, value in trap.params.items()
    }
    if trap.code == "clause.none_detectable" and trap.params.get("applies_to") in (subjects.EXTRACTION_WATER, subjects.WASHING_WATER):
        return "“Free of salts” cannot be shown. Which conductivity, in µS/cm, may the water have at most?"
    if trap.code == "clause.count_or_place_missing" and trap.params.get("missing") == ["how often"]:
        return "How often is the abrasive tested: each delivery, each lot, each day of use?"
    if trap.code == "clause.edition_doubtful" and "said" in values:
        return f"The text names {values['standard']} for “{values['said']}”, but that part is about {values['about']}. Which part is meant?"
    return _spaced(_OF_TRAPS[trap.code].format_map(_Spared({key: str(value) for key, value in values.items()})))


class _Spared(dict):
    def __missing__(self, key: str) -> str:
        return "the limit"


def _spaced(text: str) -> str:
    """Units as people write them."""
    for plain, shown in (("mg/m2", "mg/m²"), ("ug/cm2", "µg/cm²"), ("uS/cm2", "µS/cm²"), ("uS/cm", "µS/cm"), ("ug/cm", "µg/cm"), ("umho/cm", "µmho/cm")):
        text = re.sub(rf"{plain}(?![\w²])", shown, text)
    return text


def _guard(claims: list[Claim]) -> list[Question]:
    guarded = [claim for claim in claims if claim.get("decision_rule") not in ("", "simple-acceptance")]
    out = []
    if any(not claim.get("guard_band") for claim in guarded):
        out.append(
            Question("criterion.guard_band_missing", "How wide is the guard band: the expanded uncertainty (two-sided or one-sided), or an agreed amount?")
        )
    if any(not claim.get("level") for claim in guarded):
        out.append(Question("criterion.level_missing", "At which level of confidence is the uncertainty stated, 95 %?"))
    if any(claim.get("decision_rule") == "three-way" and not claim.get("on_inconclusive") for claim in guarded):
        out.append(
            Question("criterion.on_inconclusive_missing", "What follows when a result is inconclusive: is it rejected, tested again, or referred to somebody?")
        )
    return out


def _named(claims: list[Claim]) -> str:
    return " and ".join(dict.fromkeys(_THINGS[claim.target] for claim in claims))


_A_TEST = re.compile(r"\btest|measur|check|analys|determin|sampl|monitor|max|limit|exceed|below|under|not more|less than")
_OTHER_THINGS = re.compile(
    r"boiler|feed ?water|cool(?:ing|ant)|ground ?water|drinking|hydro|salt[- ](?:spray|fog)|chamber|(?:check|standard|calibration) solution|\bmeter\b|calibrat|floor|fire ?water|condensate|effluent|concrete|cement|chlorin|spray|resistiv|corrosion test|de-?icing|\bdust\b|disbond|soil|passing the|does not relieve|scope|covers|visib|method statement|form\b"
)


def _unread_tests(survey: Survey) -> list[str]:
    out = []
    for start, end in survey.unread:
        low = survey.plain.low[start:end]
        if _A_TEST.search(low) and not _OTHER_THINGS.search(low) and (SALT.search(low) or "abrasive" in low or "grit" in low):
            out.append(" ".join(survey.plain.text[start:end].split())[:160])
    return out


def _no_limit(survey: Survey) -> list[Question]:
    unread = _unread_tests(survey)
    if not unread:
        return []
    return [
        Question(
            "criterion.limit_missing", f"The text asks for a test (“{unread[0]}”) and gives no limit. Which limit, with unit and quantity, and by which method?"
        )
    ]
