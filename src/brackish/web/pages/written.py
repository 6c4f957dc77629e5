# SPDX-License-Identifier: MIT
"""The fields in which the record is written, one for a path of the job document.

    field_of(document, ("item", "I1", "area"))    ->  its label, "46.5", the printed unit m2, the other units, choices
    fields_of_test(test, missing)                 ->  every fact of its method, what a verdict waits for first

Which units, choices and dimensions a field has is read from the types of `record/job.py` and from the methods, never said again here.
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Sequence
from typing import Any

from django.utils.translation import gettext as _

from brackish import library
from brackish.errors import UnknownMethod
from brackish.library.types import Fact, Method
from brackish.quantities import DIMENSIONS, QUANTITIES, dimension_of, shown_unit
from brackish.record.accuracy import dimensions_of_figure
from brackish.record.fields import fields_of
from brackish.record.job import Job
from brackish.record.paths import Path, is_named_list
from brackish.report.words import name_of
from brackish.web.pages.field_words import WORDS

Document = dict[str, Any]
PRINTED = {"ratio": "%", "temperature_coefficient": "%/K"}  # the unit beside a field, where it is not the first of its dimension
PRINTED_AT = {"item.area": "m2", "item.lot_mass": "t", "nonconformance.area": "m2", "test_within": "h", "location.x": "m", "location.y": "m"}
REFERS = {"item": "item", "parent": "item", "location": "location", "blank": "blank", "retest_of": "test"} | dict.fromkeys(
    ("tester", "recorder", "person"), "person"
)
_NUMBER = re.compile(r"([<>]?\s*[-+]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d+)?) (\S+)")


@dataclasses.dataclass(frozen=True)
class Field:
    """One field of a form."""

    path: Path
    label: str
    written: Any = None  # what stands there; None: nothing
    kind: str = "text"  # how `record.js` gives it back: text, number, integer, truth, list
    unit: str = ""  # printed beside it, and that of a bare number
    units: tuple[str, ...] = ()  # what else may be typed
    choices: tuple[tuple[str, str], ...] = ()
    help: str = ""
    example: str = ""
    missing: bool = False  # a verdict waits for it
    long: bool = False
    fresh: bool = False  # proposed: nothing of it is in the record yet
    fault: str = ""

    @property
    def typed(self) -> str:
        """What stands in the field: as it was typed, without the unit that is printed beside it."""
        return "; ".join(number_of(text) if self.unit and unit_of(text) == self.unit else str(text) for text in _listed(self.written))

    @property
    def chosen(self) -> str:
        return str(self.written).lower() if isinstance(self.written, bool) else "" if self.written is None else str(self.written)

    @property
    def options(self) -> tuple[tuple[str, str], ...]:
        """The choices, with what is written where it is none of them."""
        known = not self.chosen or any(value == self.chosen for value, _words in self.choices)
        return self.choices if known else (*self.choices, (self.chosen, self.chosen))

    @property
    def other_units(self) -> str:
        return ", ".join(map(shown_unit, self.units))


def unit_of(text: object) -> str:
    """The unit of an amount; empty where the text is no number and unit."""
    match = _NUMBER.fullmatch(str(text))
    return match[2] if match else ""


def number_of(text: object) -> str:
    match = _NUMBER.fullmatch(str(text))
    return match[1] if match else str(text)


def _listed(value: Any) -> list[Any]:
    return value if isinstance(value, list) else [] if value is None else [value]


def amount(path: Path, label: str, written: Any, *, unit: str, dimensions: tuple[str, ...], **more: Any) -> Field:
    """The field of an amount: the unit printed beside it is the one that was written, else `unit`."""
    tables = [DIMENSIONS[name] for name in dimensions if name in DIMENSIONS]
    units = [each for table in tables for each in table.units if each != "1"]
    found = {unit_of(text) for text in _listed(written)}
    printed = next(iter(found)) if len(found) == 1 and found <= {*units} else unit
    numbers = [number_of(table.example) for table in tables if printed in table.units]
    example = f"{numbers[0]} {printed}" if numbers else "1 %" if "%" in units else ""
    return Field(path, label, written, unit=printed, units=tuple(each for each in units if each != printed), example=example, **more)


def field_of(document: Document, path: Path) -> Field | None:
    """The field of a path; None where no value of the record stands."""
    written = value_at(document, path)
    if path[0] == "test" and len(path) > 3 and path[2] in ("facts", "determination"):
        method = _method(str(value_at(document, (*path[:2], "method"))))
        fact = method.fact(path[-1]) if method else None
        return fact_field(fact, path, written) if fact else Field(path, name_of(path[-1]), written, kind=_kind(written))
    said = _said_of(path)
    if said is None or said.metadata["kind"] is not None or isinstance(written, dict):
        return None
    name = path[-1] if path[2:3] == ("criterion",) else f"{path[0]}.{path[-1]}"
    label, help = str(WORDS.get(name, name_of(path[-1]))), str(WORDS.get(f"{name}?", ""))
    above = value_at(document, path[:-1])
    table: Document = above if isinstance(above, dict) else {}
    if dimensions := _dimensions(said, path, table):
        unit = _unit(path, name, table, dimensions)
        help = "" if unit and path[-1] == "limit" else help
        return amount(path, label, written, unit=unit, dimensions=dimensions, help=help, kind="list" if isinstance(written, list) else "text")
    return Field(path, label, written, kind=_kind(written), choices=_choices(document, said, path), help=help)


def fact_field(fact: Fact, path: Path, written: Any, *, missing: bool = False) -> Field:
    """The field of a fact of a method."""
    about: Document = {"help": fact.help, "missing": missing}
    if fact.kind == "quantity":
        dimensions = (fact.dimension,) if isinstance(fact.dimension, str) else fact.dimension
        return amount(
            path, fact.label, written, unit=fact.unit, dimensions=dimensions, kind="list" if fact.repeats and not isinstance(written, str) else "text", **about
        )
    kind = {"count": "integer", "flag": "truth", "ph": "number"}.get(fact.kind, "text")
    choices = (("true", _("yes")), ("false", _("no"))) if fact.kind == "flag" else tuple((each, name_of(each)) for each in fact.choices)
    return Field(path, fact.label, written, kind=kind, choices=choices, **about)


def fields_of_test(test: Document, missing: Sequence[str] = ()) -> list[Document]:
    """The facts of a test, then of each of its portions: what a verdict waits for first, then what is written, then the rest of its method."""
    where: Path = ("test", str(test["id"]))
    method = _method(str(test.get("method", "")))
    known = {fact.name: fact for fact in (method.facts if method else ())}
    facts = test["facts"] if isinstance(test.get("facts"), dict) else {}
    portions = [each for each in test.get("determination", []) if isinstance(each, dict)]
    apart = {name for each in portions for name in each} | {fact.name for fact in known.values() if portions and fact.per == "determination"}
    groups = [{"name": "", "fields": _fields((*where, "facts"), facts, [name for name in known if name not in apart], known, missing)}]
    for place, each in enumerate(portions, 1):
        number = each.get("x-portion", place)
        names = [name for name, fact in known.items() if fact.per == "determination" and name not in facts]
        groups.append({"name": _("Portion %s") % number, "fields": _fields((*where, "determination", f"#{number}"), each, names, known, missing)})
    return groups


def _fields(where: Path, table: Document, asked: list[str], known: dict[str, Fact], missing: Sequence[str]) -> list[Field]:
    """What is written in a table of facts, and what else could be."""
    order = [name for name in known if name in asked or name in table] + [name for name in table if name not in known and not name.startswith("x-")]
    fields = [
        fact_field(known[name], (*where, name), table.get(name), missing=name in missing and name not in table)
        if name in known
        else Field((*where, name), name_of(name), table[name], kind=_kind(table[name]))
        for name in order
    ]
    return sorted(fields, key=lambda field: 0 if field.missing else 2 if field.written is None else 1)


def _method(name: str) -> Method | None:
    try:
        return library.method(name)
    except UnknownMethod:
        return None


def _kind(written: Any) -> str:
    return "list" if isinstance(written, list) else "truth" if isinstance(written, bool) else "integer" if isinstance(written, int) else "text"


def _said_of(path: Path) -> dataclasses.Field | None:
    """What `record/job.py` says of the field at a path."""
    kind: Any = Job
    said: dataclasses.Field | None = None
    at = 0
    while at < len(path):
        said = fields_of(kind).get(path[at]) if kind else None
        if said is None:
            return None
        kind = said.metadata["kind"]
        at += 2 if is_named_list(path[: at + 1]) or (path[at + 1 : at + 2] and path[at + 1].startswith("#")) else 1
    return said


def _dimensions(said: dataclasses.Field, path: Path, table: Document) -> tuple[str, ...]:
    """The dimensions of an amount, also where they hang on the rest of its table."""
    name = path[-1]
    if path[0] == "equipment" and len(path) == 3 and name in ("accuracy", "resolution", "graduation", "certified_uncertainty"):
        return dimensions_of_figure(str(table.get("kind", "")), share=name in ("accuracy", "certified_uncertainty"))
    if path[0] == "blank" and name == "reading":
        return ("conductivity", "concentration")
    if path[2:3] == ("criterion",) and name in ("limit", "limit_mean", "guard_band"):
        kind = QUANTITIES.get(str(table.get("quantity", "")))
        every = tuple(dict.fromkeys(each.dimension for each in QUANTITIES.values()))
        told = kind.dimension if kind else dimension_of(unit_of(table.get("limit")))  # what is counted may be open, but not what was written
        return (told,) if told in every else every
    return ("ratio",) if path[2:3] == ("criterion",) and name == "level" else tuple(said.metadata["dimensions"])


def _unit(path: Path, name: str, table: Document, dimensions: tuple[str, ...]) -> str:
    """The unit printed beside a field; none where one number could mean two things."""
    if path[2:3] == ("criterion",) and (kind := QUANTITIES.get(str(table.get("quantity", "")))) and kind.dimension in dimensions:
        return kind.shown_unit
    if path[0] == "blank" and path[-1] == "reading":
        return DIMENSIONS["conductivity"].inside
    return PRINTED_AT.get(name) or (PRINTED.get(dimensions[0], DIMENSIONS[dimensions[0]].inside) if len(dimensions) == 1 else "")


def _choices(document: Document, said: dataclasses.Field, path: Path) -> tuple[tuple[str, str], ...]:
    name = path[-1]
    if said.metadata["allowed"]:
        return tuple(
            (each, QUANTITIES[each].words if each in QUANTITIES else str(WORDS.get(f"{name} {each}", name_of(each)))) for each in said.metadata["allowed"]
        )
    if path[0] == "test" and name == "method":
        return tuple((each, library.method(each).title) for each in library.method_ids())
    if name in REFERS and len(path) == 3 and path[0] != "question":
        rows = [row for row in document.get(REFERS[name], []) if isinstance(row, dict) and "id" in row]
        return tuple((str(row["id"]), f"{row['id']}, {row['name']}" if row.get("name") else str(row["id"])) for row in rows)
    return ()


def value_at(document: Document, path: Path) -> Any:
    node: Any = document
    for name in path:
        if isinstance(node, list):
            rows = [row for row in node if isinstance(row, dict)]
            named = (row for place, row in enumerate(rows, 1) if name in (row.get("id"), f"#{row.get('x-portion', place)}"))
            node = next(named, None)
        else:
            node = node.get(name) if isinstance(node, dict) else None
    return node
