# SPDX-License-Identifier: MIT
"""The traps of a clause: one function a code, each with the size of its effect for this clause.

A trap is reported once for a text, at the first place it applies to. What is missing has no words of
its own: its span is the sentence of the limit. Next: `questions.py`, which asks what settles each.
"""

from __future__ import annotations

from collections.abc import Callable

from brackish.prepare.clause.passages import Survey
from brackish.prepare.clause.reading import Trap
from brackish.prepare.clause.traps import answers, meaning, methods, missing, no_limit
from brackish.prepare.clause.traps.common import Found

_TRAPS: dict[str, Callable[[Survey], Found]] = {
    "conductivity_without_volume_and_area": meaning.conductivity_without_volume_and_area,
    "species_missing": meaning.species_missing,
    "unit_factor_conflict": meaning.unit_factor_conflict,
    "concentration_without_volume_and_area": meaning.concentration_without_volume_and_area,
    "impossible_unit": meaning.impossible_unit,
    "method_cannot_give_quantity": methods.method_cannot_give_quantity,
    "edition_doubtful": methods.edition_doubtful,
    "each_or_mean_missing": missing.each_or_mean_missing,
    "count_or_place_missing": missing.count_or_place_missing,
    "failure_action_missing": missing.failure_action_missing,
    "limit_elsewhere": no_limit.limit_elsewhere,
    "none_detectable": no_limit.none_detectable,
    "limit_below_capability": no_limit.limit_below_capability,
    "or_equivalent": no_limit.or_equivalent,
    "blank_rule_missing": missing.blank_rule_missing,
    "stage_missing": missing.stage_missing,
    "new_abrasive_limit_on_recycled": no_limit.new_abrasive_limit_on_recycled,
    "dual_units_differ": meaning.dual_units_differ,
    "two_limits": answers.two_limits,
    "language_precedence": answers.language_precedence,
    "reference_temperature_missing": missing.reference_temperature_missing,
    "abrasive_basis_missing": missing.abrasive_basis_missing,
}
CODES = tuple(f"clause.{code}" for code in _TRAPS)


def find(survey: Survey) -> list[Trap]:
    """Every trap of the text, in the order of the table; none without a requirement."""
    if not survey.claims:
        return []
    out = []
    for code, function in _TRAPS.items():
        for span, params, message in function(survey):
            out.append(Trap(code=f"clause.{code}", span=span, params=params, message=message))
            break
    return sorted(out, key=lambda trap: (trap.span, trap.code))
