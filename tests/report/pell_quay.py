# SPDX-License-Identifier: MIT
"""A footbridge at Pell Quay, invented: job and a hand-made outcome in the shape of the contract.

The pages must set any outcome of that shape, whoever made it, so these tests do not judge. The
numbers are plausible and nothing more; what numbers are right is checked in `tests/judge/`.
"""

from __future__ import annotations

import copy
from typing import Any

Document = dict[str, Any]

JOB: Document = {
    "format": "brackish-job/1",
    "job": {"id": "0b0e6a52-6d0e-4b57-9d5e-6f2f4f0f7a11", "title": "Footbridge over the Pell, span 2", "site": "Pell Quay"},
    "specification": [
        {
            "id": "paint-spec",
            "title": "Coating specification 7, issue C",
            "criterion": [
                {
                    "id": "steel",
                    "applies_to": "steel",
                    "quantity": "nacl_equivalent_per_area",
                    "sense": "at-most",
                    "limit": "50 mg/m2",
                    "judged": "each",
                    "decision_rule": "three-way",
                    "guard_band": "two-sided",
                    "level": "95 %",
                    "uncertainty": "budget",
                    "on_inconclusive": "retest",
                    "on_failure": "wash with fresh water, dry, test again there and beside it",
                    "reference_temperature": "25 degC",
                    "count": "2 per item",
                    "stage": "after-blasting",
                    "blank_rule": "full-kit",
                    "source": {
                        "document": "Coating specification 7",
                        "edition": "issue C",
                        "clause": "4.2",
                        "text": "The level of soluble salts on blast-cleaned steel shall not exceed 50 mg/m², as sodium chloride, at each of two locations per item.",
                    },
                    "agreed": {"what": "rule, guard band, blank", "by": "owner, contractor and inspector", "at": "2026-03-02", "document": "minutes 4"},
                }
            ],
        }
    ],
    "person": [
        {"id": "jr", "name": "Jonna Reith", "role": "inspector", "employer": "Reith Surveys"},
        {"id": "ta", "name": "Tomas Abell", "role": "tester", "employer": "Reith Surveys"},
        {"id": "mo", "name": "Mirel Osei", "role": "owner", "employer": "Pell Quay Harbour Trust"},
    ],
    "equipment": [
        {
            "id": "meter",
            "kind": "conductivity-meter",
            "serial": "C-1207",
            "resolution": "0.1 uS/cm",
            "accuracy": "1 %",
            "temperature_compensation": "linear",
            "temperature_coefficient": "2.1 %/K",
            "reference_temperature": "25 degC",
            "verification": [
                {"at": "2026-03-04T07:40:00+00:00", "solution": "KCl 0.001 mol/L", "reading": "146.2 uS/cm", "temperature": "25.0 degC"},
            ],
        },
        {"id": "patches", "kind": "compartment", "lot": "box 18", "expiry": "2027-06-30"},
    ],
    "item": [
        {"id": "girder", "kind": "steel", "name": "Girder 2, web", "area": "46 m2"},
        {"id": "pier", "kind": "steel", "name": "Pier 2 foot", "area": "12 m2"},
    ],
    "location": [
        {"id": "L1", "item": "girder", "name": "lower flange weld, 2 m from bearing", "features": ["weld"]},
        {"id": "L2", "item": "girder", "name": "web, mid-span"},
        {"id": "L3", "item": "girder", "name": "web, below drain hole"},
        {"id": "L4", "item": "pier", "name": "weld toe, 0.4 m above high water", "features": ["weld"]},
        {"id": "L5", "item": "pier", "name": "ledge, 0.8 m above high water", "features": ["ledge"], "orientation": "horizontal, upper side"},
    ],
    "blank": [
        {"id": "B1", "kind": "full-kit", "at": "2026-03-04T07:52:00+00:00", "solution_volume": "10.0 mL", "reading": ["1.2 uS/cm"], "temperature": "18.4 degC"}
    ],
    "conditions": [
        {"at": "2026-03-04T08:50:00+00:00", "air_temperature": "9.5 degC", "relative_humidity": "71 %", "surface_temperature": "11.0 degC", "remarks": "dry"}
    ],
    "nonconformance": [
        {"tests": ["T5"], "cause": "spray in the night of 3 March", "disposition": "wash", "raised_by": "jr", "closed_by": "mo"}
    ],
    "reclean": [
        {"locations": ["L5"], "method": "fresh-water wash at 25 MPa", "water": "3.1 uS/cm", "finished_at": "2026-03-05T08:50:00+00:00"},
    ],
    "test": [],
}


def _facts(reading: str, temperature: str, **other: object) -> Document:
    return {
        "compartment_area": "1250 mm2",
        "volume_injected": "3.0 mL",
        "returned_to": "beaker",
        "solution_volume": "10.0 mL",
        "dwell": "10 min",
        "cycles": 6,
        "liquid_lost": False,
        "reading": [reading],
        "temperature": temperature,
    } | other


def _test(id: str, item: str, location: str, at: str, reading: str, **more: object) -> Document:
    return {
        "id": id,
        "item": item,
        "location": location,
        "method": "patch-conductivity",
        "purpose": "acceptance",
        "stage": "after-blasting",
        "round": 1,
        "started": f"2026-03-04T{at}:00+00:00",
        "read_at": f"2026-03-04T{at[:3]}{int(at[3:]) + 11:02d}:00+00:00",
        "tester": "ta",
        "witnesses": [{"person": "jr", "present": True}],
        "equipment": ["meter", "patches"],
        "blank": "B1",
        "facts": _facts(reading, "18.5 degC"),
    } | more


JOB["test"] = [
    _test("T1", "girder", "L1", "09:05", "9.1 uS/cm"),
    _test("T2", "girder", "L2", "09:12", "5.6 uS/cm"),
    _test("T3", "girder", "L3", "09:20", "4.0 uS/cm", facts=_facts("4.0 uS/cm", "18.6 degC", liquid_lost=True)),
    _test("T4", "pier", "L4", "09:31", "14.4 uS/cm"),
    _test("T5", "pier", "L5", "09:40", "19.8 uS/cm"),
    _test(
        *("T6", "pier", "L5", "10:12", "7.4 uS/cm"),
        purpose="retest",
        round=2,
        retest_of="T5",
        started="2026-03-05T10:12:00+00:00",
        read_at="2026-03-05T10:23:00+00:00",
        deviations=[{"what": "Beside the first spot, not on it", "why": "the first extraction took its salt", "agreed_by": "jr", "agreed_at": "2026-03-05T10:05:00+00:00"}],
    ),
]

ASSUMED = {
    "code": "uncertainty.assumed",
    "severity": "warning",
    "params": {"input": "temperature_coefficient"},
    "message": "The temperature coefficient of the solution is assumed, ±0.1 %/K: common practice, no source.",
}
NOTE = {"code": "dwell.not_agreed", "severity": "note", "params": {}, "message": "The time on the steel is not agreed in the contract; it was 10 min."}
LEAK = {"code": "loss.leak", "severity": "void", "params": {}, "message": "Liquid was lost, so the test is void: what was left does not tell what was there."}


def _budget(size: float) -> list[Document]:
    rows = [
        *(("blank", 1.2, "uS/cm", 0.075, 0.56, "measured"), ("solution_volume", 10.0, "mL", 0.04, 0.39, "declared")),
        *(("temperature", 18.5, "degC", 0.15, 0.36, "declared"), ("reading", 14.4, "uS/cm", 0.04, 0.30, "measured")),
        *(("meter_gain", 1.0, "", 0.003, 0.30, "measured"), ("compartment_area", 1250.0, "mm2", 3.5, 0.28, "certificate")),
        ("temperature_coefficient", 2.0, "%/K", 0.058, 0.22, "assumed"),
    ]
    return [
        {"input": name, "value": value, "unit": unit, "standard_uncertainty": u, "sensitivity": part / u, "contribution": part * size, "provenance": origin}
        for name, value, unit, u, part, origin in rows
    ]


def _result(quantity: str, value: float, expanded: float, reading: float, *, steps: bool) -> Document:
    result: Document = {
        "quantity": quantity,
        "value": value,
        "unit": "mg/m2",
        "shown": f"{value:.1f}\u00a0mg/m²",
        "detected": True,
        "standard_uncertainty": expanded / 2,
        "degrees_of_freedom": None,
        "coverage_factor": 2.0,
        "expanded_uncertainty": expanded,
        "level": 0.95,
        "basis": {"reference_temperature": "25 degC", "temperature_model": "as-displayed", "uncertainty": "budget"},
    }
    if steps:
        result["budget"] = _budget(expanded / 1.9)
        concentration = value * 0.125
        result["steps"] = [
            {"text": "Difference of sample and blank", "formula": f"{reading} − 1.2, both as displayed", "value": 1, "shown": f"{reading - 1.2:.1f}\u00a0µS/cm"},
            {"text": "Sodium chloride that conducts the same", "formula": "C(ks) − C(kb)", "value": 1, "shown": f"{concentration:.2f}\u00a0mg/L"},
            {"text": "Over the patch", "formula": f"{concentration:.2f} × 10.0 / 1250", "value": 1, "shown": f"{value:.1f}\u00a0mg/m²"},
        ]
    return result


def _judged(id: str, value: float, expanded: float, reading: float, verdict: str, probability: float, said: str) -> Document:
    test = next(test for test in JOB["test"] if test["id"] == id)
    return {
        "id": id,
        "item": test["item"],
        "method": "patch-conductivity",
        "method_version": "1.0",
        "state": "valid",
        "results": [
            _result("nacl_equivalent_per_area", value, expanded, reading, steps=True),
            _result("mixed_salt_per_area", value * 1.074, expanded * 1.07, reading, steps=False),
        ],
        "findings": [ASSUMED, NOTE],
        "verdicts": [
            {
                "criterion": "steel",
                "verdict": verdict,
                "comparison": "over" if value > 50 else "below",
                "decision_rule": "three-way",
                "limit": 50.0,
                "value": value,
                "unit": "mg/m2",
                "guard_band": expanded,
                "probability_over_limit": probability,
                "shown": said,
                "reasons": [],
            }
        ],
    }


OUTCOME: Document = {
    "format": "brackish-outcome/1",
    "engine": "0.1.0",
    "job_hash": "sha256:" + "5f3c" * 16,
    "tests": [
        _judged("T1", 29.42, 1.5, 9.1, "pass", 0.0, "At or below 50 less the guard band of 1.5: passes. The chance of being over 50 is < 0.1 %."),
        _judged("T2", 16.4, 1.4, 5.6, "pass", 0.0, "At or below 50 less the guard band of 1.4: passes. The chance of being over 50 is < 0.1 %."),
        {"id": "T3", "item": "girder", "method": "patch-conductivity", "method_version": "1.0", "state": "void", "results": [], "findings": [LEAK], "verdicts": []},
        _judged("T4", 49.2, 1.9, 14.4, "inconclusive", 0.2, "With its uncertainty the result lies on both sides of the limit. The chance of being over 50 is 20 %."),
        _judged("T5", 69.4, 2.4, 19.8, "fail", 1.0, "Over 50 by more than the guard band of 2.4: fails."),
        _judged("T6", 23.1, 1.4, 7.4, "pass", 0.0, "At or below 50 less the guard band of 1.4: passes. The chance of being over 50 is < 0.1 %."),
    ],
    "items": [
        {"id": "girder", "verdicts": [{"criterion": "steel", "verdict": "pass", "counted": 2, "required": 2, "reasons": []}]},
        {"id": "pier", "verdicts": [{"criterion": "steel", "verdict": "inconclusive", "counted": 2, "required": 2, "reasons": ["T4 lies in the guard band."]}]},
    ],
    "job": {
        "verdict": "inconclusive",
        "findings": [],
        "reasons": [],
        "summary": [
            "Girder 2 meets clause 4.2 at both locations tested.",
            "At pier 2 foot one location is inconclusive: it has neither passed nor failed, and a retest follows. The other failed on 4 March and passed on 5 March, after washing.",
        ],
    },
}


def footbridge() -> tuple[Document, Document]:
    """Job and outcome, to change at will."""
    return copy.deepcopy(JOB), copy.deepcopy(OUTCOME)
