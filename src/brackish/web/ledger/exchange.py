# SPDX-License-Identifier: MIT
"""A job's ledger as one file and back: its events, one canonical line each, and the attachments.

The file is a zip with `ledger.jsonl` (`brackish-ledger/1`) and `attachments/` by hash; the same
ledger gives the same bytes. Import adds what is not there yet and changes nothing that is.
"""

from __future__ import annotations

import io
import re
import zipfile
import zlib

from brackish.errors import InputError
from brackish.record.event import read_ledger, write_ledger
from brackish.record.fold import merge
from brackish.web import models
from brackish.web.ledger.attachments import LARGEST, kept, original_bytes, read_whole, store_whole
from brackish.web.ledger.outcomes import refresh
from brackish.web.ledger.store import MOST_EVENTS, Answer, append, events_of

LEDGER = "ledger.jsonl"
LARGEST_LEDGER = 200_000_000  # bytes, of the events and of the whole file
EPOCH = (1980, 1, 1, 0, 0, 0)  # the earliest time a zip can hold: no clock in the file


def exported(job: models.Job) -> bytes:
    """The ledger file of a job with its attachments."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        _add(archive, LEDGER, ledger_bytes(job), zipfile.ZIP_DEFLATED)
        for attachment in models.Attachment.objects.filter(job=job).exclude(original="").order_by("sha256"):
            _add(archive, f"attachments/{attachment.sha256}", original_bytes(attachment), zipfile.ZIP_STORED)
    return out.getvalue()


def ledger_bytes(job: models.Job) -> bytes:
    """The events of a job, placed ones in their order, then the held ones."""
    return write_ledger(merge(events_of(job.id)))


def imported(data: bytes, *, organisation: models.Organisation, sender: models.Person | None) -> tuple[models.Job, list[Answer]]:
    """Bring a ledger file in, into a job that is here or a new one; the answer of every event."""
    from django.utils import timezone

    from brackish.web.signing.sign import signature_holds

    ledger, files = _unpacked(data)
    events = read_ledger(ledger)
    jobs = {event.job for event in events}
    if len(jobs) != 1:
        raise InputError("ledger.one_job", place=LEDGER, given=len(jobs))
    broken = [event.id for event in events if event.kind == "sign" and not signature_holds(event)]
    if broken:
        raise InputError("ledger.signature", place=LEDGER, given=broken[0])
    name = jobs.pop()
    here = kept(name)
    whole = [read_whole(sha256=digest, data=content) for digest, content in files.items() if digest not in here]  # before anything is taken
    job, _ = models.Job.objects.get_or_create(id=name, defaults={"organisation": organisation, "changed": timezone.now()})
    if job.organisation_id != organisation.pk:
        raise InputError("ledger.other_organisation", place=LEDGER, given=job.id)
    answers: list[Answer] = []
    for start in range(0, len(events), MOST_EVENTS):
        answers += append(job=job.id, documents=[event.to_dict() for event in events[start : start + MOST_EVENTS]], sender=sender)
    names = {event.value[1]: event.value[0] for event in events if event.kind == "attach" and isinstance(event.value, list)}
    for file in whole:
        store_whole(job=job, sender=sender, file=file, name=names.get(file.sha256, file.sha256))
    job.refresh_from_db()
    refresh(job)
    return job, answers


def _add(archive: zipfile.ZipFile, name: str, data: bytes, method: int) -> None:
    entry = zipfile.ZipInfo(name, EPOCH)
    entry.compress_type = method
    entry.external_attr = 0o600 << 16
    archive.writestr(entry, data)


def _unpacked(data: bytes) -> tuple[bytes, dict[str, bytes]]:
    """The ledger and the files of a zip, or a bare ledger; every entry is looked at before anything unfolds."""
    if not data.startswith(b"PK"):
        return data, {}
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            entries = {entry.filename: entry for entry in archive.infolist()}
            strange = [name for name, entry in entries.items() if not _is_ours(entry)]
            if strange or LEDGER not in entries:
                raise InputError("ledger.zip", place=[*strange, LEDGER][0])
            if sum(entry.file_size for name, entry in entries.items() if name != LEDGER) > len(data):
                raise InputError("ledger.zip", place="attachments")  # they lie over each other: a megabyte would fill the memory
            files = {name.removeprefix("attachments/"): archive.read(entry) for name, entry in entries.items() if name != LEDGER}
            return archive.read(LEDGER), files
    except (zipfile.BadZipFile, zlib.error, NotImplementedError, RuntimeError, EOFError):
        raise InputError("ledger.zip", place="file") from None


def _is_ours(entry: zipfile.ZipInfo) -> bool:
    """Is an entry what `exported` writes? Only the events are packed: files that unfold could fill the memory."""
    if entry.filename == LEDGER:
        return entry.compress_type in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED) and entry.file_size <= LARGEST_LEDGER
    return re.fullmatch("attachments/[0-9a-f]{64}", entry.filename) is not None and entry.compress_type == zipfile.ZIP_STORED and entry.file_size <= LARGEST
