# SPDX-License-Identifier: MIT
"""No request is read that is longer than the largest thing taken at its address: a file in a form goes to the disk before anybody asks who sends it."""

from __future__ import annotations

from collections.abc import Callable

from django.conf import settings
from django.core.exceptions import RequestDataTooBig
from django.http import HttpRequest, HttpResponse

from brackish.web.ledger.exchange import LARGEST_LEDGER


def bounded(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    def answer(request: HttpRequest) -> HttpResponse:
        if int(request.META.get("CONTENT_LENGTH") or 0) > largest(request):
            raise RequestDataTooBig
        return get_response(request)

    return answer


def largest(request: HttpRequest) -> int:
    """Bytes of a request that are read; a ledger comes with its pictures."""
    return LARGEST_LEDGER if request.path == "/api/v1/ledgers" else int(settings.DATA_UPLOAD_MAX_MEMORY_SIZE)
