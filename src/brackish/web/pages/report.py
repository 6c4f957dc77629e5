# SPDX-License-Identifier: MIT
"""The report: page one as it will be printed, what is open, who signed, sign, download, revise; and check any report by its file."""

from __future__ import annotations

import json
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.urls import path

from brackish.record.statement import fingerprint
from brackish.report.front import front
from brackish.report.words import day_of, latest_time, under_title
from brackish.web import demo, models
from brackish.web.ledger import outcomes
from brackish.web.pages import history
from brackish.web.pages.context import JobPage, open_job
from brackish.web.pages.page import screen, show
from brackish.web.people.access import person_of
from brackish.web.signing.keys import current_key, is_known

Document = dict[str, Any]


@screen
def report(request: HttpRequest, job_id: str) -> HttpResponse:
    page = open_job(request, job_id)
    latest = latest_time(page.document)
    person = person_of(request)
    signatures = [_signature(page, entry) for entry in page.document.get("signature", []) if isinstance(entry, dict)]
    return show(
        request,
        "report",
        page=page,
        front=None if page.faults else front(page.case),
        about=page.document.get("job", {}),
        under=under_title(page.document.get("job", {})),
        date=day_of(latest.isoformat()) if latest else "",
        code="" if page.faults else outcomes.report_code(page.job),
        signatures=signatures,
        may_sign=page.may_sign and not any(entry["person"] == person.name for entry in signatures),
        before=_overtaken(page, len([entry for entry in signatures if entry["key"]])),
        has_key=current_key(person) is not None,
        demo_password=demo.PASSWORD if settings.DEMO else "",
    )


def _signature(page: JobPage, entry: Document) -> Document:
    """Who signed what is shown here, by which key, and whether that key is the person's on this server."""
    who = str(entry.get("person", ""))
    key = entry.get("key", "")
    name = page.case.name("person", who) or page.authors.get(who, who)
    return {
        "person": who,
        "name": name,
        "role": entry.get("role", ""),
        "at": entry.get("at", ""),
        "key": fingerprint(key=key) if key else "",
        "known": is_known(person=who, key=key),
    }


def _overtaken(page: JobPage, current: int) -> list[Document]:
    """The signatures that a later change has overtaken: they stay in the ledger, for what they signed."""
    rows = models.Event.objects.filter(job=page.job, placed=True, path__startswith='["signature",').order_by("-seq").values_list("body", flat=True)
    signed = [event for event in (json.loads(body) for body in rows) if event["kind"] == "sign"]
    return [line for day in history.days_of(history.lines(page, signed[current:])) for line in day["lines"]]


ADDRESSES = [path("jobs/<str:job_id>/report", report, name="report")]
