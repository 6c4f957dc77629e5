# SPDX-License-Identifier: MIT
"""What a person chooses for themselves: the light. Kept in a cookie, so that no page flickers."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import path
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST

from brackish.web.pages.frame import LIGHT_COOKIE, LIGHTS

YEAR = 365 * 24 * 3600


@require_POST
def light(request: HttpRequest) -> HttpResponse:
    """Auto, light, dark or sun; back to where the person was."""
    came_from = request.headers.get("Referer", "/")
    safe = url_has_allowed_host_and_scheme(came_from, allowed_hosts={request.get_host()})
    answer = HttpResponseRedirect(came_from if safe else "/")
    chosen = request.POST.get("light", "")
    if chosen in LIGHTS:
        answer.set_cookie(LIGHT_COOKIE, chosen, max_age=YEAR, samesite="Lax")
    else:
        answer.delete_cookie(LIGHT_COOKIE)
    return answer


ADDRESSES = [path("light", light, name="light")]
