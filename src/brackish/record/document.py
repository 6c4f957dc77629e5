# SPDX-License-Identifier: MIT
"""From a file to the job: bytes -> plain document -> frozen types, all faults at once.

JSON and TOML give the same document. What a document may hold at all (texts, truth values, whole
numbers, lists, tables; no float, no date) is checked before anything is read from it.
"""

from __future__ import annotations

import json
import tomllib
from collections import Counter
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from brackish.errors import BrackishError, FormatTooNew, InputError, InputFaults
from brackish.record.facts import read_facts
from brackish.record.fields import kind_of, place_of, read_table
from brackish.record.job import FORMAT, Job, Test
from brackish.record.references import check_references

MOST_BYTES = 8_000_000  # a job of 5 000 tests has about 5 MB
MOST_DEPTH = 12


def load(path: str | Path) -> dict[str, Any]:
    """The plain document in a JSON or TOML file; raises InputError when it is none."""
    try:
        with Path(path).open("rb") as file:
            data = file.read(MOST_BYTES + 1)
            size = file.seek(0, 2)
    except OSError:
        raise InputError("input.file_missing", given=repr(str(path))) from None
    if size > MOST_BYTES:
        raise InputError("input.too_large", given=size, allowed=MOST_BYTES)
    return parse_document(data, name=str(path))


def parse_document(data: bytes, *, name: str) -> dict[str, Any]:
    """The plain document in the bytes of a file; TOML unless it begins with a brace or is named .json."""
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError("input.not_utf8", given=error.start) from None
    if "\0" in text or not text.strip():
        raise InputError("input.not_a_job", given=repr(name))
    is_json = text.lstrip()[0] == "{" or name.lower().endswith(".json")
    try:
        document = json.loads(text, object_pairs_hook=_single_keys) if is_json else tomllib.loads(text)
    except RecursionError:
        raise InputError("input.too_deep", allowed=MOST_DEPTH) from None
    except ValueError as error:
        if isinstance(error, BrackishError):
            raise
        form = "JSON" if is_json else "TOML" if name.lower().endswith(".toml") else "JSON or TOML"  # a file that was sent has no name to go by
        raise InputError("input.syntax", form=form, detail=str(error)[:200]) from None
    if not isinstance(document, dict):
        raise InputError("input.wrong_type", given=kind_of(document), wanted="a table")
    return document


def _single_keys(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    table = dict(pairs)
    if len(table) < len(pairs):
        doubled = Counter(key for key, _ in pairs).most_common(1)[0][0]
        raise InputError("input.syntax", form="JSON", detail=f"the key {doubled!r} stands twice in one table")
    return table


def read_job(document: Mapping[str, Any]) -> Job:
    """The job in a plain document.

    Raises
    ------
    InputFaults
        Every fault with its place: unknown keys, missing keys, units, ids, references, facts.

    """
    plain: list[BrackishError] = []
    _check_plain(document, plain)
    if not isinstance(document, Mapping):
        raise InputFaults([InputError("input.wrong_type", given=kind_of(document), wanted="a table")])
    _check_format(document.get("format"))
    faults: list[BrackishError] = []
    job = read_table(Job, document, "", faults, partial=True)
    assert job is not None
    job = replace(job, test=tuple(read_facts(test, f"test[{test.id}]", faults) for test in _tests(job, document)))
    check_references(job, document, faults)
    places = {fault.place for fault in faults}
    faults += [fault for fault in plain if fault.place.rsplit("[", 1)[0] not in places and fault.place not in places]
    if faults:
        raise InputFaults(faults)
    return job


def _tests(job: Job, document: Mapping[str, Any]) -> list[Test]:
    """The tests of a job, and what could be read of those with a fault, so that one run shows all."""
    rows = document.get("test")
    read = {test.id for test in job.test}
    tables = [row for row in rows if isinstance(row, Mapping)] if isinstance(rows, list | tuple) else []
    faulty = (row for row in tables if not isinstance(row.get("id"), str) or row["id"] not in read)
    partly = (read_table(Test, row, "", [], partial=True) for row in faulty)
    return [*job.test, *(test for test in partly if test and test.id and isinstance(test.method, str))]


def _check_format(format: Any) -> None:
    if isinstance(format, str) and format != FORMAT:
        if format.startswith("brackish-job/"):
            raise FormatTooNew("record.format_too_new", place="format", given=repr(format), allowed=FORMAT)
        raise InputError("input.format", place="format", given=repr(format), allowed=FORMAT)


def _check_plain(document: Any, faults: list[BrackishError]) -> None:
    """No float, date, huge number or unprintable depth anywhere, not even under x- keys."""
    pending = [(document, "", 0)]
    while pending:
        value, place, depth = pending.pop()
        if depth > MOST_DEPTH:
            raise InputError("input.too_deep", allowed=MOST_DEPTH)
        if _is_text(value):
            continue
        if isinstance(value, Mapping):
            faults.extend(InputError("input.wrong_type", place=place, given=kind_of(key), wanted="a key that is text") for key in value if not _is_text(key))
            pending.extend((inner, f"{place}.{key}" if place else str(key), depth + 1) for key, inner in value.items())
        elif isinstance(value, list | tuple):
            pending.extend((inner, place_of(place, index, inner), depth + 1) for index, inner in enumerate(value, start=1))
        elif isinstance(value, float):
            faults.append(InputError("input.number_without_unit", place=place, given=repr(value), example="'28.0 uS/cm'"))
        elif isinstance(value, int) and not isinstance(value, bool) and abs(value) >= 2**53:
            faults.append(InputError("input.out_of_range", place=place, given="a whole number of that size", lowest="-2^53", highest="2^53"))
        elif not isinstance(value, int):
            faults.append(InputError("input.wrong_type", place=place, given=kind_of(value), wanted="a text in quotes"))
    faults.sort(key=lambda fault: fault.place)


def _is_text(value: Any) -> bool:
    """A text that can be written down: halves of characters cannot."""
    return isinstance(value, str) and (value.isascii() or not any("\ud800" <= character <= "\udfff" for character in value))
