# SPDX-License-Identifier: MIT
"""A reading as a job file to complete: what was understood is filled in, what is missing is asked.

Each unanswered question stands as a comment over the field that answers it, with the values that are
allowed. Take away the # of that line, put in what was agreed, and fill in `agreed`: who, when, by
which paper. `brackish evaluate` reads the file at every stage of that work.
"""

from __future__ import annotations

import hashlib
import json
import re
import uuid
from collections.abc import Iterator

from brackish import library
from brackish.errors import BrackishError
from brackish.library import counting
from brackish.prepare.clause.reading import ClauseReading, Requirement
from brackish.quantities import DIMENSIONS, QUANTITIES, parse

_QUANTITIES = {
    "steel": ("nacl_equivalent_per_area", "mixed_salt_per_area", "chloride_per_area", "chloride_as_nacl_per_area", "extract_conductivity"),
    "abrasive": ("abrasive_conductivity_by_mass", "abrasive_conductivity_by_volume", "chloride_mass_fraction"),
    "water": ("water_conductivity", "chloride_concentration"),
}
_STAGES = "incoming | before-blasting | after-washing | after-blasting | between-coats"
# field: what may stand there, and the codes whose question it answers
_ASKED: dict[str, tuple[str, tuple[str, ...]]] = {
    "quantity": ("", ("clause.species_missing", "clause.abrasive_basis_missing", "clause.method_cannot_give_quantity")),
    "sense": ("at-most | below | at-least", ("criterion.sense_missing",)),
    "limit": ('a number with its unit, such as "50 mg/m2"', ("criterion.limit_missing", "clause.limit_elsewhere", "clause.none_detectable", "clause.impossible_unit", "clause.concentration_without_volume_and_area", "clause.limit_below_capability")),
    "judged": ("each | mean | each-and-mean (then also limit_mean)", ("clause.each_or_mean_missing", "criterion.judged_missing")),
    "decision_rule": ("simple-acceptance | guarded-acceptance | guarded-rejection | three-way", ("criterion.decision_rule_missing",)),
    "guard_band": ('two-sided | one-sided | an amount such as "5 mg/m2"; not for simple-acceptance', ("criterion.guard_band_missing",)),
    "uncertainty": ("budget | method | larger; larger unless said", ()),
    "level": ('such as "95 %"; not for simple-acceptance', ("criterion.level_missing",)),
    "on_inconclusive": ("reject | retest | refer; for three-way", ("criterion.on_inconclusive_missing",)),
    "reference_temperature": ("20 degC | 25 degC", ("clause.reference_temperature_missing",)),
    "count": ('such as "3 per item", "1 per 50 m2, at least 3", "3 for the first 100 m2, then 1 per 200 m2"', ("clause.count_or_place_missing",)),
    "placement": ("words: where to test, and who chooses", ()),
    "stage": (_STAGES, ("clause.stage_missing",)),
    "test_within": ('the longest time from the test to the next coat, such as "4 h"', ()),
    "blank_rule": ("none | water | full-kit", ("clause.blank_rule_missing",)),
    "on_failure": ("words: what is done when a result is over the limit", ("clause.failure_action_missing",)),
}  # fmt: skip
_STEEL_ONLY = frozenset(("reference_temperature", "placement", "test_within", "blank_rule"))
_COPIED = ("quantity", "sense", "limit", "limit_mean", "judged", "decision_rule", "guard_band", "level", "uncertainty", "on_inconclusive", "reference_temperature", "count", "placement", "stage", "condition", "test_within", "blank_rule", "extraction_liquid", "dwell", "cycles", "on_failure")  # fmt: skip
_NOTED = ("species", "service", "solution_volume", "area", "limit_restated", "limit_lower", "methods", "test_within_words")


def draft(reading: ClauseReading, *, title: str = "", site: str = "", document: str = "", edition: str = "", clause: str = "", job_id: str = "") -> str:
    """A job file in TOML with the criteria of a reading, its gaps as questions in comments.

    Document, edition and clause given here come before those the text states. The same reading gives the
    same text; without `job_id` the id is made from the clause itself.
    """
    lines = [
        "# Written by brackish clause. Answer the questions: take away the # and put in what was agreed.",
        'format = "brackish-job/1"',
        "",
        "[job]",
        f"id = {_text(job_id or _id_of(reading.text))}",
        f"title = {_text(title or 'Requirement to be agreed')}",
        f"site = {_text(site)}",
        "",
        "[[specification]]",
        'id = "clause"',
        f"title = {_text(document or 'The clause as pasted')}",
    ]
    names: dict[str, int] = {}
    asked: set[str] = set()
    for requirement in reading.requirements:
        lines += ["", *_criterion(reading, requirement, names, asked, document, edition, clause)]
    lines += _left_over(reading, asked)
    return "\n".join(lines) + "\n"


def _criterion(
    reading: ClauseReading, requirement: Requirement, names: dict[str, int], asked: set[str], document: str, edition: str, clause: str
) -> Iterator[str]:
    target = requirement.get("applies_to") or "steel"
    names[target] = names.get(target, 0) + 1
    yield "[[specification.criterion]]"
    yield f"id = {_text(target if names[target] == 1 else f'{target}-{names[target]}')}"
    yield f"applies_to = {_text(target)}"
    filled = set()
    for name in _COPIED:
        if name not in requirement.fields:
            continue
        if name == "test_within" and "test_within_of" in requirement.fields:
            yield f"x-test_within_of_blasting = {_toml(requirement.fields[name])}"  # the criterion's own counts from the test to the coat
            continue
        refused = _refused(name, requirement.fields[name], requirement)
        if refused:
            yield _comment(f"not usable as it stands: {name} = {requirement.fields[name]} ({refused})")
        else:
            filled.add(name)
            yield from _doubts(reading, name, asked)
            yield f"{name} = {_toml(requirement.fields[name])}"
    if "decision_rule" in filled:
        yield 'decision_rule_source = "clause"'
    ids = [one for one in requirement.fields.get("method_ids", []) if one in library.method_ids()]  # type: ignore[attr-defined]
    if ids:
        yield from _doubts(reading, "methods", asked)
        yield f"methods = {_toml(ids)}"
    for name in _NOTED:
        if name in requirement.fields:
            yield f"x-{name} = {_toml(requirement.fields[name])}"
    yield from _gaps(reading, target, filled, requirement, asked)
    start, end = requirement.span
    yield "# Who agreed to what was added here, when, and by which paper:"
    yield '# agreed = { what = "…", by = ["…", "…"], at = "2026-03-02", document = "…" }'
    stated = requirement.source
    given = {"document": document, "edition": edition, "clause": clause}
    given = {key: value or stated.get(key, "") for key, value in given.items()} | {"text": " ".join(reading.text[start:end].split())}
    yield "source = { " + ", ".join(f"{key} = {_text(value)}" for key, value in given.items() if value) + " }"


# Questions about what the text does give.
_DOUBTED = {
    "limit": (
        "clause.unit_factor_conflict",
        "clause.dual_units_differ",
        "clause.two_limits",
        "clause.conductivity_without_volume_and_area",
        "clause.limit_below_capability",
    ),
    "methods": ("clause.edition_doubtful", "clause.method_cannot_give_quantity", "clause.or_equivalent"),
}


def _doubts(reading: ClauseReading, name: str, asked: set[str]) -> Iterator[str]:
    for number, question in enumerate(reading.questions, start=1):
        if question.code in _DOUBTED.get(name, ()) and question.code not in asked:
            asked.add(question.code)
            yield _comment(f"Question {number}: {question.text}")


def _gaps(reading: ClauseReading, target: str, filled: set[str], requirement: Requirement, asked: set[str]) -> Iterator[str]:
    by_code: dict[str, tuple[int, str]] = {question.code: (number, question.text) for number, question in enumerate(reading.questions, start=1)}
    for name, (allowed, codes) in _ASKED.items():
        if name in filled or (name in _STEEL_ONLY and target != "steel") or (name == "stage" and target.endswith("water")):
            continue
        if name in ("guard_band", "level", "uncertainty", "on_inconclusive") and requirement.get("decision_rule") == "simple-acceptance":
            continue
        if name == "on_inconclusive" and requirement.get("decision_rule") not in ("", "three-way"):
            continue
        for code in codes:
            if code in by_code and code not in asked:
                asked.add(code)
                yield _comment(f"Question {by_code[code][0]}: {by_code[code][1]}")
        if name == "quantity":
            allowed = " | ".join(_QUANTITIES["water" if target.endswith("water") else target])
        yield f'# {name} = "…"   # {allowed}'


def _left_over(reading: ClauseReading, asked: set[str]) -> list[str]:
    rest = [(number, question.text) for number, question in enumerate(reading.questions, start=1) if question.code not in asked]
    if not rest:
        return []
    return [
        "",
        "# Questions that no single field answers; put the answer where it belongs and note it in agreed:",
        *(_comment(f"Question {number}: {text}") for number, text in rest),
    ]


def _refused(name: str, value: object, requirement: Requirement) -> str:
    """Why a job file would not take this value, or an empty text."""
    try:
        if name in ("limit", "limit_mean"):
            quantity = requirement.get("quantity")
            wanted = QUANTITIES[quantity].dimension if quantity else tuple(DIMENSIONS)
            parse(value, dimension=wanted)
        elif name == "count":
            counting.read_rule(str(value))
        elif name in ("test_within", "dwell"):
            parse(value, dimension="time")
        elif name == "reference_temperature":
            parse(value, dimension="temperature")
    except BrackishError as error:
        return error.message
    return ""


def _id_of(text: str) -> str:
    return str(uuid.UUID(bytes=hashlib.sha256(text.encode("utf-8", "replace")).digest()[:16], version=4))


_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\ud800-\udfff\u2028\u2029]")


def _comment(text: str) -> str:
    return f"# {' '.join(_CONTROL.sub(' ', text).split())}"


def _text(value: str) -> str:
    """A TOML basic string."""
    return json.dumps(_CONTROL.sub(" ", value), ensure_ascii=False)


def _toml(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, list):
        return "[" + ", ".join(_toml(one) for one in value) + "]"
    return _text(" ".join(str(value).split()))
