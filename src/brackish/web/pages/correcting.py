# SPDX-License-Identifier: MIT
"""What a change would make unreadable, and the faults of a job with the fields that put them right.

    new_faults(job, [(path, value)])    ->  the faults that these changes would bring, each with its path
    corrections(page)                   ->  the faults of a job, each with its field (`written.py`)

The reader of job documents says what is wrong and where; here its place becomes the path that is written.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import Any

from brackish.errors import BrackishError, faults_of
from brackish.record.document import read_job
from brackish.record.event import make_event
from brackish.record.fold import fold
from brackish.record.paths import Path, document_of, is_named_list, paths_of
from brackish.web import models
from brackish.web.ledger import outcomes
from brackish.web.ledger.store import events_of
from brackish.web.pages.names import words_of
from brackish.web.pages.written import field_of, value_at

Document = dict[str, Any]
Change = tuple[Path, Any]  # nothing as its value: taken back
ASKED = "2000-01-01T00:00:00+00:00"  # no order hangs on the time of an event


def new_faults(job: models.Job, changes: Sequence[Change]) -> list[Document]:
    """The faults that changes would bring into a job and that it does not have, each with the path it is about."""
    before = outcomes.document_of(job)
    after = _after(job, before, changes)
    found = _faults(after)
    known = [fault.to_dict() for fault in _faults(before)] if found else []
    sent = [path for path, _value in changes]
    prefixes = _prefixes([*(path for path, _value in paths_of(after)), *sent] if found else [])
    faults = [_said(after, fault, prefixes) for fault in found if fault.to_dict() not in known]
    return [{**fault, "path": list(next((path for path in sent if _alike(path, fault["path"])), fault["path"]))} for fault in faults]


def _after(job: models.Job, document: Document, changes: Sequence[Change]) -> Document:
    """The document as it would be; where something stands under a mark only the events know which, so they are asked."""
    if not any(name.startswith("#") for path, _value in changes for name in path):
        return changed(document, changes)
    state = outcomes.state_of(job)
    events = list(state.order)
    last = None
    for path, value in changes:
        kind, base = ("withdraw" if value is None else "set"), (() if last else state.frontier)
        last = make_event(job=job.id, device="asked", author="asked", made=ASKED, kind=kind, path=path, value=value, reason=kind, after=last, base=base)
        events.append(last)
    return fold(events=events).document


def changed(document: Document, changes: Iterable[Change]) -> Document:
    """A copy of a document with these changes; a change without a value takes back everything at and below its path."""
    leaves = dict(paths_of(document))
    for path, value in changes:
        if value is None:
            leaves = {each: old for each, old in leaves.items() if each[: len(path)] != path}
        else:
            leaves[path] = value
    return document_of(leaves.items())


def _alike(one: Sequence[str], other: Sequence[str]) -> bool:
    """Whether two paths differ in marks at most."""
    return len(one) == len(other) and all(a == b or (a[:1], b[:1]) == ("#", "#") for a, b in zip(one, other, strict=True))


def _faults(document: Document) -> tuple[BrackishError, ...]:
    try:
        read_job(document)
    except BrackishError as error:
        return faults_of(error)
    return ()


def _said(document: Document, fault: BrackishError, prefixes: dict[str, Path]) -> Document:
    """A fault with its path, the words of its place and its field."""
    path = _path_of(fault.code, fault.place, fault.params, prefixes)
    field = field_of(document, path) if path else None
    if field and field.example and "example" in fault.params:  # in the unit that is printed beside the field
        fault = type(fault)(fault.code, place=fault.place, **fault.params | {"example": repr(field.example)})
    return {**fault.to_dict(), "path": list(path), "where": words_of(document, path) or fault.place, "field": field}


def _path_of(code: str, place: str, params: Document, prefixes: dict[str, Path]) -> Path:
    """The path that a fault is about; empty where its place is none."""
    if code in ("input.missing_key", "input.unknown_key", "input.unknown_fact") and place in prefixes:
        return (*prefixes[place], str(params.get("wanted", params.get("given", ""))).strip("'"))
    short = re.sub(r"\[\d+\]$", "", place)  # one of several readings
    exact = prefixes.get(place) or prefixes.get(short)
    return exact or next((path for name, path in prefixes.items() if place and name.endswith(f".{place}")), ())


def _prefixes(paths: Iterable[Path]) -> dict[str, Path]:
    """Each path, and what is above it, by its place as the reader of job documents names it."""
    found: dict[str, Path] = {}
    numbers: dict[Path, dict[str, int]] = {}
    for path in paths:
        place = ""
        for at, name in enumerate(path):
            if is_named_list(path[:at]) or name.startswith("#"):
                number = numbers.setdefault(path[:at], {}).setdefault(name, len(numbers.get(path[:at], {})) + 1)
                place += f"[{number if name.startswith('#') else name}]"
            else:
                place += f".{name}" if place else name
            found.setdefault(place, path[: at + 1])
    return found


def corrections(page: Any) -> Iterator[Document]:
    """The faults of a job as people put them right: in words, with the field where this person may write it."""
    document = page.state["document"]  # with what has no shape, too
    prefixes = _prefixes(path for path, _value in paths_of(document))
    for number, fault in enumerate(page.faults):
        said = _said(document, BrackishError(fault["code"], place=fault["place"], **fault["params"]), prefixes)
        path, field = tuple(said["path"]), said["field"]
        sent = _as_sent(page, path)
        yield {
            "number": number,
            "fault": said,
            "field": replace(field, path=sent) if field and sent else None,
            "may": bool(path) and page.may_write_at(path),
            "test": path[1] if path[:1] == ("test",) and len(path) > 1 else "",
        }


def named(page: Any, kind: str) -> list[Document]:
    """The entries of a list, each with an id by which its paths are written: its own, or the mark under which its author wrote its text."""
    rows = [entry for entry in page.document.get(kind, []) if isinstance(entry, dict)]
    return [entry if entry.get("id") else {**entry, "id": "".join(_as_sent(page, (kind, f"#{number}", "text"))[1:2])} for number, entry in enumerate(rows, 1)]


def _as_sent(page: Any, path: Path) -> Path:
    """The path as its author wrote it, for the document numbers what stands there under marks; empty where nobody wrote it."""
    if not any(name.startswith("#") for name in path):
        return path
    value = value_at(page.state["document"], path)
    alike = (event.path for event in reversed(events_of(page.job.id)) if _alike(event.path, path) and event.value == value)
    return next(alike, ())
