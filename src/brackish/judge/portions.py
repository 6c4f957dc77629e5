# SPDX-License-Identifier: MIT
"""Facts of a test and of its separate portions: what was measured, what is missing, which liquid, which blank suits."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from brackish import library
from brackish.judge.outcome import Note
from brackish.judge.patch import solution_volume
from brackish.library.types import Method
from brackish.record.job import Blank, Test

SALT_AMOUNTS = ("mixed_salt_per_area", "nacl_equivalent_per_area", "chloride_bound_per_area")


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


def blank_suits(blank: Blank, method: Method) -> bool:
    """Whether this method takes a blank off its reading, and this one was read in the same kind of unit."""
    reading = method.fact("reading")
    return "blank" in method.corrections and reading is not None and blank.reading[0].dimension == reading.dimension


def no_salt_amount(test: Test, method: Method, quantity: str) -> Note | None:
    """Why the conductivity of this extract gives no salt amount: it is acid, or outside the pH gate."""
    if method.model != "patch" or quantity not in SALT_AMOUNTS:
        return None
    if liquid_of(test, method) == "acid":
        return Note(code="species.acid_extract")
    ph = test.facts.get("ph")
    if ph is None:
        return None
    lowest, highest = (float(library.assumption(f"ph_{end}").value) for end in ("lowest", "highest"))
    if lowest <= ph <= highest:
        return None
    return Note(code="range.ph", params={"given": f"{ph:g}", "lowest": f"{lowest:g}", "highest": f"{highest:g}"})
