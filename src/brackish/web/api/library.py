# SPDX-License-Identifier: MIT
"""What needs no job: methods, and later whatever is asked without one."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from django.http import HttpRequest
from ninja import Router, Schema

from brackish.errors import AccessError
from brackish.library import method, method_ids

router = Router(tags=["library"])


class MethodRow(Schema):
    id: str
    title: str


@router.get("/methods", response=list[MethodRow], summary="The methods of the library")
def list_methods(request: HttpRequest) -> list[MethodRow]:
    return [MethodRow(id=name, title=method(name).title) for name in method_ids()]


@router.get("/methods/{method_id}", summary="One method: steps, facts, cautions, sources")
def read_method(request: HttpRequest, method_id: str) -> dict[str, Any]:
    if method_id not in method_ids():
        raise AccessError("access.not_found", given=f"method {method_id}")
    return asdict(method(method_id))
