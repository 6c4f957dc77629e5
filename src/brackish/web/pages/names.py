# SPDX-License-Identifier: MIT
"""What things, fields and values of a record are called, for people who never saw a job file.

names = Names(document)
names.thing(["equipment", "kcl-today", "lot"])       KCl 0.001 mol/L, lot K-0415
names.field(["test", "T7", "facts", "reading"])      conductivity of the extract: the method's label
names.value(["test", "T7", "tester"], "tester-a")    Ines Farrow
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from brackish import library
from brackish.errors import UnknownMethod
from brackish.library.types import Method
from brackish.quantities import QUANTITIES
from brackish.record.paths import is_named_list
from brackish.report.words import Runs, joined, name_of, written

Document = dict[str, Any]
Path = Sequence[str]
TECHNICAL = frozenset(["format", "id", "x-steps", "x-portion", "x-signer"])  # what keeps a record in order and is no finding of anybody
SILENT = frozenset(["facts", "=json"])
THINGS = {
    "job": gettext_lazy("Job"),
    "x-clause": gettext_lazy("Clause"),
    "format": gettext_lazy("Record"),
    "nonconformance": gettext_lazy("Non-conformance"),
    "reclean": gettext_lazy("Re-clean"),
    "history": gettext_lazy("Scatter of earlier repeats"),
}
FIELDS = {
    "id": gettext_lazy("entered as"),
    "format": gettext_lazy("kept as"),
    "x-clause/text": gettext_lazy("as it was pasted"),
    "x-portion": gettext_lazy("number of the portion"),
    "at": gettext_lazy("time"),
    "ph": gettext_lazy("pH"),
}
CHOSEN = frozenset(  # fields whose values are keys of a fixed list
    ["kind", "sense", "decision_rule", "stage", "purpose", "applies_to", "blank_rule", "judged", "condition", "on_inconclusive", "x-devices", "returned_to"]
)
REFERS = {"item": "item", "parent": "item", "location": "location", "bottle": "equipment", "equipment": "equipment"} | dict.fromkeys(
    ("tester", "recorder", "person", "by", "reported_by"), "person"
)


def is_technical(where: Path) -> bool:
    """Whether a path keeps the record in order: nobody looks for it in the short history."""
    return not TECHNICAL.isdisjoint((where[0], *where[-2:]))


def kit_title(entry: Document) -> str:
    """Conductivity meter, C-1207: a piece of kit by its name or kind, with its number."""
    number = entry.get("serial") or (_("lot %s") % entry["lot"] if entry.get("lot") else "")
    return ", ".join(str(part) for part in (entry.get("name") or name_of(str(entry.get("kind") or entry.get("id", ""))), number) if part)


class Names:
    """The names of one job's things."""

    def __init__(self, document: Document) -> None:
        self.document = document

    @cached_property
    def _entries(self) -> dict[tuple[str, str], Document]:
        return {
            (table, str(entry.get("id"))): entry for table, rows in self.document.items() if isinstance(rows, list) for entry in rows if isinstance(entry, dict)
        }

    def entry(self, table: str, id: str) -> str:
        """One entry of a list: a test by its number, kit by its name, an item by its own."""
        found = self._entries.get((table, id), {})
        if table == "equipment":
            return kit_title(found) if found else id
        return id if table == "test" else str(found.get("name") or found.get("title") or id)

    def thing(self, where: Path) -> str:
        """What a path is about."""
        name = str(THINGS.get(where[0]) or name_of(where[0].removeprefix("x-")))
        if not is_named_list(where[:1]) or len(where) < 2 or where[1].startswith("#"):
            return name
        entry = self.entry(where[0], where[1])
        return entry if where[0] == "test" or entry != where[1] else f"{name} {entry}"

    def field(self, where: Path) -> str:
        """What of it."""
        if "x-steps" in where:
            return _("step begun: %s") % self._step(where)
        if own := FIELDS.get("/".join(where)) or FIELDS.get(where[-1]):
            return ", ".join([*self._above(where), str(own)])
        method = self._method(where)
        fact = method.fact(where[-1]) if method else None
        label = fact.label if fact else name_of(where[-1].removeprefix("x-"))
        return ", ".join([*self._above(where), label[:1].lower() + label[1:]])

    def _above(self, where: Path) -> list[str]:
        """The tables between the thing and its field; a portion by its number."""
        between = where[2 if is_named_list(where[:1]) else 1 : -1]
        parts = [_("portion %s") % part.removeprefix("#") if part.startswith("#") and "determination" in where else part for part in between]
        return [name_of(part.removeprefix("x-")).lower() for part in parts if part not in SILENT and part != "determination" and not part.startswith("#")]

    def value(self, where: Path, value: object) -> Runs:
        """What was written, with names where it names something of the record."""
        table = REFERS.get(where[-1])
        if table and isinstance(value, list):
            return joined([[self.entry(table, str(each))] for each in value])
        if table and isinstance(value, str) and (table, value) in self._entries:
            return [self.entry(table, value)]
        if where[-1] == "method" and (method := _method(str(value))):
            return [method.title]
        if where[-1] == "quantity" and str(value) in QUANTITIES:
            return [QUANTITIES[str(value)].words]
        if where[-1] in CHOSEN:
            return [name_of(str(value)).lower()]
        return written(value)

    def _method(self, where: Path) -> Method | None:
        return _method(str(self._entries.get(("test", where[1]), {}).get("method", ""))) if where[0] == "test" and len(where) > 1 else None

    def _step(self, where: Path) -> str:
        method = self._method(where)
        step = next((each for each in method.steps if each.name == where[-1]), None) if method else None
        return step.title if step else name_of(where[-1]).lower()


def _method(name: str) -> Method | None:
    try:
        return library.method(name)
    except UnknownMethod:
        return None


def words_of(document: Document, where: Path) -> str:
    """A path for people: T10, conductivity of the extract; empty where there is none."""
    names = Names(document)
    return ", ".join([names.thing(where), names.field(where)] if len(where) > 1 else [names.thing(where)]) if where else ""
