# SPDX-License-Identifier: MIT
"""Sign in, sign out, who am I."""

from __future__ import annotations

from django.http import HttpRequest
from django.middleware.csrf import get_token
from ninja import Router, Schema, Status
from ninja.security import SessionAuth

from brackish.web import models
from brackish.web.people.access import person_of
from brackish.web.people.accounts import sign_in, sign_out

router = Router(tags=["session"])


class _SignedIn(SessionAuth):
    """The session's cookie; whatever changes something also carries the header X-CSRFToken."""

    def authenticate(self, request: HttpRequest, key: str | None) -> models.Person | None:
        person = request.user
        return person if isinstance(person, models.Person) and person.active else None


class _Anyone(_SignedIn):
    """No session needed, but the CSRF mark is checked all the same."""

    def authenticate(self, request: HttpRequest, key: str | None) -> bool:  # type: ignore[override]
        return True


signed_in = _SignedIn(csrf=True)
anyone = _Anyone(csrf=True)


class SignIn(Schema):
    name: str
    password: str


class Role(Schema):
    organisation: str
    job: str | None
    role: str


class Me(Schema):
    name: str | None = None
    shown_name: str | None = None
    roles: list[Role] = []
    csrf_token: str


@router.get("/session", auth=None, response=Me, summary="Who is signed in, and the CSRF mark to send with every change")
def session(request: HttpRequest) -> Me:
    token = get_token(request)
    if not isinstance(request.user, models.Person):
        return Me(csrf_token=token)
    person = person_of(request)
    held = models.Membership.objects.filter(person=person).select_related("organisation").order_by("id")
    roles = [Role(organisation=each.organisation.name, job=each.job_id, role=each.role) for each in held]
    return Me(name=person.name, shown_name=person.shown_name, roles=roles, csrf_token=token)


@router.post("/session", auth=anyone, response=Me, summary="Sign in")
def start(request: HttpRequest, words: SignIn) -> Me:
    sign_in(request, name=words.name, password=words.password)
    return session(request)


@router.delete("/session", response={204: None}, summary="Sign out")
def end(request: HttpRequest) -> Status[None]:
    sign_out(request)
    return Status(204, None)
