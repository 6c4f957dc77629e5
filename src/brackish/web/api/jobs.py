# SPDX-License-Identifier: MIT
"""Jobs: list, create, read, write by events, outcome, report, ledger file."""

from __future__ import annotations

import gzip
import json
import uuid
from datetime import datetime
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from ninja import Body, Query, Router, Schema, Status

from brackish.errors import AccessError, InputError
from brackish.judge.compare import compare
from brackish.prepare import counts
from brackish.record.canonical import canonical_bytes
from brackish.record.event import Event
from brackish.record.fold import fold_with
from brackish.report.words import file_name
from brackish.web import models
from brackish.web.ledger import outcomes
from brackish.web.ledger.judging import events_came
from brackish.web.ledger.store import append, events_of, path_text
from brackish.web.people.access import job_for, jobs_of, organisation_for, person_of
from brackish.web.people.audit import note
from brackish.web.people.rules import check_event

router = Router(tags=["jobs"])
PAGE = 50
EVENTS_PAGE = 2_000
EXAMPLE = {
    "format": "brackish-event/1",
    "id": "11111111-1111-4111-8111-111111111111",
    "job": "0b0e6a52-6d0e-4b57-9d5e-6f2f4f0f7a11",
    "device": "phone of I. Farrow",
    "seq": 1,
    "prev": "",
    "author": "ines",
    "made": "2026-03-04T09:16:00+00:00",
    "kind": "set",
    "path": ["test", "T1", "facts", "reading"],
    "value": ["9.1 uS/cm"],
    "reason": "",
    "base": [],
}


class JobRow(Schema):
    id: str
    title: str
    site: str
    verdict: str
    waiting_for: str
    conflicts: int
    held: int
    events: int
    changed: str


ROW = tuple(JobRow.model_fields)


class JobList(Schema):
    jobs: list[JobRow]
    more: bool


class NewJob(Schema):
    id: str


class Conflict(Schema):
    path: list[str]
    events: list[dict[str, Any]]


class Correction(Schema):
    path: list[str]
    event: str
    author: str
    made: str
    reason: str
    value: Any
    replaced: list[dict[str, Any]]


class JobState(JobRow):
    role: str
    head: str
    base: list[str]
    document: dict[str, Any]
    open_conflicts: list[Conflict]
    held_events: list[dict[str, Any]]
    corrections: list[Correction]
    forks: list[list[str]]


class EventAnswer(Schema):
    id: str
    state: str
    hash: str | None = None
    errors: list[dict[str, Any]] | None = None
    stored: dict[str, Any] | None = None


class EventAnswers(Schema):
    events: list[EventAnswer]
    head: str
    base: list[str]


@router.get("", response=JobList, summary="The jobs in your sight, the latest changed first")
def list_jobs(request: HttpRequest, find: str = "", waiting_for: str = "", page: int = Query(1, ge=1, le=10_000)) -> HttpResponse:
    rows = jobs_of(person_of(request)).order_by("-changed", "id")
    if waiting_for:
        rows = rows.filter(waiting_for=waiting_for)
    for word in find.casefold().split()[:8]:
        rows = rows.filter(words__contains=word)
    found = list(rows.values_list(*ROW)[(page - 1) * PAGE : page * PAGE + 1])
    jobs = [dict(zip(ROW, job, strict=True)) for job in found[:PAGE]]
    return _json(json.dumps({"jobs": jobs, "more": len(found) > PAGE}, default=datetime.isoformat).encode())


@router.post("", response={201: JobRow}, summary="Register a job, empty; then send its events")
def create_job(request: HttpRequest, words: NewJob) -> Status[JobRow]:
    organisation = organisation_for(request, "create job")
    try:
        name = str(uuid.UUID(words.id))
    except ValueError:
        raise InputError("input.not_a_uuid", place="id", given=words.id) from None
    job, made = models.Job.objects.get_or_create(id=name, defaults={"organisation": organisation, "changed": timezone.now(), "waiting_for": "correction"})
    if not made:
        job_for(request, name, "write")  # in sight: sending again changes nothing; out of sight: not found
    return Status(201, _row(job))


@router.get("/{job_id}", response=JobState, summary="A job: document, conflicts, held events, corrections")
def read_job(request: HttpRequest, job_id: str) -> HttpResponse:
    job, role = job_for(request, job_id, "read")
    state = outcomes.state_text(job)  # first, because it may judge and so change the row
    heading = {**_row(job).dict(), "role": role, "head": job.head, "base": job.frontier}
    return _json(f"{json.dumps(heading)[:-1]}, {state[1:]}".encode())


@router.get("/{job_id}/document", summary="The job file, as `brackish evaluate` reads it")
def read_document(request: HttpRequest, job_id: str) -> HttpResponse:
    job, _ = job_for(request, job_id, "read")
    return _json(canonical_bytes(outcomes.document_of(job)))


@router.get("/{job_id}/events", summary="Events in the order they came, after the number `after`")
def read_events(request: HttpRequest, job_id: str, after: int = 0) -> HttpResponse:
    job, _ = job_for(request, job_id, "read")
    rows = list(models.Event.objects.filter(job=job, seq__gt=after).order_by("seq").values_list("seq", "body", "received")[:EVENTS_PAGE])
    events = ",".join(f'{{"event":{body},"received":"{received.isoformat()}","number":{seq}}}' for seq, body, received in rows)
    return _json(f'{{"events":[{events}],"next":{rows[-1][0] if rows else after},"more":{json.dumps(len(rows) == EVENTS_PAGE)}}}'.encode())


@router.post(
    "/{job_id}/events",
    response=EventAnswers,
    exclude_none=True,
    summary="Send events; each is answered: stored, held, known or refused. Sending again changes nothing",
    openapi_extra={"requestBody": {"content": {"application/json": {"example": [EXAMPLE]}}}},
)
def write_events(request: HttpRequest, job_id: str, events: list[Any] = Body(...)) -> HttpResponse:  # noqa: B008 (ninja's way)
    person = person_of(request)
    job, role = job_for(request, job_id, "write")
    written: dict[str, list[object]] = {}

    def check(event: Event) -> None:
        check_event(event, role=role, author=person.name, purposes=lambda test: _purposes(job, test, written))
        if role == "trainee" and event.path[2:] == ("purpose",):
            _purposes(job, event.path[1], written).append(event.value)

    answers = append(job=job.id, documents=events, sender=person, check=check)
    if any(answer.state in ("stored", "held") for answer in answers):
        events_came(job.id)
    head, base = models.Job.objects.values_list("head", "frontier").get(id=job.id)
    return _json(json.dumps({"events": [answer.to_dict() for answer in answers], "head": head, "base": base}, default=str).encode())


@router.get("/{job_id}/outcome", summary="What was judged: brackish-outcome/1, or the errors of a job that cannot be read")
def read_outcome(request: HttpRequest, job_id: str) -> HttpResponse:
    job, _ = job_for(request, job_id, "read")
    packed = outcomes.packed_outcome(job)
    if "gzip" in request.headers.get("Accept-Encoding", ""):
        return HttpResponse(packed, content_type="application/json", headers={"Content-Encoding": "gzip", "Vary": "Accept-Encoding"})
    return _json(gzip.decompress(packed))


@router.get("/{job_id}/outcome/{test}", summary="The outcome of one test, or the errors of a job that cannot be read")
def read_test(request: HttpRequest, job_id: str, test: str) -> HttpResponse:
    job, _ = job_for(request, job_id, "read")
    found = outcomes.test_bytes(job, test)
    if found is None and any(each.get("id") == test for each in outcomes.document_of(job).get("test", [])):  # type: ignore[attr-defined]
        return _json(outcomes.outcome_bytes(job))
    if found is None:
        raise AccessError("access.not_found", given=f"test {test}")
    return _json(found)


@router.get("/{job_id}/if", summary="The outcome if one side of a conflict were taken: what hangs on the choice")
def read_choice(request: HttpRequest, job_id: str, event: str) -> HttpResponse:
    job, _ = job_for(request, job_id, "read")
    events = events_of(job.id)
    chosen = next((each for each in events if each.id == event), None)
    if chosen is None or chosen.kind != "set":
        raise AccessError("access.not_found", given=f"event {event}")
    return _json(canonical_bytes(outcomes.judged(fold_with(events=events, chosen=chosen))))


@router.get("/{job_id}/compare", summary="Two tests on one basis, step by step from one to the other (brackish-compare/1)")
def compare_tests(request: HttpRequest, job_id: str, a: str, b: str) -> HttpResponse:
    job, _ = job_for(request, job_id, "read")
    return _json(canonical_bytes(compare(outcomes.document_of(job), a, b)))


@router.get("/{job_id}/counts", summary="Tests done and open, by item and criterion")
def count_tests(request: HttpRequest, job_id: str) -> HttpResponse:
    job, _ = job_for(request, job_id, "read")
    return _json(canonical_bytes(counts.of_job(outcomes.document_of(job))))


@router.get("/{job_id}/report", summary="The report as a sealed PDF")
def read_report(request: HttpRequest, job_id: str) -> HttpResponse:
    from brackish.report.render import render

    job, _ = job_for(request, job_id, "read")
    document, judged = outcomes.document_and_outcome(job)
    outcome = json.loads(judged)
    if "errors" in outcome:
        raise InputError("signing.unreadable", place="job")
    note(request, "report", job=job, detail=job.head)
    return file_answer(render(job=document, outcome=outcome), "application/pdf", file_name(document, "pdf"))


def _row(job: models.Job) -> JobRow:
    return JobRow(**{name: getattr(job, name) for name in ROW} | {"changed": job.changed.isoformat()})


def _purposes(job: models.Job, test: str, written: dict[str, list[object]]) -> list[object]:
    """Every purpose that was ever written for a test, and those of this request; a test begun without one is for acceptance."""
    if test not in written:
        begun = models.Event.objects.filter(job=job, path__startswith=path_text(("test", test)).removesuffix("]") + ",")
        rows = begun.filter(path=path_text(("test", test, "purpose"))).values_list("body", flat=True)
        written[test] = [json.loads(body).get("value") for body in rows] or ["acceptance"] * begun.exists()
    return written[test]


def _json(data: bytes) -> HttpResponse:
    return HttpResponse(data, content_type="application/json")


def file_answer(data: bytes, media_type: str, name: str) -> HttpResponse:
    """A file to save under a name."""
    return HttpResponse(data, content_type=media_type, headers={"Content-Disposition": f'attachment; filename="{name}"'})
