# SPDX-License-Identifier: MIT
"""Every method file holds together, and holds what the contract and the trade ask of it."""

from __future__ import annotations

from decimal import Decimal

import pytest

from brackish import library
from brackish.judge.terms import TERMS
from brackish.judge.wording import MESSAGES
from brackish.library.types import RULE_KINDS, SEVERITIES, Method, Rule
from brackish.quantities import DIMENSIONS, QUANTITIES, dimension_of, parse
from tests.library import contract

METHODS = [library.method(id) for id in library.method_ids()]
RULES = [(method, rule) for method in METHODS for rule in method.rules]
each_method = pytest.mark.parametrize("method", METHODS, ids=lambda method: method.id)
each_rule = pytest.mark.parametrize(("method", "rule"), RULES, ids=[f"{method.id}-{rule.code}-{rule.value}" for method, rule in RULES])

# The parameters each kind of rule needs, and no other.
NEEDS = {
    "required": set(),
    "at_most": {"limit"},
    "at_least": {"limit"},
    "between": {"lowest", "highest"},
    "one_of": {"allowed"},
    "agreed_by": {"limit"},
    "not_after": {"limit"},
}
# The unit a term is given in; the other terms are counts, texts, days or agreed values.
TERM_DIMENSION = {
    "recovered_share": "ratio", "filling": "volume", "sleeve_filling": "volume", "water_per_area": "volume", "water_reading": "conductivity", "blank_share_of_limit": "ratio",
    "mass_to_water": "ratio", "volume_to_water": "ratio", "aliquot_share": "ratio", "net_titrant": "volume", "extraction_reading": "conductivity",
    "condensation_margin": "temperature_difference",
}  # fmt: skip
HAZARDS = {
    "patch-conductivity": ["needle", "permit", "height", "blast", "lead"],
    "sleeve-chloride-tube": ["acid", "glass", "permit", "height", "blast", "lead"],
    "extract-chloride-tube": ["glass", "permit", "blast", "lead"],
    "wash-chloride-titration": ["mercury", "silver", "chromate", "waste", "permit", "blast", "lead"],
    "abrasive-conductivity": ["silica", "blast"],
    "abrasive-conductivity-equal-volume": ["silica", "blast"],
    "abrasive-chloride-titration": ["mercury", "silver", "chromate", "waste", "silica"],
    "water-conductivity": ["pressure", "permit"],
    "condensation-check": ["permit", "height"],
}


def test_methods_are_those_of_the_contract():
    assert set(library.method_ids()) == set(contract.FACTS)


@each_method
def test_method_names_itself_and_its_words(method: Method):
    assert method.format == "brackish-method/1"
    assert method.applies_to in ("steel", "abrasive", "water")
    assert method.gives and set(method.gives) <= set(QUANTITIES)
    assert method.measured and set(method.measured) <= set(contract.MEASURED)
    for words in (method.title, method.short, method.measures, method.retests, *method.report, *method.bad_input):
        assert words.strip()
    assert len(method.report) >= 4 and len(method.bad_input) >= 3
    assert any("date" in line for line in method.report)


@each_method
def test_facts_have_the_names_of_the_contract(method: Method):
    names = [fact.name for fact in method.facts]
    assert len(names) == len(set(names))
    assert set(contract.FACTS[method.id].split()) <= set(names)
    assert set(contract.MODEL_INPUTS.get(method.id, "").split()) <= set(names)
    apart = {fact.name for fact in method.facts if fact.per == "determination"}
    assert set(contract.PER_DETERMINATION.get(method.id, "").split()) <= apart
    assert bool(apart) == (method.determinations > 1)


@each_method
def test_facts_are_well_formed(method: Method):
    for fact in method.facts:
        assert fact.kind in ("quantity", "count", "flag", "choice", "text", "ph"), fact.name
        assert fact.per in ("test", "determination"), fact.name
        assert bool(fact.choices) == (fact.kind == "choice"), fact.name
        if fact.kind == "quantity":
            dimensions = (fact.dimension,) if isinstance(fact.dimension, str) else fact.dimension
            assert set(dimensions) <= set(DIMENSIONS), fact.name
            assert any(fact.unit in DIMENSIONS[dimension].units for dimension in dimensions), fact.name
        else:
            assert not (fact.dimension or fact.unit or fact.repeats or fact.bounds or fact.positive), fact.name


@each_method
def test_every_measured_fact_is_required_or_has_a_fallback(method: Method):
    for name in method.measured:
        fact = method.fact(name)
        assert fact and (fact.required or method.id == "patch-conductivity")


@each_method
def test_steps_write_down_every_required_fact(method: Method):
    written = [name for step in method.steps for name in step.facts]
    assert len(written) == len(set(written))
    for name in written:
        assert method.fact(name), name
    assert {fact.name for fact in method.facts if fact.required} <= set(written)


@each_method
def test_steps_have_times(method: Method):
    assert len({step.name for step in method.steps}) == len(method.steps)
    for step in method.steps:
        assert isinstance(step.minutes, str) and Decimal(step.minutes) > 0, step.name
        assert step.until == "" or step.until.removeprefix("criterion.") in (*contract.CRITERION_FIELDS, *(fact.name for fact in method.facts))
        assert step.text.strip() and 0 < len(step.title) <= 24, step.name  # it stands on a button in the hand
    assert any(step.attended for step in method.steps)


def test_abrasive_by_mass_takes_133_minutes_in_one_flask():
    # shake 5, stand 60, shake 5, stand 60, read 3: common practice, no source; what day plans are computed with
    steps = library.method("abrasive-conductivity").steps
    assert [(step.minutes, step.attended) for step in steps] == [("5", True), ("60", False), ("5", True), ("60", False), ("3", True)]
    assert {step.resource for step in steps} == {"flask"}


@each_rule
def test_rule_is_of_a_known_kind(method: Method, rule: Rule):
    assert rule.kind in RULE_KINDS
    assert rule.severity in SEVERITIES
    assert rule.code.split(".")[0] in contract.FAMILIES
    given = {name for name in ("limit", "lowest", "highest") if getattr(rule, name)}
    assert given == NEEDS[rule.kind] - {"allowed"}


@each_rule
def test_rule_looks_at_something_that_exists(method: Method, rule: Rule):
    assert method.fact(rule.value) or rule.value in TERMS
    if rule.kind == "agreed_by":
        assert method.fact(rule.limit)


@each_rule
def test_rule_limit_has_the_dimension_of_its_value(method: Method, rule: Rule):
    fact = method.fact(rule.value)
    wanted = fact.dimension if fact else TERM_DIMENSION.get(rule.value, "")
    for text in filter(None, (rule.limit, rule.lowest, rule.highest)):
        if rule.kind in ("agreed_by", "not_after"):
            continue
        if text.startswith("criterion."):
            assert text.removeprefix("criterion.") in contract.CRITERION_FIELDS
        elif text.isdigit():
            assert not wanted and (fact is None or fact.kind == "count")
        else:
            assert parse(text, dimension=wanted)
            unit = text.split(" ", 1)[1]  # `judge/rules.py` finds the dimension by the unit
            assert wanted == "ratio" if unit == "%" else dimension_of(unit) == wanted


@each_rule
def test_rule_has_words(method: Method, rule: Rule):
    assert rule.code in MESSAGES


@each_rule
def test_rule_choices_fit_its_fact(method: Method, rule: Rule):
    fact = method.fact(rule.value)
    if rule.kind == "one_of" and fact:
        assert set(rule.allowed) <= (set(fact.choices) if fact.kind == "choice" else {True, False})


@each_method
def test_leaks_void_wherever_liquid_can_be_lost(method: Method):
    if method.fact("liquid_lost"):
        assert [rule.severity for rule in method.rules if rule.code == "loss.leak"] == ["void"]


@each_method
def test_cautions_name_the_hazards(method: Method):
    text = " ".join(caution.text for caution in method.cautions).lower()
    assert [hazard for hazard in HAZARDS[method.id] if hazard not in text] == []


@each_method
def test_standards_send_the_reader_to_their_own_copy(method: Method):
    assert method.standards
    if method.id != "water-conductivity":  # grades of water were read
        assert any("check your copy of the standard" in standard.note for standard in method.standards)


@pytest.mark.parametrize("id", ["wash-chloride-titration", "abrasive-chloride-titration"])
def test_titrant_is_named_and_read_in_both_units(id: str):
    method = library.method(id)
    titrant, concentration = method.fact("titrant"), method.fact("titrant_concentration")
    assert titrant and titrant.required and titrant.choices == ("silver-nitrate", "mercury-nitrate")
    assert concentration and concentration.dimension == ("amount_concentration", "equivalent_concentration")
    assert parse("0.02 eq/L", dimension=concentration.dimension).inside == 0.02


@pytest.mark.parametrize("id", ["sleeve-chloride-tube", "extract-chloride-tube"])
def test_tube_readings_may_be_bounds(id: str):
    reading = library.method(id).fact("reading")
    assert reading and parse("<1 mg/L", dimension=reading.dimension, bounds=reading.bounds).bound == "<"
    assert "range.zero_reading" in {rule.code for rule in library.method(id).rules}  # what is under the first mark is never 0


@each_method
def test_agreement_of_portions_has_a_floor(method: Method):
    # the floors are those of the contract: common practice, no source
    floors = {"abrasive-conductivity": "0.5 mS/m", "abrasive-conductivity-equal-volume": "10 uS/cm", "abrasive-chloride-titration": "2 mg/kg"}
    if method.id not in floors:
        assert not method.agreement
        return
    assert method.agreement == {"quantity": method.gives[0], "relative": "10 %", "floor": floors[method.id], "source": "common-practice"}
    assert method.determinations == 2
    assert parse(method.agreement["floor"], dimension=QUANTITIES[method.gives[0]].dimension).inside > 0
    assert parse(method.agreement["relative"], dimension="ratio").inside == 0.1


def test_no_method_by_mass_gives_what_one_by_volume_gives():
    by_mass, by_volume = library.method("abrasive-conductivity"), library.method("abrasive-conductivity-equal-volume")
    assert not set(by_mass.gives) & set(by_volume.gives)
