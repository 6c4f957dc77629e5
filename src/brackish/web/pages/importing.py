# SPDX-License-Identifier: MIT
"""In and out: readings from a spreadsheet with the fate of every row, the job file, the report bundle.

The preview stores nothing. What is taken is written by the browser as events, like everything else.
"""

from __future__ import annotations

import io
import json
import re
import zipfile
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import path
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from brackish import library
from brackish.errors import BrackishError, InputError
from brackish.record.canonical import canonical_bytes
from brackish.record.job import PURPOSES
from brackish.record.specification import STAGES
from brackish.report import table as tables
from brackish.report.words import file_name, offsets
from brackish.web import models
from brackish.web.api.errors import STATUS
from brackish.web.api.jobs import file_answer
from brackish.web.ledger.outcomes import document_and_outcome
from brackish.web.pages.context import JobPage, open_job
from brackish.web.pages.page import refused, screen, show
from brackish.web.pages.pasted import Column, Table, fates, guess, table_of, targets, units
from brackish.web.pages.typed import in_unit, whole
from brackish.web.people.audit import note
from brackish.web.people.rules import may

Document = dict[str, Any]
MOST_CHARACTERS = 500_000
STAMP = (1980, 1, 1, 0, 0, 0)  # every file of a bundle, so that the same job gives the same bytes
OFFSET = re.compile(r"[+-]\d{2}:\d{2}")


@screen
def importing(request: HttpRequest, job_id: str) -> HttpResponse:
    return _page(request, open_job(request, job_id))


@require_http_methods(["GET", "HEAD", "POST"])
def import_or_preview(request: HttpRequest, job_id: str) -> HttpResponse:
    """The page, or the page with the fates of the rows that were posted; nothing is stored."""
    if request.method != "POST":
        return importing(request, job_id=job_id)
    try:
        page = open_job(request, job_id, "write")
        return _page(request, page, _preview(request, page))
    except BrackishError as error:
        return refused(request, error, STATUS.get(error.code, error.http_status))


def _page(request: HttpRequest, page: JobPage, preview: Document | None = None) -> HttpResponse:
    given = request.POST if request.method == "POST" else {}
    document = page.document
    method = library.method(_method(given, document))
    common = _common(given, page, method)
    return show(
        request,
        "job",
        template="import",
        page=page,
        preview=preview,
        text=preview["text"] if preview else "",
        methods=[(name, library.method(name).title) for name in library.method_ids()],
        method=method.id,
        shared=_shared(page, common),
        facts=[
            {"fact": fact, "first": fact.required, "value": given.get(f"common-{fact.name}", "")}
            for fact in method.facts
            if fact.kind in ("quantity", "count", "choice") and not fact.repeats
        ],
        offset=_offset(given, document),
        may_write=page.may_write,
        may_create=any(may(role, "create job") for role in models.Membership.objects.filter(person=request.user).values_list("role", flat=True)),
        may_export=may(page.role, "export"),
    )


def _preview(request: HttpRequest, page: JobPage) -> Document:
    given = request.POST
    text = _text(request)
    method = library.method(_method(given, page.document))
    table = table_of(text)
    guessed = guess(table, method)
    asked_again = given.get("head") == json.dumps(table.head) and given.get("of") == method.id
    columns = [Column(given.get(f"column-{at}", one.target), given.get(f"unit-{at}", one.unit)) if asked_again else one for at, one in enumerate(guessed)]
    rows = fates(
        document=page.document,
        table=table,
        columns=columns,
        method=method.id,
        common=_common(given, page, method),
        offset=_offset(given, page.document),
        places=page.role != "trainee",
        taken_back=page.taken_back("test"),
    )
    return {
        "text": text,
        "head": json.dumps(table.head),
        "left_off": table.left_off,
        "columns": _columns(table, columns, method),
        "rows": sorted((row for row in rows if row.kind != "changed"), key=lambda row: row.kind != "refused"),
        "changed": [row for row in rows if row.kind == "changed"],
        "counts": {kind: sum(row.kind == kind for row in rows) for kind in ("new", "changed", "same", "refused")},
        "changes": [{**change, "reason": _("from a pasted table")} for row in rows if row.kind == "new" for change in row.changes],
        "places": [change["value"] for row in rows for change in row.changes if (change["path"][0], change["path"][-1]) == ("location", "name")],
        "nobody": list(dict.fromkeys(row.nobody for row in rows if row.nobody)),
        "people": ", ".join(str(each.get("name") or each["id"]) for each in page.document.get("person", [])),
        "withheld": sum(row.kind == "new" and bool(row.state) for row in rows),
    }


def _text(request: HttpRequest) -> str:
    """What was pasted, or the file that was chosen."""
    text = request.POST.get("text", "")
    if upload := request.FILES.get("file"):
        data = upload.read(MOST_CHARACTERS + 1)
        try:
            text = data.decode("utf-8-sig")
        except UnicodeDecodeError:
            text = data.decode("cp1252", errors="replace")
    if len(text) > MOST_CHARACTERS:
        raise InputError("input.too_large", place="text", given=len(text), allowed=MOST_CHARACTERS)
    return text.replace("\0", "")


def _columns(table: Table, columns: list[Column], method: Any) -> list[Document]:
    facts = {f"fact:{fact.name}": fact for fact in method.facts}
    choices = targets(method)
    out = []
    for at, (title, column) in enumerate(zip(table.head, columns, strict=True)):
        fact = facts.get(column.target)
        samples = [row[at] for row in table.rows if at < len(row) and row[at]][:2]
        out.append({"title": title, "samples": samples, "column": column, "choices": choices, "units": units(fact) if fact and fact.kind == "quantity" else []})
    return out


def _method(given: Any, document: Document) -> str:
    usual = [test.get("method") for test in reversed(document.get("test", []))]
    asked = [given.get("method"), *usual, "patch-conductivity"]
    return next(str(name) for name in asked if name in library.method_ids())


def _common(given: Any, page: JobPage, method: Any) -> Document:
    """What all rows share: as chosen, and nothing that was not, but the only item of a job."""
    parts: Document = {key: given.get(key, "") for key in ("item", "stage", "purpose", "blank", "tester") if given.get(key)}
    items = page.document.get("item", [])
    if "item" not in given and len(items) == 1:  # there is no other
        parts["item"] = items[0]["id"]
    if page.role == "trainee":
        parts["purpose"] = "training"
    if given.get("meter"):
        parts["equipment"] = [given["meter"]]
    facts: Document = {}
    for fact in method.facts:
        value = given.get(f"common-{fact.name}", "").strip()
        if value:
            number = whole(value) if fact.kind == "count" else None
            facts[fact.name] = in_unit(value, fact.unit) if number is None else number
    return {"method": method.id} | parts | ({"facts": facts} if facts else {})


def _shared(page: JobPage, common: Document) -> list[Document]:
    """The choices that hold for every row."""
    document = page.document
    named = {kind: [(row["id"], str(row.get("name") or row["id"])) for row in document.get(kind, [])] for kind in ("item", "person", "blank")}
    meters = [
        (row["id"], f"{row['id']} {row.get('serial', '')}".strip())
        for row in document.get("equipment", [])
        if row.get("kind") in ("conductivity-meter", "tube")
    ]
    purposes = [("training", "training")] if page.role == "trainee" else [(each, each) for each in PURPOSES]
    rows = (
        ("item", named["item"]),
        ("blank", named["blank"]),
        ("meter", meters),
        ("tester", named["person"]),
        ("stage", [(each, each) for each in STAGES]),
        ("purpose", purposes),
    )
    chosen = {**common, "meter": next(iter(common.get("equipment", [])), "")}
    return [{"name": name, "choices": choices, "value": chosen.get(name, "")} for name, choices in rows if choices]


def _offset(given: Any, document: Document) -> str:
    asked = given.get("offset", "").strip()
    return asked if OFFSET.fullmatch(asked) else next(iter(sorted(offsets(document))), "+00:00")


@screen
def bundle(request: HttpRequest, job_id: str) -> HttpResponse:
    """Report, job file, outcome and table in one file: the same job gives the same bytes."""
    from brackish.report.render import render

    page = open_job(request, job_id)
    if page.faults:
        raise InputError("signing.unreadable", place="job")
    note(request, "report", job=page.job, detail=page.job.head)
    document, outcome = document_and_outcome(page.job)
    judged = json.loads(outcome)
    parts = {
        "report.pdf": render(job=document, outcome=judged),
        "job.json": canonical_bytes(document),
        "outcome.json": outcome,
        "results.csv": tables.csv(job=document, outcome=judged),
    }
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as file:
        for name, data in parts.items():
            file.writestr(zipfile.ZipInfo(name, STAMP), data, zipfile.ZIP_DEFLATED)
    return file_answer(packed.getvalue(), "application/zip", file_name(document, "zip"))


ADDRESSES = [
    path("jobs/<str:job_id>/import", import_or_preview, name="import"),
    path("jobs/<str:job_id>/bundle.zip", bundle, name="bundle"),
]
