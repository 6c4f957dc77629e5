# SPDX-License-Identifier: MIT
"""What is to be tested, where, by whom and with what: items, places, planned tests, people, kit, blanks, each written, changed and taken back as events."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import path

from brackish import library
from brackish.record.job import PURPOSES
from brackish.record.paths import Path, paths_of
from brackish.report.words import name_of
from brackish.web.pages.context import JobPage, open_job
from brackish.web.pages.field_words import WORDS
from brackish.web.pages.job import free_id
from brackish.web.pages.names import kit_title
from brackish.web.pages.page import screen, show
from brackish.web.pages.written import Field, field_of

Document = dict[str, Any]
FIELDS = {
    "item": ("name", "kind", "condition", "lot", "area", "ready_at"),
    "location": ("name", "ready_at"),
    "test": ("location", "method", "purpose", "stage", "extract"),
    "person": ("name", "role"),
    "equipment": ("kind", "serial", "lot", "accuracy"),
    "blank": ("kind", "reading", "solution_volume", "temperature", "at", "water"),
}
NEEDED = ("name", "kind", "method", "reading")  # without which a person would not find it again, or the reader not read it
KIT = ("conductivity-meter", "thermometer", "balance", "syringe", "flask", "compartment", "sleeve", "tube", "solution", "burette")
ROLES = ("tester", "inspector", "contractor", "owner", "witness")
MOMENTS = ("ready_at", "at")  # picked by this device's clock
MOST_PLACES = 40  # to choose from; of more, one is named by its id
REFERRING = frozenset(
    ["item", "items", "parent", "location", "locations", "tester", "recorder", "person", "by", "equipment", "bottle", "blank", "retest_of", "tests"]
)


@screen
def plan(request: HttpRequest, job_id: str) -> HttpResponse:
    page = open_job(request, job_id, "write")
    document, things = page.document, _Things(page)
    people, kit, blanks = ([each for each in document.get(kind, []) if "id" in each] for kind in ("person", "equipment", "blank"))
    return show(
        request,
        "job",
        template="plan",
        page=page,
        items=[_item(things, item) for item in document.get("item", []) if "id" in item],
        new_item=things.new("item"),
        people=[things.entry("person", each["id"]) | {"name": each.get("name") or each["id"], "role": each.get("role", "")} for each in people],
        new_person=things.new("person"),
        kit=[things.entry("equipment", each["id"]) | {"name": kit_title(each), "accuracy": each.get("accuracy", "")} for each in kit],
        new_kit=things.new("equipment"),
        blanks=[things.entry("blank", each["id"]) | {"blank": each} for each in blanks],
        needed=NEEDED,
    )


def _item(things: _Things, item: Document) -> Document:
    document = things.page.document
    places, tests = ([each for each in document.get(kind, []) if each.get("item") == item["id"] and "id" in each] for kind in ("location", "test"))
    return things.entry("item", item["id"]) | {
        "name": item.get("name") or item["id"],
        "kind": item.get("kind", ""),
        "area": item.get("area", ""),
        "places": [things.entry("location", each["id"], item) | {"name": each.get("name") or each["id"]} for each in places],
        "tests": [things.entry("test", each["id"], item) | {"method": each.get("method", ""), "location": each.get("location", "")} for each in tests],
        "new_place": things.new("location", item),
        "new_test": things.new("test", item),
    }


class _Things:
    """What a job names, each with the fields that change it."""

    def __init__(self, page: JobPage) -> None:
        self.page = page
        self.own: dict[Path, list[tuple[Path, Any]]] = {}  # what is written of each
        self.hanging: dict[str, list[Path]] = {}  # where the rest of the job names it
        for where, value in paths_of(page.document):
            self.own.setdefault(where[:2], []).append((where, value))
            for name in (value if isinstance(value, list) else [value]) if where[-1] in REFERRING else ():
                self.hanging.setdefault(str(name), []).append(where)
        tests = page.document.get("test", [])
        self.begun = {str(test.get("id")) for test in tests if test.get("started") or test.get("facts") or test.get("determination")}

    def entry(self, kind: str, id: str, item: Document | None = None) -> Document:
        """One thing: a change asks the reason where a test was begun with it, and it can be taken back where nothing hangs on it."""
        own = self.own.get((kind, id), [])
        hanging = [where for where in self.hanging.get(id, []) if where[:2] != (kind, id)]
        begun = bool(self.begun & ({where[1] for where in hanging if where[0] == "test"} | ({id} if kind == "test" else set())))
        may = self.page.may_write_at((kind, id))
        free = may and not hanging and not begun and not any(name.startswith("#") for where, _value in own for name in where)
        return {
            "id": id,
            "title": f"{WORDS[kind]} {id}",
            "fields": self._fields(kind, id, item) if may else [],
            "reason": begun or kind == "blank" or any(where[0] == "blank" for where in hanging),
            "withdrawal": [{"path": list(where), "was": value} for where, value in own] if free else [],
        }

    def new(self, kind: str, item: Document | None = None) -> Document:
        """The fields of one more, its first choices made."""
        id = free_id(kind[0].upper(), self.page.document.get(kind, []), self.page.taken_back(kind))
        fields = [
            replace(each, written=each.choices[0][0], fresh=True) if each.choices and each.path[-1] != "condition" else each
            for each in self._fields(kind, id, item)
        ]
        training = {"purpose": "training"} if kind == "test" and self.page.role == "trainee" else {}  # the server knows a trainee's test by it
        given = {**training, "id": id} | ({"item": item["id"]} if item else {})
        return {"id": id, "fields": fields, "given": [{"path": [kind, id, name], "value": value} for name, value in given.items()]}

    def _fields(self, kind: str, id: str, item: Document | None) -> list[Field]:
        names = [name for name in FIELDS[kind] if not (name == "purpose" and self.page.role == "trainee")]
        found = [field for name in names if (field := field_of(self.page.document, (kind, id, name)))]
        left_out = self._left_out(kind, id)
        asked = [field for field in found if field.written or field.path[-1] not in left_out]
        chosen = [replace(field, choices=self._choices(field, item), kind="moment" if field.path[-1] in MOMENTS else field.kind) for field in asked]
        return [each for each in chosen if each.choices or each.written or (kind, each.path[-1]) not in (("test", "location"), ("test", "stage"))]

    def _left_out(self, kind: str, id: str) -> set[str]:
        """What need not be asked: when cleaning ended where no test follows it, the lot of steel, the area of abrasive or water."""
        criteria = _criteria(self.page)
        untimed = set() if after_cleaning(criteria) else {"ready_at"}
        if kind != "item":
            return untimed
        item: Document = next((each for each in self.page.document.get("item", []) if each.get("id") == id), {})
        about = item.get("kind") or "".join(str(criterion.get("applies_to", "")) for criterion in criteria)
        return untimed | (set() if "abrasive" in about else {"lot", "condition"}) | ({"area", "ready_at"} if about in ("abrasive", "water") else set())

    def _choices(self, field: Field, item: Document | None) -> tuple[tuple[str, str], ...]:
        own: dict[tuple[str, str], Iterable[str]] = {
            ("equipment", "kind"): KIT,
            ("person", "role"): ROLES,
            ("test", "purpose"): PURPOSES,
            ("test", "stage"): sorted({stage for criterion in _criteria(self.page) if (stage := str(criterion.get("stage", "")))}),
        }
        about = (field.path[0], field.path[-1])
        if about in own:
            return tuple((each, str(WORDS.get(f"{field.path[-1]} {each}") or name_of(each))) for each in own[about])
        if about == ("test", "method") and item:
            return _methods(self.page, str(item.get("kind", "")))
        if about == ("test", "location") and item:
            here = {place.get("id") for place in self.page.document.get("location", []) if place.get("item") == item["id"]}
            return tuple(choice for choice in field.choices if choice[0] in here) if len(here) <= MOST_PLACES else ()
        return field.choices


def after_cleaning(criteria: Iterable[Document]) -> bool:
    """Whether something is tested after blasting or washing, so that it matters when that was finished."""
    return any(criterion.get("stage") in ("after-blasting", "after-washing") for criterion in criteria)


def _criteria(page: JobPage) -> list[Document]:
    return [criterion for spec in page.document.get("specification", []) for criterion in spec.get("criterion", [])]


def _methods(page: JobPage, kind: str) -> tuple[tuple[str, str], ...]:
    """The methods for such an item, those that give what is asked first."""
    asked = {criterion.get("quantity") for criterion in _criteria(page)}
    found = [library.method(name) for name in library.method_ids()]
    fitting = [method for method in found if method.applies_to == kind]
    return tuple((method.id, method.title) for method in sorted(fitting, key=lambda method: (not asked & set(method.gives), method.id != "patch-conductivity")))


ADDRESSES = [path("jobs/<str:job_id>/plan", plan, name="plan")]
