# SPDX-License-Identifier: MIT
"""One job: what is asked, what was tested of what is required, what is open, who and with what, what changed."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import path
from django.utils.translation import gettext as _

from brackish.judge.wording import kind_of
from brackish.report import figures
from brackish.report.case import Case, Counted
from brackish.report.front import count_words, item_mark, job_mark
from brackish.report.record import equipment_words
from brackish.report.words import file_name
from brackish.web import models
from brackish.web.pages import history
from brackish.web.pages.asked import asked
from brackish.web.pages.context import JobPage, open_job
from brackish.web.pages.correcting import named
from brackish.web.pages.criterion_form import SETTLES
from brackish.web.pages.names import words_of
from brackish.web.pages.page import screen, show
from brackish.web.pages.written import field_of

Document = dict[str, Any]
HEADING = ("title", "site", "number", "owner", "contractor", "governing_language")


@screen
def job(request: HttpRequest, job_id: str) -> HttpResponse:
    page = open_job(request, job_id)
    case = page.case
    document = page.document
    return show(
        request,
        "job",
        page=page,
        heading=document.get("job", {}),
        heading_change=_heading(page),
        needed=("title",),
        mark=None if page.faults else job_mark(case),
        asked=[] if page.faults else asked(case),
        pasted=bool(document.get("x-clause")),
        kinds=[] if page.faults else _kinds(case),
        questions=_questions(page),
        next_question=free_id("Q", document.get("question", [])),
        people=_people(document),
        kit=[{"id": entry.get("id", ""), "runs": equipment_words(entry)} for entry in document.get("equipment", [])] if not page.faults else [],
        files=list(models.Attachment.objects.filter(job=page.job).exclude(original="").order_by("-at")[:50]),
        days=history.latest(page, most=12),
        job_file=file_name(document, "json"),
        claims=[_claim(page, conflict) for conflict in page.conflicts],
    )


def _heading(page: JobPage) -> Document:
    """The form that changes what the job is called, where it is and whose it is."""
    found = [field_of(page.document, ("job", name)) for name in HEADING] if page.may_agree else []
    return {"title": _("the job"), "fields": found, "reason": True}


def _questions(page: JobPage) -> list[Document]:
    """The questions of the job; one is answered in part where a verdict still lacks a field that it is about."""
    lacking = {each["code"].removeprefix("criterion.").removesuffix("_missing") for each in page.outcome["job"]["reasons"]}
    open_codes = {code for field, codes in SETTLES.items() if field in lacking for code in codes}
    return [{**entry, "in_part": entry.get("code") in open_codes} for entry in named(page, "question")]


def free_id(letter: str, entries: list[Document], taken_back: Iterable[str] = ()) -> str:
    """The next free id of a list: Q1, Q2 …"""
    taken = {entry.get("id") for entry in entries if isinstance(entry, dict)}.union(taken_back)
    return next(name for number in range(1, len(taken) + 2) if (name := f"{letter}{number}") not in taken)


def _people(document: Document) -> list[Document]:
    """Who is named in the record, once each: who signs by an account may stand there under another id too."""
    found: dict[tuple[Any, Any], Document] = {}
    for entry in document.get("person", []):
        found.setdefault((entry.get("name") or entry.get("id"), entry.get("role")), entry)
    return list(found.values())


def _kinds(case: Case) -> list[Document]:
    """Items with their verdicts: steel, then abrasive and water, by what the requirement is about."""
    found: dict[str, list[Document]] = {"steel": [], "other": []}
    for item in case.outcome["items"]:
        for verdict in item["verdicts"]:
            about = case.criteria.get(verdict["criterion"], ({}, {}))[1].get("applies_to")
            found["steel" if about == "steel" else "other"].append(item_row(case, item, verdict))
        if not item["verdicts"]:
            found["steel" if case.entry("item", item["id"]).get("kind") == "steel" else "other"].append(bare_row(case, item))
    return [{"kind": kind, "rows": rows, **_sum(rows)} for kind, rows in found.items() if rows]


def _sum(rows: list[Document]) -> Document:
    """All the places of a kind together, where one requirement gives a number to every item."""
    whole = len({row["criterion"] for row in rows}) == 1 and all(row["required"] is not None for row in rows) and len(rows) > 1
    if not whole:
        return {"done": None}
    return {
        "done": sum(min(row["counted"], row["required"]) for row in rows),
        "required": sum(row["required"] for row in rows),
        "marks": [kind for row in rows for kind in row["marks"]],
        "open": sum(row["open"] for row in rows),
    }


def item_row(case: Case, item: Document, verdict: Document) -> Document:
    """One item under one criterion: strip, slots, mark and count."""
    counted = case.counted(verdict)
    marks = [kind_of(spot) for spot in verdict.get("spots", [])]
    required = verdict.get("required")
    mark = item_mark(case, verdict)
    return {
        "id": item["id"],
        "name": case.name("item", item["id"]),
        "area": case.entry("item", item["id"]).get("area", ""),
        "criterion": verdict["criterion"],
        "asks": _asks(case, verdict),
        "strip": _strip(counted, verdict),
        "spoken": _spoken(counted),
        "marks": marks,
        "open": max(0, (required or 0) - len(marks)),
        "counted": verdict["counted"],
        "required": required,
        "count": count_words(verdict),
        "mark": mark,
        "why": mark["why"] if mark["kind"] == "withheld" and mark["why"] else "",
    }


def bare_row(case: Case, item: Document) -> Document:
    """An item that no requirement is about."""
    return {
        "id": item["id"],
        "name": case.name("item", item["id"]),
        "area": case.entry("item", item["id"]).get("area", ""),
        "criterion": "",
        "required": None,
        "counted": 0,
        "open": 0,
        "marks": [],
        "mark": None,
    }


def _asks(case: Case, verdict: Document) -> str:
    criterion = case.criteria.get(verdict["criterion"], ({}, {}))[1]
    return str(criterion.get("title") or case.words_of(criterion.get("quantity", "")) or verdict["criterion"])


def _strip(counted: list[Counted], verdict: Document) -> Document | None:
    results = [(one.result["value"], one.kind) for one in counted if one.result]
    limit = next((one.verdict["limit"] for one in counted if "limit" in one.verdict), verdict.get("limit"))
    if not results and limit is None:
        return None
    scale = figures.common_scale(values=[value for value, _ in results], limit=limit)
    return figures.strip(readings=results, limit=limit, scale=scale)


def _spoken(counted: list[Counted]) -> str:
    said = [f"{one.result['shown']} {one.kind}" for one in counted if one.result]
    limit = next((one.verdict["shown_limit"] for one in counted if "shown_limit" in one.verdict), "")
    return ", ".join([*said, f"limit {limit}"] if limit else said)


def _claim(page: JobPage, conflict: Document) -> Document:
    """Two values for one path, and who wrote each."""
    where = conflict["path"]
    return {
        "path": where,
        "words": words_of(page.document, where),
        "events": [{**event, "by": page.authors.get(event["author"], event["author"])} for event in conflict["events"]],
    }


ADDRESSES = [path("jobs/<str:job_id>", job, name="job")]
