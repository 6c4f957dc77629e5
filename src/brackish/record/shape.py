# SPDX-License-Identifier: MIT
"""What of a job document has the shape of the format: what a screen can show of a job that cannot be read.

A text stands where one belongs, whatever it says, a list where a list, a table where a table. The rest
is left out here only: it stays in the record, and reading the document names it as a fault.
"""

from __future__ import annotations

import dataclasses
from typing import Any

from brackish.record.fields import fields_of
from brackish.record.job import Job

Document = dict[str, Any]
SCALARS = (str, int, float)


def shaped(document: Document) -> Document:
    """The parts of a document that stand where the format has them; keys that begin with x- as they are."""
    return _table(Job, document)


def _table(kind: type, raw: Document) -> Document:
    known = fields_of(kind)
    found = {name: _value(known[name], value) if name in known else value for name, value in raw.items() if name in known or name.startswith("x-")}
    return {name: value for name, value in found.items() if value is not None}


def _value(field: dataclasses.Field[Any], raw: Any) -> Any:
    """A value of the shape that its field has by its type in `job.py`, or None."""
    says = str(field.type)  # as it is written there: "tuple[str, ...]"
    kind, listed = field.metadata["kind"], says.startswith("tuple")
    match raw:
        case dict() if says == "Facts":
            return _facts(raw)
        case dict() if "Mapping" in says:
            return raw
        case dict() if kind and not listed:
            return _table(kind, raw)
        case list() if listed and "Facts" in says:
            return [_facts(each) for each in raw if isinstance(each, dict)]
        case list() if kind and listed:
            return [_table(kind, each) for each in raw if isinstance(each, dict) and _is_named(kind, each)]
        case list() if listed:
            return _scalars(raw)
        case str() | int() | float() if not (kind or listed or says.startswith(("Facts", "Mapping"))) or says.endswith("| str"):
            return raw
    return None


def _is_named(kind: type, raw: Document) -> bool:
    """Whether an entry carries the id without which nothing finds it, where its kind has one."""
    ident = fields_of(kind).get("id")
    return ident is None or ident.default is not dataclasses.MISSING or isinstance(raw.get("id"), str)


def _facts(raw: Document) -> Document:
    """Facts: each a text, a number, or a list of such."""
    return {name: _scalars(value) if isinstance(value, list) else value for name, value in raw.items() if isinstance(value, (*SCALARS, list))}


def _scalars(raw: list[Any]) -> list[Any]:
    return [each for each in raw if isinstance(each, SCALARS)]
