# SPDX-License-Identifier: MIT
"""What stores nothing: what a job file or a job like another would write, what if a fact were another, and whether a change can be read."""

from __future__ import annotations

import uuid
from typing import Annotated, Any

from django.http import HttpRequest, HttpResponse
from ninja import Body, Field, Router, Schema

from brackish.record.canonical import canonical_bytes
from brackish.record.document import parse_document, read_job
from brackish.record.paths import paths_of
from brackish.web import models
from brackish.web.api.attachments import BYTES
from brackish.web.ledger import outcomes
from brackish.web.pages.correcting import new_faults
from brackish.web.pages.whatif import judged_with
from brackish.web.people.access import job_for, organisation_for, role_on

router = Router(tags=["trying"])
AGREED = ("format", "specification", "person", "equipment", "item", "location", "history")  # what a job like another takes over


class Change(Schema):
    path: Annotated[list[str], Field(min_length=1)]
    value: Any


class Written(Schema):
    path: Annotated[list[str], Field(min_length=1)]
    value: Any = None  # nothing: the path is taken back


class NewFault(Schema):
    code: str
    place: str
    params: dict[str, Any]
    message: str
    path: list[str]
    where: str  # the path in words


class NewFaults(Schema):
    errors: list[NewFault]


class Draft(Schema):
    id: str
    title: str
    here: bool  # a job of that id has events already
    changes: list[Change]


@router.post("/drafts", response=Draft, summary="A job file (JSON or TOML) as the changes that would write it; nothing is stored", openapi_extra=BYTES)
def draft_of_file(request: HttpRequest) -> Draft:
    organisation_for(request, "create job")
    document = parse_document(request.body, name="file")
    read_job(document)
    identity = str(uuid.UUID(document["job"]["id"]))
    job = models.Job.objects.filter(id=identity).first()
    here = job is not None and (job.events > 0 or role_on(request.user, job) is None)
    return Draft(id=identity, title=str(document["job"].get("title", "")), here=here, changes=_changes(document))


@router.get("/jobs/{job_id}/draft", response=Draft, summary="A new job like this one: what was agreed, people, kit and places, without tests")
def draft_like(request: HttpRequest, job_id: str) -> Draft:
    organisation_for(request, "create job")
    job, _ = job_for(request, job_id, "read")
    old = outcomes.document_of(job)
    identity = str(uuid.uuid4())
    heading = {**old.get("job", {}), "id": identity, "title": ""}  # type: ignore[dict-item]
    heading.pop("number", None)  # two jobs under one number could not be told apart
    document = {"format": "brackish-job/1", "job": heading} | {name: old[name] for name in AGREED[1:] if name in old}
    return Draft(id=identity, title="", here=False, changes=[each for each in _changes(document) if each.path != ["job", "title"]])


@router.post("/jobs/{job_id}/what-if", summary="The outcome if these paths had these values; nothing is stored")
def what_if(request: HttpRequest, job_id: str, changes: list[Change] = Body(...)) -> HttpResponse:  # noqa: B008 (ninja's way)
    job, _ = job_for(request, job_id, "read")
    outcome = judged_with(outcomes.document_of(job), [(tuple(each.path), each.value) for each in changes])
    return HttpResponse(canonical_bytes(outcome), content_type="application/json")


@router.post(
    "/jobs/{job_id}/readable",
    response=NewFaults,
    summary="The faults that these changes would bring into the job, each with its path; nothing is stored or judged",
)
def readable(request: HttpRequest, job_id: str, changes: list[Written] = Body(...)) -> dict[str, Any]:  # noqa: B008 (ninja's way)
    job, _ = job_for(request, job_id, "read")
    return {"errors": new_faults(job, [(tuple(each.path), each.value) for each in changes])}


def _changes(document: dict[str, Any]) -> list[Change]:
    return [Change(path=list(path), value=value) for path, value in paths_of(document)]
