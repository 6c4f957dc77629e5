# SPDX-License-Identifier: MIT
"""A person's role on a job, and the one door through which every request for a job goes."""

from __future__ import annotations

from django.db import connection
from django.db.models import Q, QuerySet
from django.http import HttpRequest

from brackish.errors import AccessError
from brackish.web import models
from brackish.web.people.rules import may, not_allowed


def person_of(request: HttpRequest) -> models.Person:
    """The person signed in."""
    person = request.user
    if not isinstance(person, models.Person) or not person.active:
        raise AccessError("access.signed_out")
    return person


def role_on(person: models.Person, job: models.Job) -> str | None:
    """The role on this job: that of the job itself, else that of its organisation."""
    held = models.Membership.objects.filter(person=person, organisation_id=job.organisation_id).filter(Q(job=job) | Q(job=None))
    roles = {member.job_id: member.role for member in held}
    return roles.get(job.id) or roles.get(None)


_JOB_AND_ROLE = """
    SELECT job.*, member.role AS role FROM web_job job JOIN web_membership member
    ON member.organisation_id = job.organisation_id AND (member.job_id = job.id OR member.job_id IS NULL)
    WHERE job.id = %s AND member.person_id = %s ORDER BY member.job_id IS NULL
"""  # written out because every request asks it: sessions.py says what that saves


def job_for(request: HttpRequest, job_id: str, action: str) -> tuple[models.Job, str]:
    """The job and the person's role on it; a job out of sight is not found, whether it exists or not."""
    person = person_of(request)
    job = next(iter(models.Job.objects.raw(_JOB_AND_ROLE, [job_id.lower(), person.pk])), None)
    if job is None:
        raise AccessError("access.not_found", given=f"job {job_id}")
    if not may(job.role, action):
        raise not_allowed(job.role, action)
    return job, job.role


def organisation_for(request: HttpRequest, action: str) -> models.Organisation:
    """The organisation in which the person may do this on every job."""
    person = person_of(request)
    held = list(models.Membership.objects.filter(person=person, job=None).select_related("organisation").order_by("id"))
    for member in held:
        if may(member.role, action):
            return member.organisation
    raise not_allowed(held[0].role if held else "guest", action)


def jobs_of(person: models.Person) -> QuerySet[models.Job]:
    """The jobs in a person's sight."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT organisation_id, job_id FROM web_membership WHERE person_id = %s", [person.pk])
        held = cursor.fetchall()
    whole = [organisation for organisation, job in held if job is None]
    single = [job for _, job in held if job is not None]
    return models.Job.objects.filter(Q(organisation__in=whole) | Q(id__in=single))
