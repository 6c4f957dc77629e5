# SPDX-License-Identifier: MIT
"""How a job is judged: the index of this package, one line a step.

document.py   the job file as frozen types, all faults at once
trial.py      one test: its state, findings, results, verdicts
  findings.py   what is odd about it: rules of the method, named checks
  inputs.py     every input with its uncertainty and provenance; meters.py for what a meter reads
  patch.py …    the formula of its method
  results.py    value, uncertainty, working
  resting.py    whether the verdict would rest on what cannot carry it
  verdicts.py   the agreed rule
salts.py      which salt it could have been: what one reading would be of each
items.py      which tests count, how many were agreed, the worst or the mean
sampling.py   what so many passes can and cannot show
compare.py    why two results differ, step by step; bridge.py, between.py
release.py    from failure to release
wording.py    the sentences
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from brackish.judge import consistency, criteria, items, summary, trial
from brackish.judge.items import ItemVerdict
from brackish.judge.outcome import ENGINE, FORMAT, Outcome
from brackish.judge.trial import Trial
from brackish.record.canonical import sha256_of
from brackish.record.document import load, read_job
from brackish.record.job import Job

Judged = tuple[Job, list[Trial], dict[str, list[ItemVerdict]]]


def evaluate(job: Mapping[str, Any] | str | Path, /) -> Outcome:
    """The outcome of a job document or file: results with uncertainty, findings, verdicts.

    Pure but for reading the file: the same document gives the same bytes, on every interpreter.

    Raises
    ------
    InputFaults, InputError
        When the input cannot be used; every fault with its place.

    """
    document = job if isinstance(job, Mapping) else load(job)
    read, trials, verdicts = judged_document(document)
    return Outcome(
        {
            "format": FORMAT,
            "engine": ENGINE,
            "job_hash": sha256_of(document),
            "criteria": criteria.criteria_dicts(read, document),
            "tests": [each.to_dict() for each in trials],
            "items": [{"id": id, "verdicts": [verdict.to_dict() for verdict in found]} for id, found in verdicts.items()],
            "job": summary.of_job(read, verdicts),
        }
    )


_last: dict[str, Judged] = {}  # one entry: a report and a release ask again for the job that was just judged


def judged_document(document: Mapping[str, Any]) -> Judged:
    """The job of a document with its tests and items judged; nobody may change what it gives."""
    job = read_job(document)
    key = sha256_of(document)
    found = _last.get(key)
    if found is None:
        found = (job, *judged(job))
        _last.clear()
        _last[key] = found
    return found


def judged(job: Job) -> tuple[list[Trial], dict[str, list[ItemVerdict]]]:
    """Every test tried and held against the others, and the verdicts on every item."""
    trials = [trial.try_test(job, test) for test in job.test]
    consistency.check(job, trials)
    return trials, {item.id: items.item_verdicts(job, item, trials) for item in job.item}
