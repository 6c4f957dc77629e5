# SPDX-License-Identifier: MIT
"""Events and a job to write with."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from brackish.record.event import Event, make_event
from brackish.record.fold import events_of_document

JOB = "0b0e6a52-6d0e-4b57-9d5e-6f2f4f0f7a11"
MADE = "2026-03-04T09:05:00+00:00"


@dataclass
class Writer:
    """One device of one author, in the order it writes."""

    author: str
    device: str
    last: Event | None = None

    def set(self, path: Iterable[str], value: object, *, base: Iterable[str] = (), reason: str = "") -> Event:
        return self.write("set", path, value, base=base, reason=reason)

    def write(self, kind: str, path: Iterable[str], value: object = None, *, base: Iterable[str] = (), reason: str = "") -> Event:
        self.last = make_event(
            job=JOB, device=self.device, author=self.author, made=MADE, kind=kind, path=list(path), value=value, reason=reason, after=self.last, base=base
        )
        return self.last

    def document(self, document: dict[str, Any]) -> list[Event]:
        events = events_of_document(document=document, job=JOB, device=self.device, author=self.author, made=MADE, after=self.last)
        self.last = events[-1]
        return events


def footbridge(tests: int = 1) -> dict[str, Any]:
    """A job that can be judged: the contract's example, with as many patch tests as asked."""
    return {
        "format": "brackish-job/1",
        "job": {"id": JOB, "title": "Footbridge over the Pell, span 2", "site": "Pell Quay"},
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
                        "reference_temperature": "25 degC",
                        "count": "1 per item",
                        "blank_rule": "full-kit",
                        "stage": "after-blasting",
                    }
                ],
            }
        ],
        "person": [{"id": "tester-a", "name": "Ines Farrow", "role": "tester"}],
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
            }
        ],
        "item": [{"id": "girder", "kind": "steel", "name": "Girder 2, web", "area": "46 m2"}],
        "location": [{"id": f"L{number}", "item": "girder", "name": f"lower flange, {number} m from bearing"} for number in range(1, tests + 1)],
        "blank": [
            {
                "id": "B1",
                "kind": "full-kit",
                "at": "2026-03-04T08:50:00+00:00",
                "solution_volume": "10.0 mL",
                "reading": ["1.2 uS/cm"],
                "temperature": "25.0 degC",
            }
        ],
        "test": [_test(number) for number in range(1, tests + 1)],
    }


def _test(number: int) -> dict[str, Any]:
    return {
        "id": f"T{number}",
        "item": "girder",
        "location": f"L{number}",
        "method": "patch-conductivity",
        "purpose": "acceptance",
        "stage": "after-blasting",
        "started": "2026-03-04T09:05:00+00:00",
        "read_at": "2026-03-04T09:16:00+00:00",
        "tester": "tester-a",
        "equipment": ["meter"],
        "blank": "B1",
        "facts": {
            "compartment_area": "1250 mm2",
            "volume_injected": "3.0 mL",
            "returned_to": "beaker",
            "solution_volume": "10.0 mL",
            "dwell": "10 min",
            "cycles": 6,
            "liquid_lost": False,
            "reading": ["9.1 uS/cm"],
            "temperature": "25.0 degC",
        },
    }
