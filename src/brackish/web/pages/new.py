# SPDX-License-Identifier: MIT
"""A new job: from the words of a contract, from a job like it, or from a file. The browser writes it as events."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.urls import path

from brackish.web.pages.page import screen, show
from brackish.web.people.access import jobs_of, organisation_for, person_of

MOST = 100


@screen
def new(request: HttpRequest) -> HttpResponse:
    organisation = organisation_for(request, "create job")
    like = jobs_of(person_of(request)).exclude(title="").order_by("-changed", "id").only("id", "title", "site")[:MOST]
    return show(request, "jobs", template="new", organisation=organisation.name, like=like)


ADDRESSES = [path("new", new, name="new")]
