# SPDX-License-Identifier: MIT
"""Files of a job: they come in pieces, are checked against hash, size and type, and pictures are encoded again.

The original stays, byte for byte, for whoever must prove it. What people see is a copy: turned
upright, at most 2 048 pixels, without the camera's place, serial number and hidden bytes.
All files go through Django's storage interface, so they may lie on a disk or in an object store.
What came of a file that nobody goes on sending is thrown away when another one is announced.
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import os
import re
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import transaction
from django.utils import timezone

from brackish.errors import ConflictError, InputError
from brackish.record.paths import is_plain_text
from brackish.web import models

LARGEST = 25_000_000
LARGEST_PIECE = 8_000_000
MOST_PIXELS = 60_000_000
LONGEST_EDGE = 2_048
LONGEST_PAUSE = timedelta(days=7)  # between two pieces of a file
TYPES = {  # media type -> how such a file begins
    "image/jpeg": re.compile(rb"\xff\xd8\xff"),
    "image/png": re.compile(rb"\x89PNG\r\n\x1a\n"),
    "image/webp": re.compile(rb"RIFF....WEBP", re.DOTALL),
    "image/heic": re.compile(rb"....ftyp(?:heic|heix|mif1|msf1|hevc)", re.DOTALL),
    "application/pdf": re.compile(rb"%PDF-"),
}


def announce(*, job: models.Job, sender: models.Person, sha256: str, name: str, media_type: str, size: int) -> models.Attachment:
    """Say which file is coming; the answer says how much of it is here already."""
    if not re.fullmatch("[0-9a-f]{64}", sha256):
        raise InputError("input.wrong_type", place="sha256", given=sha256, wanted="64 hex digits in small letters")
    if media_type not in TYPES:
        raise InputError("input.not_one_of", place="media_type", given=media_type, allowed=sorted(TYPES))
    if not 0 < size <= LARGEST:
        raise InputError("input.out_of_range", place="size", given=size, lowest=1, highest=f"{LARGEST} bytes")
    if not 0 < len(name) <= 200 or not is_plain_text(name) or "/" in name or "\\" in name:
        raise InputError("input.wrong_type", place="name", given=name, wanted="a file name of 1 to 200 characters without a folder")
    sweep()
    words = {"name": name, "media_type": media_type, "size": size, "sender": sender, "at": timezone.now()}
    row, made = models.Attachment.objects.get_or_create(job=job, sha256=sha256, defaults=words)
    if not made and models.Attachment.objects.filter(pk=row.pk, received=0).update(**words):
        row.refresh_from_db()  # nothing came of it yet, or what came was refused: what is said now counts
    if _is_gone(row):
        row.received, row.original, row.shown = 0, "", ""
        row.save(update_fields=["received", "original", "shown"])
    if row.size != size:
        raise ConflictError("attachment.size", place="size", given=size, known=row.size)
    return row


def receive(*, attachment: models.Attachment, offset: int, piece: bytes) -> models.Attachment:
    """Take the next piece; a piece that came already is passed over, one too early is refused."""
    if len(piece) > LARGEST_PIECE:
        raise InputError("attachment.piece", place="body", given=len(piece), allowed=LARGEST_PIECE)
    with transaction.atomic():
        row = models.Attachment.objects.select_for_update().get(pk=attachment.pk)
        if row.original:
            return row
        if offset + len(piece) > row.received:
            if offset != row.received or offset + len(piece) > row.size:
                raise ConflictError("attachment.offset", place="Upload-Offset", given=offset, wanted=row.received)
            _put(_piece_name(row, offset), piece)
            row.received, row.at = offset + len(piece), timezone.now()
            row.save(update_fields=["received", "at"])
    return _complete(row) if row.received == row.size else row


def sweep() -> None:
    """Forget the files that stopped half way and of which nothing came for a week; one announced again begins anew."""
    for row in models.Attachment.objects.filter(original="", at__lt=timezone.now() - LONGEST_PAUSE):
        if models.Attachment.objects.filter(pk=row.pk, original="", at=row.at).delete()[0]:  # unless somebody went on just now
            _throw_pieces_away(row)


def original_bytes(attachment: models.Attachment) -> bytes:
    with default_storage.open(attachment.original, "rb") as file:
        return bytes(file.read())


def shown_bytes(attachment: models.Attachment) -> tuple[bytes, str]:
    """What people see of a file, and its type."""
    if not attachment.shown:
        return original_bytes(attachment), attachment.media_type
    with default_storage.open(attachment.shown, "rb") as file:
        return bytes(file.read()), "image/jpeg"


def sha256_hex(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def encoded_again(data: bytes, *, media_type: str) -> bytes:
    """A picture as a plain JPEG; a picture that would unfold into more than 60 million points is refused unread."""
    from PIL import Image, ImageOps  # here and not above: a server that starts has no picture to read

    if media_type == "image/heic":
        import pillow_heif

        pillow_heif.register_heif_opener()
    try:
        with Image.open(io.BytesIO(data), formats=[media_type.split("/")[1].upper().replace("HEIC", "HEIF")]) as picture:
            if picture.width * picture.height > MOST_PIXELS:
                raise InputError("attachment.too_many_points", place="file", given=f"{picture.width} x {picture.height}", allowed=MOST_PIXELS)
            picture.draft("RGB", (LONGEST_EDGE, LONGEST_EDGE))
            small = picture if picture.mode == "RGB" else picture.convert("RGB")
            small.thumbnail((LONGEST_EDGE, LONGEST_EDGE))  # before it is turned: each copy of a large one is 180 MB
            upright = ImageOps.exif_transpose(small)
            plain = Image.new("RGB", upright.size)
            plain.paste(upright)
    except InputError:
        raise
    except Exception as error:  # a damaged picture raises errors of every kind
        raise InputError("attachment.unreadable", place="file", given=media_type, detail=type(error).__name__) from None
    out = io.BytesIO()
    plain.save(out, "JPEG", quality=85, optimize=True)
    return out.getvalue()


@dataclass(frozen=True, slots=True)
class Whole:
    """A file of a ledger, found to be what it says; `shown` is the picture that people see of it."""

    sha256: str
    data: bytes
    media_type: str
    shown: bytes | None


def read_whole(*, sha256: str, data: bytes) -> Whole:
    """A file of a ledger; its type is how it begins, for a ledger says none of a file that no event names."""
    if sha256_hex(data) != sha256:
        raise InputError("attachment.hash", place=sha256, given=sha256)
    media_type = next((media_type for media_type, begins in TYPES.items() if begins.match(data)), "")
    if not media_type:
        raise InputError("attachment.type", place=sha256, given=" or ".join(TYPES))
    return Whole(sha256, data, media_type, _shown(data, media_type))


def store_whole(*, job: models.Job, sender: models.Person | None, file: Whole, name: str) -> None:
    words = {"name": name[:200], "media_type": file.media_type, "size": len(file.data), "sender": sender, "at": timezone.now()}
    row, _ = models.Attachment.objects.get_or_create(job=job, sha256=file.sha256, defaults=words)
    for field, value in words.items():
        setattr(row, field, value)  # what was announced of it and never came is overtaken
    _keep(row, file.data, file.shown)
    row.save()


def kept(job: str) -> set[str]:
    """The files of a job that are here whole."""
    rows = models.Attachment.objects.filter(job_id=job).exclude(original="")
    return {row.sha256 for row in rows if not _is_gone(row)}


def _is_gone(row: models.Attachment) -> bool:
    """Does the row speak of a file that is not there, as after a database came back from a copy and the files did not?"""
    return any(not default_storage.exists(name) for name in (row.original, row.shown) if name)


def _complete(row: models.Attachment) -> models.Attachment:
    """Put the pieces together and check them; a file that is not what was announced is thrown away whole.

    Outside of any transaction: a picture takes a second or more, for which nobody else could write. Of two that do it at once the first counts.
    """
    data, fault = b"", None
    with contextlib.suppress(FileNotFoundError):  # a piece went when this was interrupted before: then the hash does not fit
        while len(data) < row.size:
            with default_storage.open(_piece_name(row, len(data)), "rb") as file:
                piece = file.read()
            if not piece:  # nothing of it reached the disk
                break
            data += piece
    try:
        if sha256_hex(data) != row.sha256:
            raise InputError("attachment.hash", place="sha256", given=row.sha256)
        _keep(row, data, _shown(data, row.media_type))
    except InputError as error:
        row.received, fault = 0, error
    if models.Attachment.objects.filter(pk=row.pk, original="").update(received=row.received, original=row.original, shown=row.shown):
        _throw_pieces_away(row)
        if fault:
            raise fault
    row.refresh_from_db()
    return row


def _put(name: str, data: bytes) -> str:
    """Store under exactly this name; what an interrupted try left there is replaced."""
    if default_storage.exists(name):
        default_storage.delete(name)
    kept = default_storage.save(name, ContentFile(data))
    with contextlib.suppress(NotImplementedError):  # an object store has no path, and keeps what it took
        _onto_the_disk(Path(default_storage.path(kept)))
    return kept


def _onto_the_disk(file: Path) -> None:
    """What the sender is told to be here outlasts a power cut, as events do."""
    for each in (file, file.parent) if os.name == "posix" else (file,):
        handle = os.open(each, os.O_RDWR if each == file else os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _shown(data: bytes, media_type: str) -> bytes | None:
    """What people see of a file where that is a copy; refused where the file is not what it says."""
    begins = TYPES.get(media_type)
    if begins is None or not begins.match(data):
        raise InputError("attachment.type", place="file", given=media_type)
    return encoded_again(data, media_type=media_type) if media_type.startswith("image/") else None


def _keep(row: models.Attachment, data: bytes, shown: bytes | None) -> None:
    row.original = _put(f"{row.job_id}/{row.sha256}", data)
    if shown is not None:
        row.shown = _put(f"{row.job_id}/{row.sha256}.jpg", shown)
    row.received = row.size


def _piece_name(row: models.Attachment, offset: int) -> str:
    return f"{row.job_id}/pieces/{row.sha256}.{offset}"


def _throw_pieces_away(row: models.Attachment) -> None:
    folder = f"{row.job_id}/pieces"
    with contextlib.suppress(FileNotFoundError):  # no piece of any file came
        for name in default_storage.listdir(folder)[1]:
            if name.startswith(row.sha256):
                default_storage.delete(f"{folder}/{name}")
