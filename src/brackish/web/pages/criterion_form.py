# SPDX-License-Identifier: MIT
"""A criterion as fields to fill: what the clause gave, what is agreed, and what is still a question.

No field is filled in silently: what neither clause nor record gives stays empty. What a verdict needs
is asked of the judge (`judge/verdicts.py`), never decided here.
"""

from __future__ import annotations

import tomllib
from dataclasses import replace
from typing import Any

from brackish.errors import BrackishError, faults_of
from brackish.judge.verdicts import missing_fields
from brackish.prepare.clause import ClauseReading
from brackish.prepare.clause.draft import draft
from brackish.quantities import QUANTITIES, shown_unit
from brackish.record.document import read_job
from brackish.record.job import FORMAT
from brackish.record.paths import Path
from brackish.record.specification import APPLIES_TO, STAGES
from brackish.report.words import name_of
from brackish.science.conformity import RULES, SENSES
from brackish.web.pages.field_words import WORDS
from brackish.web.pages.written import Field, field_of

Document = dict[str, Any]

# field -> the codes of the questions that it answers
SETTLES = {
    "quantity": ("clause.species_missing", "clause.abrasive_basis_missing", "clause.method_cannot_give_quantity", "criterion.quantity_missing"),
    "limit": (
        *("clause.limit_elsewhere", "clause.none_detectable", "clause.impossible_unit", "clause.concentration_without_volume_and_area"),
        "criterion.limit_missing",
    ),
    "sense": ("criterion.sense_missing",),
    "judged": ("clause.each_or_mean_missing", "criterion.judged_missing"),
    "decision_rule": ("criterion.decision_rule_missing",),
    "guard_band": ("criterion.guard_band_missing", "criterion.decision_rule_missing"),  # the question for the rule asks for what the rule needs, too
    "level": ("criterion.level_missing", "criterion.decision_rule_missing"),
    "on_inconclusive": ("criterion.on_inconclusive_missing", "criterion.decision_rule_missing"),
    "reference_temperature": ("clause.reference_temperature_missing",),
    "blank_rule": ("clause.blank_rule_missing",),
    "count": ("clause.count_or_place_missing",),
    "stage": ("clause.stage_missing",),
    "on_failure": ("clause.failure_action_missing",),
}
SHOWN = (  # in the order of the form
    *("applies_to", "quantity", "sense", "limit", "judged", "decision_rule", "guard_band", "level", "uncertainty", "on_inconclusive", "reference_temperature"),
    *("blank_rule", "count", "placement", "stage", "test_within", "on_failure"),
)
STEEL_ONLY = ("reference_temperature", "placement", "test_within", "blank_rule")


def drafted(reading: ClauseReading) -> list[Document]:
    """What was understood, as specifications of a job document: the same that `brackish clause` writes."""
    return tomllib.loads(draft(reading))["specification"] if reading.requirements else []


def entries(agreed: list[Document], proposed: list[Document], judged: dict[str, Document], answers: dict[str, Any]) -> list[Document]:
    """Every criterion that is agreed, then those that the clause asks for and nobody adopted yet, with what was answered since.

    `judged` are the criteria as the judge read them: with what a requirement of the library supplies.
    """
    known = {(spec.get("id"), criterion.get("id")) for spec in agreed for criterion in spec.get("criterion", [])}
    fresh = [(spec, criterion) for spec in proposed for criterion in spec["criterion"] if (spec["id"], criterion["id"]) not in known]
    for name, value in answers.items():
        lacking = [criterion for _spec, criterion in fresh if name not in criterion]
        if len(lacking) == 1:  # else nobody said which was meant
            lacking[0][name] = value
    out = [_entry(spec, criterion, criterion, judged.get(criterion.get("id", ""), criterion)) for spec in agreed for criterion in spec.get("criterion", [])]
    return out + [_entry(spec, criterion, {}, criterion) for spec, criterion in fresh]


def _entry(spec: Document, criterion: Document, stored: Document, read: Document) -> Document:
    where: Path = ("specification", spec["id"], "criterion", criterion["id"])
    missing, faults = needs(spec, criterion)
    said = {fault.place.rpartition(".")[2].split("[")[0]: fault.message for fault in faults}
    shown = [name for name in SHOWN if criterion.get("applies_to") == "steel" or name not in STEEL_ONLY or name in criterion]
    fields = [_field(spec, criterion, (*where, name), fresh=not stored, missing=name in missing, fault=said.get(name, "")) for name in shown]
    agreed, kept = (each["agreed"] if isinstance(each.get("agreed"), dict) else {} for each in (criterion, stored))
    return {
        "id": criterion["id"],
        "where": str(spec.get("title") or spec["id"]),
        "name": WORDS.get(f"applies_to {criterion.get('applies_to')}", name_of(str(criterion.get("applies_to", "")))),
        "adopted": bool(stored),
        "supplied_by": read.get("supplied", {}).get("title", ""),
        "fields": fields,
        "shown": {field.path[-1]: dict(field.choices).get(read.get(field.path[-1], ""), read.get(field.path[-1], "")) for field in fields},
        "missing": missing,
        "faults": [fault for fault in faults if not any(fault.message == field.fault for field in fields)],
        "units": {kind: (table.shown_unit, shown_unit(table.shown_unit)) for kind, table in QUANTITIES.items()},
        "hidden": _hidden(spec, criterion, where) if not stored else [],
        "agreed": {key: {"path": [*where, "agreed", key], "value": _one(agreed.get(key, "")), "was": kept.get(key, "")} for key in ("by", "at", "document")},
    }


def needs(spec: Document, criterion: Document) -> tuple[list[str], tuple[BrackishError, ...]]:
    """The fields that a verdict still needs, and what is wrong with those that are there: both as the judge and the reader say."""
    frame = {"format": FORMAT, "job": {"id": "00000000-0000-4000-8000-000000000000", "title": ""}}
    try:
        job = read_job({**frame, "specification": [{**spec, "criterion": [{key: value for key, value in criterion.items() if key != "items"}]}]})
    except BrackishError as error:
        return [], faults_of(error)
    return [note.code.removeprefix("criterion.").removesuffix("_missing") for note in missing_fields(job.specification[0].criterion[0])], ()


def _hidden(spec: Document, criterion: Document, where: Path) -> list[Document]:
    """What belongs to a criterion beside its fields: its names, its methods, the words it came from."""
    top = [{"path": [*where[:2], key], "value": spec[key]} for key in ("id", "title") if key in spec]
    mine = [{"path": [*where, key], "value": value} for key, value in criterion.items() if key not in (*SHOWN, "agreed", "source")]
    return top + mine + [{"path": [*where, "source", key], "value": value} for key, value in criterion.get("source", {}).items()]


def _field(spec: Document, criterion: Document, where: Path, **about: Any) -> Field:
    field = field_of({"specification": [{**spec, "criterion": [criterion]}]}, where)
    assert field is not None
    choices = tuple(_choices(where[-1], criterion)) or field.choices
    return replace(field, choices=choices, long=where[-1] in ("placement", "on_failure", "count"), **about)


def _choices(name: str, criterion: Document) -> list[tuple[str, str]]:
    kinds = {
        "steel": ("nacl_equivalent_per_area", "mixed_salt_per_area", "chloride_per_area", "chloride_as_nacl_per_area", "extract_conductivity"),
        "abrasive": ("abrasive_conductivity_by_mass", "abrasive_conductivity_by_volume", "chloride_mass_fraction"),
    }
    fixed: dict[str, tuple[str, ...]] = {
        "applies_to": APPLIES_TO,
        "quantity": kinds.get(str(criterion.get("applies_to")), ("water_conductivity", "chloride_concentration")),
        "sense": SENSES,
        "judged": ("each", "mean", "each-and-mean"),
        "decision_rule": tuple(RULES),
        "uncertainty": ("budget", "method", "larger"),
        "on_inconclusive": ("reject", "retest", "refer"),
        "blank_rule": ("none", "water", "full-kit"),
        "stage": STAGES,
    }
    return [(each, WORDS.get(f"{name} {each}") or (QUANTITIES[each].words if each in QUANTITIES else name_of(each))) for each in fixed.get(name, ())]


def _one(value: object) -> str:
    return ", ".join(map(str, value)) if isinstance(value, list) else str(value)
