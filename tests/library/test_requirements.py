# SPDX-License-Identifier: MIT
"""Every requirement and count rule can be read, and says where its figure comes from."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest

from brackish import library
from brackish.library import counting
from brackish.library.types import CountRule, Requirement
from brackish.quantities import QUANTITIES, parse
from brackish.record.fields import read_table
from brackish.record.specification import Specification
from tests.library import contract

REQUIREMENTS = [library.requirement(id) for id in library.requirement_ids()]
each_requirement = pytest.mark.parametrize("requirement", REQUIREMENTS, ids=lambda requirement: requirement.id)
COUNTS = list(library.count_rules().values())
each_count = pytest.mark.parametrize("rule", COUNTS, ids=lambda rule: rule.id)

# "N per item" | "N per A" | "N for the first A, then M per B", with a second unit system in brackets
AMOUNT = r"\d+ m2(?: \(\d+ ft2\))?|\d+ ft2(?: \(\d+ m2\))?"
GRAMMAR = re.compile(rf"\d+ per item|\d+ per (?:{AMOUNT})|\d+ for the first (?:{AMOUNT}), then \d+ per (?:{AMOUNT})")


@each_requirement
def test_requirement_names_itself_and_its_confusion(requirement: Requirement):
    assert requirement.format == "brackish-requirement/1"
    assert requirement.id in library.requirement_ids()
    for words in (requirement.title, requirement.species, requirement.basis, requirement.confuse):
        assert words.strip()


@each_requirement
def test_criterion_fields_are_those_of_the_contract(requirement: Requirement):
    criterion = requirement.criterion
    assert set(criterion) <= set(contract.CRITERION_FIELDS)
    assert {"applies_to", "quantity", "sense", "limit"} <= set(criterion)
    for name, allowed in contract.CHOICES.items():
        assert criterion.get(name, allowed.split()[0]) in allowed.split()
    assert criterion.get("count", "per-100-then-200") in library.count_rules()


@each_requirement
def test_what_the_parties_must_agree_is_left_to_them(requirement: Requirement):
    assert not set(requirement.criterion) & set(contract.AGREED_ONLY.split())


@each_requirement
def test_limit_has_the_dimension_of_its_quantity(requirement: Requirement):
    kind = QUANTITIES[requirement.criterion["quantity"]]
    assert parse(requirement.criterion["limit"], dimension=kind.dimension).value > 0
    if "reference_temperature" in requirement.criterion:
        assert parse(requirement.criterion["reference_temperature"], dimension="temperature")


@each_requirement
def test_a_method_gives_the_quantity_for_the_thing(requirement: Requirement):
    thing = requirement.criterion["applies_to"].removeprefix("extraction-").removeprefix("washing-")
    quantity = requirement.criterion["quantity"]
    assert any(quantity in library.method(id).gives and library.method(id).applies_to == thing for id in library.method_ids())


@each_requirement
def test_condition_is_for_abrasive_only(requirement: Requirement):
    if "condition" in requirement.criterion:
        assert requirement.criterion["applies_to"] == "abrasive"


# Figures of standards.md's public sources, in the unit they are printed in. (value, where)
@pytest.mark.parametrize(
    ("id", "limit"),
    [
        ("ballast-tank-nacl-50", "50 mg/m2"),  # IMO MSC.1/Circ.1378
        ("crude-oil-tank-nacl-50", "50 mg/m2"),  # IMO MSC.288(87)
        ("crude-oil-tank-repair-nacl-50", "50 mg/m2"),  # IMO MSC.1/Circ.1399, table
        ("tank-exterior-chloride-5", "5 ug/cm2"),  # UFGS 09971, page 25
        ("bridge-chloride-10", "10 ug/cm2"),  # NCHRP 10-97
        ("extraction-water-5", "5 uS/cm"),  # SSPC Guide 15
        ("extraction-water-grade-3", "5 uS/cm"),  # ISO 3696 grade 3
        ("abrasive-recycled-steel-conductivity-1000", "1000 uS/cm"),  # SSPC-AB 2
    ],
)
def test_figures_that_were_read_are_marked_so(id: str, limit: str):
    requirement = library.requirement(id)
    dimension = QUANTITIES[requirement.criterion["quantity"]].dimension
    assert parse(requirement.criterion["limit"], dimension=dimension).exact == parse(limit, dimension=dimension).exact
    assert requirement.checked


def test_five_fahrenheit_is_not_loosened():
    # Florida DOT section 560: steel at least 5 degF above the dew point; 5 x 5/9 K by definition
    limit = parse(library.requirement("condensation-margin-5f").criterion["limit"], dimension="temperature_difference").exact
    assert 0 <= limit - Fraction(25, 9) < Fraction(1, 1000)


def test_chloride_limit_in_percent_is_25_mg_per_kg():
    # 0.0025 % by mass = 25 mg/kg by definition
    assert parse(library.requirement("abrasive-new-chloride-25").criterion["limit"], dimension="mass_fraction").inside == 25.0


@each_count
def test_count_rule_is_in_the_words_of_the_contract(rule: CountRule):
    assert GRAMMAR.fullmatch(rule.rule)
    assert counting.read_rule(rule.rule) == counting.read_rule(rule.id)


@pytest.mark.parametrize("text", ["3 per 1000 sq ft", "3 for the first 100 m2 then 1 per 200 m2", "per item", "1 per 50 m"])
def test_grammar_refuses_other_words(text: str):
    assert not GRAMMAR.fullmatch(text)


@pytest.mark.parametrize(
    ("id", "area", "tests"),
    [
        ("per-100-then-200", "1000 m2", 8),  # UFGS 09971, page 25: 3 + ceil(900/200) = 8 by the metric rule
        ("per-1000-ft2", "1000 ft2", 3),  # Florida DOT 560-7.5: 3 in the first 1000 ft2
        ("per-1000-ft2", "1001 ft2", 4),  # and one more in each further 1000 ft2 or part
        ("per-1000-ft2", "1000 m2", 13),  # 10763.9 ft2
        ("five-per-100", "1000 m2", 50),  # 5 readings for each 100 m2
    ],
)
def test_count_rule_asks_for_the_published_number(id: str, area: str, tests: int):
    by_system = counting.tests_by_system(rule=counting.read_rule(id), area=parse(area, dimension="area").exact)
    assert by_system["metric" if "metric" in by_system else "foot"] == tests


def test_shop_primer_by_hand_asks_for_one_test_a_plate():
    # IMO MSC.1/Circ.1378
    assert counting.read_rule(library.requirement("shop-primed-plate-nacl-50").criterion["count"]).per_item == 1


@each_requirement
def test_a_job_can_name_the_requirement(requirement: Requirement):
    criterion = {"id": "c", "applies_to": requirement.criterion["applies_to"], "requirement": requirement.id}
    faults: list = []
    read = read_table(Specification, {"id": "s", "criterion": [criterion]}, "specification", faults)
    assert faults == []
    assert read and set(read.criterion[0].supplied) == set(requirement.criterion) - {"applies_to"}
