# SPDX-License-Identifier: MIT
"""What every screen does alike: who is not signed in goes to the door, and an error is said on a page.

    @screen
    def results(request: HttpRequest, job_id: str) -> HttpResponse:
        page = open_job(request, job_id)
        return show(request, "results", page=page)

`show` renders `brackish/<place>.html` and tells the frame which place is current.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any
from urllib.parse import quote

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.views.decorators.http import require_safe

from brackish.errors import BrackishError
from brackish.web.api.errors import STATUS

View = Callable[..., HttpResponse]


def screen(view: View) -> View:
    """A page to look at: safe to load again, and its errors are pages too."""

    @require_safe
    @wraps(view)
    def answer(request: HttpRequest, **names: str) -> HttpResponse:
        try:
            return view(request, **names)
        except BrackishError as error:
            if error.code == "access.signed_out":
                return HttpResponseRedirect(f"/sign-in?next={quote(request.get_full_path())}")
            return refused(request, error, STATUS.get(error.code, error.http_status))

    return answer


def show(request: HttpRequest, place: str, *, status: int = 200, template: str = "", **context: Any) -> HttpResponse:
    """The template of a place, in the frame."""
    return render(request, f"brackish/{template or place}.html", {"place": place, **context}, status=status)


def refused(request: HttpRequest, error: BrackishError, status: int) -> HttpResponse:
    """A page that says why there is nothing to see, and what to do."""
    return render(request, "brackish/refused.html", {"error": error, "status": status}, status=status)
