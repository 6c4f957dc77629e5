# SPDX-License-Identifier: MIT
"""Two tests on one basis: why their numbers differ, step by step, and whether they differ at all."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import path
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from brackish.errors import AccessError
from brackish.judge import compare as core
from brackish.report.compare import KINDS, pairs_of
from brackish.report.words import Runs, computed, split
from brackish.web.pages.context import JobPage, open_job
from brackish.web.pages.facing import against_limit, side_of
from brackish.web.pages.moment import moment_of
from brackish.web.pages.page import screen, show
from brackish.web.pages.whatif import copy_near

Document = dict[str, Any]
LONG_AGO = datetime.min.replace(tzinfo=UTC)
NUMBER = re.compile(r"[<>]?\s*[+-]?\d[\d.]*")


@screen
def compare(request: HttpRequest, job_id: str) -> HttpResponse:
    page = open_job(request, job_id)
    tests = [] if page.faults else _tests(page)
    chosen = _chosen(page, request, [test["id"] for test in tests])
    found = core.compare(copy_near(page.document, *(page.case.tests[test] for test in chosen)), *chosen) if chosen else None
    return show(
        request,
        "compare",
        page=page,
        tests=tests,
        chosen=chosen or ("", ""),
        found=found,
        kind=KINDS[found["differ"]] if found else "",
        basis=found["basis"]["shown"] if found and "basis" in found else "",
        rows=_rows(found) if found else [],
        steps=found["steps"] if found else [],
        start=found["steps"][0]["shown_from"] if found and found["steps"] else "",
        drawn=_drawn(page, found) if found else "",
        suggested=[] if page.faults else pairs_of(page.document),
    )


def _tests(page: JobPage) -> list[Document]:
    """What can be chosen: every test that was done."""
    done = [test for test in page.case.job.get("test", []) if page.case.judged.get(test["id"], {}).get("state") != "planned"]
    return [{"id": test["id"], "where": page.case.name("location", test.get("location")) or page.case.name("item", test.get("item"))} for test in done]


def _chosen(page: JobPage, request: HttpRequest, known: list[str]) -> tuple[str, str] | None:
    """The two asked for; else the first dispute or pair of the job, else the two latest tests of one place, of one item; none of them void."""
    one, other = request.GET.get("a", ""), request.GET.get("b", "")
    for asked in (one, other):
        if asked and asked not in page.outline.tests:
            raise AccessError("access.not_found", given=f"test {asked}")
    if page.faults:
        return None
    if one and other:
        return one, other
    valid = {test["id"] for test in page.outcome["tests"] if test["state"] == "valid"} & set(known)
    return next((pair for pair in pairs_of(page.document) if valid.issuperset(pair)), None) or _latest(page.document, valid)


def _latest(document: Document, valid: set[str]) -> tuple[str, str] | None:
    """The two tests that were read last at one place, else on one item."""
    tests = [test for test in document.get("test", []) if test["id"] in valid]
    tests.sort(key=lambda test: moment_of(test.get("read_at") or test.get("started")) or LONG_AGO, reverse=True)
    for shared in ("location", "item"):
        later: dict[str, str] = {}
        for test in tests:
            if (name := test.get(shared)) in later:
                return test["id"], later[name]
            if name:
                later[name] = test["id"]
    return None


def _rows(found: Document) -> list[Document]:
    """What was written for both, then what it gives."""
    rows: list[Document] = [{"label": each["label"], "a": _typed(each["a"]), "b": _typed(each["b"]), "strong": not each["same"]} for each in found["facts"]]
    sides = (found["a"], found["b"])
    if any("shown" in side for side in sides):
        a, b = (side.get("shown", "") for side in sides)
        rows.append({"label": _("Result"), "a": [computed(a)], "b": [computed(b)], "total": True})
        a, b = ("" if side.get("bound") else side.get("shown_uncertainty", "") for side in sides)
        rows.append({"label": _("Uncertainty"), "a": [computed(a)], "b": [computed(b)]})
    return rows


def _typed(text: str) -> Runs:
    """A fact as it was typed; what is an amount stands on a line."""
    number, unit = split(text)
    return [{"number": number, "unit": unit, "written": True}] if NUMBER.fullmatch(number) else [text]


def _drawn(page: JobPage, found: Document) -> SafeString | str:
    """Both results against the limit they share, where both are in one unit."""
    asked = {side["test"]: _criterion(page, side) for side in (found["a"], found["b"])}
    sides = [side_of(page.case, side["test"], asked[side["test"]], sub=_who(side)) for side in (found["a"], found["b"])]
    same = len(set(asked.values())) == 1 and None not in asked.values()
    return against_limit([side for side in sides if side]) if same and all(sides) else ""


def _criterion(page: JobPage, side: Document) -> str | None:
    """The requirement that a compared result was held against."""
    judged = page.case.judged.get(side["test"], {}).get("verdicts", [])
    return next((one["criterion"] for one in judged if one.get("quantity") == side.get("quantity")), None)


def _who(side: Document) -> str:
    return ", ".join(part for part in (side.get("tester", ""), side["test"]) if part)


ADDRESSES = [path("jobs/<str:job_id>/compare", compare, name="compare")]
