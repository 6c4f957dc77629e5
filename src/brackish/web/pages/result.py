# SPDX-License-Identifier: MIT
"""One test: ruler, verdict, two sentences for the customer, findings, working, budget, facts as written, history, what if."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import path

from brackish.errors import AccessError
from brackish.judge.explain import customer
from brackish.report.case import Case
from brackish.report.record import record as record_in_report
from brackish.report.words import plus_minus
from brackish.web.pages import drawing, history, whatif
from brackish.web.pages.context import open_job
from brackish.web.pages.page import screen, show

Document = dict[str, Any]


@screen
def result(request: HttpRequest, job_id: str, test: str) -> HttpResponse:
    page = open_job(request, job_id)
    written = page.outline.tests.get(test)
    if written is None:
        raise AccessError("access.not_found", given=f"test {test}")
    if page.faults:
        return show(request, "results", template="unjudged", page=page, test=written)
    case = page.case_of(whatif.near(page.document, written))
    asked = _what_if(case, written, request)
    if "X-Live" in request.headers:  # asked while one types: the answer alone
        return show(request, "results", template="parts/what_if", page=page, whatif=asked)
    record = record_of(case, test)
    return show(
        request,
        "results",
        template="result",
        page=page,
        test=written,
        record=record,
        where=case.name("location", written.get("location")) or case.name("item", written.get("item")),
        item=case.name("item", written.get("item")),
        said=sentences(case, written),
        beside=beside(case, written),
        days=history.of_test(page, test),
        whatif=asked,
        by_conductivity=any("_salt_" in one["quantity"] and "bound" not in one for one in case.judged[test].get("results", [])),
    )


def record_of(case: Case, test: str) -> Document:
    """Everything the report says of one test, with its bars drawn."""
    record = record_in_report(case, case.tests[test])
    for budget in record["budgets"]:
        for row in budget["rows"]:
            row["drawn"] = drawing.bar(length=row["bar"], assumed=row["from"] == "assumed")
    return record


def sentences(case: Case, test: Document) -> list[str]:
    """Two sentences on the first verdict of a test."""
    judged = case.judged[test["id"]]
    verdict = next(iter(judged.get("verdicts", [])), None)
    if verdict is None:
        return []
    if "sentences" in verdict:
        return list(verdict["sentences"])
    asked = case.criteria.get(verdict["criterion"], ({}, {}))[1]
    result = case.result_judged(judged, verdict) or {}
    place = ", ".join(part for part in (case.name("location", test.get("location")), case.name("item", test.get("item"))) if part)
    return (
        customer(
            verdict,
            place=place,
            sense=case.sense(verdict["criterion"]),
            uncertainty=result.get("shown_uncertainty", "") if plus_minus(result) else "",
            on_failure=str(asked.get("on_failure", "")),
            on_inconclusive=str(asked.get("on_inconclusive", "")),
        )
        if result
        else []
    )


def beside(case: Case, test: Document) -> list[Document]:
    """Total against chloride: what other tests of the same extract or place found, with what was said about both."""
    found = []
    for other in case.job.get("test", []):
        same_extract = bool(test.get("extract")) and other.get("extract") == test.get("extract")
        same_place = bool(test.get("location")) and other.get("location") == test.get("location")
        if other.get("id") == test["id"] or other.get("method") == test.get("method") or not (same_extract or same_place):
            continue
        results = case.judged.get(other.get("id", ""), {}).get("results", [])
        found += [
            {"id": other["id"], "extract": same_extract, "words": case.words_of(one["quantity"]), "shown": one["shown"], "plus": plus_minus(one)}
            for one in results[:1]
        ]
    return found


def _what_if(case: Case, test: Document, request: HttpRequest) -> Document | None:
    """The form, and the verdict on the changed copy where something was asked."""
    fields = whatif.fields(case, test, request.GET)
    if not fields or not case.judged[test["id"]].get("results"):
        return None
    changed = whatif.changes(fields)
    if not changed:
        return {"fields": fields, "changed": False}
    outcome = whatif.judged_near(case.job, test, changed)
    if "errors" in outcome:
        return {"fields": fields, "changed": True, "errors": outcome["errors"]}
    case = Case(case.job, outcome)
    return {"fields": fields, "changed": True, "record": record_in_report(case, case.tests[test["id"]])}


ADDRESSES = [path("jobs/<str:job_id>/results/<path:test>", result, name="result")]
