# SPDX-License-Identifier: MIT
"""A job as a page sees it: looked up for this person, with its kept state and outcome. No page folds or judges.

`open_job` is the one door. What it gives:

    page.job        the row of the list of jobs         page.role      the person's role on it
    page.document   the job document                    page.outcome   what was judged (brackish-outcome/1), without what only one test's page shows
    page.case       both, everything found by its id    page.summary   the same without tests: a page of few needs reads no more
    page.outline    document and summary, by id         page.case_of   document and a few tests, with budgets and steps
    page.faults     why it could not be judged, if so; page.corrections with the fields that put it right
    page.conflicts  paths with two values               page.may_write, page.may_agree, page.may_sign
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django.http import HttpRequest

from brackish.record.shape import shaped
from brackish.report.case import Case
from brackish.web import models
from brackish.web.ledger import outcomes
from brackish.web.pages.correcting import corrections
from brackish.web.pages.written import value_at
from brackish.web.people.access import job_for
from brackish.web.people.rules import WRITES, may

Document = dict[str, Any]


@dataclass(frozen=True)
class JobPage:
    """One job, one person, one moment."""

    job: models.Job
    role: str
    state: Document
    summary: Document

    @cached_property
    def outcome(self) -> Document:
        brief = json.loads(outcomes.brief_bytes(self.job))
        return {**NOTHING, **brief} if "errors" in brief else brief

    @cached_property
    def document(self) -> Document:
        """The job document; of a job that cannot be read what has the format's shape."""
        return shaped(self.state["document"]) if self.faults else self.state["document"]

    @cached_property
    def case(self) -> Case:
        return Case(self.document, self.outcome)

    @cached_property
    def outline(self) -> Case:
        """What is asked, planned and void, without any result: a tenth of the reading of `case`."""
        return Case(self.document, self.summary)

    def case_of(self, tests: Iterable[Document]) -> Case:
        """The job with what was judged of some tests, down to their budgets and steps, and of no other."""
        found = outcomes.tests_bytes(self.job, [test["id"] for test in tests])
        return Case(self.document, {**self.summary, "tests": [json.loads(body) for body in found.values()]})

    @property
    def faults(self) -> list[Document]:
        return self.summary.get("errors", [])

    @cached_property
    def corrections(self) -> list[Document]:
        """The faults as people put them right, each with its field."""
        return list(corrections(self))

    @property
    def conflicts(self) -> list[Document]:
        return self.state["open_conflicts"]

    def taken_back(self, kind: str) -> set[str]:
        """The ids of things of a kind that were written once and taken back: their history is theirs, so none is given again."""
        return {each["path"][1] for each in self.state["corrections"] if each["path"][0] == kind and each["path"][2:] == ["id"]}

    def disputed(self, test: str) -> list[tuple[int, list[str]]]:
        """The open conflicts about a test: the place of each among all, and its path."""
        return [(number, each["path"]) for number, each in enumerate(self.conflicts) if each["path"][:2] == ["test", test]]

    @property
    def base(self) -> str:
        """What whoever reads this page has seen: the base of what they write next."""
        return json.dumps(self.job.frontier)

    @property
    def may_write(self) -> bool:
        return may(self.role, "write")

    @property
    def may_agree(self) -> bool:
        """Whether the person writes what was agreed, not only what they found."""
        return self.role in WRITES and WRITES[self.role] is None

    def may_write_at(self, path: Sequence[str]) -> bool:
        """Whether the role writes there; a trainee in training tests alone."""
        allowed = WRITES.get(self.role, frozenset())
        if allowed is not None and path[:1] and path[0] not in allowed:
            return False
        return self.role != "trainee" or value_at(self.document, (*path[:2], "purpose")) == "training"

    @property
    def may_sign(self) -> bool:
        return may(self.role, "sign")

    @cached_property
    def authors(self) -> dict[str, str]:
        """Account names to the names people go by, for whoever may have written in this job."""
        held = models.Person.objects.filter(membership__organisation_id=self.job.organisation_id)
        return dict(held.values_list("name", "shown_name"))


NOTHING: Document = {"tests": [], "items": [], "job": {"verdict": "withheld", "findings": [], "reasons": [], "summary": []}}


def open_job(request: HttpRequest, job_id: str, action: str = "read") -> JobPage:
    """The job for a request; out of sight is not found, whether it exists or not."""
    job, role = job_for(request, job_id, action)
    state, summary = outcomes.state_and_summary(job)
    return JobPage(job=job, role=role, state=state, summary=summary)
