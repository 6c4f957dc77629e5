# SPDX-License-Identifier: MIT
"""What is asked, as it was judged: each criterion with the fields that came from the library.

The job document holds only what was typed; a `requirement` of the library supplies the rest. Pages
and reports show what a reader needs from here, with the source of each supplied field.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from brackish import library
from brackish.judge import wording
from brackish.quantities import QUANTITIES
from brackish.record.job import Job
from brackish.record.specification import Criterion, Specification


def criteria_dicts(job: Job, document: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Every criterion of a job: its fields as typed or supplied, and one sentence that says what is asked."""
    raw = {row.get("id"): row for specification in document.get("specification", ()) for row in specification.get("criterion", ())}
    return [_criterion(specification, criterion, raw[criterion.id]) for specification in job.specification for criterion in specification.criterion]


def _criterion(specification: Specification, criterion: Criterion, typed: Mapping[str, Any]) -> dict[str, Any]:
    row = {key: value for key, value in typed.items() if not key.startswith("x-")} | {"specification": specification.id}
    if criterion.requirement:
        asked = library.requirement(criterion.requirement)
        row |= {key: value for key, value in asked.criterion.items() if key in criterion.supplied}
        row["supplied"] = {
            "fields": list(criterion.supplied),
            "requirement": asked.id,
            "title": asked.title,
            "basis": asked.basis,
            "confuse": asked.confuse,
            "checked": asked.checked,
            "sources": [library.sources()[key].title for key in asked.sources],
        }
    if criterion.quantity:
        row["words"] = QUANTITIES[criterion.quantity].words
    row["shown"] = wording.asked(row)
    return row
