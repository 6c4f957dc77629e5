# SPDX-License-Identifier: MIT
"""What tests say about each other: total salt against chloride, one place tested twice."""

from __future__ import annotations

from collections.abc import Sequence

from brackish.judge.trial import Trial
from brackish.record.job import Job


def check(job: Job, trials: Sequence[Trial]) -> None:
    """Add findings that only several tests together can give, and withhold what contradicts itself."""
