# SPDX-License-Identifier: MIT
"""What is stored. The events are the record; every other column about a job can be made again from them.

`brackish ledger check` does make them again, and compares.
"""

from __future__ import annotations

import uuid

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models

ROLES = ("owner", "inspector", "tester", "trainee", "reader", "witness", "client")
JOB_ROLES = ("witness", "client")  # held on one job only


class Organisation(models.Model):
    name = models.CharField(max_length=200)


class Person(AbstractBaseUser):
    """An account. `name` signs in and is the author of events; it never changes."""

    name = models.CharField(max_length=100, unique=True)
    shown_name = models.CharField(max_length=200)
    active = models.BooleanField(default=True)
    last_login = None

    USERNAME_FIELD = "name"
    objects = BaseUserManager()

    @property
    def is_active(self) -> bool:
        return self.active


class Job(models.Model):
    """A job and what its list needs. `head` names the events placed; `frontier` are the ids that none has seen."""

    id = models.CharField(primary_key=True, max_length=36)
    organisation = models.ForeignKey(Organisation, on_delete=models.PROTECT)
    head = models.CharField(max_length=71, default="")
    frontier = models.JSONField(default=list)
    judged_head = models.CharField(max_length=71, default="")
    judged_events = models.IntegerField(default=-1)
    engine = models.CharField(max_length=40, default="")
    title = models.TextField(default="", db_index=False)
    site = models.TextField(default="")
    words = models.TextField(default="")  # title, site and number in small letters, for finding
    verdict = models.CharField(max_length=20, default="")
    waiting_for = models.CharField(max_length=20, default="")
    events = models.IntegerField(default=0)
    held = models.IntegerField(default=0)
    conflicts = models.IntegerField(default=0)
    changed = models.DateTimeField()

    class Meta:
        indexes = [
            models.Index(fields=["organisation", "-changed", "id"], name="job_list"),
            models.Index(fields=["organisation", "waiting_for", "-changed"], name="job_waiting"),
        ]


class Event(models.Model):
    """One event as it came: `body` is its canonical form, `hash` the hash of that. Never changed, never deleted."""

    seq = models.BigAutoField(primary_key=True)
    job = models.ForeignKey(Job, on_delete=models.PROTECT, db_index=False)
    id = models.CharField(max_length=36)
    hash = models.CharField(max_length=71)
    path = models.TextField()
    body = models.TextField()
    placed = models.BooleanField()
    sender = models.ForeignKey(Person, null=True, on_delete=models.PROTECT)
    received = models.DateTimeField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["job", "id"], name="event_once")]
        indexes = [
            models.Index(fields=["job", "seq"], name="event_order"),
            models.Index(fields=["job", "hash"], name="event_hash"),
            models.Index(fields=["job"], condition=models.Q(placed=False), name="event_held"),
        ]


class Outcome(models.Model):
    """What was folded and judged at one head by one engine, in gzip: the report's code (position -4), the outcome in brief (-3), whole (-2), the state (-1), the summary (0), a row a test."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, db_index=False)
    test = models.CharField(max_length=200)
    position = models.IntegerField()
    head = models.CharField(max_length=71)
    engine = models.CharField(max_length=40)
    body = models.BinaryField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["job", "test"], name="outcome_once")]


class Membership(models.Model):
    """A role: on every job of the organisation, or on one."""

    organisation = models.ForeignKey(Organisation, on_delete=models.CASCADE)
    person = models.ForeignKey(Person, on_delete=models.CASCADE)
    job = models.ForeignKey(Job, null=True, on_delete=models.CASCADE)
    role = models.CharField(max_length=20, choices=[(role, role) for role in ROLES])

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["person", "organisation"], condition=models.Q(job=None), name="member_once"),
            models.UniqueConstraint(fields=["person", "job"], name="member_of_job_once"),
            models.CheckConstraint(condition=models.Q(job__isnull=False) | ~models.Q(role__in=JOB_ROLES), name="guests_have_a_job"),
        ]


class Invitation(models.Model):
    """A link that makes one account, once. Only the hash of its token is kept."""

    token_hash = models.CharField(max_length=64, unique=True)
    organisation = models.ForeignKey(Organisation, on_delete=models.CASCADE)
    job = models.ForeignKey(Job, null=True, on_delete=models.CASCADE)
    role = models.CharField(max_length=20)
    made_by = models.ForeignKey(Person, null=True, on_delete=models.SET_NULL, related_name="+")
    expires = models.DateTimeField()
    used_by = models.ForeignKey(Person, null=True, on_delete=models.SET_NULL, related_name="+")


class SignInFailure(models.Model):
    name = models.CharField(max_length=100)
    address = models.CharField(max_length=45)
    at = models.DateTimeField()

    class Meta:
        indexes = [models.Index(fields=["name", "at"], name="failure_name"), models.Index(fields=["address", "at"], name="failure_address")]


class SigningKey(models.Model):
    """A person's Ed25519 key, sealed with their password. Older keys stay, so that old signatures keep their owner."""

    person = models.ForeignKey(Person, on_delete=models.PROTECT)
    public = models.CharField(max_length=64, unique=True)
    sealed = models.BinaryField()
    made = models.DateTimeField()
    retired = models.DateTimeField(null=True)


class Attachment(models.Model):
    """A file of a job. `original` is kept as it came; `shown` is a picture encoded again, without what the camera added."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    job = models.ForeignKey(Job, on_delete=models.PROTECT)
    sha256 = models.CharField(max_length=64)
    name = models.CharField(max_length=200)
    media_type = models.CharField(max_length=60)
    size = models.BigIntegerField()
    received = models.BigIntegerField(default=0)
    original = models.CharField(max_length=200, default="")
    shown = models.CharField(max_length=200, default="")
    sender = models.ForeignKey(Person, null=True, on_delete=models.PROTECT)
    at = models.DateTimeField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["job", "sha256"], name="attachment_once")]


class Audit(models.Model):
    """Who signed in, downloaded, invited, signed, and from where."""

    at = models.DateTimeField(db_index=True)
    person = models.ForeignKey(Person, null=True, on_delete=models.PROTECT)
    organisation = models.ForeignKey(Organisation, null=True, on_delete=models.PROTECT)
    job = models.ForeignKey(Job, null=True, on_delete=models.PROTECT)
    action = models.CharField(max_length=40)
    detail = models.TextField(default="")
    address = models.CharField(max_length=45)
