# SPDX-License-Identifier: MIT
"""Events in: every one is answered, none is lost, none is changed.

An event is stored when its form is right and its sender may write it. Sent again it is `known`; the
same id with other words is refused and the stored one shown. One whose base or prev is not here yet
is `held`, and placed with everything that waited for it as soon as that comes.
One transaction a list, with the job's row locked, so that several server processes agree.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import chain
from typing import Any

from django.db import connection, transaction
from django.utils import timezone

from brackish.errors import BrackishError, ConflictError, InputError, faults_of
from brackish.record.canonical import canonical_bytes
from brackish.record.event import MOST_BASE, Event, read_event, stored_event
from brackish.record.fold import head_of
from brackish.web import models
from brackish.web.ledger.turns import one_writer

MOST_EVENTS = 5_000
CHUNK = 500  # names asked of the database at once

Chain = dict[str, tuple[str, int, str]]  # hash -> device, number and id of an event
Check = Callable[[Event], None]  # raises where the sender may not write it


@dataclass(frozen=True, slots=True)
class Answer:
    """What became of one event: `stored`, `held`, `known` or `refused`, with the errors of a refusal."""

    id: str
    state: str
    hash: str = ""
    errors: tuple[BrackishError, ...] = ()
    known: str = ""  # the stored event of that id, where it says something else

    def to_dict(self) -> dict[str, Any]:
        answer: dict[str, Any] = {"id": self.id, "state": self.state}
        if self.hash:
            answer["hash"] = self.hash
        if self.errors:
            answer["errors"] = [error.to_dict() for error in self.errors]
        if self.known:
            answer["stored"] = json.loads(self.known)
        return answer


def append(*, job: str, documents: Sequence[object], sender: models.Person | None, check: Check = lambda event: None) -> list[Answer]:
    """Store what is right of a list of events; an answer for each, in their order."""
    if len(documents) > MOST_EVENTS:
        raise InputError("event.too_many", given=len(documents), allowed=MOST_EVENTS)
    read = [_read(document, job) for document in documents]
    with one_writer(), transaction.atomic():
        row = models.Job.objects.select_for_update().get(id=job)
        return _store(row, read, sender, check)


def events_of(job: str, *, placed: bool | None = None) -> list[Event]:
    """The stored events of a job, in the order in which they came."""
    rows = models.Event.objects.filter(job_id=job).order_by("seq")
    if placed is not None:
        rows = rows.filter(placed=placed)
    return [stored_event(body.encode("utf-8")) for body in rows.values_list("body", flat=True)]


def path_text(path: Iterable[str]) -> str:
    """A path as the column holds it."""
    return canonical_bytes(list(path)).decode()


def _read(document: object, job: str) -> Event | Answer:
    try:
        event = read_event(document)
        if event.job != job:
            raise InputError("event.other_job", place="job", given=event.job, wanted=job)
        return event
    except BrackishError as error:
        name = document.get("id") if isinstance(document, dict) else None
        return Answer(name if isinstance(name, str) else "", "refused", errors=faults_of(error))


def _store(row: models.Job, read: list[Event | Answer], sender: models.Person | None, check: Check) -> list[Answer]:
    names = [event.id for event in read if isinstance(event, Event)]
    known = {name: (hash, body) for name, hash, body in _stored(row.id, "id", names, "id, hash, body")}
    fresh: dict[str, Event] = {}
    answers: list[Answer] = []
    for event in read:
        answer = event if isinstance(event, Answer) else _admit(event, known.get(event.id), fresh, check)
        answers.append(answer)
    if not fresh:
        return answers
    placed, before = _place(row, fresh)
    now = timezone.now()
    _insert(row, fresh, placed, sender, now)
    _advance(row, fresh, placed, before, now)
    return [_settled(answer, placed) for answer in answers]


_INSERT = "INSERT INTO web_event (job_id, id, hash, path, body, placed, sender_id, received) VALUES "
_ROW = "(%s, %s, %s, %s, %s, %s, %s, %s)"


def _insert(row: models.Job, fresh: dict[str, Event], placed: dict[str, Event], sender: models.Person | None, now: datetime) -> None:
    """Written out, because a row object for each event costs as much as everything else about it."""
    received, who = connection.ops.adapt_datetimefield_value(now), sender and sender.pk
    rows = [(row.id, event.id, event.hash, path_text(event.path), event.data.decode(), event.id in placed, who, received) for event in fresh.values()]
    with connection.cursor() as cursor:
        for start in range(0, len(rows), CHUNK):
            some = rows[start : start + CHUNK]  # in one statement: PostgreSQL answers each
            cursor.execute(_INSERT + ", ".join([_ROW] * len(some)), list(chain.from_iterable(some)))


def _admit(event: Event, known: tuple[str, str] | None, fresh: dict[str, Event], check: Check) -> Answer:
    """`stored` for now where the event is new and allowed; it joins `fresh` then. What is known of its id: hash and body."""
    other, body = known or (fresh[event.id].hash if event.id in fresh else event.hash, "")
    if other != event.hash:
        return Answer(event.id, "refused", event.hash, (ConflictError("event.id_taken", place="id", given=event.id, known=other),), body)
    if known or event.id in fresh:
        return Answer(event.id, "known", event.hash)
    try:
        check(event)
    except BrackishError as error:
        return Answer(event.id, "refused", event.hash, faults_of(error))
    fresh[event.id] = event
    return Answer(event.id, "stored", event.hash)


def _settled(answer: Answer, placed: dict[str, Event]) -> Answer:
    return Answer(answer.id, "held", answer.hash) if answer.state == "stored" and answer.id not in placed else answer


_STORED = "SELECT {columns} FROM web_event WHERE job_id = %s AND {key} IN ({places})"


def _stored(job: str, key: str, names: Iterable[str], columns: str) -> Iterator[tuple[Any, ...]]:
    """These columns of the stored events whose id, or hash, is one of the names; written out like `_insert`, and for its reason."""
    wanted = sorted(names)
    with connection.cursor() as cursor:
        for start in range(0, len(wanted), CHUNK):
            asked = wanted[start : start + CHUNK]
            cursor.execute(_STORED.format(columns=columns, key=key, places=", ".join(["%s"] * len(asked))), [job, *asked])
            yield from cursor.fetchall()


def _place(row: models.Job, fresh: dict[str, Event]) -> tuple[dict[str, Event], Chain]:
    """Which of the fresh events, and of those held so far, can be placed now: all that they follow is here; and the stored ones they follow."""
    waiting = dict(fresh)
    if row.held:
        held = models.Event.objects.filter(job=row, placed=False).values_list("body", flat=True)
        waiting |= {event.id: event for event in map(stored_event, (body.encode() for body in held))}
    bases = {name for event in waiting.values() for name in event.base} - waiting.keys()
    here = {name for name, placed in _stored(row.id, "id", bases, "id, placed") if placed}
    by_hash = {event.hash: event for event in waiting.values()}
    before = _placed_chain(row.id, {event.prev for event in waiting.values() if event.prev} - by_hash.keys())
    missing = {name: _missing(event, here, before, by_hash) for name, event in waiting.items()}
    children: dict[str, list[str]] = defaultdict(list)
    for name, parents in missing.items():
        for parent in parents:
            children[parent].append(name)
    placed: dict[str, Event] = {}
    ready = [name for name, parents in missing.items() if not parents]
    while ready:
        name = ready.pop()
        placed[name] = waiting[name]
        for child in children[name]:
            missing[child].discard(name)
            if not missing[child]:
                ready.append(child)
    return placed, before


def _missing(event: Event, here: set[str], before: Chain, by_hash: dict[str, Event]) -> set[str]:
    """What an event follows that is not placed yet: ids, or the hash of a `prev` that is not here or does not fit."""
    missing = {name for name in event.base if name not in here}
    if event.prev in before:
        return missing if before[event.prev][:2] == (event.device, event.seq - 1) else missing | {event.prev}
    if event.prev:
        other = by_hash.get(event.prev)
        fits = other is not None and (other.device, other.seq) == (event.device, event.seq - 1)
        missing.add(other.id if other is not None and fits else event.prev)
    return missing


def _placed_chain(job: str, hashes: set[str]) -> Chain:
    """The placed events that others follow on their device."""
    found: Chain = {}
    for hash, body, placed in _stored(job, "hash", hashes, "hash, body, placed"):
        if placed:
            event = json.loads(body)
            found[hash] = (event["device"], event["seq"], event["id"])
    return found


def _advance(row: models.Job, fresh: dict[str, Event], placed: dict[str, Event], before: Chain, now: datetime) -> None:
    """The job's row after its events: which are held, and the ids that no event has seen."""
    late = [name for name in placed if name not in fresh]
    for start in range(0, len(late), CHUNK):
        models.Event.objects.filter(job=row, id__in=late[start : start + CHUNK]).update(placed=True)
    by_hash = {event.hash: event.id for event in placed.values()}
    seen = {name for event in placed.values() for name in event.base}
    seen |= {by_hash.get(event.prev) or before[event.prev][2] for event in placed.values() if event.prev}
    row.frontier = sorted(({*row.frontier} | placed.keys()) - seen)
    if len(row.frontier) > MOST_BASE:  # no later event could name them all: nobody could write or sign with sight of the job
        raise InputError("event.unseen", given=len(row.frontier), allowed=MOST_BASE)
    hashes = {event.id: event.hash for event in placed.values()}
    hashes |= _stored(row.id, "id", [name for name in row.frontier if name not in hashes], "id, hash")
    row.head = head_of(hashes=[hashes[name] for name in row.frontier])
    row.events += len(fresh)
    row.held += len(fresh) - len(placed)
    row.changed = now
    row.save(update_fields=["frontier", "head", "events", "held", "changed"])
