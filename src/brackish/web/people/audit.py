# SPDX-License-Identifier: MIT
"""What is remembered of who did what: sign-ins, downloads, invitations, signatures."""

from __future__ import annotations

from django.http import HttpRequest
from django.utils import timezone

from brackish.web import models


def address_of(request: HttpRequest) -> str:
    """Where the request came from: the peer's address, never a header that anyone can write."""
    return str(request.META.get("REMOTE_ADDR") or "")[:45]


def note(
    request: HttpRequest,
    action: str,
    *,
    job: models.Job | None = None,
    organisation: models.Organisation | None = None,
    about: models.Person | None = None,
    detail: str = "",
) -> None:
    """Remember an action, for the organisation of the job or of the person; `about` is whose account it is where nobody is signed in."""
    person = request.user if isinstance(request.user, models.Person) else None
    if organisation is None and job is not None:
        organisation = job.organisation
    if organisation is None and (person or about) is not None:
        member = models.Membership.objects.filter(person=person or about).select_related("organisation").first()
        organisation = member.organisation if member else None
    models.Audit.objects.create(
        at=timezone.now(), person=person, organisation=organisation, job=job, action=action, detail=detail[:500], address=address_of(request)
    )
