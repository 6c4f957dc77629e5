# SPDX-License-Identifier: MIT
"""Signing in and out, slowed down for whoever guesses."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta

from django.contrib.auth import authenticate, login, logout
from django.http import HttpRequest
from django.utils import timezone

from brackish.errors import AccessError
from brackish.web import models
from brackish.web.people.audit import address_of, note

WINDOW = timedelta(minutes=15)
MOST_BY_NAME, MOST_BY_ADDRESS = 5, 30
WRONG = ("access.wrong_password", "access.not_your_password", "signing.password")


def sign_in(request: HttpRequest, *, name: str, password: str) -> models.Person:
    """Start a session, or say that name and password do not match, never which of them."""
    name = name.strip().casefold()[:100]
    with slowed_down(request, name):
        person = authenticate(request, username=name, password=password)
        if person is None:
            raise AccessError("access.wrong_password")
    assert isinstance(person, models.Person)
    models.SignInFailure.objects.filter(name=name).delete()
    login(request, person)
    note(request, "sign-in")
    return person


def sign_out(request: HttpRequest) -> None:
    note(request, "sign-out")
    logout(request)


@contextmanager
def slowed_down(request: HttpRequest, name: str) -> Iterator[None]:
    """Wherever a password is tried: after too many wrong ones it is not tried at all, and a wrong one is remembered."""
    _check_throttle(request, name)
    try:
        yield
    except AccessError as error:
        if error.code in WRONG:
            models.SignInFailure.objects.create(name=name, address=address_of(request), at=timezone.now())
            note(request, "password refused", about=models.Person.objects.filter(name=name).first(), detail=name)
        raise


def _check_throttle(request: HttpRequest, name: str) -> None:
    now = timezone.now()
    models.SignInFailure.objects.exclude(at__range=(now - WINDOW, now)).delete()  # nor one of a clock that was ahead, which would count until then
    by_name = models.SignInFailure.objects.filter(name=name).count()
    by_address = models.SignInFailure.objects.filter(address=address_of(request)).count()
    if by_name >= MOST_BY_NAME or by_address >= MOST_BY_ADDRESS:
        raise AccessError("access.too_many_tries", minutes=int(WINDOW.total_seconds() // 60))
