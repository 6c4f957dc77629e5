# SPDX-License-Identifier: MIT
"""The last pages: requirements with their sources, agreements, equipment, cautions, the seal."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

from brackish import library
from brackish.record.job import Certificate, Conditions, Nonconformance, Reclean
from brackish.record.specification import Agreed
from brackish.report.case import Case
from brackish.report.record import blank_words, equipment_words
from brackish.report.words import Runs, capital, joined, label, name_of, pair, written

Document = dict[str, Any]

NOT_SAID = (
    "A pass is for the locations tested, at that time. It says nothing about the steel between them, and nothing about a later day: "
    "rain, coastal wind, condensation or delay bring salt back.",
    "It promises nothing about the life of a coating.",
    "The uncertainty is that of what the procedure extracts. Salt that stays in pits and under rust is not in it.",
    "Full texts of the standards named were not read by the program: check your copy. Local codes, the site's permit and licensed people decide.",
)
FIELDS = (  # of a criterion, in the order they are asked
    *("applies_to", "items", "quantity", "sense", "limit", "limit_mean", "judged", "decision_rule", "guard_band", "level", "uncertainty"),
    *("on_inconclusive", "on_failure", "reference_temperature", "count", "placement", "stage", "condition", "methods", "extraction_liquid"),
    *("blank_rule", "rounding", "dwell", "cycles", "test_within", "requirement", "decision_rule_source"),
)


def back(case: Case) -> Document:
    """The texts of the last pages."""
    return {
        "requirements": [_requirement(case, spec, criterion) for spec, criterion in case.criteria.values()],
        "equipment": [equipment_words(entry, full=True) for entry in case.job.get("equipment", [])],
        "blanks": [blank_words(blank) for blank in case.job.get("blank", [])],
        "conditions": [_pairs(case, entry, Conditions) for entry in case.job.get("conditions", [])],
        "certificates": [_pairs(case, entry, Certificate) for entry in case.job.get("certificate", [])],
        "nonconformances": [_pairs(case, entry, Nonconformance) for entry in case.job.get("nonconformance", [])],
        "recleans": [_pairs(case, entry, Reclean) for entry in case.job.get("reclean", [])],
        "findings": [
            {"severity": found["severity"], "message": capital(found["message"]), "code": found["code"]} for found in case.outcome["job"].get("findings", [])
        ],
        "cautions": _cautions(case),
        "sources": _sources(case),
        "not_said": [*_of_untested_places(case), *NOT_SAID],
    }


def _of_untested_places(case: Case) -> list[str]:
    """For each requirement, what the passes leave open about places that nobody tested: of the item where they say least."""
    passed = [(verdict["sampling"], item, verdict["criterion"]) for item, verdict in case.item_verdicts() if "sampling" in verdict]
    least = {criterion: (found, item) for found, item, criterion in sorted(passed, key=lambda each: each[0]["share_open"])}
    return [f"{case.name('item', item['id'])}: {found['shown']}" for found, item in least.values()]


def _requirement(case: Case, spec: Document, criterion: Document) -> Document:
    source = criterion.get("source", {})
    agreed = criterion.get("agreed", {})
    supplied = criterion.get("supplied", {})
    stands = [source.get("document") or spec.get("title", ""), source.get("edition", ""), f"clause {source['clause']}" if source.get("clause") else ""]
    if supplied:
        filled = ", ".join(key.replace("_", " ") for key in supplied["fields"])
        stands.append(f"{filled} from the library{'' if supplied['checked'] else ' (from memory: check your copy)'}: {supplied['title']}")
    return {
        "name": f"{spec.get('title', spec.get('id', ''))}: {criterion['id']}",
        "stands": ", ".join(part for part in stands if part),
        "text": source.get("text", ""),
        "fields": [pair(name_of(key), _field(case, key, criterion[key])) for key in FIELDS if key in criterion],
        "agreed": [pair(name_of(key), written(agreed[key])) for key in _in_order(agreed, Agreed)],
    }


def _pairs(case: Case, entry: Document, kind: type) -> Runs:
    """All fields of an entry, in the order the record has them."""
    return joined([[label(key), *_field(case, key, entry[key])] for key in _in_order(entry, kind)])


def _in_order(entry: Document, kind: type) -> list[str]:
    known = [field.name for field in fields(kind)]
    return sorted(entry, key=lambda key: (known.index(key) if key in known else len(known), key))


def _field(case: Case, key: str, value: object) -> Runs:
    """A field of a document, with names in place of ids and words in place of keys."""
    if key == "quantity":
        return [case.words_of(str(value))]
    if key.endswith("_by"):
        return [case.name("person", str(value))]
    kind = {"items": "item", "item": "item", "locations": "location", "equipment": "equipment"}.get(key)
    if kind:
        ids = value if isinstance(value, list) else [value]
        return [", ".join(case.name(kind, str(id)) for id in ids)]
    return written(value)


def _methods(case: Case) -> list[str]:
    return list(dict.fromkeys(test["method"] for test in case.outcome.get("tests", [])))


def _cautions(case: Case) -> list[str]:
    methods = [method for id in _methods(case) if (method := case.method(id))]
    return list(dict.fromkeys(caution.text for method in methods for caution in method.cautions))


def _sources(case: Case) -> list[Runs]:
    methods = [method for id in _methods(case) if (method := case.method(id))]
    keys = list(dict.fromkeys(key for method in methods for key in method.sources))
    known = library.sources()
    return [[{"bold": known[key].title}, f" ({known[key].seen})"] for key in keys if key in known]


def seal_words(*, case: Case, times: set[str], missing: list[str]) -> Document:
    """How a reader checks this file, and what could not be set."""
    job = case.job.get("job", {})
    offsets = ", ".join(sorted(times))
    return {
        "job_id": str(job.get("id", "")),
        "engine": str(case.outcome.get("engine", "")),
        "job_hash": str(case.outcome.get("job_hash", "")),
        "times": f"Times are as written, {offsets} from UTC." if offsets else "No time is written in the job.",
        "missing": missing,
    }
