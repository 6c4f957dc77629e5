# SPDX-License-Identifier: MIT
"""Facts of a test and of its separate portions: what was measured, what is missing, which liquid."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from brackish.judge.patch import solution_volume
from brackish.library.types import Method
from brackish.record.job import Test


def portions_of(test: Test) -> tuple[Mapping[str, Any], ...]:
    """The facts of each determination, those of the test included; one portion where none are apart."""
    return tuple({**test.facts, **portion} for portion in test.determination) or (test.facts,)


def has_measured(test: Test, method: Method) -> bool:
    """Whether any measured fact of the method was written down: else the test is planned."""
    return any(name in portion for portion in portions_of(test) for name in method.measured)


def missing_facts(test: Test, method: Method) -> list[str]:
    """Required facts not written down, in the method's order."""
    required = [fact.name for fact in method.facts if fact.required]
    missing = [name for name in required if not all(name in portion for portion in portions_of(test))]
    if "solution_volume" in missing and method.fact("volume_injected") and solution_volume(test) is not None:
        missing.remove("solution_volume")
    return missing


def liquid_of(test: Test, method: Method) -> str:
    """water or acid for methods that extract from steel, else nothing."""
    if method.applies_to != "steel" or method.model == "condensation":
        return ""
    stated = test.facts.get("extraction_liquid")
    return str(stated) if stated else ("acid" if method.model == "sleeve" else "water")
