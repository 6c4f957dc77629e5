# SPDX-License-Identifier: MIT
"""A water blank is a reading of the water too: a water criterion takes it as a test of that water."""

from __future__ import annotations

from brackish.judge.trial import Trial, try_test
from brackish.record.job import Blank, Item, Job, Test
from brackish.record.specification import Criterion


def blank_trials(job: Job, item: Item, criterion: Criterion) -> list[Trial]:
    """Water blanks that tests of this item name, judged as tests of the extraction water."""
    if criterion.applies_to != "extraction-water":
        return []
    users = {test.blank: test for test in reversed(job.test) if test.item == item.id and test.blank}
    blanks = [blank for blank in job.blank if blank.id in users and blank.kind == "water" and blank.reading[0].dimension == "conductivity"]
    return [try_test(job, _as_test(blank, users[blank.id])) for blank in blanks]


def _as_test(blank: Blank, user: Test) -> Test:
    facts = {"reading": blank.reading, "use": "extraction"} | ({"temperature": blank.temperature} if blank.temperature else {})
    equipment = blank.equipment or user.equipment
    return Test(
        id=blank.id,
        item=user.item,
        method="water-conductivity",
        started=blank.at,
        read_at=blank.at,
        equipment=equipment,
        facts=facts,
        uncertainty={},
        stage=user.stage,
    )
