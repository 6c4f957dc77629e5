# SPDX-License-Identifier: MIT
"""What a blank takes off, and when there may be a verdict without one."""

from __future__ import annotations

import pytest

from tests.judge.jobs import first, job
from tests.judge.reading import budget, codes, findings, item, result, verdict


def mixed(**changes: object) -> dict:
    return job(criterion__quantity="mixed_salt_per_area", **changes)


def value(document: dict) -> float:
    return result(document, "mixed_salt_per_area")["value"]


def test_water_blank_takes_the_tests_own_volume():
    document = mixed(blank__kind="water", blank__solution_volume="50 mL", criterion__blank_rule="water")
    assert value(document) == pytest.approx(500.0 * 10.0 * (9.1 - 1.2) / 1250.0)


def test_full_kit_blank_of_another_volume_is_taken_off_as_salt():
    document = mixed(blank__solution_volume="15 mL")
    assert value(document) == pytest.approx(500.0 * (10.0 * 9.1 - 15.0 * 1.2) / 1250.0)
    assert budget(document, "blank_volume", "mixed_salt_per_area")["value"] == 15.0


def test_tube_whose_verdict_hangs_on_where_the_salt_of_its_blank_came_from_is_withheld():
    """From 10 cm², in 10 mL: 12 mg/L less 2 are 10 µg/cm²; less the 40 µg that the blank held in 20 mL, 8. The limit is 9."""
    document = job(criterion__quantity="chloride_per_area", criterion__limit="9 ug/cm2", blank__reading=["2 mg/L"], blank__solution_volume="20 mL")
    first(document, "criterion").update(decision_rule="simple-acceptance")
    facts = {"extraction_area": "10 cm2", "solution_volume": "10 mL", "reading": ["12 mg/L"]}
    document["test"][0] |= {"method": "extract-chloride-tube", "facts": facts}
    assert codes(verdict(document)) == ["blank.other_volume"]
    first(document, "criterion").update(limit="11 ug/cm2")
    assert verdict(document)["verdict"] == "pass"


@pytest.mark.parametrize(
    ("reading", "volume", "said"), [("15.5", "20 mL", "withheld"), ("14.0", "5 mL", "withheld"), ("12.0", "20 mL", "pass"), ("20.0", "5 mL", "fail")]
)
def test_verdict_that_hangs_on_where_the_salt_of_a_full_kit_blank_came_from_is_withheld(reading, volume, said):
    """In mg/m², 2.0 µS/cm off 10 mL as salt or as concentration: 46 or 54; 52 or 48; 32 or 40; 76 or 72. The limit is 50."""
    document = mixed(facts__reading=[f"{reading} uS/cm"], blank__reading=["2.0 uS/cm"], blank__solution_volume=volume)
    assert verdict(document)["verdict"] == said
    assert codes(verdict(document)) == (["blank.other_volume"] if said == "withheld" else [])
    assert findings(document)["blank.other_volume"]["severity"] == "warning"
    assert "blank.other_volume" not in findings(mixed())


def test_full_kit_blank_of_the_same_volume_typed_otherwise_shares_it():
    document = mixed(blank__solution_volume="0.010 L")
    assert "blank_volume" not in {line["input"] for line in result(document, "mixed_salt_per_area")["budget"]}


def test_full_kit_blank_without_volume_is_not_silent():
    document = mixed(blank__solution_volume=None)
    assert value(document) == pytest.approx(31.6)
    assert "blank.volume_missing" in findings(document)


def test_blank_rule_none_takes_nothing_off():
    document = mixed(criterion__blank_rule="none")
    assert value(document) == pytest.approx(500.0 * 10.0 * 9.1 / 1250.0)
    assert verdict(document)["verdict"] == "pass"


def test_missing_blank_takes_nothing_off_and_withholds():
    document = mixed(test__blank=None)
    assert value(document) == pytest.approx(500.0 * 10.0 * 9.1 / 1250.0)
    assert findings(document)["blank.missing"]["severity"] == "warning"
    assert codes(verdict(document)) == ["blank.missing"]
    assert verdict(document)["comparison"] == "below"


def test_missing_blank_is_judged_where_none_was_agreed():
    assert verdict(mixed(test__blank=None, criterion__blank_rule="none"))["verdict"] == "pass"


def test_blank_of_another_kind_than_agreed_withholds():
    document = mixed(blank__kind="water")
    assert codes(verdict(document)) == ["blank.other_kind"]


def test_missing_blank_rule_uses_the_given_blank_with_a_finding():
    document = mixed(criterion__blank_rule=None)
    assert (value(document), verdict(document)["verdict"]) == (pytest.approx(31.6), "pass")
    assert findings(document)["criterion.blank_rule_missing"]["params"]["used"] == "full-kit"


def test_blank_read_in_another_kind_of_unit_is_never_taken_off():
    document = mixed(blank__reading=["1.2 mg/L"])
    assert value(document) == pytest.approx(500.0 * 10.0 * 9.1 / 1250.0)
    assert "blank.other_unit" in findings(document) and "blank.missing" not in findings(document)
    assert codes(verdict(document)) == ["blank.other_unit"]


def test_blank_under_the_first_mark_takes_nothing_off():
    document = mixed(blank__reading=["<1.0 uS/cm"])
    assert value(document) == pytest.approx(500.0 * 10.0 * 9.1 / 1250.0)
    assert "blank.under_first_mark" in findings(document)


def test_blank_over_the_last_mark_withholds():
    assert codes(verdict(mixed(blank__reading=[">1.0 uS/cm"]))) == ["blank.over_last_mark"]


def test_blank_worth_a_large_share_of_the_limit_warns():
    assert findings(job(criterion__limit="10 mg/m2"))["blank.share_of_limit"]["severity"] == "warning"


def test_blank_over_the_extract_keeps_the_signed_result():
    document = mixed(facts__reading=["1.0 uS/cm"])
    assert value(document) == pytest.approx(-0.8)
    assert "blank.exceeds_extract" in findings(document)


def test_result_under_its_critical_value_is_not_detected():
    """Critical value 1.645·√2·u(blank), here u = 0.1/√12 uS/cm, 4 mg/m² for each uS/cm."""
    document = mixed(facts__reading=["1.2 uS/cm"])
    row = result(document, "mixed_salt_per_area")
    assert row["critical_value"] == pytest.approx(1.645 * 2**0.5 * 4.0 * 0.1 / 12**0.5)
    assert (row["detected"], row["value"], row["shown"]) == (False, pytest.approx(0.0, abs=1e-9), "<\u00a00.3\u00a0mg/m²")
    assert result(mixed(), "mixed_salt_per_area")["detected"] is True


def test_bound_is_neither_detected_nor_not():
    assert "detected" not in result(mixed(facts__reading=[">9 uS/cm"]), "mixed_salt_per_area")


@pytest.mark.parametrize(("reading", "blank"), [("2.0 uS/cm", "20 uS/cm"), ("14 uS/cm", "20 uS/cm"), ("<1.0 uS/cm", "13 uS/cm")])
def test_verdict_that_hangs_on_a_blank_over_its_extract_is_withheld(reading, blank):
    """Taken the other way round, 2 and 20 are 72 mg/m²; 13 µS/cm alone are 52 mg/m²."""
    document = mixed(facts__reading=[reading], blank__reading=[blank])
    assert codes(verdict(document)) == ["blank.exceeds_extract"]
    assert "probability_over_limit" not in verdict(document)


@pytest.mark.parametrize("reading", ["1.0 uS/cm", "1.2 uS/cm", "<1.0 uS/cm"])
def test_small_blank_over_its_extract_still_lets_a_clean_place_pass(reading):
    """1.2 µS/cm alone are 4.8 mg/m²: whichever of the two is wrong, 50 mg/m² are kept."""
    assert verdict(mixed(facts__reading=[reading]))["verdict"] == "pass"


def test_blank_as_high_as_its_extract_is_no_reason():
    assert verdict(mixed(facts__reading=["14.0 uS/cm"], blank__reading=["14.0 uS/cm"]))["verdict"] == "pass"


def test_blank_over_its_extract_is_no_reason_where_the_rule_is_missing():
    assert codes(verdict(mixed(facts__reading=["1.0 uS/cm"], criterion__decision_rule=None))) == ["criterion.decision_rule_missing"]


def test_blank_of_more_water_that_holds_more_than_the_extract_is_said_with_both_volumes():
    document = mixed(facts__reading=["9.1 uS/cm"], blank__reading=["7.0 uS/cm"], blank__solution_volume="20 mL")
    assert "reads 7.0 uS/cm in 20 mL, more than the extract with 9.1 uS/cm in 10.0 mL" in verdict(document)["reasons"][0]["message"]


def test_mean_that_hangs_on_a_blank_over_an_extract_is_withheld():
    document = mixed(criterion__judged="mean", facts__reading=["2.0 uS/cm"], blank__reading=["20 uS/cm"])
    assert codes(item(document)) == ["blank.exceeds_extract"]


def test_fail_that_hangs_on_a_blank_under_its_first_mark_is_withheld():
    """14 µS/cm are 56 mg/m² with nothing taken off, 48 with 2 µS/cm: the blank decides."""
    document = mixed(facts__reading=["14.0 uS/cm"], blank__reading=["<2.0 uS/cm"])
    assert codes(verdict(document)) == ["blank.under_first_mark"]
    assert verdict(mixed(facts__reading=["18.0 uS/cm"], blank__reading=["<2.0 uS/cm"]))["verdict"] == "fail"
    assert verdict(mixed(facts__reading=["11.0 uS/cm"], blank__reading=["<2.0 uS/cm"]))["verdict"] == "pass"


def test_bound_under_its_blank_is_never_shown_below_the_critical_value():
    row = result(mixed(facts__reading=["<1.0 uS/cm"]), "mixed_salt_per_area")
    assert (row["value"], row["bound"], row["shown"]) == (pytest.approx(-0.8), "<", "<\u00a00.3\u00a0mg/m²")


def test_blank_read_with_another_meter_is_noted():
    document = mixed(blank__equipment=["other"])
    document["equipment"].append({"id": "other", "kind": "conductivity-meter"})
    assert findings(document)["blank.other_meter"]["params"] == {"blank": "B1", "given": "other", "meter": "meter"}
    assert "blank.other_meter" not in findings(mixed(blank__equipment=["meter"]))


def test_blank_that_holds_more_in_more_water_is_found():
    """100 mL at 1.2 µS/cm hold more than 10 mL at 9.1."""
    assert (
        "1.2 uS/cm in 100 mL, more than the extract with 9.1 uS/cm in 10.0 mL"
        in findings(mixed(blank__solution_volume="100 mL"))["blank.exceeds_extract"]["message"]
    )
    assert "blank.exceeds_extract" not in findings(mixed(blank__solution_volume="100 mL", blank__kind="water", criterion__blank_rule="water"))
