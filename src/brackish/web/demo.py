# SPDX-License-Identifier: MIT
"""The demo: a fresh workspace of an invented harbour, with the example jobs, where anyone may be anyone.

    python3 dev.py demo      starts it; the printed address opens signed in as a tester

The jobs are written as events, each by the person whose hands it would have been: what was agreed by
the inspector, what was found by the tester, at the times that stand in the files. One reading is
written wrong first and corrected, so that the history shows what a correction is; one job has work
under way (`demo_today.py`).
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterable
from datetime import datetime
from pathlib import Path
from typing import Any

from brackish.errors import BrackishError, InputError
from brackish.web import demo_today

Document = dict[str, Any]

ORGANISATION = "Pell Quay Harbour Trust"
PEOPLE = {  # account -> name, role, what they are there for
    "ines.farrow": ("Ines Farrow", "tester"),
    "jonna.reith": ("Jonna Reith", "inspector"),
    "olin.rake": ("Olin Rake", "tester"),
    "bram.tallow": ("Bram Tallow", "owner"),
    "tobin.abell": ("Tobin Abell", "trainee"),
    "mara.ostler": ("Mara Ostler", "reader"),
}
FIRST = "ines.farrow"
PASSWORD = "three plain words"  # of everyone in the demo: signing asks for it
FOUND = ("test", "blank", "conditions", "location", "equipment", "reclean")  # what a tester writes; the rest was agreed
SLIP = (  # a reading that was first written wrong, and why it was corrected
    "Footbridge over the Pell, span 2",
    ("test", "T5", "facts", "reading"),
    ["14.9 uS/cm"],
    "Read from the line above. The display showed 14.4.",
)


def demo(*, folder: Path, examples: Path, port: int = 8400) -> None:
    """Make the demo afresh and serve it until a person stops it."""
    if not any(examples.glob("*.toml")):
        raise InputError("input.file_missing", given=f"*.toml in {examples}")
    for old in (*folder.glob("ledger.sqlite3*"), folder / "attachments"):  # only what a demo before left there
        shutil.rmtree(old) if old.is_dir() else old.unlink(missing_ok=True)
    os.environ["BRACKISH_DATA"] = str(folder)
    os.environ["BRACKISH_DEMO"] = "1"
    os.environ["DATABASE_URL"] = ""
    from brackish.web import serve

    serve.prepare()
    jobs = fill(examples)
    print(f"{len(jobs)} example jobs of {ORGANISATION}; all of it is invented.", flush=True)
    print(f"Open http://localhost:{port}/demo (signed in as {PEOPLE[FIRST][0]}, tester; the others are one click away)", flush=True)
    print("Stop with Ctrl+C.", flush=True)
    serve.run(host=serve.HERE, port=port, workers=1)


def fill(examples: Path) -> list[str]:
    """Write the people and the example jobs that can be read; the ids of the jobs."""
    from brackish.record.document import load, read_job

    organisation = _people()
    made = []
    for file in sorted(examples.glob("*.toml")):
        try:
            document = load(file)
            read_job(document)
        except BrackishError:
            continue  # an example of mistakes is for the command line
        made.append(_job(document, organisation))
    return made


def _people() -> Any:
    from django.contrib.auth.hashers import make_password

    from brackish.web import models

    password = make_password(PASSWORD)  # once for all: hashing takes long, as it should
    models.Organisation.objects.all().delete()
    organisation = models.Organisation.objects.create(name=ORGANISATION)
    for account, (name, role) in PEOPLE.items():
        person = models.Person.objects.create(name=account, shown_name=name, password=password)
        models.Membership.objects.create(organisation=organisation, person=person, role=role)
    return organisation


def _job(document: Document, organisation: Any) -> str:
    from django.utils import timezone

    from brackish.web import models
    from brackish.web.ledger.outcomes import refresh
    from brackish.web.ledger.store import append

    identity, now = document["job"]["id"], timezone.now()
    row = models.Job.objects.create(id=identity, organisation=organisation, changed=now)
    append(job=identity, documents=[event.to_dict() for event in events(document, now)], sender=None)
    row.refresh_from_db()
    refresh(row)
    return str(identity)


def events(document: Document, now: datetime) -> list[Any]:
    """The events of a job, what was agreed first, then what was found, in the order in which it happened, up to now."""
    from brackish.record.event import Event, make_event
    from brackish.record.paths import paths_of

    leaves = paths_of(document)
    times: dict[tuple[str, ...], Any] = {("test", test["id"]): test.get("read_at") or test.get("started") for test in document.get("test", [])}
    times |= {("blank", blank["id"]): blank.get("at") for blank in document.get("blank", [])}
    start = min((time for time in times.values() if time), default="2026-03-02T09:00:00+00:00")
    agreed = [(path, value, start[:11] + "06:30:00+00:00", "jonna.reith") for path, value in leaves if path[0] not in FOUND]
    found = [(path, value, times.get(path[:2]) or start[:11] + "07:45:00+00:00", FIRST) for path, value in leaves if path[0] in FOUND]
    last: dict[str, Event] = {}
    made: list[Event] = []

    def write(path: Iterable[str], value: object, time: str, author: str, reason: str = "") -> None:
        before = last.get(author)
        base = [] if made and made[-1] is before else [made[-1].id] if made else []
        event = make_event(
            job=document["job"]["id"],
            device=f"phone of {PEOPLE[author][0]}",
            author=author,
            made=time,
            kind="set",
            path=list(path),
            value=value,
            reason=reason,
            after=before,
            base=base,
        )
        last[author] = event
        made.append(event)

    later: list[tuple[tuple[str, ...], object, str]] = []
    under_way = demo_today.today(now) if document["job"]["title"] == demo_today.JOB else []
    for path, value, time, author in [*agreed, *sorted(found, key=lambda one: one[2]), *under_way]:
        if later and path[:2] != later[0][0][:2]:
            write(*later.pop(), FIRST, SLIP[3])
        slipped = (document["job"]["title"], path) == SLIP[:2]
        write(path, SLIP[2] if slipped else value, time, author)
        if slipped:
            later.append((path, value, time[:14] + "41" + time[16:]))
    return made
