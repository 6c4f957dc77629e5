# SPDX-License-Identifier: MIT
"""What the frame of every page knows: the person, the light they chose, their language, whether this is the demo."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.db import DatabaseError
from django.http import HttpRequest
from django.utils.translation import get_language

from brackish.web import models

LIGHTS = ("light", "dark", "sun")
LIGHT_COOKIE = "brackish-light"


def frame(request: HttpRequest) -> dict[str, Any]:
    """Context of every template."""
    try:
        person = request.user if isinstance(getattr(request, "user", None), models.Person) else None
    except DatabaseError:  # the page that says so is for nobody
        person = None
    chosen = request.COOKIES.get(LIGHT_COOKIE, "")
    return {"person": person, "light": chosen if chosen in LIGHTS else "", "demo": settings.DEMO, "language": get_language()}
