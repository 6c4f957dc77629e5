# SPDX-License-Identifier: MIT
"""A footbridge at Pell Quay, invented: six patch tests with a leak, a result in doubt, a retest after washing."""

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
    "nonconformance": [{"tests": ["T5"], "cause": "spray in the night of 3 March", "disposition": "wash", "raised_by": "jr", "closed_by": "mo"}],
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
        deviations=[
            {
                "what": "Beside the first spot, not on it",
                "why": "the first extraction took its salt",
                "agreed_by": "jr",
                "agreed_at": "2026-03-05T10:05:00+00:00",
            }
        ],
    ),
]


def many_tests(count: int, *, items: int = 10) -> Document:
    """The same steel with many locations, one test at each."""
    job = copy.deepcopy(JOB)
    first = job["test"][0]
    job["specification"][0]["criterion"][0]["count"] = f"{count // items} per item"
    job["item"] = [{"id": f"i{number}", "kind": "steel", "name": f"Block {number + 1}, plate", "area": "40 m2"} for number in range(items)]
    item_of = [f"i{number * items // count}" for number in range(count)]
    job["location"] = [{"id": f"L{number}", "item": item, "name": f"frame {number}, weld"} for number, item in enumerate(item_of)]
    job["test"] = [
        first | {"id": f"T{number + 1}", "item": item, "location": f"L{number}", "facts": _facts(f"{4 + number * 37 % 90 / 10:.1f} uS/cm", "18.5 degC")}
        for number, item in enumerate(item_of)
    ]
    job["nonconformance"], job["reclean"] = [], []
    return job
