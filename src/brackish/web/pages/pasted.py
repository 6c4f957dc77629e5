# SPDX-License-Identifier: MIT
"""Readings from a spreadsheet: a pasted table, its columns matched to what a test writes down, and the fate of every row.

    table_of(text)  ->  guess(table, method)  ->  fates(document, table, columns, common)

Nothing is stored and nothing is put right in silence: a row becomes the changes that would write it,
or stays out with the reason, in the words of the reader of job documents. A number without a unit is
refused by that reader, so a unit stands in the cell, in the head of the column, or is chosen there.
"""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.utils.translation import gettext as _

from brackish import library
from brackish.errors import BrackishError, InputError, faults_of
from brackish.judge.outcome import unique
from brackish.judge.trial import try_test
from brackish.library.types import Fact, Method
from brackish.quantities import DIMENSIONS, shown_unit
from brackish.record.document import read_job
from brackish.record.job import Job
from brackish.record.paths import document_of, paths_of
from brackish.web.pages.typed import COMMA, NUMBER, in_unit, whole

Document = dict[str, Any]

MOST_ROWS = 200
NOT_COUNTED = ("stage.missing", "location.missing")  # findings of a test that is judged and counts for nothing
OF_TEST = ("id", "location", "item", "read_at", "started", "tester", "blank", "purpose", "stage", "round", "retest_of")
WORDS = {  # heads of columns that people write, beside the names and labels of the facts
    "test": "id", "no": "id", "nr": "id", "place": "location", "spot": "location", "where": "location", "time": "read_at", "date": "read_at", "when": "read_at", "read": "read_at", "datum": "read_at",
    "conductivity": "fact:reading", "reading": "fact:reading", "value": "fact:reading", "chloride": "fact:reading", "temp": "fact:temperature", "temperature": "fact:temperature",
    "volume": "fact:solution_volume", "area": "fact:compartment_area", "inspector": "tester", "by": "tester", "name": "tester", "who": "tester", "dwell": "fact:dwell",
}  # fmt: skip
_DAY_FIRST = re.compile(r"(\d{1,2})\.(\d{1,2})\.(\d{4})(?:[ ,]+(\d{1,2}:\d{2})(?::\d{2})?)?")
FLAGS = {"yes": True, "true": True, "1": True, "y": True, "no": False, "false": False, "0": False, "n": False}


@dataclass(frozen=True)
class Table:
    """Rows of texts under one head, each with its number in the paste."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    lines: tuple[int, ...]
    left_off: int = 0


@dataclass(frozen=True)
class Column:
    """What a column is for: a part of a test, a fact of its method (`fact:reading`), or nothing."""

    target: str
    unit: str = ""


@dataclass
class Fate:
    """What becomes of one row."""

    line: int
    cells: tuple[str, ...]
    kind: str  # new | changed | same | refused
    test: str = ""
    state: str = ""  # incomplete | void, where the test would be
    words: list[str] = field(default_factory=list)
    changes: list[Document] = field(default_factory=list)
    nobody: str = ""  # the tester, where nobody in the job is called so


def table_of(text: str) -> Table:
    """The pasted text as a table: tabs, semicolons or commas, whichever the first line has most of; no head where it holds a number."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    top = next((line for line in lines if line.strip()), "")
    reader = csv.reader(io.StringIO("\n".join(lines)), delimiter=max("\t;,", key=top.count))
    try:
        read = [(reader.line_num, tuple(map(_cell, row))) for row in reader]
    except csv.Error as error:
        raise InputError("input.syntax", place="text", form="CSV", detail=str(error)) from None
    rows = [(number, cells) for number, cells in read if any(cells)]
    if not rows:
        return Table((), (), ())
    bare = any(NUMBER.fullmatch(cell) for cell in rows[0][1])
    head = tuple(_("Column %d") % (index + 1) for index in range(len(rows[0][1]))) if bare else rows[0][1]
    body = rows if bare else rows[1:]
    kept = body[:MOST_ROWS]
    return Table(head, tuple(cells for _number, cells in kept), tuple(number for number, _cells in kept), len(body) - len(kept))


def _cell(text: str) -> str:
    """A cell without the apostrophe that our own export puts before what a spreadsheet would run."""
    kept = text.strip()
    return kept[1:] if kept.startswith("'") and kept[1:2] in "=+-@" else kept


def targets(method: Method) -> list[tuple[str, str]]:
    """What a column may be for, with its words."""
    names = {
        "id": _("test"), "location": _("place"), "item": _("item"), "read_at": _("time of the reading"), "started": _("time of the start"), "tester": _("tester"),
        "blank": _("blank"), "purpose": _("purpose"), "stage": _("stage"), "round": _("round"), "retest_of": _("retest of"),
    }  # fmt: skip
    return [(name, names[name]) for name in OF_TEST] + [(f"fact:{fact.name}", fact.label) for fact in method.facts]


def guess(table: Table, method: Method) -> list[Column]:
    """Each column matched by its whole head, else by a word of it, else by its unit where only one fact has it; a target is given once.

    The unit of a head is kept for whatever the column is chosen for later.
    """
    heads = [(title, *_head(title)) for title in table.head]
    found: dict[int, str] = {}
    for target_of in (_by_head, _by_word, _by_unit):
        for at, (title, name, unit) in enumerate(heads):
            target = target_of(method, title, name, unit)
            if target and at not in found and target not in found.values():
                found[at] = target
    return [Column(found.get(at, ""), unit) for at, (_title, _name, unit) in enumerate(heads)]


def _by_head(method: Method, title: str, name: str, _unit: str) -> str:
    known = {_plain(words): target for target, words in targets(method)} | {_plain(target.removeprefix("fact:")): target for target, _words in targets(method)}
    return known.get(_plain(title)) or known.get(_plain(name).removeprefix("fact "), "")  # fact_reading: as our own table heads it


def _by_word(method: Method, _title: str, name: str, _unit: str) -> str:
    target = next((WORDS[word] for word in _plain(name).split() if word in WORDS), "")
    return target if target in OF_TEST or method.fact(target.removeprefix("fact:")) else ""


def _by_unit(method: Method, _title: str, _name: str, unit: str) -> str:
    of_unit = [f"fact:{fact.name}" for fact in method.facts if fact.kind == "quantity" and unit in units(fact)]
    return of_unit[0] if len(of_unit) == 1 else ""


def units(fact: Fact) -> list[str]:
    """The units a fact may have."""
    dimensions = (fact.dimension,) if isinstance(fact.dimension, str) else fact.dimension
    return [unit for dimension in dimensions if dimension in DIMENSIONS for unit in DIMENSIONS[dimension].units]


def _head(title: str) -> tuple[str, str]:
    """The name and the unit of a head such as `Reading (µS/cm)` or `conductivity_uS_cm`."""
    every = {unit: unit for dimension in DIMENSIONS.values() for unit in dimension.units}
    every |= {shown_unit(unit): unit for unit in every} | {"°C": "degC", "C": "degC"}
    every |= {name.replace("/", "_"): unit for name, unit in list(every.items())}
    for name, unit in sorted(every.items(), key=lambda pair: -len(pair[0])):
        for ending in (f"({name})", f"[{name}]", f", {name}", f" {name}", f"_{name}", f"/{name}"):
            if title.endswith(ending):
                return title.removesuffix(ending).strip(), unit
    return title, ""


def _plain(text: str) -> str:
    return " ".join(re.findall(r"[a-z0-9]+", text.lower()))


def fates(
    *, document: Document, table: Table, columns: list[Column], method: str, common: Document, offset: str, places: bool, taken_back: Collection[str] = ()
) -> list[Fate]:
    """The fate of every row; `common` is what all rows share, `places` whether this person may add a place, `taken_back` ids that are not given again."""
    draft = _Draft(document, library.method(method), common, offset, places, taken_back)
    rows = [draft.row(number, cells, columns) for number, cells in zip(table.lines, table.rows, strict=True)]
    _say_what_is_missing(_refuse_unreadable(document, rows), rows)
    return rows


class _Draft:
    """Rows as tests of a job, each with its own id; places that are not there yet become new ones."""

    def __init__(self, document: Document, method: Method, common: Document, offset: str, places: bool, taken_back: Collection[str]) -> None:
        self.document, self.method, self.common, self.offset, self.may_add = document, method, common, offset, places
        self.facts = {fact.name: fact for fact in method.facts}
        self.tests = {str(test["id"]): test for test in document.get("test", [])}
        self.places = {str(place["id"]): place for place in document.get("location", [])}
        self.said = {self._says(test): name for name, test in self.tests.items()}
        self.used: set[str] = set()
        self.free = self._free_ids("T", {*self.tests, *taken_back})
        self.free_places = self._free_ids("L", set(self.places))

    @staticmethod
    def _free_ids(letter: str, taken: set[str]) -> Iterator[str]:
        return (name for number in range(1, 100_000) if (name := f"{letter}{number}") not in taken)

    def row(self, line: int, cells: tuple[str, ...], columns: list[Column]) -> Fate:
        said = [(column, cell) for column, cell in zip(columns, cells, strict=False) if column.target and cell]
        given = {column.target: cell for column, cell in said}
        name = given.get("id") or next(self.free)
        fate = Fate(line, cells, "new", name)
        if name in self.used:
            return _refuse(fate, _("%s stands twice in this table.") % name)
        self.used.add(name)
        if name not in self.tests and (unread := self._unread(columns)):
            return _refuse(fate, _("No column is for: %s.") % ", ".join(unread))
        if empty := self._empty(columns, given):
            return _refuse(fate, _("Nothing stands under: %s.") % ", ".join(empty))
        if (tester := given.get("tester", "")) and not self._found("person", tester):
            fate.nobody = tester
            return _refuse(fate, _("Nobody in this job is called %s.") % tester)
        if (item := given.get("item", "")) and not self._found("item", item):
            return _refuse(fate, _("No item of this job is called %(given)s. Its items: %(known)s.") % {"given": item, "known": self._known("item")})
        old = self.tests.get(name, {})
        test: Document = ({} if old else {key: value for key, value in self.common.items() if key != "facts"}) | {"id": name}
        facts: Document = {} if old else dict(self.common.get("facts", {}))
        changes = self._place(given, test, fate)
        if not old and (place := self.places.get(test.get("location", ""), {})).get("item"):
            test.setdefault("item", place["item"])
        for column, cell in said:
            if column.target.startswith("fact:"):
                facts[column.target[5:]] = self._fact(self.facts[column.target[5:]], cell, column.unit, fate)
            elif column.target not in ("id", "location"):
                test[column.target] = self._part(column.target, cell)
        test["facts"] = facts
        if wrong := [given[when] for when in ("read_at", "started") if when in given and not test[when]]:
            return _refuse(fate, *(_("%s is read as no time. Write 2026-03-04 09:05 or 4.3.2026 09:05.") % each for each in wrong))
        twin = self.said.setdefault(self._says(test), name)
        if "id" not in given and twin != name:
            return _refuse(fate, _("%s says the same already: this reading, at this place and time.") % twin)
        fate.changes = changes + self._changes(name, test, old)
        if old:
            fate.kind = "changed" if fate.changes else "same"
        return fate

    def _unread(self, columns: list[Column]) -> list[str]:
        """What the method measures and no column is for: a new test without it would say nothing."""
        targets = {column.target for column in columns}
        return [self.facts[name].label for name in self.method.measured if f"fact:{name}" not in targets]

    def _says(self, test: Document) -> str:
        """What was read, where and when: alike in a row that was pasted before, or stands in the table twice."""
        facts = test.get("facts", {})
        return json.dumps([test.get("location"), test.get("method"), test.get("read_at"), [facts.get(name) for name in self.method.measured]])

    def _empty(self, columns: list[Column], given: dict[str, str]) -> list[str]:
        """The readings and whatever else the method requires that the table has a column for, but this row leaves out; all facts where it has none."""
        wanted = [
            fact.label for fact in self.facts.values() if (fact.required or fact.repeats) and any(column.target == f"fact:{fact.name}" for column in columns)
        ]
        filled = [self.facts[target[5:]].label for target in given if target.startswith("fact:")]
        return [label for label in wanted if label not in filled] if filled else [_("any fact of the method")]

    def _place(self, given: dict[str, str], test: Document, fate: Fate) -> list[Document]:
        """The place of a row by its id or its name; one that is not there yet is added."""
        if "location" not in given:
            return []
        wanted = given["location"]
        found = next((key for key, place in self.places.items() if wanted.casefold() in (key.casefold(), str(place.get("name", "")).casefold())), "")
        if not found and self.may_add:
            found = next(self.free_places)
            entry = {"id": found, "item": self._part("item", given.get("item", "")) or test.get("item", ""), "name": wanted}
            self.places[found] = entry
            fate.words.append(_("New place %(id)s: %(name)s.") % {"id": found, "name": wanted})
            test["location"] = found
            return [{"path": ["location", found, key], "value": value} for key, value in entry.items() if value]
        test["location"] = found or wanted
        return []

    def _part(self, target: str, cell: str) -> Any:
        if target in ("read_at", "started"):
            return _moment(cell, self.offset)
        if target in ("tester", "item"):
            return self._found({"tester": "person", "item": "item"}[target], cell)
        number = whole(cell) if target == "round" else None
        return cell if number is None else number

    def _found(self, kind: str, said: str) -> str:
        """The id of a person or an item of the job, by its id or its name; empty where there is none."""
        plain = " ".join(said.casefold().split())
        rows = self.document.get(kind, [])
        return next((str(row["id"]) for row in rows if plain in (str(row["id"]).casefold(), " ".join(str(row.get("name", "")).casefold().split()))), "")

    def _known(self, kind: str) -> str:
        return ", ".join(str(row.get("name") or row["id"]) for row in self.document.get(kind, [])) or _("none yet")

    def _fact(self, fact: Fact, cell: str, unit: str, fate: Fate) -> Any:
        if fact.kind == "count" and (number := whole(cell)) is not None:
            return number
        if fact.kind == "flag":
            return FLAGS.get(cell.casefold(), cell)
        if fact.kind != "quantity":
            return self._amount(cell, "", fate) if fact.kind == "ph" else cell
        parts = [part.strip() for part in (re.split(r"[;|]", cell) if fact.repeats else [cell])]
        texts = [self._amount(part, unit, fate) for part in parts if part]
        return texts if fact.repeats else texts[0] if texts else cell

    def _amount(self, cell: str, unit: str, fate: Fate) -> str:
        dotted = COMMA.sub(r"\1.\2", cell)
        if dotted != cell:
            fate.words.append(_("%(given)s is read as %(taken)s.") % {"given": cell, "taken": dotted})
        return in_unit(dotted, unit)

    def _changes(self, name: str, test: Document, old: Document) -> list[Document]:
        """What differs from the record, the purpose first: by it the server knows a training test."""
        before = dict(paths_of({"test": [old]})) if old else {}
        leaves = [(path, value) for path, value in paths_of({"test": [test]}) if before.get(path) != value]
        leaves.sort(key=lambda leaf: leaf[0][2:] != ("purpose",))
        return [{"path": list(path), "value": value} | ({"was": before[path]} if path in before else {}) for path, value in leaves]


def _moment(cell: str, offset: str) -> str:
    """A time with its offset; empty for what is no time."""
    text = cell
    if match := _DAY_FIRST.fullmatch(cell):
        text = f"{match[3]}-{int(match[2]):02}-{int(match[1]):02} {(match[4] or '').zfill(5) if match[4] else '00:00'}"
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        return ""
    return moment.isoformat() if moment.tzinfo else f"{moment.isoformat()}{offset}"


def _refuse(fate: Fate, *why: str) -> Fate:
    fate.kind, fate.words, fate.changes = "refused", [*why], []
    return fate


def concerned(document: Document, rows: list[Fate]) -> Document:
    """The job with its rows written, and of its other tests only those that a row names: the rest of a long job says nothing about them."""
    changes = [(tuple(change["path"]), change["value"]) for row in rows for change in row.changes]
    named = {path[1] for path, _value in changes if path[0] == "test"} | {value for path, value in changes if path[2:] == ("retest_of",)}
    tests = [test for test in document.get("test", []) if test.get("id") in named]
    return document_of([*paths_of({**document, "test": tests}), *changes])


def _read(document: Document, rows: list[Fate]) -> tuple[Job | None, tuple[BrackishError, ...]]:
    """The job that the rows would make, or what the reader of job documents finds fault with."""
    try:
        return read_job(concerned(document, rows)), ()
    except BrackishError as error:
        return None, faults_of(error)


def _refuse_unreadable(document: Document, rows: list[Fate]) -> Job | None:
    """Ask the reader of job documents about all rows at once, refuse those it finds fault with, and give the job of the others."""
    job, faults = _read(document, rows)
    if not faults:
        return job
    for row in rows:
        mine = [fault for fault in faults if fault.place == f"test[{row.test}]" or fault.place.startswith(f"test[{row.test}].")]
        if mine and row.kind in ("new", "changed"):
            _refuse(row, *dict.fromkeys(map(_said_of, mine)))
    kept = {change["path"][1] for row in rows for change in row.changes if change["path"][0] == "location"}
    for row in rows:  # a place that a refused row would have added is added by the next row that stands there
        mine_at = next((change["value"] for change in row.changes if change["path"][2:] == ["location"]), "")
        if mine_at and mine_at not in kept and mine_at not in {place["id"] for place in document.get("location", [])}:
            _refuse(row, _("Its place was to be added by a row that is refused. Put that row right, or name a place of the job."))
    return _read(document, rows)[0]


def _said_of(fault: BrackishError) -> str:
    """A fault in words; of a number without a unit, where on this page its unit is chosen."""
    if fault.code != "quantity.bare_number":
        return fault.message
    return _("%(given)s has no unit. Choose it beside its column above, or write it in the head or in the cell.") % {
        "given": str(fault.params["given"]).strip("'")
    }


def _say_what_is_missing(job: Job | None, rows: list[Fate]) -> None:
    """What the judge would say of each row's test: not complete, void, not counted, or nothing; never its verdict, which is not for choosing rows."""
    tests = {test.id: test for test in job.test} if job else {}
    for row in rows:
        if job and row.changes and row.test in tests:
            trial = try_test(job, tests[row.test])
            found = unique(trial.findings)
            if trial.state in ("incomplete", "void"):
                row.state = trial.state
                row.words += [each["message"] for each in found if each["severity"] == "void" or each["code"] == "fact.missing"][:3]
            row.words += [each["message"] for each in found if each["code"] in NOT_COUNTED]
