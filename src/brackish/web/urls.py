# SPDX-License-Identifier: MIT
"""Addresses: the API, signing in, and the first page."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.urls import path

from brackish.errors import AccessError
from brackish.web.api import api
from brackish.web.api.errors import answer_of
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


def handler404(request: HttpRequest, exception: Exception) -> HttpResponse:
    error = AccessError("access.not_found", given="page of that address")
    return answer_of(error) if request.path.startswith("/api/") else entrance.refusal(request, error, 404)
