# SPDX-License-Identifier: MIT
"""Signing keys, what would be signed, and signing it."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest
from ninja import Router, Schema, Status

from brackish.errors import AccessError, ConflictError
from brackish.record.statement import fingerprint
from brackish.web.people.access import job_for, person_of
from brackish.web.people.accounts import slowed_down
from brackish.web.people.audit import note
from brackish.web.signing.keys import current_key, new_key
from brackish.web.signing.sign import sign, statement_of

router = Router(tags=["signatures"])
own = Router(tags=["signatures"])  # what is a person's, not a job's


class Password(Schema):
    password: str


class Key(Schema):
    key: str
    fingerprint: str


class Statement(Schema):
    hash: str
    verdict: str | None
    signatures: list[dict[str, Any]]


class Sign(Schema):
    hash: str
    password: str


class Signed(Key):
    hash: str
    event: str


@own.post("/signing-key", response={201: Key}, summary="Make your signing key, sealed with your password; an older one is retired")
def make_key(request: HttpRequest, words: Password) -> Status[Key]:
    person = person_of(request)
    with slowed_down(request, person.name):
        if not person.check_password(words.password):
            raise AccessError("access.not_your_password")
    key = new_key(person=person, password=words.password)
    note(request, "signing key", detail=fingerprint(key=key.public))
    return Status(201, Key(key=key.public, fingerprint=fingerprint(key=key.public)))


@own.get("/signing-key", response=Key, summary="Your signing key's public half and fingerprint")
def read_key(request: HttpRequest) -> Key:
    key = current_key(person_of(request))
    if key is None:
        raise AccessError("access.not_found", given="signing key")
    return Key(key=key.public, fingerprint=fingerprint(key=key.public))


@router.get(
    "/{job_id}/signatures", response=Statement, summary="What you would sign now, by its hash, and who has signed; refused where `base` is no longer the job's"
)
def read_statement(request: HttpRequest, job_id: str, base: str = "") -> dict[str, Any]:
    job, role = job_for(request, job_id, "read")
    if base and base.split(",") != job.frontier:  # what the person has read is not what stands there now
        raise ConflictError("signing.changed", place="base", given="the page", now=job.head)
    return statement_of(job, account=person_of(request), role=role)


@router.post("/{job_id}/signatures", response={201: Signed}, summary="Sign the job as it was shown to you")
def make_signature(request: HttpRequest, job_id: str, words: Sign) -> Status[dict[str, Any]]:
    job, role = job_for(request, job_id, "sign")
    person = person_of(request)
    with slowed_down(request, person.name):
        signed = sign(job=job, account=person, password=words.password, role=role, expected=words.hash)
    note(request, "signature", job=job, detail=words.hash)
    return Status(201, signed)
