# SPDX-License-Identifier: MIT
"""One test: ruler, verdict, two sentences for the customer, findings, working, budget, facts as written, history, what if."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import path

from brackish.errors import AccessError
from brackish.judge.explain import customer
from brackish.report.case import Case
from brackish.report.record import record as record_in_report
from brackish.report.words import name_of, plus_minus
from brackish.web import models
from brackish.web.pages import drawing, history, whatif
from brackish.web.pages.context import JobPage, open_job
from brackish.web.pages.moment import now
from brackish.web.pages.names import words_of
from brackish.web.pages.page import screen, show
from brackish.web.pages.running import runs_of_test
from brackish.web.pages.written import fields_of_test

Document = dict[str, Any]


@screen
def result(request: HttpRequest, job_id: str, test: str) -> HttpResponse:
    page = open_job(request, job_id)
    written = page.outline.tests.get(test)
    if written is None:
        raise AccessError("access.not_found", given=f"test {test}")
    if page.faults:
        return show(request, "results", template="unjudged", page=page, test=written, correcting=correcting(page, written))
    case = page.case_of(whatif.near(page.document, written))
    asked = _what_if(case, written, request)
    if "X-Live" in request.headers:  # asked while one types: the answer alone
        return show(request, "results", template="parts/what_if", page=page, whatif=asked)
    record = record_of(case, test)
    found = runs_of_test(case, written, now(), page.conflicts)
    disputed, running = any(run.disputed for run in found), [run for run in found if run.state == "running"]
    missing = [each["params"]["name"] for each in case.judged[test]["findings"] if each["code"] == "fact.missing"]
    begun = record["state"] == "planned" and not disputed and not running and any(run.unread for run in found)
    if begun:
        missing = [name for name in found[0].method.measured if name not in found[0].facts]
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
        photos=photos_of(page, written),
        correcting=correcting(page, written, missing),
        missing=[_label(case, written, name) for name in missing],
        begun=begun,
        runs=running,
        measured=disputed,
        disputed=[(number, words_of(page.document, where)) for number, where in page.disputed(test)],
        whatif=asked,
        per_area=any("_per_area" in one["quantity"] for one in case.judged[test].get("results", [])),
        by_conductivity=any("_salt_" in one["quantity"] and "bound" not in one for one in case.judged[test].get("results", [])),
    )


def correcting(page: JobPage, test: Document, missing: Sequence[str] = ()) -> Document | None:
    """Every fact of a test that was begun, to be written or corrected; those that stand among the faults of the job are put right there."""
    if not page.may_write_at(("test", test["id"])) or not (test.get("facts") or test.get("determination")):
        return None
    above = {each["field"].path for each in page.corrections if each["field"]} if page.faults else set()
    groups = [{**group, "fields": [field for field in group["fields"] if field.path not in above]} for group in fields_of_test(test, missing)]
    return {"groups": groups, "missing": bool(missing)}


def photos_of(page: JobPage, test: Document) -> list[Document]:
    """The photos bound to a test; `here`: its file has come, `pictured`: as a picture that every browser shows."""
    bound = [each for each in test.get("photos", []) if each.get("sha256")]
    rows = models.Attachment.objects.filter(job=page.job, sha256__in=[each["sha256"] for each in bound]).exclude(original="") if bound else []
    here = {row.sha256: bool(row.shown) for row in rows}
    return [{**each, "here": each["sha256"] in here, "pictured": here.get(each["sha256"], False)} for each in bound]


def _label(case: Case, test: Document, name: str) -> str:
    method = case.method(str(test.get("method", "")))
    fact = method.fact(name) if method else None
    return fact.label if fact else name_of(name)


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
            applies_to=str(asked.get("applies_to", "steel")),
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
