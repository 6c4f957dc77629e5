# SPDX-License-Identifier: MIT
"""Words and units as people read them."""

from __future__ import annotations

import re

import pytest

import brackish
from brackish.quantities import DIMENSIONS, shown_unit
from brackish.report import record
from brackish.report.case import Case
from brackish.report.words import capital, name_of
from tests.judge.jobs import job


def test_no_unit_is_shown_as_it_is_typed_on_a_poor_keyboard():
    shown = {shown_unit(unit) for table in DIMENSIONS.values() for unit in table.units}
    assert [unit for unit in sorted(shown) if re.search(r"^u[A-Za-z]|[a-z][23]\b|deg", unit)] == []


@pytest.mark.parametrize(
    ("key", "words"), [("volume_injected", "Volume injected"), ("full-kit", "Full kit"), ("pre-check", "Pre-check"), ("nacl", "NaCl"), ("ph", "pH")]
)
def test_name_of_key(key, words):
    assert name_of(key) == words


@pytest.mark.parametrize(("text", "wanted"), [("liquid lost", "Liquid lost"), ("pH of the extract", "pH of the extract"), ("", "")])
def test_capital_leaves_ph_as_it_is(text, wanted):
    assert capital(text) == wanted


def test_what_was_assumed_stands_in_one_sentence_with_units_for_people():
    found = [
        {"code": record.ASSUMED, "severity": "warning", "params": {"input": name, "value": value}}
        for name, value in (("reading", "0.1 uS/cm"), ("solution_volume", "0.1 mL"))
    ]
    assert "reading (0.1\u00a0µS/cm); solution volume (0.1\u00a0mL)." in record._assumed(found)[0]["message"]


def test_title_of_a_method_that_is_a_question_ends_as_one():
    document = job(test__method="condensation-check", test__facts={"air_temperature": "20 degC", "relative_humidity": "70 %", "surface_temperature": "18 degC"})
    case = Case(document, brackish.evaluate(document).to_dict())
    assert record.record(case, case.tests["T1"])["under"].startswith("Is the steel far enough above the dew point? 4\xa0March 2026")
