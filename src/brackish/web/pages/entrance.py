# SPDX-License-Identifier: MIT
"""The door: sign in, accept an invitation, and see that the server runs. The workspace's own pages come after it."""

from __future__ import annotations

import mimetypes
from pathlib import Path

from django.contrib.auth import login
from django.db import connection
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_GET, require_http_methods, require_POST

import brackish
from brackish.errors import AccessError, BrackishError
from brackish.web import models
from brackish.web.people.accounts import sign_in, sign_out
from brackish.web.people.audit import note
from brackish.web.people.invitations import accept, open_invitation

STATIC = (Path(__file__).parents[1] / "static").resolve()


@require_http_methods(["GET", "POST"])
def sign_in_page(request: HttpRequest) -> HttpResponse:
    if request.method == "GET":
        return render(request, "brackish/entrance/sign_in.html", {"empty": not models.Person.objects.exists(), "next": request.GET.get("next", "")})
    try:
        sign_in(request, name=request.POST.get("name", ""), password=request.POST.get("password", ""))
    except AccessError as error:
        status = 429 if error.code == "access.too_many_tries" else 401
        return render(request, "brackish/entrance/sign_in.html", {"error": error.message, "name": request.POST.get("name", "")}, status=status)
    wanted = request.POST.get("next", "")
    return HttpResponseRedirect(wanted if url_has_allowed_host_and_scheme(wanted, allowed_hosts=None) else "/")


@require_POST
def sign_out_page(request: HttpRequest) -> HttpResponse:
    sign_out(request)
    return HttpResponseRedirect("/sign-in")


@require_http_methods(["GET", "POST"])
def enter(request: HttpRequest, token: str) -> HttpResponse:
    """An invitation's page: choose a name and a password."""
    words = {name: request.POST.get(name, "") for name in ("name", "shown_name", "password")}
    try:
        invitation = open_invitation(token)
        if request.method == "GET":
            return render(request, "brackish/entrance/enter.html", {"invitation": invitation})
        person = accept(token=token, **words)
    except AccessError as error:
        return refusal(request, error, 410)
    except BrackishError as error:
        return render(request, "brackish/entrance/enter.html", {"invitation": invitation, "error": error.message, **words, "password": ""}, status=422)
    login(request, person)
    note(request, "account", detail=person.name)
    return HttpResponseRedirect("/")


@require_GET
def health(request: HttpRequest) -> HttpResponse:
    """Does the server answer, and its database?"""
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
    return HttpResponse(f"brackish {brackish.__version__}\n", content_type="text/plain")


@require_GET
def static(request: HttpRequest, name: str) -> HttpResponse:
    """Our own files, in development and on one machine; a web server in front may serve the folder itself."""
    try:
        file = (STATIC / name).resolve()
        known = file.is_relative_to(STATIC) and file.is_file()
    except (OSError, ValueError):  # a name that no file can have
        known = False
    if not known:
        return refusal(request, AccessError("access.not_found", given="file of that name"), 404)
    media_type = {".js": "text/javascript", ".wasm": "application/wasm"}.get(file.suffix) or mimetypes.guess_type(file.name)[0] or "application/octet-stream"
    return HttpResponse(file.read_bytes(), content_type=media_type, headers={"Cache-Control": "public, max-age=300"})


def refusal(request: HttpRequest, error: BrackishError, status: int) -> HttpResponse:
    """A page that says why there is nothing to see."""
    return render(request, "brackish/entrance/refusal.html", {"error": error.message, "status": status}, status=status)
