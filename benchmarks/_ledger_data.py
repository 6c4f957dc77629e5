# SPDX-License-Identifier: MIT
"""Fill a ledger with jobs: 50 patch tests and some 500 events each, judged, as a server would hold them.

python benchmarks/_ledger_data.py JOBS     into the database that the environment names, on all cores
"""

from __future__ import annotations

import os
import subprocess
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


def fill(jobs: int, part: int, parts: int) -> None:
    """Every so many-th job, through the same functions as the server's; what is there already is passed over."""
    from django.utils import timezone

    from brackish.web import models
    from brackish.web.ledger.outcomes import is_current, refresh
    from brackish.web.ledger.store import append

    organisation = models.Organisation.objects.get(id=1)
    started = time.monotonic()
    for number in range(part, jobs, parts):
        name = str(uuid.UUID(int=number + 1))
        job, made = models.Job.objects.get_or_create(id=name, defaults={"organisation": organisation, "changed": timezone.now()})
        if made or not job.events:
            append(job=name, documents=[event.to_dict() for event in events_of_a_job(name, author="owner")], sender=None)
            job.refresh_from_db()
        if not is_current(job):
            refresh(job)
        if number // parts % 100 == 99:
            print(f"  {number + 1} of {jobs} jobs after {time.monotonic() - started:.0f} s", file=sys.stderr, flush=True)


def owner() -> None:
    """Tables, and the account that all of it belongs to, unless they are there."""
    from brackish.web.serve import prepare

    if token := prepare():
        from brackish.web.people.invitations import accept

        accept(token=token, name="owner", shown_name="Owner of it all", password=os.environ["BENCH_PASSWORD"])


if __name__ == "__main__":
    jobs = int(sys.argv[1])
    owner()
    parts = os.cpu_count() or 1
    others = [subprocess.Popen([sys.executable, __file__, str(jobs), str(part)]) for part in range(1, parts)] if len(sys.argv) == 2 else []
    fill(jobs, int(sys.argv[2]) if len(sys.argv) > 2 else 0, parts)
    raise SystemExit(max((other.wait() for other in others), default=0))
