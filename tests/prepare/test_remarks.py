# SPDX-License-Identifier: MIT
"""What a fact just typed gives cause to say is what the judge would find of it, and what is far from usual."""

from __future__ import annotations

import copy

import pytest

import brackish
from brackish.errors import InputError
from brackish.prepare.remarks import remarks
from tests.web.writing import footbridge


def said(facts: dict) -> tuple[list[str], list[str]]:
    document = footbridge()
    document["equipment"][0]["range"] = "0 to 200 uS/cm"
    found = remarks(document=document, test="T1", facts=facts)
    return [each["code"] for each in found["errors"]], [each["code"] for each in found["findings"]]


@pytest.mark.parametrize(
    ("facts", "errors", "findings"),
    [
        ({"reading": ["9.1 uS/cm"]}, [], []),
        ({"cycles": 6, "liquid_lost": False}, [], []),
        ({"cycles": 2}, [], ["dwell.few_cycles"]),
        ({"liquid_lost": True}, [], ["loss.leak"]),
        ({"volume_injected": "6.0 mL"}, [], ["volume.filling"]),
        ({"volume_recovered": "2.0 mL"}, [], ["loss.recovered_short"]),
        ({"volume_recovered": "3.0 mL"}, [], []),
        ({"volume_recovered": "3000 mL"}, [], ["volume.more_back"]),
        ({"volume_injected": "1250 mL"}, [], ["range.unusual", "volume.below_injected", "volume.filling"]),
        ({"solution_volume": "2.0 mL"}, [], ["volume.below_injected"]),
        ({"returned_to": "undiluted"}, [], ["volume.not_undiluted"]),
        ({"compartment_area": "12.5 mm2"}, [], ["blank.share_of_limit", "range.unusual", "volume.filling", "volume.slip_of_unit"]),
        ({"temperature": "206 degC"}, [], ["range.unusual"]),
        ({"dwell": "600 min"}, [], ["range.unusual"]),
        ({"temperature": "49.9 degC"}, [], []),
        ({"reading": ["62 mS/m"]}, [], ["range.instrument"]),
        ({"reading": ["1.0 uS/cm"]}, [], ["blank.exceeds_extract"]),
        ({"ph": "11"}, [], ["range.ph"]),
        ({"reading": ["9.1"]}, ["quantity.bare_number"], []),
        ({"reading": ["9.1 mL"]}, ["quantity.wrong_dimension"], []),
        ({"returned_to": "the sea"}, ["input.not_one_of"], []),
    ],
)
def test_each_fact_gets_its_own_remark(facts, errors, findings):
    assert said(facts) == (errors, findings)


@pytest.mark.parametrize("facts", [{"cycles": 2}, {"liquid_lost": True}, {"volume_injected": "6.0 mL"}, {"volume_recovered": "2.0 mL"}, {"ph": "11"}])
def test_a_remark_is_what_the_judge_finds(facts):
    document = footbridge()
    document["test"][0]["facts"] |= facts
    judged = brackish.evaluate(document).to_dict()["tests"][0]["findings"]
    for finding in remarks(document=footbridge(), test="T1", facts=facts)["findings"]:
        assert finding in judged


def test_the_agreed_time_is_the_contracts():
    document = footbridge()
    document["specification"][0]["criterion"][0]["dwell"] = "10 min"
    found = remarks(document=document, test="T1", facts={"dwell": "9.9 min"})["findings"]
    assert [each["code"] for each in found] == ["dwell.short"]
    assert remarks(document=document, test="T1", facts={"dwell": "10.0 min"})["findings"] == []


def test_an_old_fault_elsewhere_is_not_blamed_on_the_fact():
    document = footbridge(2)
    document["test"][1]["facts"]["reading"] = ["nonsense"]
    document["test"][0]["facts"]["temperature"] = "warm"
    assert remarks(document=document, test="T1", facts={"cycles": 6}) == {"errors": [], "findings": []}


def test_portions_and_planned_tests_have_remarks_too():
    document = footbridge()
    document["item"].append({"id": "lot", "kind": "abrasive", "name": "Lot FM-7781"})
    document["test"] = [{"id": "A1", "item": "lot", "method": "abrasive-conductivity"}]
    before = copy.deepcopy(document)
    found = remarks(document=document, test="A1", facts={"mass": "10 mL"}, determination=1)
    assert len(found["errors"]) == 1
    assert document == before


def test_a_test_that_is_not_there_is_an_error():
    with pytest.raises(InputError):
        remarks(document=footbridge(), test="T9", facts={})
