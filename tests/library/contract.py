# SPDX-License-Identifier: MIT
"""What the contract fixes about methods and criteria, written out by hand from its sections 3 and 4."""

from __future__ import annotations

# facts of each method's row; a file may add facts, never rename one of these
FACTS = {
    "patch-conductivity": "compartment_area volume_injected returned_to solution_volume volume_recovered dwell cycles liquid_lost reading temperature "
    "temperature_model temperature_coefficient constant ph extraction_liquid",
    "extract-chloride-tube": "extraction_area solution_volume ph reading",
    "sleeve-chloride-tube": "sleeve_area solution_volume dwell dwell_agreed_by liquid_lost reading",
    "wash-chloride-titration": "washed_area wash_volume titrant titrant_concentration titrant_volume titrant_blank aliquot_volume liquid_lost",
    "abrasive-conductivity": "mass water_volume shake_1 stand_1 shake_2 stand_2 reading temperature water_conductivity",
    "abrasive-conductivity-equal-volume": "abrasive_volume water_volume stir_1 stand stir_2 filtered reading temperature water_conductivity",
    "abrasive-chloride-titration": "mass extract_volume aliquot_volume titrant titrant_concentration titrant_volume titrant_blank",
    "water-conductivity": "reading temperature use",
    "condensation-check": "air_temperature relative_humidity surface_temperature",
}
PER_DETERMINATION = {
    "abrasive-conductivity": "mass water_volume shake_1 stand_1 shake_2 stand_2 reading temperature",
    "abrasive-conductivity-equal-volume": "abrasive_volume water_volume stir_1 stand stir_2 filtered reading temperature",
}
# model inputs that are neither facts nor figures of the meter or blank must be facts too
MODEL_INPUTS = {
    "abrasive-conductivity": "reading mass water_volume temperature temperature_coefficient",
    "abrasive-conductivity-equal-volume": "reading abrasive_volume water_volume temperature temperature_coefficient",
    "water-conductivity": "reading temperature temperature_coefficient",
    "wash-chloride-titration": "washed_area wash_volume titrant_concentration titrant_volume titrant_blank aliquot_volume",
    "abrasive-chloride-titration": "mass extract_volume aliquot_volume titrant_concentration titrant_volume titrant_blank",
    "condensation-check": "air_temperature relative_humidity surface_temperature",
}
MEASURED = ("reading", "titrant_volume", "surface_temperature")
FAMILIES = (
    "water blank volume area dwell loss temperature equipment replicate range species consistency count criterion location time stage certificate "
    "uncertainty clause"
).split()
CHOICES = {
    "applies_to": "steel abrasive extraction-water washing-water",
    "sense": "at-most below at-least",
    "judged": "each mean each-and-mean",
    "stage": "incoming before-blasting after-washing after-blasting between-coats",
    "condition": "new in-use",
    "extraction_liquid": "water acid",
    "blank_rule": "none water full-kit",
}
# what the parties agree and no library may fill in: the rule by which uncertainty counts
AGREED_ONLY = "decision_rule guard_band level uncertainty on_inconclusive blank_rule decision_rule_source agreed"
CRITERION_FIELDS = (
    "applies_to items quantity sense limit limit_mean judged decision_rule guard_band level uncertainty on_inconclusive reference_temperature count stage "
    "condition methods extraction_liquid blank_rule rounding placement test_within on_failure decision_rule_source agreed source dwell cycles"
).split()
