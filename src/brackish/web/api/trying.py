# SPDX-License-Identifier: MIT
"""What stores nothing: what a job file or a job like another would write, what if a fact were another, and whether a change can be read."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from typing import Annotated, Any

from django.http import HttpRequest, HttpResponse
from ninja import Body, Field, Router, Schema

from brackish.errors import InputError
from brackish.record.canonical import canonical_bytes
from brackish.record.document import parse_document, read_job
from brackish.record.paths import DEEPEST_PATH, JSON, LONGEST_SEGMENT, Path, is_packed, is_path, paths_of
from brackish.record.shape import shaped
from brackish.web import models
from brackish.web.api.attachments import BYTES
from brackish.web.ledger import outcomes
from brackish.web.pages.correcting import new_faults
from brackish.web.pages.whatif import judged_with
from brackish.web.people.access import job_for, organisation_for, role_on

router = Router(tags=["trying"])
AGREED = ("format", "specification", "person", "equipment", "item", "location", "history")  # what a job like another takes over

FITS = f"it has 1 to {DEEPEST_PATH} names of 1 to {LONGEST_SEGMENT} characters on one line, and under {JSON} stands canonical JSON"


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
    old = shaped(outcomes.document_of(job))
    identity = str(uuid.uuid4())
    heading = {**old.get("job", {}), "id": identity, "title": ""}
    heading.pop("number", None)  # two jobs under one number could not be told apart
    document = {"format": "brackish-job/1", "job": heading} | {name: old[name] for name in AGREED[1:] if name in old}
    return Draft(id=identity, title="", here=False, changes=[each for each in _changes(document) if each.path != ["job", "title"]])


@router.post("/jobs/{job_id}/what-if", summary="The outcome if these paths had these values; nothing is stored")
def what_if(request: HttpRequest, job_id: str, changes: list[Change] = Body(...)) -> HttpResponse:  # noqa: B008 (ninja's way)
    job, _ = job_for(request, job_id, "read")
    outcome = judged_with(outcomes.document_of(job), _taken(changes))
    return HttpResponse(canonical_bytes(outcome), content_type="application/json")


@router.post(
    "/jobs/{job_id}/readable",
    response=NewFaults,
    summary="The faults that these changes would bring into the job, each with its path; nothing is stored or judged",
)
def readable(request: HttpRequest, job_id: str, changes: list[Written] = Body(...)) -> dict[str, Any]:  # noqa: B008 (ninja's way)
    job, _ = job_for(request, job_id, "read")
    return {"errors": new_faults(job, _taken(changes))}


def _taken(changes: Sequence[Change | Written]) -> list[tuple[Path, Any]]:
    """The changes as paths and values, of which none has a path that no event could have."""
    for each in changes:
        if not is_path(each.path) or (each.path[-1] == JSON and each.value is not None and not is_packed(each.value)):
            raise InputError("event.path", place="path", given=each.path, why=FITS)
    return [(tuple(each.path), each.value) for each in changes]


def _changes(document: dict[str, Any]) -> list[Change]:
    return [Change(path=list(path), value=value) for path, value in paths_of(document)]
