# SPDX-License-Identifier: MIT
"""What a blank takes off, and when there may be a verdict without one."""

from __future__ import annotations

import pytest

from tests.judge.jobs import job
from tests.judge.reading import budget, codes, findings, result, verdict


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
    assert "blank.other_unit" in findings(document)
    assert codes(verdict(document)) == ["blank.missing"]


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
