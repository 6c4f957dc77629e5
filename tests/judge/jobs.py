# SPDX-License-Identifier: MIT
"""Small jobs for tests: the contract's example job, and changes to it by path."""

from __future__ import annotations

import copy
import tomllib
from typing import Any

CONTRACT_JOB = """
format = "brackish-job/1"
[job]
id = "0b0e6a52-6d0e-4b57-9d5e-6f2f4f0f7a11"
[[specification]]
id = "paint-spec"
[[specification.criterion]]
id = "steel"
applies_to = "steel"
quantity = "nacl_equivalent_per_area"
sense = "at-most"
limit = "50 mg/m2"
judged = "each"
decision_rule = "three-way"
guard_band = "two-sided"
level = "95 %"
uncertainty = "budget"
on_inconclusive = "retest"
reference_temperature = "25 degC"
count = "1 per item"
stage = "after-blasting"
blank_rule = "full-kit"
[[equipment]]
id = "meter"
kind = "conductivity-meter"
resolution = "0.1 uS/cm"
accuracy = "1 %"
temperature_compensation = "linear"
temperature_coefficient = "2.1 %/K"
reference_temperature = "25 degC"
[[item]]
id = "girder"
kind = "steel"
area = "46 m2"
[[location]]
id = "L1"
item = "girder"
[[blank]]
id = "B1"
kind = "full-kit"
solution_volume = "10.0 mL"
reading = ["1.2 uS/cm"]
temperature = "25.0 degC"
[[test]]
id = "T1"
item = "girder"
location = "L1"
method = "patch-conductivity"
stage = "after-blasting"
started = "2026-03-04T09:05:00+00:00"
read_at = "2026-03-04T09:16:00+00:00"
equipment = ["meter"]
blank = "B1"
[test.facts]
compartment_area = "1250 mm2"
volume_injected = "3.0 mL"
returned_to = "beaker"
solution_volume = "10.0 mL"
dwell = "10 min"
cycles = 6
liquid_lost = false
reading = ["9.1 uS/cm"]
temperature = "25.0 degC"
"""


def job(**changes: Any) -> dict[str, Any]:
    """The contract's example job with changes, each named by its path with double underscores.

    `criterion`, `equipment`, `item`, `blank`, `test`, `facts` stand for the first of their kind;
    a value None takes the key away.
    """
    document = tomllib.loads(CONTRACT_JOB)
    for path, value in changes.items():
        table, key = path.split("__", 1)
        target = first(document, table)
        if value is None:
            target.pop(key, None)
        else:
            target[key] = copy.deepcopy(value)
    return document


def first(document: dict[str, Any], table: str) -> dict[str, Any]:
    """The first table of a kind in a job document."""
    if table == "criterion":
        return document["specification"][0]["criterion"][0]
    if table == "facts":
        return document["test"][0]["facts"]
    return document[table][0]


def with_tests(document: dict[str, Any], *rows: dict[str, Any]) -> dict[str, Any]:
    """The job with further tests, each a copy of the first with these keys changed; `facts` are merged."""
    document = copy.deepcopy(document)
    model = document["test"][0]
    for row in rows:
        facts = {**model["facts"], **row.get("facts", {})}
        document["test"].append({**copy.deepcopy(model), **row, "facts": facts})
    known = {location["id"] for location in document["location"]}
    for test in document["test"]:
        if test.get("location") and test["location"] not in known:
            known.add(test["location"])
            document["location"].append({"id": test["location"], "item": test["item"]})
    return document
