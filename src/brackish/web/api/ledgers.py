# SPDX-License-Identifier: MIT
"""A job's ledger as one file, out and in."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from ninja import Router

from brackish.errors import InputError
from brackish.report.words import file_name
from brackish.web.api.attachments import BYTES
from brackish.web.api.jobs import EventAnswer, EventAnswers, file_answer
from brackish.web.ledger import exchange, outcomes
from brackish.web.people.access import job_for, organisation_for, person_of
from brackish.web.people.audit import note

router = Router(tags=["ledgers"])


@router.get("/{job_id}", summary="All events and files of a job in one file")
def export_ledger(request: HttpRequest, job_id: str) -> HttpResponse:
    job, _ = job_for(request, job_id, "export")
    note(request, "ledger export", job=job, detail=job.head)
    return file_answer(exchange.exported(job), "application/zip", file_name(outcomes.document_of(job), "zip"))


@router.post("", response=EventAnswers, exclude_none=True, summary="Bring in a ledger file: the bytes are the request's body", openapi_extra=BYTES)
def import_ledger(request: HttpRequest) -> EventAnswers:
    organisation = organisation_for(request, "import")
    data = request.read(exchange.LARGEST_LEDGER + 1)  # not `body`, which takes no more than a list of events: a ledger comes with its pictures
    if len(data) > exchange.LARGEST_LEDGER:
        raise InputError("request.too_large", place="body", allowed=exchange.LARGEST_LEDGER)
    job, answers = exchange.imported(data, organisation=organisation, sender=person_of(request))
    note(request, "ledger import", job=job, detail=job.head)
    return EventAnswers(events=[EventAnswer(**answer.to_dict()) for answer in answers], head=job.head, base=list(job.frontier))
