# SPDX-License-Identifier: MIT
"""Make again everything that was computed from the events, and compare it with what is kept."""

from __future__ import annotations

import zlib
from collections.abc import Iterator

import brackish
from brackish.errors import BrackishError
from brackish.record.event import read_line
from brackish.record.fold import fold
from brackish.record.statement import signed_document
from brackish.web import models
from brackish.web.ledger.outcomes import BRIEF, CODE, STATE, SUMMARY, WHOLE, judged, rows_of, summary_of, unpacked
from brackish.web.ledger.store import path_text

NAMES = {
    WHOLE: "the outcome as it goes out",
    BRIEF: "the outcome as lists show it",
    CODE: "the code of the report",
    STATE: "the state of the job",
    SUMMARY: "the outcome of the job",
}


def check_ledger() -> Iterator[tuple[str, list[str]]]:
    """Each job's id with what does not agree; an empty list where all does."""
    for job in models.Job.objects.order_by("id").iterator():
        yield job.id, list(differences(job))


def differences(job: models.Job) -> Iterator[str]:
    """What of one job does not follow from its events."""
    rows = list(models.Event.objects.filter(job=job).order_by("seq"))
    events = []
    for row in rows:
        try:
            event = read_line(row.body.encode())
        except BrackishError as error:
            yield f"event {row.id} is not what it was: {error}"
            continue
        if (event.id, event.hash, event.job, path_text(event.path)) != (row.id, row.hash, job.id, row.path):
            yield f"event {row.id} does not have the hash {row.hash} that was acknowledged, or not its id, job or path"
        events.append(event)
    state = fold(events=events)
    placed = {event.id for event in state.order}
    yield from (f"event {row.id} is kept as {'placed' if row.placed else 'held'}" for row in rows if row.placed != (row.id in placed))
    counted = {"events": len(events), "held": len(state.held), "frontier": list(state.frontier), "head": state.head}
    yield from (f"{name} is kept as {getattr(job, name)!r}; the events give {value!r}" for name, value in counted.items() if getattr(job, name) != value)
    yield from _attachment_differences(job)
    if (job.judged_head, job.judged_events, job.engine) != (job.head, job.events, brackish.__version__):
        return  # not judged since: the next reader judges it
    outcome = judged(signed_document(state))
    kept = {row.test: (row.position, _unpacked(row.body)) for row in models.Outcome.objects.filter(job=job)}
    wanted = rows_of(state, outcome)
    yield from (
        f"{NAMES.get(test, f'the outcome of {test}')} is not what judging gives"
        for test in sorted(kept.keys() | wanted.keys())
        if kept.get(test) != wanted.get(test)
    )
    yield from (
        f"{name} is kept as {getattr(job, name)!r}; judging gives {value!r}"
        for name, value in summary_of(state, outcome).items()
        if getattr(job, name) != value
    )


def _unpacked(body: bytes) -> bytes:
    """The text of a kept row; what is no gzip any more stands for itself."""
    try:
        return unpacked(body)
    except zlib.error:
        return bytes(body)


def _attachment_differences(job: models.Job) -> Iterator[str]:
    from django.core.files.storage import default_storage

    from brackish.web.ledger.attachments import original_bytes, sha256_hex

    for attachment in models.Attachment.objects.filter(job=job).exclude(original=""):
        if attachment.shown and not default_storage.exists(attachment.shown):
            yield f"the copy for people of the file {attachment.sha256} is missing"
        try:
            data = original_bytes(attachment)
        except OSError:
            yield f"the file {attachment.sha256} is missing"
            continue
        if sha256_hex(data) != attachment.sha256:
            yield f"the file {attachment.sha256} has another hash"
