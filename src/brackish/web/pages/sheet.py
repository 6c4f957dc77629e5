# SPDX-License-Identifier: MIT
"""Paper sheets: one A4 page a test, with the steps of its method, boxes for digits and units already printed.

For places where no device is allowed. What is written by hand is typed in afterwards; its times count.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import path
from django.utils.translation import gettext as _

from brackish.library.types import Fact
from brackish.quantities import shown_unit
from brackish.web.pages.context import open_job
from brackish.web.pages.day import first_sentence
from brackish.web.pages.moment import now
from brackish.web.pages.page import screen, show
from brackish.web.pages.running import Run, Stage, runs

Document = dict[str, Any]
WHOLE = {"conductivity": 4, "area": 4, "volume": 3, "mass": 3, "time": 2, "temperature": 2, "ratio": 2, "concentration": 3}  # boxes before the point
PARTS = {"conductivity": 1, "area": 0, "volume": 2, "mass": 1, "time": 1, "temperature": 1, "ratio": 1, "concentration": 1}  # and after it


@dataclass(frozen=True)
class Line:
    """One thing to write by hand."""

    label: str
    unit: str
    before: range
    after: range
    choices: tuple[str, ...] = ()
    text: bool = False
    bound: bool = False  # a box for < or > before the digits


@screen
def sheet(request: HttpRequest, job_id: str) -> HttpResponse:
    page = open_job(request, job_id)
    wanted = request.GET.getlist("test")
    every = [] if page.faults else list(runs(page.outline, now(), page.conflicts))
    chosen = [run for run in every if (run.id in wanted if wanted else run.state in ("planned", "running"))]
    return show(request, "day", template="sheet", page=page, sheets=[_sheet(run) for run in chosen])


def _sheet(run: Run) -> Document:
    return {
        "run": run,
        "item": run.case.name("item", run.test.get("item")),
        "steps": [_step(run, stage) for stage in run.stages],
        "cautions": run.method.cautions,
        "blank": "blank" in run.method.corrections,
    }


def _step(run: Run, stage: Stage) -> Document:
    facts = [fact for name in stage.step.facts if (fact := run.method.fact(name))]
    return {
        "title": first_sentence(stage.step.text).rstrip("."),
        "rest": stage.step.text.partition(". ")[2],
        "voids": stage.step.voids.rstrip("."),
        "minutes": f"{stage.minutes:g}" if stage.timed else "",
        "pumps": range(1, len(stage.pumps) + 1),
        "lines": [line for fact in facts for line in _lines(fact)],
    }


def _lines(fact: Fact) -> list[Line]:
    """A line for a fact; two where it may be read again."""
    if fact.kind == "flag":
        return [Line(fact.label, "", range(0), range(0), choices=(_("no"), _("yes")))]
    if fact.kind == "choice":
        return [Line(fact.label, "", range(0), range(0), choices=tuple(choice.replace("-", " ") for choice in fact.choices))]
    if fact.kind == "text":
        return [Line(fact.label, "", range(0), range(0), text=True)]
    if fact.kind == "count":
        return [Line(fact.label, "", range(2), range(0))]
    dimension = fact.dimension if isinstance(fact.dimension, str) else fact.dimension[0] if fact.dimension else ""
    if dimension not in WHOLE:  # such as mol/L: as many digits as the bottle says
        return [Line(fact.label, shown_unit(fact.unit), range(0), range(0), text=True)]
    line = Line(fact.label, shown_unit(fact.unit), range(WHOLE[dimension]), range(PARTS[dimension]), bound=fact.bounds)
    return [line] * (2 if fact.repeats else 1)


ADDRESSES = [path("jobs/<str:job_id>/sheet", sheet, name="sheet")]
