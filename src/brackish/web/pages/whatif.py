# SPDX-License-Identifier: MIT
"""What if one fact were another? The job is judged once more with the change, and nothing is stored.

The fields are those facts of a test that people argue about: volume, blank, temperature, and which
salt the limit means. Each is a path of the job document, so that the API takes the same changes.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import brackish
from brackish.errors import BrackishError, faults_of
from brackish.quantities import QUANTITIES
from brackish.record.paths import document_of, paths_of
from brackish.report.case import Case
from brackish.web.pages.typed import in_unit

Document = dict[str, Any]
FACTS = ("solution_volume", "temperature", "wash_volume", "extract_volume", "reading")
ELSEWHERE = ("nonconformance", "question", "signature")  # they name tests, and no verdict on a test hangs on them
SAME_READING = ("nacl_equivalent_per_area", "mixed_salt_per_area")  # what one conductivity can be counted as


def judged_with(document: Document, changes: list[tuple[tuple[str, ...], Any]]) -> Document:
    """The outcome of a changed copy, or its errors."""
    touched = {path[0] for path, _ in changes}
    leaves = dict(paths_of({key: value for key, value in document.items() if key in touched})) | dict(changes)
    try:
        return brackish.evaluate({**document, **document_of(leaves.items())}).to_dict()
    except BrackishError as error:
        return {"errors": [fault.to_dict() for fault in faults_of(error)]}


def judged_near(document: Document, test: Document, changes: list[tuple[tuple[str, ...], Any]]) -> Document:
    """The same for one test."""
    outcome = judged_with(copy_near(document, test), changes)
    return judged_with(document, changes) if "errors" in outcome else outcome  # faults are told of the whole


def near(document: Document, *tests: Document) -> list[Document]:
    """Tests with those that may hang on them: at their place, of their extract, before their retest."""
    ids = {id for test in tests for id in (test["id"], test.get("retest_of"))}
    shared = {(name, test[name]) for test in tests for name in ("location", "extract") if test.get(name)}
    return [each for each in document.get("test", []) if each.get("id") in ids or any(each.get(name) == value for name, value in shared)]


def copy_near(document: Document, *tests: Document) -> Document:
    """A copy that holds no more tests than the results and verdicts of these hang on: a long job is read and judged many times quicker so."""
    return {**{key: value for key, value in document.items() if key not in ELSEWHERE}, "test": near(document, *tests)}


def fields(case: Case, test: Document, given: Mapping[str, str]) -> list[Document]:
    """What may be changed of a test, each with what was written and what is asked now."""
    facts = test.get("facts", {})
    found = [_amount(name, case, test, ("test", test["id"], "facts", name), facts[name]) for name in FACTS if name in facts]
    blank = case.entry("blank", test.get("blank"))
    if "reading" in blank:
        found.append(_amount("blank", case, test, ("blank", blank["id"], "reading"), blank["reading"]))
    found += _species(case, test)
    return [field | {"now": given.get(field["name"], "").strip() or field["was"]} for field in found]


def changes(asked: list[Document]) -> list[tuple[tuple[str, ...], Any]]:
    """The fields whose value is another now, as paths and values."""
    return [(field["path"], _value(field)) for field in asked if field["now"] != field["was"]]


def _value(field: Document) -> Any:
    text = in_unit(field["now"], field["unit"])
    return [text] if field["list"] else text


def _amount(name: str, case: Case, test: Document, path: tuple[str, ...], value: Any) -> Document:
    first = value[0] if isinstance(value, list) else value
    number, _, unit = str(first).partition(" ")
    method = case.method(test.get("method", ""))
    fact = method.fact(name) if method else None
    return {"name": name, "label": fact.label if fact else name, "path": path, "was": number, "unit": unit, "list": isinstance(value, list), "choices": []}


def _species(case: Case, test: Document) -> list[Document]:
    """Which salt the limit means, where the same reading can be counted another way."""
    verdicts = case.judged.get(test["id"], {}).get("verdicts", [])
    for verdict in verdicts:
        spec, criterion = case.criteria.get(verdict["criterion"], ({}, {}))
        if criterion.get("quantity") in SAME_READING:
            path = ("specification", spec["id"], "criterion", criterion["id"], "quantity")
            choices = [(quantity, QUANTITIES[quantity].words) for quantity in SAME_READING]
            return [{"name": "species", "label": "species", "path": path, "was": criterion["quantity"], "unit": "", "list": False, "choices": choices}]
    return []
