# SPDX-License-Identifier: MIT
"""Files of a job: announce one, send it in pieces, read it."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.utils.http import content_disposition_header
from ninja import Header, Router, Schema

from brackish.errors import AccessError
from brackish.web import models
from brackish.web.ledger import attachments
from brackish.web.people.access import job_for, person_of
from brackish.web.people.audit import note

router = Router(tags=["attachments"])
BYTES = {"requestBody": {"required": True, "content": {"application/octet-stream": {"schema": {"type": "string", "format": "binary"}}}}}


class NewAttachment(Schema):
    sha256: str
    name: str
    media_type: str
    size: int


class AttachmentState(NewAttachment):
    received: int
    complete: bool


@router.get("/{job_id}/attachments", response=list[AttachmentState], summary="The files of a job")
def list_attachments(request: HttpRequest, job_id: str) -> list[AttachmentState]:
    job, _ = job_for(request, job_id, "read")
    return [_state(row) for row in models.Attachment.objects.filter(job=job).order_by("at", "sha256")]


@router.post("/{job_id}/attachments", response=AttachmentState, summary="Announce a file; the answer says how much of it is here")
def announce(request: HttpRequest, job_id: str, words: NewAttachment) -> AttachmentState:
    job, _ = job_for(request, job_id, "attach")
    return _state(attachments.announce(job=job, sender=person_of(request), **words.dict()))


@router.patch(
    "/{job_id}/attachments/{sha256}",
    response=AttachmentState,
    summary="Send the next piece, as the body; the header says where it begins",
    openapi_extra=BYTES,
)
def send_piece(request: HttpRequest, job_id: str, sha256: str, upload_offset: int = Header(..., ge=0)) -> AttachmentState:
    job, _ = job_for(request, job_id, "attach")
    return _state(attachments.receive(attachment=_found(job, sha256), offset=upload_offset, piece=request.body))


@router.get("/{job_id}/attachments/{sha256}", summary="A file: the copy for people, or `?original=true` byte for byte")
def read_attachment(request: HttpRequest, job_id: str, sha256: str, original: bool = False) -> HttpResponse:
    job, _ = job_for(request, job_id, "read")
    row = _found(job, sha256)
    if not row.original:
        raise AccessError("access.not_found", given=f"complete file {sha256}")
    note(request, "original" if original else "attachment", job=job, detail=sha256)
    data, media_type = (attachments.original_bytes(row), "application/octet-stream") if original else attachments.shown_bytes(row)
    disposition = "inline" if media_type == "image/jpeg" else content_disposition_header(as_attachment=True, filename=" ".join(row.name.split()))
    return HttpResponse(data, content_type=media_type, headers={"Content-Disposition": disposition, "Content-Security-Policy": "sandbox; default-src 'none'"})


def _found(job: models.Job, sha256: str) -> models.Attachment:
    row = models.Attachment.objects.filter(job=job, sha256=sha256).first()
    if row is None:
        raise AccessError("access.not_found", given=f"file {sha256}")
    return row


def _state(row: models.Attachment) -> AttachmentState:
    return AttachmentState(sha256=row.sha256, name=row.name, media_type=row.media_type, size=row.size, received=row.received, complete=bool(row.original))
