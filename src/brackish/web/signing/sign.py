# SPDX-License-Identifier: MIT
"""One signature: what is signed is read again, named by its hash, and put into the ledger by an event."""

from __future__ import annotations

import uuid

from django.utils import timezone

from brackish.errors import ConflictError, InputError
from brackish.record.event import Event, make_event
from brackish.record.fold import SIGNER, Fold, Signature, fold
from brackish.record.statement import fingerprint, signed_text, statement_hash, unsigned
from brackish.web import models
from brackish.web.ledger.outcomes import judged, refresh, state_of
from brackish.web.ledger.store import append
from brackish.web.signing.keys import current_key, is_known, is_signed, opened

Document = dict[str, object]


def statement_of(job: models.Job, *, account: models.Person, role: str) -> Document:
    """What this person would sign now: its hash, the verdict, and who has signed so far.

    The job names its people; a signer who is not among them yet is written there by signing.
    """
    state = state_of(job)
    after, outcome = _before_signing(state, _introduction(job, account, role, state))
    verdict = outcome["job"]
    return {
        "hash": statement_hash(job=after.document, outcome=outcome),
        "verdict": verdict.get("verdict") if isinstance(verdict, dict) else None,
        "signatures": [_shown(each) for each in state.signatures],
    }


def sign(*, job: models.Job, account: models.Person, password: str, role: str, expected: str) -> Document:
    """Sign a job as it stands; `expected` is the hash that the person was shown."""
    key = current_key(account)
    if key is None:
        raise InputError("signing.no_key", place="key")
    private = opened(key, password=password)
    state = state_of(job)
    introduction = _introduction(job, account, role, state)
    after, outcome = _before_signing(state, introduction)
    digest = statement_hash(job=after.document, outcome=outcome)
    if digest != expected:
        raise ConflictError("signing.changed", place="hash", given=expected, now=digest)
    signature = private.sign(signed_text(person=account.name, role=role, hash=digest)).hex()
    event = make_event(
        job=job.id,
        device=introduction[-1].device if introduction else _device(),
        author=account.name,
        made=_now(),
        kind="sign",
        path=("signature", f"#{signature[:12]}"),
        value=["ed25519", account.name, role, digest, key.public, signature],
        after=introduction[-1] if introduction else None,
        base=state.frontier,
    )
    append(job=job.id, documents=[each.to_dict() for each in (*introduction, event)], sender=account)
    job.refresh_from_db()
    refresh(job)
    return {"event": event.id, "hash": digest, "key": key.public, "fingerprint": fingerprint(key=key.public)}


def signature_holds(event: Event) -> bool:
    """Does a signature event carry a signature of what it names, by the key it names?"""
    assert isinstance(event.value, list)
    _, person, role, digest, key, signature = event.value
    return is_signed(key=key, signature=signature, text=signed_text(person=person, role=role, hash=digest))


def _before_signing(state: Fold, introduction: list[Event]) -> tuple[Fold, Document]:
    """The job as it would be signed, and its outcome; refused while anything in it is open."""
    after = fold(events=[*state.order, *introduction])
    if after.conflicts:
        raise ConflictError("signing.conflict", place="conflicts", count=len(after.conflicts))
    outcome = judged(unsigned(after.document))
    if "errors" in outcome:
        raise InputError("signing.unreadable", place="job")
    return after, outcome


def _introduction(job: models.Job, account: models.Person, role: str, state: Fold) -> list[Event]:
    """The events that name a signer in the job, none where they are named already."""
    people = state.document.get("person")
    if any(isinstance(person, dict) and person.get("id") == account.name for person in (people if isinstance(people, list) else [])):
        return []
    device, events = _device(), list[Event]()
    for name, value in (("id", account.name), ("name", account.shown_name), ("role", role), (SIGNER, True)):
        events.append(
            make_event(
                job=job.id,
                device=device,
                author=account.name,
                made=_now(),
                kind="set",
                path=("person", account.name, name),
                value=value,
                after=events[-1] if events else None,
                base=() if events else state.frontier,
            )
        )
    return events


def _shown(signature: Signature) -> Document:
    assert isinstance(signature.event.value, list)
    _, person, role, digest, key, _ = signature.event.value
    return {
        "person": person,
        "role": role,
        "at": signature.event.made,
        "hash": digest,
        "fingerprint": fingerprint(key=key),
        "revision": signature.revision,
        "current": signature.current,
        "holds": signature_holds(signature.event),
        "known": is_known(person=str(person), key=str(key)),
    }


def _device() -> str:
    """Each signature is a device of its own: its chain begins anew."""
    return f"signature {uuid.uuid4()}"


def _now() -> str:
    return timezone.now().isoformat(timespec="seconds")
