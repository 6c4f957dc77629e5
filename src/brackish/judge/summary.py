# SPDX-License-Identifier: MIT
"""The verdict on the whole job, and the two sentences a customer is told."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from brackish.judge import wording
from brackish.judge.items import ItemVerdict
from brackish.judge.outcome import Note, unique, worst
from brackish.judge.verdicts import missing_fields
from brackish.record.job import Job


def of_job(job: Job, verdicts: Mapping[str, Sequence[ItemVerdict]]) -> dict[str, Any]:
    """The worst of the items, why, and what it means in plain words."""
    flat = [(id, verdict) for id, found in verdicts.items() for verdict in found]
    reasons = [Note(code=reason.code, params={"item": id, **reason.params}) for id, verdict in flat for reason in verdict.reasons]
    if not job.criteria:
        reasons.append(Note(code="criterion.none"))
    elif not flat:
        reasons.append(Note(code="criterion.no_item"))
    verdict = worst([each.verdict for _, each in flat]) if flat else "withheld"
    rows = [{"item": id, "name": _name(job, id), **each.to_dict()} for id, each in flat]
    return {
        "verdict": verdict,
        **({"accepted": True} if verdict == "pass" and any(each.only_accepted for _, each in flat) else {}),
        "findings": unique([finding for _, each in flat for finding in each.findings]),
        "reasons": unique(reasons),
        "summary": wording.summary(verdict, rows, [] if flat else _lacking(job)),
    }


def _lacking(job: Job) -> list[str]:
    """Codes of what a job lacks whose requirements meet no item: what was left open in them, and the item."""
    left_open = dict.fromkeys(note.code for criterion in job.criteria for note in missing_fields(criterion))
    return [*left_open, "criterion.no_item"] if job.criteria else ["criterion.none"]


def _name(job: Job, id: str) -> str:
    return job.item_by_id[id].name or id
