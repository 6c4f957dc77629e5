# SPDX-License-Identifier: MIT
"""Fill a ledger with jobs: 50 patch tests and some 500 events each, judged, as a server would hold them.

python benchmarks/_ledger_data.py JOBS     into the database that the environment names
"""

from __future__ import annotations

import os
import sys
import time
import uuid
from typing import Any

from _jobs import patch_job

from brackish.record.event import Event
from brackish.record.fold import events_of_document

TESTS = 50
KEPT = ("id", "item", "location", "method", "blank", "equipment")  # of a test's heading; with three facts and its location, eleven events a test
FACTS = ("compartment_area", "solution_volume", "reading")


def small_job(job: str, tests: int = TESTS) -> dict[str, Any]:
    """A job that is judged in full, written with few words."""
    document = patch_job(tests)
    document["job"] = {"id": job, "title": f"Girder {job[-6:]} at pier {int(job[-6:], 16) % 7}", "site": "Pell Quay"}
    document["location"] = [{name: location[name] for name in ("id", "item")} for location in document["location"]]
    document["test"] = [{name: test[name] for name in KEPT} | {"facts": {name: test["facts"][name] for name in FACTS}} for test in document["test"]]
    return document


def events_of_a_job(job: str, *, author: str, device: str = "desk", tests: int = TESTS) -> list[Event]:
    return events_of_document(document=small_job(job, tests), job=job, device=device, author=author, made="2026-03-04T09:00:00+00:00")


def fill(jobs: int) -> None:
    from django.utils import timezone

    from brackish.web import models
    from brackish.web.ledger.outcomes import refresh
    from brackish.web.ledger.store import append
    from brackish.web.people.invitations import accept, first_owner_token

    token = first_owner_token()
    if token:
        accept(token=token, name="owner", shown_name="Owner of it all", password=os.environ["BENCH_PASSWORD"])
    organisation = models.Organisation.objects.get(id=1)
    started = time.monotonic()
    for number in range(jobs):
        job = models.Job.objects.create(id=str(uuid.UUID(int=number + 1)), organisation=organisation, changed=timezone.now())
        append(job=job.id, documents=[event.to_dict() for event in events_of_a_job(job.id, author="owner")], sender=None)
        job.refresh_from_db()
        refresh(job)
        if number % 100 == 99:
            print(f"  {number + 1} of {jobs} jobs after {time.monotonic() - started:.0f} s", file=sys.stderr, flush=True)


if __name__ == "__main__":
    from brackish.web.serve import prepare

    prepare()
    fill(int(sys.argv[1]))
