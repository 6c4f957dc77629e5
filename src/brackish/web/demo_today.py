# SPDX-License-Identifier: MIT
"""What is going on in the demo today: on the footbridge one test holds water and two wait to be started.

Its times count from the moment at which the demo is made, so that the day has work to show whenever
it is opened. The inconclusive place is tested again, as was agreed; with that result the job can be signed.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from brackish.record.paths import paths_of

Entry = dict[str, Any]
Written = tuple[tuple[str, ...], object, str, str]  # path, value, when, by whom

JOB = "Footbridge over the Pell, span 2"
INSPECTOR, TESTER = "jonna.reith", "ines.farrow"
PLANNED, CHECKED = 75, 45  # minutes ago: the tests planned, the meter and its blank read
BEGUN = {"choose": 12, "water": 11, "fit": 10, "inject": 9, "dwell": 8}  # step of T7 -> minutes ago; two are left of its ten


def today(at: datetime) -> list[Written]:
    """The entries of today, oldest first, as `demo.events` writes them."""

    def ago(minutes: float) -> str:
        midnight = at.replace(hour=0, minute=0, second=0, microsecond=0)  # just after it, a blank of minutes ago would be yesterday's
        return max(at - timedelta(minutes=minutes), midnight).isoformat(timespec="seconds")

    def entries(table: str, rows: list[Entry], minutes: float, author: str) -> list[Written]:
        return [(path, value, ago(minutes), author) for path, value in paths_of({table: rows})]

    later = (at + timedelta(days=300)).date().isoformat()
    patch = {"item": "girder", "method": "patch-conductivity", "stage": "after-blasting"}
    planned: list[Entry] = [
        {"id": "T7", **patch, "location": "L4", "purpose": "retest", "round": 2, "retest_of": "T5", "tester": "tester-a"},
        {"id": "T8", **patch, "location": "L3", "purpose": "pre-check"},
        {"id": "T9", **patch, "location": "L1", "purpose": "training"},
    ]
    kit: list[Entry] = [
        {"id": "kcl-today", "kind": "solution", "name": "KCl 0.001 mol/L", "lot": "K-0415", "expiry": later}
        | {"certificate": "K-0415, 0.5 %, k = 2", "certified_uncertainty": "0.5 %", "coverage_factor": "2"},
        {"id": "cells-today", "kind": "compartment", "lot": "P-2304", "expiry": later, "accuracy": "1 %"},
    ]
    checked = {"at": ago(CHECKED), "solution": "KCl 0.001 mol/L", "reading": "146.4 uS/cm", "temperature": "25.0 degC", "bottle": "kcl-today", "by": "tester-a"}
    weather = {"at": ago(CHECKED), "air_temperature": "12.6 degC", "relative_humidity": "64 %", "surface_temperature": "11.8 degC"}
    blank = {"id": "B3", "kind": "full-kit", "at": ago(CHECKED), "solution_volume": "10.0 mL", "reading": ["1.2 uS/cm"], "temperature": "20.8 degC"}
    return [
        *entries("test", planned, PLANNED, INSPECTOR),
        *entries("equipment", kit, CHECKED, TESTER),
        *((("equipment", "meter", "verification", "#3", name), value, ago(CHECKED), TESTER) for name, value in checked.items()),
        *((("conditions", "#2", name), value, ago(CHECKED), TESTER) for name, value in weather.items()),
        *entries("blank", [blank], CHECKED, TESTER),
        *_begun(ago),
    ]


def _begun(ago: Any) -> list[Written]:
    """T7 up to the water on the steel, as its run wrote it."""
    started = BEGUN["choose"]
    kit = {"x-devices": "allowed", "equipment": ["meter", "flask", "cells-today", "thermometer"], "blank": "B3", "started": ago(started)}
    facts = {"fit": ("compartment_area", "1250 mm2"), "inject": ("volume_injected", "3.0 mL")}
    found: list[Written] = [(("test", "T7", name), value, ago(started), TESTER) for name, value in kit.items()]
    for step, minutes in BEGUN.items():
        found.append((("test", "T7", "x-steps", step), ago(minutes), ago(minutes), TESTER))
        if step in facts:
            name, value = facts[step]
            found.append((("test", "T7", "facts", name), value, ago(minutes), TESTER))
    return found
