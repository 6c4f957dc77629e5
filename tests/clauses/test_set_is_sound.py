# SPDX-License-Identifier: MIT
"""The labelled clauses are well formed and agree with their own label rules (README.md); the clause reader is not run here."""

import re
import tomllib
from collections import Counter
from pathlib import Path

import pytest

HERE = Path(__file__).parent
HALVES = {half: tomllib.loads((HERE / f"{half}.toml").read_text(encoding="utf-8"))["clause"] for half in ("tuning", "scored")}
CLAUSES = [pytest.param(clause, id=clause["id"]) for half in HALVES.values() for clause in half]

CODES = {
    "clause.conductivity_without_volume_and_area",
    "clause.species_missing",
    "clause.unit_factor_conflict",
    "clause.concentration_without_volume_and_area",
    "clause.impossible_unit",
    "clause.method_cannot_give_quantity",
    "clause.edition_doubtful",
    "clause.each_or_mean_missing",
    "clause.count_or_place_missing",
    "clause.failure_action_missing",
    "clause.limit_elsewhere",
    "clause.none_detectable",
    "clause.limit_below_capability",
    "clause.or_equivalent",
    "clause.blank_rule_missing",
    "clause.stage_missing",
    "clause.new_abrasive_limit_on_recycled",
    "clause.dual_units_differ",
    "clause.two_limits",
    "clause.language_precedence",
    "clause.reference_temperature_missing",
    "clause.abrasive_basis_missing",
}
CLAUSE_FIELDS = {"id", "style", "text", "traps", "debatable", "questions_expected", "not_understood", "not_understood_optional", "requirement"}
CHOICES = {
    "applies_to": {"steel", "abrasive", "extraction-water", "washing-water"},
    "quantity": {
        "extract_conductivity",
        "mixed_salt_per_area",
        "nacl_equivalent_per_area",
        "chloride_per_area",
        "chloride_as_nacl_per_area",
        "abrasive_conductivity_by_mass",
        "abrasive_conductivity_by_volume",
        "chloride_mass_fraction",
        "water_conductivity",
        "chloride_concentration",
    },
    "sense": {"at-most", "below", "at-least"},
    "judged": {"each", "mean", "each-and-mean"},
    "decision_rule": {"simple-acceptance", "guarded-acceptance", "guarded-rejection", "three-way"},
    "uncertainty": {"budget", "method", "larger"},
    "on_inconclusive": {"reject", "retest", "refer"},
    "stage": {"incoming", "before-blasting", "after-washing", "after-blasting", "between-coats"},
    "condition": {"new", "in-use"},
    "extraction_liquid": {"water", "acid"},
    "blank_rule": {"none", "water", "full-kit"},
    "service": {"immersed", "atmospheric", "buried"},
}
FREE = {"limit", "limit_mean", "limit_restated", "guard_band", "level", "reference_temperature", "solution_volume", "area", "count", "test_within", "methods"}
EXACT_WORDS = {"quote", "quote_mean", "placement", "on_failure"}
CONDUCTOMETRIC = {"extract_conductivity", "mixed_salt_per_area", "nacl_equivalent_per_area"}
VERDICT_NEEDS = ("quantity", "sense", "limit", "judged", "decision_rule")


def requirements(clause, *materials):
    return [requirement for requirement in clause.get("requirement", []) if requirement["applies_to"] in materials]


def test_halves_hold_forty_each_with_equal_styles():
    assert all(len(half) == 40 for half in HALVES.values())
    styles = [Counter(clause["style"] for clause in half) for half in HALVES.values()]
    assert all(style == styles[0] for style in styles)
    ids = [clause["id"] for half in HALVES.values() for clause in half]
    assert len(ids) == len(set(ids))


def test_every_trap_stands_twice_in_each_half():
    for half in HALVES.values():
        seen = Counter(code for clause in half for code in clause["traps"])
        assert {code for code in CODES if seen[code] < 2} == set()


def test_a_quarter_is_clean_or_without_requirement():
    for half in HALVES.values():
        assert sum(not clause["traps"] and not clause["questions_expected"] for clause in half) >= 10


@pytest.mark.parametrize("clause", CLAUSES)
def test_fields_codes_and_quotes(clause):
    assert set(clause) <= CLAUSE_FIELDS
    listed = clause["traps"] + clause.get("debatable", [])
    assert set(listed) <= CODES
    assert len(listed) == len(set(listed))
    for words in clause.get("not_understood", []) + clause.get("not_understood_optional", []):
        assert words in clause["text"]
    for requirement in clause.get("requirement", []):
        assert set(requirement) <= set(CHOICES) | FREE | EXACT_WORDS | {"or_equivalent", "species"}
        assert {"applies_to", "quote"} <= set(requirement)
        for field, allowed in CHOICES.items():
            assert requirement.get(field, next(iter(allowed))) in allowed
        for field in EXACT_WORDS & set(requirement):
            assert requirement[field] in clause["text"], (field, requirement[field])


def digits(text):
    return re.sub(r"(\d),(\d)", r"\1.\2", text)


@pytest.mark.parametrize("clause", CLAUSES)
def test_the_number_of_a_limit_stands_in_its_quote_or_as_words(clause):
    words = {
        "5": "five", "20": "twenty", "50": "fifty", "30": "thirty", "100": "one hundred", "70": "seventy", "3": "three", "7": "seven", "10": "ten",
        "40": "forty", "25": "twenty-five", "1000": "one thousand", "2": "two", "15": "fifteen",
    }  # fmt: skip
    for requirement in clause.get("requirement", []):
        if "limit" in requirement:
            number = requirement["limit"].split()[0]
            said = digits(requirement["quote"]).replace(" 000", "000")
            assert number in said or words.get(number, "no word") in said.lower(), requirement["quote"]


@pytest.mark.parametrize("clause", CLAUSES)
def test_labels_follow_the_label_rules(clause):
    """Traps that follow from the labelled fields are recomputed from them; a debatable code may stand either way."""
    text = clause["text"]
    steel, abrasive, both = requirements(clause, "steel"), requirements(clause, "abrasive"), requirements(clause, "steel", "abrasive")
    no_water_rule = not any("blank_rule" in requirement for requirement in steel) and not requirements(clause, "extraction-water")

    def conductometric(requirement):
        named = " ".join(requirement.get("methods", []))
        return requirement.get("quantity") in CONDUCTOMETRIC or "8502-9" in named or ("quantity" not in requirement and "conductivity-type" in text)

    expected = {
        "clause.failure_action_missing": any("on_failure" not in requirement for requirement in both),
        "clause.stage_missing": any("stage" not in requirement or "test_within" not in requirement for requirement in steel),
        "clause.count_or_place_missing": any("count" not in r or "placement" not in r for r in steel) or any("count" not in r for r in abrasive),
        "clause.blank_rule_missing": no_water_rule and any("limit" in r and conductometric(r) for r in steel),
        "clause.conductivity_without_volume_and_area": any(
            r.get("quantity") == "extract_conductivity" and not ("solution_volume" in r and "area" in r) for r in steel
        ),
        "clause.concentration_without_volume_and_area": any(
            r.get("limit", "").split()[-1:] in (["ppm"], ["mg/L"]) and not ("solution_volume" in r and "area" in r) for r in steel
        ),
        "clause.reference_temperature_missing": any(
            "reference_temperature" not in r
            and "limit" in r
            and (r.get("quantity") in {"extract_conductivity", "mixed_salt_per_area"} or ("quantity" not in r and "8502-9" in " ".join(r.get("methods", []))))
            for r in steel
        ),
        "clause.abrasive_basis_missing": any("quantity" not in r and r.get("limit", "").split()[-1:] in (["mS/m"], ["uS/cm"], ["umho/cm"]) for r in abrasive),
        "clause.or_equivalent": any(r.get("or_equivalent", False) for r in both),
        "clause.species_missing": any(
            "quantity" not in r and "species" not in r and r.get("limit", "").split()[-1:] in (["mg/m2"], ["ug/cm2"], ["ppm"], ["mg/L"]) for r in both
        ),
    }
    expected["clause.each_or_mean_missing"] = any("judged" not in r and re.match(r"([2-9]|1 per \d)", r.get("count", "")) for r in both)
    wrong = {code for code, applies in expected.items() if applies != (code in clause["traps"])} - set(clause.get("debatable", []))
    assert wrong == set()
    if not clause.get("requirement") and not clause.get("not_understood"):
        assert clause["traps"] == []
        assert clause["questions_expected"] is False
    incomplete = any(field not in requirement for requirement in clause.get("requirement", []) for field in VERDICT_NEEDS)
    assert clause["questions_expected"] == bool(clause["traps"] or incomplete or clause.get("not_understood"))
