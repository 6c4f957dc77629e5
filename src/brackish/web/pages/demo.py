# SPDX-License-Identifier: MIT
"""Only in the demo: come in as a tester, and be someone else with one click. In a real workspace these addresses are not there."""

from __future__ import annotations

from django.conf import settings
from django.contrib.auth import login
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import path
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from brackish.errors import AccessError
from brackish.web import models
from brackish.web.demo import FIRST, PEOPLE
from brackish.web.pages.page import screen, show


@screen
def come_in(request: HttpRequest) -> HttpResponse:
    """The address that is printed: signed in as the demo's tester, unless somebody is already."""
    if not isinstance(request.user, models.Person):
        login(request, _person(FIRST))
    return HttpResponseRedirect("/")


@screen
def people(request: HttpRequest) -> HttpResponse:
    does = {
        "ines.farrow": _("tests, writes what was found"),
        "jonna.reith": _("agrees the requirement, judges, signs"),
        "olin.rake": _("foreman of the blasting: plans pre-checks, writes the re-clean"),
        "bram.tallow": _("runs the workspace: sees everything, invites people"),
        "tobin.abell": _("writes training tests only"),
        "mara.ostler": _("for the owner of the bridge: reads and checks, writes nothing"),
    }
    rows = [{"name": name, "shown_name": shown, "role": role, "does": does[name]} for name, (shown, role) in PEOPLE.items()]
    return show(request, "people", template="demo", people=rows)


@require_POST
def become(request: HttpRequest) -> HttpResponse:
    login(request, _person(request.POST.get("name", "")))
    return HttpResponseRedirect("/")


def _person(name: str) -> models.Person:
    found = models.Person.objects.filter(name=name).first()
    if not settings.DEMO or name not in PEOPLE or found is None:
        raise AccessError("access.not_found", given="person of that name")
    return found


ADDRESSES = [path("demo", come_in), path("demo/people", people, name="people"), path("demo/become", become)] if settings.DEMO else []
