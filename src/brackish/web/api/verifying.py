# SPDX-License-Identifier: MIT
"""Checking a report: the bytes of its PDF in, what its seal, code, attachments and signatures prove out. Nothing is stored."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest
from ninja import Router, Schema

import brackish
from brackish.web.api.attachments import BYTES
from brackish.web.people.access import person_of

router = Router(tags=["reports"])


class Check(Schema):
    name: str
    ok: bool
    detail: str


class Verified(Schema):
    consistent: bool
    code: str
    checks: list[Check]


@router.post(
    "/reports/check",
    response=Verified,
    summary="Whether a report is whole, judged the same again, and signed: the PDF is the request's body",
    openapi_extra=BYTES,
)
def check_report(request: HttpRequest) -> dict[str, Any]:
    from brackish.report.seal import verify

    person_of(request)
    return verify(request.body, evaluate=lambda document: brackish.evaluate(document).to_dict())
