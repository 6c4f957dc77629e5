# SPDX-License-Identifier: MIT
"""The control of a lesson: the rows for one place of it, from the same functions as the page."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from django.http import HttpRequest
from ninja import Router

from brackish.errors import AccessError
from brackish.web.pages.lesson_models import answer, models

router = Router(tags=["lessons"])


@router.get("/lessons/{lesson}", summary="What a lesson answers to one place of its control")
def read_lesson(request: HttpRequest, lesson: str, value: float | None = None) -> dict[str, Any]:
    model = models().get(lesson)
    if model is None:
        raise AccessError("access.not_found", given=f"lesson {lesson}")
    return asdict(answer(model, model.control.start if value is None else value))
