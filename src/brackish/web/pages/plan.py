# SPDX-License-Identifier: MIT
"""What is to be tested, where, by whom and with what: items, places, planned tests, people, kit, each written as events."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import path

from brackish import library
from brackish.record.job import PURPOSES
from brackish.web.pages.context import JobPage, open_job
from brackish.web.pages.job import free_id
from brackish.web.pages.page import screen, show

Document = dict[str, Any]
KIT = ("conductivity-meter", "thermometer", "balance", "syringe", "flask", "compartment", "sleeve", "tube", "solution", "burette")
ROLES = ("tester", "inspector", "contractor", "owner", "witness")
ITEMS = ("steel", "abrasive", "water")


@screen
def plan(request: HttpRequest, job_id: str) -> HttpResponse:
    page = open_job(request, job_id, "write")
    document = page.document
    return show(
        request,
        "job",
        template="plan",
        page=page,
        items=[_item(page, item) for item in document.get("item", [])],
        next={
            letter: free_id(letter, document.get(kind, []))
            for letter, kind in (("I", "item"), ("L", "location"), ("T", "test"), ("P", "person"), ("E", "equipment"))
        },
        stages=sorted({each for each in _stages(page) if each}),
        purposes=PURPOSES,
        kinds=ITEMS,
        roles=ROLES,
        kit=KIT,
        document=document,
    )


def _item(page: JobPage, item: Document) -> Document:
    document = page.document
    places = [place for place in document.get("location", []) if place.get("item") == item.get("id")]
    tests = [test for test in document.get("test", []) if test.get("item") == item.get("id")]
    return {
        "id": item.get("id", ""),
        "name": item.get("name") or item.get("id"),
        "kind": item.get("kind", ""),
        "area": item.get("area", ""),
        "places": places,
        "methods": _methods(page, str(item.get("kind", ""))),
        "tests": tests,
    }


def _methods(page: JobPage, kind: str) -> list[tuple[str, str]]:
    """The methods for such an item, those that give what is asked first."""
    asked = {criterion.get("quantity") for spec in page.document.get("specification", []) for criterion in spec.get("criterion", [])}
    found = [library.method(name) for name in library.method_ids()]
    fitting = [method for method in found if method.applies_to == kind]
    return [(method.id, method.title) for method in sorted(fitting, key=lambda method: (not asked & set(method.gives), method.id != "patch-conductivity"))]


def _stages(page: JobPage) -> list[str]:
    return [str(criterion.get("stage", "")) for spec in page.document.get("specification", []) for criterion in spec.get("criterion", [])]


ADDRESSES = [path("jobs/<str:job_id>/plan", plan, name="plan")]
