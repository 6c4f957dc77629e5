# SPDX-License-Identifier: MIT
"""Who is here, with which role: the owner invites by a link, and takes a role away."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.urls import path
from django.utils.translation import gettext_lazy as _

from brackish.web import models
from brackish.web.pages.page import screen, show
from brackish.web.people.access import organisation_for

MOST_JOBS = 100  # to choose from, the latest changed first
ROLES = {  # each role in words, and what it may do (`people/rules.py`)
    "owner": (_("Owner"), _("runs the workspace, sees everything, invites people")),
    "inspector": (_("Inspector"), _("makes jobs, agrees the requirement, judges, signs")),
    "tester": (_("Tester"), _("tests, writes what was found, signs")),
    "trainee": (_("Trainee"), _("writes training tests only")),
    "reader": (_("Reader"), _("reads and checks every job, writes nothing")),
    "witness": (_("Witness"), _("reads one job and signs it")),
    "client": (_("Client"), _("reads one job")),
}


@screen
def people(request: HttpRequest) -> HttpResponse:
    organisation = organisation_for(request, "invite")
    held = models.Membership.objects.filter(organisation=organisation).select_related("person", "job").order_by("id")
    owners = [each for each in held if each.role == "owner" and each.job_id is None]
    return show(
        request,
        "jobs",
        template="people",
        organisation=organisation.name,
        members=[{"held": each, "role": ROLES[each.role][0], "stays": owners == [each]} for each in held],
        roles=[(role, *words) for role, words in ROLES.items()],
        jobs=models.Job.objects.filter(organisation=organisation).exclude(title="").order_by("-changed", "id").only("id", "title", "site")[:MOST_JOBS],
    )


ADDRESSES = [path("people", people, name="members")]
