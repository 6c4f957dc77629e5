# SPDX-License-Identifier: MIT
"""One event of the ledger (`brackish-event/1`): what one person wrote down, once, for ever.

An event sets, withdraws or attaches at one path of the job document, or signs it. It is named by
its id and fixed by its hash, the SHA-256 of its canonical form; `prev` chains the events of one
device, `base` says which events its author had seen. What many events say together: `fold.py`.
The browser's twin is `web/static/brackish/event.js`; both are held to `tests/record/vectors.json`.
"""

from __future__ import annotations

import hashlib
import io
import json
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

from brackish.errors import BrackishError, FormatTooNew, InputError, InputFaults, NotCanonical, faults_of
from brackish.record.canonical import canonical_bytes
from brackish.record.paths import DEEPEST_PATH, JSON, LONGEST_SEGMENT, Value, is_packed, is_path, is_plain_text, is_plain_value, names_an_element

FORMAT = "brackish-event/1"
KINDS = ("set", "withdraw", "attach", "sign")
KEYS = ("format", "id", "job", "device", "seq", "prev", "author", "made", "kind", "path", "value", "reason", "base")
MOST_BYTES = 65_536
MOST_BASE = 1_000
MOST_FAULTS = 100  # of a ledger; it is no ledger then, and may have lines by the million
LONGEST_NAME = 200

_UUID = re.compile(r"[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}")
_HASH = re.compile(r"sha256:[0-9a-f]{64}")
_TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d(?::\d\d(?:\.\d{1,6})?)?(?:Z|[+-]\d\d:\d\d)")


@dataclass(frozen=True, slots=True, eq=False)
class Event:
    """One event; `hash` and `data` (its canonical form) are computed when it is read or made, and stand for it."""

    id: str
    job: str
    device: str
    seq: int
    prev: str
    author: str
    made: str
    kind: str
    path: tuple[str, ...]
    value: Value
    reason: str
    base: tuple[str, ...]
    data: bytes
    hash: str

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Event) and self.hash == other.hash

    def __hash__(self) -> int:
        return int(self.hash[7:22], 16)

    def to_dict(self) -> dict[str, object]:
        """The event as its document; `value` is absent from a withdrawal."""
        document: dict[str, object] = {"format": FORMAT, **{key: getattr(self, key) for key in KEYS[1:]}, "path": list(self.path), "base": list(self.base)}
        if self.kind == "withdraw":
            del document["value"]
        return document


def read_event(document: object) -> Event:
    """The event that a document describes, or every fault of it at once (`InputFaults`)."""
    if not isinstance(document, dict):
        raise _wrong("", document, "an event")
    if document.get("format") != FORMAT:
        raise _unreadable_format(document.get("format"))
    faults = [*_key_faults(document), *_field_faults(document)]
    if not faults:
        faults += _rule_faults(document)
    if faults:
        raise InputFaults(faults)
    data = canonical_bytes(document)
    if len(data) > MOST_BYTES:
        raise InputError("event.too_large", given=len(data), allowed=MOST_BYTES)
    return _event(document, data)


def read_ledger(data: bytes) -> list[Event]:
    """The events of a ledger file (`brackish-ledger/1`): one canonical event a line.

    A line that is not in canonical form is refused: its hash would name another text.
    """
    faults: list[BrackishError] = []
    events = []
    for number, line in enumerate(io.BytesIO(data), 1):
        try:
            if not line.endswith(b"\n"):
                raise NotCanonical("record.not_canonical", detail="the last line does not end")
            events.append(read_line(line[:-1]))
        except BrackishError as error:
            faults += [fault.at(f"line {number}") for fault in faults_of(error)]
        if len(faults) >= MOST_FAULTS:
            break
    if faults:
        raise InputFaults(faults)
    return events


def read_line(line: bytes) -> Event:
    """The event of one line, which must be its canonical form."""
    try:
        event = read_event(json.loads(line))
    except (ValueError, RecursionError) as error:
        if isinstance(error, BrackishError):
            raise
        raise NotCanonical("record.not_canonical", detail="it is no JSON") from None
    if event.data != line:
        raise NotCanonical("record.not_canonical", detail="keys sorted, no spaces, nothing escaped that need not be")
    return event


def stored_event(line: bytes) -> Event:
    """The event of a line that was read when it came, and is not checked again: six times as quick as `read_line`."""
    return _event(json.loads(line), line)


def write_ledger(events: Iterable[Event]) -> bytes:
    """The ledger file of events in the order given; `fold(events=...).order` is the order of a ledger."""
    return b"".join(event.data + b"\n" for event in events)


def make_event(
    *,
    job: str,
    device: str,
    author: str,
    made: str,
    kind: str,
    path: Sequence[str],
    value: Value = None,
    reason: str = "",
    after: Event | None = None,
    base: Iterable[str] = (),
) -> Event:
    """The next event of a device, after its last one (`after`), by an author who had seen `base`.

    Its id is made of its own words, so that the same thing written twice has one id.
    """
    document: dict[str, object] = {
        "format": FORMAT,
        "job": job,
        "device": device,
        "seq": after.seq + 1 if after else 1,
        "prev": after.hash if after else "",
        "author": author,
        "made": made,
        "kind": kind,
        "path": list(path),
        "reason": reason,
        "base": sorted(set(base)),
    }
    if kind != "withdraw":
        document["value"] = value
    digits = hashlib.sha256(canonical_bytes(document)).hexdigest()
    document["id"] = "-".join((digits[:8], digits[8:12], digits[12:16], digits[16:20], digits[20:32]))
    return read_event(document)


def _event(document: dict[str, object], data: bytes) -> Event:
    fields = {**document, "path": tuple(document["path"]), "base": tuple(document["base"])}  # type: ignore[arg-type]
    del fields["format"]
    return Event(**{"value": None, **fields}, data=data, hash="sha256:" + hashlib.sha256(data).hexdigest())  # type: ignore[arg-type]


def _unreadable_format(given: object) -> BrackishError:
    newer = isinstance(given, str) and given.startswith("brackish-event/")
    return FormatTooNew("record.format_too_new", given=given, allowed=FORMAT) if newer else InputError("input.format", given=given, allowed=FORMAT)


def _key_faults(document: dict[str, object]) -> list[BrackishError]:
    wanted = [key for key in KEYS if key != "value" or document.get("kind") != "withdraw"]
    missing: list[BrackishError] = [InputError("input.missing_key", place=key, wanted=key) for key in wanted if key not in document]
    unknown = [InputError("input.unknown_key", place=str(key), given=key, allowed=wanted) for key in document if key not in wanted]
    return [*missing, *unknown]


def _field_faults(document: dict[str, object]) -> list[BrackishError]:
    return [
        _wrong(key, document[key], wanted)
        for key, (fits, wanted) in FIELDS.items()
        if key in document and not (key == "value" and document.get("kind") == "withdraw") and not fits(document[key])
    ]


def _rule_faults(document: dict[str, object]) -> list[BrackishError]:
    """What holds between fields, once each of them fits."""
    faults: list[BrackishError] = []
    path, kind, value = document["path"], document["kind"], document.get("value")
    assert isinstance(path, list)
    if (document["seq"] == 1) != (document["prev"] == ""):
        faults.append(InputError("event.chain", place="prev", given=document["prev"] or "nothing", seq=document["seq"]))
    if kind == "withdraw" and not str(document["reason"]).strip():
        faults.append(InputError("event.reason_missing", place="reason", path=path))
    if document["id"] in document["base"]:  # type: ignore[operator]
        faults.append(InputError("event.base", place="base", given=document["id"]))
    if kind == "set" and path[-1] == "id" and names_an_element(path[:-1]) and value != path[-2]:
        faults.append(InputError("event.id_renamed", place="value", given=value, wanted=path[-2]))
    if kind == "set" and path[-1] == JSON and not is_packed(value):
        faults.append(_wrong("value", value, f"under {JSON} the canonical JSON of a table, or of what is no plain value"))
    if kind == "attach" and not (len(path) > 1 and path[-2] == "photos" and path[-1].startswith("#")):
        faults.append(InputError("event.path", place="path", given=path, why="a file is attached at an element of photos, named by # and a mark"))
    if kind == "attach" and not _is_attachment(value):
        faults.append(_wrong("value", value, "a list of file name, 64 hex digits, media type and number of bytes"))
    if kind == "sign" and not (path[0] == "signature" and len(path) == 2):
        faults.append(InputError("event.path", place="path", given=path, why="a signature stands at signature and a mark of its own"))
    if kind == "sign" and not _is_signature(value):
        faults.append(_wrong("value", value, "a list of ed25519, person, role, sha256: hash of what is signed, public key and signature in hex"))
    return faults


def _is_attachment(value: object) -> bool:
    return (
        isinstance(value, list)
        and len(value) == 4
        and all(isinstance(part, str) and part for part in value[:3])
        and re.fullmatch("[0-9a-f]{64}", value[1]) is not None
        and _is_count(value[3])
    )


def _is_signature(value: object) -> bool:
    hexes = (64, 128)
    return (
        isinstance(value, list)
        and len(value) == 6
        and all(isinstance(part, str) for part in value)
        and value[0] == "ed25519"
        and _is_name(value[1])
        and _is_name(value[2])
        and _HASH.fullmatch(value[3]) is not None
        and all(re.fullmatch(f"[0-9a-f]{{{length}}}", part) for length, part in zip(hexes, value[4:], strict=True))
    )


def _is_name(value: object) -> bool:
    return isinstance(value, str) and 0 < len(value) <= LONGEST_NAME and is_plain_text(value)


def _is_count(value: object) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and 1 <= value < 2**53


def _is_uuid(value: object) -> bool:
    return isinstance(value, str) and _UUID.fullmatch(value) is not None


def _is_base(value: object) -> bool:
    if not isinstance(value, list) or len(value) > MOST_BASE or not all(_is_uuid(part) for part in value):
        return False
    return all(first < second for first, second in pairwise(value))


def _is_time(value: object) -> bool:
    if not isinstance(value, str) or _TIME.fullmatch(value) is None:
        return False
    try:
        datetime.fromisoformat(value)
    except ValueError:
        return False
    return True


# field -> does a value fit, and what is wanted
FIELDS: dict[str, tuple[Callable[[object], bool], str]] = {
    "id": (_is_uuid, "a UUID in small letters"),
    "job": (_is_uuid, "the job's UUID in small letters"),
    "device": (_is_name, f"a text of 1 to {LONGEST_NAME} characters that names the device"),
    "seq": (_is_count, "a whole number from 1 on"),
    "prev": (lambda value: value == "" or (isinstance(value, str) and _HASH.fullmatch(value) is not None), "sha256: and 64 hex digits, or an empty text"),
    "author": (_is_name, f"a text of 1 to {LONGEST_NAME} characters that names the author"),
    "made": (_is_time, "a time with its offset, such as 2026-03-04T09:05:00+00:00"),
    "kind": (lambda value: isinstance(value, str) and value in KINDS, "one of " + ", ".join(KINDS)),
    "path": (is_path, f"a list of 1 to {DEEPEST_PATH} names of 1 to {LONGEST_SEGMENT} characters on one line, {JSON} only as the last"),
    "value": (is_plain_value, "a text, truth value, whole number below 2^53, or list of these, without control characters"),
    "reason": (is_plain_text, "a text; empty where none is needed"),
    "base": (_is_base, f"a list of at most {MOST_BASE} ids seen, sorted, none twice"),
}


def _wrong(place: str, given: object, wanted: str) -> InputError:
    shown = given if isinstance(given, str | int | float | bool) else f"a {type(given).__name__}"
    return InputError("input.wrong_type", place=place, given=shown, wanted=wanted)
