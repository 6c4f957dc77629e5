# SPDX-License-Identifier: MIT
"""A job of any size, the same each time: an invented girder with one patch test at each location."""

from __future__ import annotations

from typing import Any


def patch_job(tests: int) -> dict[str, Any]:
    return {
        "format": "brackish-job/1",
        "job": {"id": "0b0e6a52-6d0e-4b57-9d5e-6f2f4f0f7a11", "title": f"Girder with {tests} patch tests", "site": "Pell Quay"},
        "specification": [{"id": "paint-spec", "title": "Coating specification 7", "criterion": [CRITERION]}],
        "person": [{"id": "tester-a", "name": "Ines Farrow", "role": "tester"}],
        "equipment": [METER],
        "item": [{"id": "girder", "kind": "steel", "name": "Girder 2, web", "area": f"{tests} m2"}],
        "location": [{"id": f"L{n}", "item": "girder", "name": f"weld {n}"} for n in range(1, tests + 1)],
        "blank": [{"id": "B1", "kind": "full-kit", "at": at(0), "solution_volume": "10.0 mL", "reading": ["1.2 uS/cm"], "temperature": "25.0 degC"}],
        "test": [patch_test(n) for n in range(1, tests + 1)],
    }


def at(minute: int) -> str:
    return f"2026-03-{4 + minute // 600:02}T{8 + minute // 60 % 10:02}:{minute % 60:02}:00+00:00"


def patch_test(n: int) -> dict[str, Any]:
    facts = {
        "compartment_area": "1250 mm2",
        "volume_injected": "3.0 mL",
        "returned_to": "beaker",
        "solution_volume": "10.0 mL",
        "dwell": "10 min",
        "cycles": 6,
        "liquid_lost": False,
        "reading": [f"{4 + n % 13}.{n % 10} uS/cm"],
        "temperature": f"{22 + n % 5}.0 degC",
    }
    test = {
        "id": f"T{n}",
        "item": "girder",
        "location": f"L{n}",
        "method": "patch-conductivity",
        "purpose": "acceptance",
        "stage": "after-blasting",
        "round": 1,
    }
    return test | {"started": at(2 * n), "read_at": at(2 * n + 11), "tester": "tester-a", "equipment": ["meter"], "blank": "B1", "facts": facts}


CRITERION = {
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
    "reference_temperature": "25 degC",
    "count": "1 per 50 m2",
    "stage": "after-blasting",
}

METER = {
    "id": "meter",
    "kind": "conductivity-meter",
    "serial": "C-1207",
    "resolution": "0.1 uS/cm",
    "accuracy": "1 %",
    "temperature_compensation": "linear",
    "temperature_coefficient": "2.1 %/K",
    "reference_temperature": "25 degC",
}
