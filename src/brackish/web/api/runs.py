# SPDX-License-Identifier: MIT
"""While a test runs: what a fact gives cause to say, and what a meter's check found. Nothing is stored by asking."""

from __future__ import annotations

from typing import Annotated, Any

from django.http import HttpRequest
from ninja import Field, Router, Schema

from brackish.errors import AccessError
from brackish.prepare import checks
from brackish.prepare.remarks import remarks
from brackish.record.shape import shaped
from brackish.web.ledger.outcomes import document_of
from brackish.web.people.access import job_for

router = Router(tags=["runs"])
MOST_PORTIONS = 100  # of one test


class Typed(Schema):
    test: str
    facts: dict[str, Any]
    determination: Annotated[int | None, Field(ge=0, lt=MOST_PORTIONS)] = None


class Remarks(Schema):
    errors: list[dict[str, Any]]
    findings: list[dict[str, Any]]


class Reading(Schema):
    equipment: str
    solution: str
    reading: str
    temperature: str | None = None


class CheckAnswer(Schema):
    solution: str
    reading: str
    allowed: float
    shown_allowed: str
    expected: str | None = None
    deviation: float | None = None
    shown: str | None = None
    good: bool | None = None


@router.post("/{job_id}/remarks", response=Remarks, summary="What facts just typed give cause to say: faults, and the method's rules they break")
def read_remarks(request: HttpRequest, job_id: str, typed: Typed) -> dict[str, Any]:
    job, _ = job_for(request, job_id, "read")
    return remarks(document=shaped(document_of(job)), test=typed.test, facts=typed.facts, determination=typed.determination)


@router.post(
    "/{job_id}/check", response=CheckAnswer, exclude_none=True, summary="A meter's reading of a standard solution: how far it is off, and what is allowed"
)
def read_check(request: HttpRequest, job_id: str, reading: Reading) -> dict[str, Any]:
    job, _ = job_for(request, job_id, "read")
    entry = next((each for each in shaped(document_of(job)).get("equipment", []) if each.get("id") == reading.equipment), None)
    if entry is None:
        raise AccessError("access.not_found", given=f"equipment {reading.equipment}")
    check = {"at": "2000-01-01T00:00:00+00:00", "solution": reading.solution, "reading": reading.reading}
    check |= {"temperature": reading.temperature} if reading.temperature else {}
    return checks.check_of(meter=checks.meter_of(entry), check=check).to_dict()
