# SPDX-License-Identifier: MIT
"""Addresses: the API, signing in, and the first page."""

from __future__ import annotations

import sys

from django.core.exceptions import DisallowedHost, RequestDataTooBig
from django.http import HttpRequest, HttpResponse
from django.urls import path

from brackish.errors import AccessError, BrackishError, InputError
from brackish.web.api import api
from brackish.web.api.errors import STATUS, answer_of, in_our_words
from brackish.web.bounds import largest
from brackish.web.pages import entrance
from brackish.web.pages.addresses import addresses

urlpatterns = [
    path("sign-in", entrance.sign_in_page),
    path("sign-out", entrance.sign_out_page),
    path("enter/<str:token>", entrance.enter),
    path("health", entrance.health),
    path("static/<path:name>", entrance.static),
    path("api/v1/", api.urls),
    *addresses,
]


def handler400(request: HttpRequest, exception: Exception) -> HttpResponse:
    if isinstance(exception, RequestDataTooBig):
        return _refused(request, InputError("request.too_large", allowed=largest(request)), 413)
    name = isinstance(exception, DisallowedHost)
    return _refused(request, InputError("request.host") if name else InputError("request.unreadable", detail=type(exception).__name__), 400)


def handler404(request: HttpRequest, exception: Exception) -> HttpResponse:
    return _refused(request, AccessError("access.not_found", given="page of that address"), 404)


def handler500(request: HttpRequest) -> HttpResponse:
    """What a view did not say itself: an error of ours, no storage, or a fault of the program."""
    error = in_our_words(sys.exc_info()[1])
    return _refused(request, error, STATUS.get(error.code, error.http_status))


def unmarked(request: HttpRequest, reason: str = "") -> HttpResponse:
    """A form without the mark of its session."""
    return _refused(request, AccessError("access.csrf"), 403)


def _refused(request: HttpRequest, error: BrackishError, status: int) -> HttpResponse:
    return answer_of(error, status) if request.path.startswith("/api/") else entrance.refusal(request, error, status)
