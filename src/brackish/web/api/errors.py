# SPDX-License-Identifier: MIT
"""Every error of the API in one shape: `{"errors": [{code, place, params, message}]}`."""

from __future__ import annotations

import json
import logging
import math
from collections.abc import Callable, Sequence
from functools import wraps
from typing import Any, NoReturn

from django.conf import settings
from django.core.exceptions import RequestDataTooBig
from django.db import DatabaseError, DataError
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from ninja import NinjaAPI
from ninja.errors import AuthenticationError, HttpError, ValidationError
from ninja.parser import Parser

from brackish.errors import AccessError, BrackishError, DeliveryError, InputError, faults_of

STATUS = {
    "access.not_found": 404,
    "access.signed_out": 401,
    "access.wrong_password": 401,
    "access.too_many_tries": 429,
    "access.link_used": 410,
    "request.too_large": 413,
}
RETRY_AFTER = 900  # seconds: the throttle's window
log = logging.getLogger("brackish.web")


class JsonParser(Parser):
    """JSON alone: NaN and Infinity, which Python reads too, would go out again in the words of a refusal, and no browser reads them."""

    def parse_body(self, request: HttpRequest) -> Any:
        return json.loads(request.body, parse_constant=_no_number, parse_float=lambda text: float(text) if math.isfinite(float(text)) else _no_number(text))


def _no_number(text: str) -> NoReturn:
    raise ValueError(f"{text} is no number of JSON")


def shaped(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """A view that says in the one shape, too, that its address does not know a method."""

    @wraps(view)
    def answer(request: HttpRequest, *values: Any, **names: Any) -> HttpResponse:
        response = view(request, *values, **names)
        if response.status_code != 405:
            return response
        known = ", ".join(sorted(response["Allow"].split(", ")))  # they come in the order of a set
        refused = _answer([InputError("request.unreadable", detail=f"{request.method} is not known here, only {known}")], 405)
        refused["Allow"] = known
        return refused

    return answer


def answer_of(error: BrackishError, status: int = 0) -> HttpResponse:
    """The answer that says an error."""
    response = _answer(faults_of(error), status or STATUS.get(error.code, error.http_status))
    if error.code == "access.too_many_tries":
        response["Retry-After"] = str(RETRY_AFTER)
    return response


def in_our_words(error: BaseException | None) -> BrackishError:
    """What a fault that no view foresaw means for whoever asked."""
    if isinstance(error, BrackishError):
        return error
    if isinstance(error, DataError | UnicodeEncodeError):  # half a character; on PostgreSQL the character of number nought
        return InputError("request.unreadable", detail="a text holds a character that cannot be kept")
    if isinstance(error, DatabaseError | OSError):
        return DeliveryError("server.storage", permanent=False)
    return BrackishError("program.failed", detail=type(error).__name__)


def register(api: NinjaAPI) -> None:
    """Give the API its error shape, whatever goes wrong."""

    @api.exception_handler(BrackishError)
    def known(request: HttpRequest, error: BrackishError) -> HttpResponse:
        return answer_of(error)

    @api.exception_handler(AuthenticationError)
    def nobody(request: HttpRequest, error: AuthenticationError) -> HttpResponse:
        return answer_of(AccessError("access.signed_out"))

    @api.exception_handler(ValidationError)
    def unfit(request: HttpRequest, error: ValidationError) -> HttpResponse:
        faults = [InputError("request.unreadable", place=".".join(str(part) for part in fault["loc"]), detail=fault["msg"]) for fault in error.errors]
        return _answer(faults, 422)

    @api.exception_handler(HttpError)
    def unreadable(request: HttpRequest, error: HttpError) -> HttpResponse:
        if error.status_code == 403:
            return answer_of(AccessError("access.csrf"))
        return _answer([InputError("request.unreadable", detail=str(error))], error.status_code)

    @api.exception_handler(Http404)
    def nothing(request: HttpRequest, error: Http404) -> HttpResponse:
        return answer_of(AccessError("access.not_found", given=request.path))

    @api.exception_handler(RequestDataTooBig)
    def too_large(request: HttpRequest, error: RequestDataTooBig) -> HttpResponse:
        return answer_of(InputError("request.too_large", allowed=settings.DATA_UPLOAD_MAX_MEMORY_SIZE))

    @api.exception_handler(UnicodeEncodeError)
    @api.exception_handler(DatabaseError)
    @api.exception_handler(OSError)
    def not_stored(request: HttpRequest, error: Exception) -> HttpResponse:
        log.error("%s %s: storage: %s", request.method, request.path, error)
        return answer_of(in_our_words(error))

    @api.exception_handler(Exception)
    def failed(request: HttpRequest, error: Exception) -> HttpResponse:
        log.exception("%s %s failed", request.method, request.path)
        return answer_of(in_our_words(error))


def _answer(faults: Sequence[BrackishError], status: int) -> HttpResponse:
    return JsonResponse({"errors": [fault.to_dict() for fault in faults]}, status=status, json_dumps_params={"default": str})
