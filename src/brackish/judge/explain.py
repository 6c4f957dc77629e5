# SPDX-License-Identifier: MIT
"""Two sentences on one verdict for a customer: what was found against what is allowed, and what that means.

No number is made here: values come as the outcome's `shown` texts. Short words; the salt is always named.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

COUNTED = {  # quantity -> how the amount is named in a sentence
    "extract_conductivity": "in the extract",
    "mixed_salt_per_area": "of salt, counted as mixed salts",
    "nacl_equivalent_per_area": "of salt, counted as sodium chloride",
    "chloride_per_area": "of chloride",
    "chloride_as_nacl_per_area": "of chloride, counted as sodium chloride",
    "abrasive_conductivity_by_mass": "in the extract of the abrasive, taken by mass",
    "abrasive_conductivity_by_volume": "in the extract of the abrasive, taken by volume",
    "chloride_mass_fraction": "of chloride in the abrasive",
    "water_conductivity": "in the water",
    "chloride_concentration": "of chloride in the liquid",
    "condensation_margin": "between the steel and the dew point",
    "dew_point": "as the dew point",
}
ABOUT = {  # what is judged -> how a sentence about it begins, and what it is called after that
    "steel": ("At", "this place"),
    "abrasive": ("For", "this sample"),
    "extraction-water": ("For", "this water"),
    "washing-water": ("For", "this water"),
}
PLACED = frozenset("above at behind below beside between in inside near on over under".split())  # a name that says by itself where
ALLOWED = {
    "at-most": "the contract allows at most",
    "below": "the contract asks for less than",
    "at-least": "the contract asks for at least",
    "": "the contract names",
}
NEXT = {
    "retest": "it is tested again",
    "reject": "that counts as not met",
    "refer": "the parties named in the contract decide",
    "": "what follows was not agreed, so the parties decide",
}


def customer(
    verdict: Mapping[str, Any],
    *,
    place: str,
    sense: str,
    applies_to: str = "steel",
    uncertainty: str = "",
    on_failure: str = "",
    on_inconclusive: str = "",
) -> list[str]:
    """Two sentences to be read out: found and allowed, then what follows by the agreed rule.

    Parameters
    ----------
    verdict : table
        One verdict of a test as it stands in the outcome.
    place : text
        Where, as people call it: location and item.
    sense : text
        at-most, below or at-least.
    applies_to : text
        What the requirement is about, as its field says: steel, abrasive, a water.
    uncertainty : text
        The result's `shown_uncertainty`; empty for a bound.
    on_failure, on_inconclusive : text
        What the contract says follows.

    Returns
    -------
    two texts

    """
    at, thing = ABOUT[applies_to]
    begins = f"{place[:1].upper()}{place[1:]}" if place.partition(" ")[0] in PLACED else f"{at} {place}"
    return [_found(verdict, begins, sense), _means(verdict, thing, uncertainty, on_failure, on_inconclusive)]


def _found(verdict: Mapping[str, Any], at_place: str, sense: str) -> str:
    if any(reason["code"] == "criterion.quantity_missing" for reason in verdict.get("reasons", [])):
        return f"{at_place} nothing can be held to the limit: what is counted is not agreed."
    if "shown_value" not in verdict:
        return f"{at_place} there is no result yet."
    found = f"{at_place} we found {verdict['shown_value']} {COUNTED.get(verdict.get('quantity', ''), '')}".rstrip()
    if "shown_rounded" in verdict:
        found += f", rounded to {verdict['shown_rounded']} as agreed"
    return f"{found}; {ALLOWED[sense]} {verdict['shown_limit']}." if "shown_limit" in verdict else f"{found}; no limit is agreed."


def _means(verdict: Mapping[str, Any], thing: str, uncertainty: str, on_failure: str, on_inconclusive: str) -> str:
    kind = verdict["verdict"]
    if kind == "withheld":
        reasons = [reason["message"] for reason in verdict.get("reasons", [])]
        return f"No verdict can be given yet. {reasons[0]}" if reasons else "No verdict can be given yet."
    off = f"Our measurement can be off by {uncertainty.removeprefix('±').strip()} either way" if uncertainty else "As far as this method can tell"
    if kind == "inconclusive":
        return f"{off}, so by the rule agreed beforehand {thing} has neither passed nor failed; {NEXT[on_inconclusive]}."
    if kind == "fail":
        then = f" What follows: {on_failure.rstrip('.')}." if on_failure else ""
        return f"{off}, and by the rule agreed beforehand {thing} does not pass.{then}"
    if verdict.get("accepted"):
        return f"{off}; past the limit by no more than {verdict['shown_guard_band']} is accepted by the rule agreed beforehand, so {thing} is accepted."
    return f"{off}, and by the rule agreed beforehand {thing} passes; that holds for {thing} at that time."
