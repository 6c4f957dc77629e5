# SPDX-License-Identifier: MIT
"""What needs no job: methods, clauses, limits, counts. The same as the commands of those names give with --json."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from django.http import HttpRequest
from ninja import Router, Schema

import brackish
from brackish.errors import AccessError, InputError
from brackish.library import method, method_ids
from brackish.prepare import counts
from brackish.prepare.limits import card
from brackish.record.paths import is_plain_text

router = Router(tags=["library"])


LONGEST_CLAUSE = 100_000  # characters


class Clause(Schema):
    text: str


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


@router.post("/clause", summary="Requirement text: what is understood, the traps, the questions (brackish-clause/1)")
def read_clause(request: HttpRequest, words: Clause) -> dict[str, Any]:
    if len(words.text) > LONGEST_CLAUSE or not is_plain_text(words.text):
        raise InputError("input.wrong_type", place="text", given=f"a text of {len(words.text)} characters", wanted=f"plain text of at most {LONGEST_CLAUSE}")
    return brackish.read_clause(words.text).to_dict()


@router.get("/limits", summary="What meter or tube would read exactly at a limit, plain and guarded")
def read_limits(
    request: HttpRequest,
    limit: str,
    quantity: str,
    solution_volume: str | None = None,
    area: str | None = None,
    reference_temperature: str | None = None,
    blank: str | None = None,
    level: str | None = None,
    uncertainty: str | None = None,
) -> dict[str, Any]:
    made = card(
        limit=limit,
        quantity=quantity,
        solution_volume=solution_volume,
        area=area,
        reference_temperature=reference_temperature,
        blank=blank,
        level=level,
        uncertainty=uncertainty,
    )
    return made.to_dict()


@router.get("/counts", summary="How many tests a rule asks for on an area, by each of its unit systems")
def read_counts(request: HttpRequest, rule: str, area: str, governs: str = "") -> dict[str, Any]:
    if governs and governs not in counts.UNITS:
        raise InputError("input.not_one_of", place="governs", given=governs, allowed=list(counts.UNITS))
    return counts.by_rule(rule=rule, area=area, governs=governs)
