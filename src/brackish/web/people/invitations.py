# SPDX-License-Identifier: MIT
"""Links that make accounts: the owner's on first start, then those that owners give out."""

from __future__ import annotations

import hashlib
import re
import secrets
from datetime import timedelta

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from brackish.errors import AccessError, InputError
from brackish.record.paths import is_plain_text
from brackish.web import models

LIFE = timedelta(days=7)
NAME = re.compile(r"[a-z0-9][a-z0-9._-]{1,98}")


def invite(*, organisation: models.Organisation, role: str, job: models.Job | None = None, made_by: models.Person | None = None) -> str:
    """The token of a new invitation; it is shown once and only its hash is kept."""
    if role not in models.ROLES:
        raise InputError("input.not_one_of", place="role", given=role, allowed=list(models.ROLES))
    if role in models.JOB_ROLES and job is None:
        raise InputError("access.guest_needs_job", place="job", role=role)
    if job is not None and job.organisation_id != organisation.pk:
        raise AccessError("access.not_found", given=f"job {job.pk}")
    token = secrets.token_urlsafe(32)
    models.Invitation.objects.create(token_hash=_hash(token), organisation=organisation, job=job, role=role, made_by=made_by, expires=timezone.now() + LIFE)
    return token


def first_owner_token() -> str | None:
    """On a server without accounts, a fresh link for its owner; the one before stops working."""
    if models.Person.objects.exists():
        return None
    organisation, _ = models.Organisation.objects.get_or_create(id=1, defaults={"name": "This workspace"})
    models.Invitation.objects.filter(made_by=None, used_by=None).delete()
    return invite(organisation=organisation, role="owner")


def open_invitation(token: str) -> models.Invitation:
    """The invitation of a link that still works."""
    found = models.Invitation.objects.filter(token_hash=_hash(token), used_by=None, expires__gt=timezone.now()).select_related("organisation", "job").first()
    if found is None:
        raise AccessError("access.link_used")
    return found


def accept(*, token: str, name: str, shown_name: str, password: str) -> models.Person:
    """The account that an invitation makes; the link works once."""
    name, shown_name = name.strip().casefold(), shown_name.strip()
    if not NAME.fullmatch(name):
        raise InputError("access.name", place="name", given=name)
    if not 0 < len(shown_name) <= 200 or not is_plain_text(shown_name):
        raise InputError("input.missing_key", place="shown_name", wanted="shown_name")
    person = models.Person(name=name, shown_name=shown_name)
    try:
        validate_password(password, person)
    except ValidationError as error:
        raise InputError("access.password", place="password", detail=" ".join(error.messages)) from None
    with transaction.atomic():
        invitation = models.Invitation.objects.select_for_update().get(pk=open_invitation(token).pk)
        if invitation.used_by_id is not None:
            raise AccessError("access.link_used")
        if models.Person.objects.filter(name=name).exists():
            raise InputError("access.name_taken", place="name", given=name)
        person.set_password(password)
        person.save()
        models.Membership.objects.create(organisation=invitation.organisation, job=invitation.job, person=person, role=invitation.role)
        invitation.used_by = person
        invitation.save(update_fields=["used_by"])
    return person


def _hash(token: str) -> str:
    return hashlib.sha256(token.encode("utf-8")).hexdigest()
