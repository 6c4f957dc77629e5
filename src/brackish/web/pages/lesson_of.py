# SPDX-License-Identifier: MIT
"""Which lesson explains a finding or a trap: the longest beginning of its code that stands here; many need none."""

from __future__ import annotations

LESSON_OF = {
    "volume.": "volume",
    "area.": "volume",
    "loss.": "volume",
    "consistency.extract_volume": "volume",
    "clause.conductivity_without_volume_and_area": "volume",
    "clause.concentration_without_volume_and_area": "volume",
    "water.": "blank",
    "blank.": "blank",
    "criterion.blank_rule_missing": "blank",
    "clause.blank_rule_missing": "blank",
    "clause.none_detectable": "blank",
    "clause.limit_below_capability": "blank",
    "species.acid_extract": "species",
    "species.other_liquid": "species",
    "consistency.chloride": "species",
    "certificate.other_basis": "species",
    "certificate.basis_missing": "species",
    "compare.liquid": "species",
    "compare.mass_volume": "species",
    "compare.chloride_total": "species",
    "compare.other_quantity": "species",
    "range.ph": "species",
    "criterion.quantity_missing": "species",
    "criterion.method_cannot_give": "species",
    "criterion.extraction_liquid_missing": "species",
    "clause.species_missing": "species",
    "clause.unit_factor_conflict": "species",
    "clause.impossible_unit": "species",
    "clause.method_cannot_give_quantity": "species",
    "clause.abrasive_basis_missing": "species",
    "clause.dual_units_differ": "species",
    "temperature.as_displayed": "temperature",
    "temperature.raw_unknown": "temperature",
    "temperature.reference_assumed": "temperature",
    "temperature.meter_reference_assumed": "temperature",
    "temperature.other_reference": "temperature",
    "temperature.compensation_unknown": "temperature",
    "range.temperature": "temperature",
    "clause.reference_temperature_missing": "temperature",
    "criterion.sense_missing": "rule",
    "criterion.decision_rule_missing": "rule",
    "criterion.guard_band_missing": "rule",
    "criterion.level_missing": "rule",
    "criterion.uncertainty_missing": "rule",
    "uncertainty.": "rule",
    "count.": "sampling",
    "location.missing": "sampling",
    "location.repeated": "sampling",
    "release.retest_missing": "sampling",
    "release.neighbours": "sampling",
    "criterion.judged_missing": "sampling",
    "clause.each_or_mean_missing": "sampling",
    "clause.count_or_place_missing": "sampling",
    "compare.place": "sampling",
    "compare.same_place": "sampling",
    "compare.item": "sampling",
}


def lesson_of(code: str) -> str:
    """The name of the lesson, or an empty text where none explains this code."""
    known = [start for start in LESSON_OF if code == start or (start.endswith(".") and code.startswith(start)) or code.startswith(f"{start}_")]
    return LESSON_OF[max(known, key=len)] if known else ""
