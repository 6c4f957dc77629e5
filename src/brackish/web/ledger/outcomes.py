# SPDX-License-Identifier: MIT
"""What a job's events give, kept by head and engine so that no page folds or judges: its state and its outcome.

`refresh` folds and judges; it runs soon after events came in (`judging.py`), or when a reader finds the
kept outcome behind. Where two processes do it at once both write the same bytes.
"""

from __future__ import annotations

import json
import logging

from django.db import transaction

import brackish
from brackish.errors import BrackishError, DeliveryError, faults_of
from brackish.record.canonical import canonical_bytes
from brackish.record.fold import Correction, Fold, fold
from brackish.record.statement import signed_document
from brackish.web import models
from brackish.web.ledger.store import events_of

Document = dict[str, object]
SUMMARY = ""  # the row that holds everything of an outcome but the tests
STATE = "\x01"  # the row that holds the state; no event can name a test so
TRIES = 5
log = logging.getLogger("brackish.web")
FORMAT = "brackish-outcome/1"


def state_of(job: models.Job) -> Fold:
    """The fold of a job's placed events; the held ones are counted in its row."""
    return fold(events=events_of(job.id))


def outcome_bytes(job: models.Job) -> bytes:
    """The kept outcome in canonical form, judged first where it is behind."""
    (_, summary), *tests = _current_rows(job, {"position__gte": 0})
    return assembled(summary, [body for _, body in tests])


def test_bytes(job: models.Job, test: str) -> bytes | None:
    """The kept outcome of one test."""
    rows = _current_rows(job, {"test__in": [SUMMARY, test]})
    return next((body.encode() for position, body in rows if position > 0), None)


def state_text(job: models.Job) -> str:
    """The kept state: document, conflicts, held events, corrections, forks, as canonical text."""
    return _current_rows(job, {"test": STATE})[0][1]


def document_of(job: models.Job) -> Document:
    """The job document of a job: the file that `brackish evaluate` reads."""
    document: Document = json.loads(state_text(job))["document"]
    return document


def assembled(summary: str, tests: list[str]) -> bytes:
    """One outcome from its rows. `tests` sorts last among its keys, so the canonical form is put together as text."""
    if summary.endswith('"tests":[]}'):
        return (summary[: -len("]}")] + ",".join(tests) + "]}").encode()
    document = json.loads(summary)
    return canonical_bytes({**document, "tests": [json.loads(test) for test in tests]} if tests else document)


def refresh(job: models.Job) -> None:
    """Fold and judge a job, and keep what comes out, unless newer events came meanwhile."""
    state = state_of(job)
    outcome = judged(signed_document(state))
    wanted, columns = rows_of(state, outcome), summary_of(state, outcome)
    with transaction.atomic():
        row = models.Job.objects.select_for_update().get(id=job.id)
        if (row.head, row.events) == (state.head, len(state.order) + len(state.held)):
            _keep(row, wanted, columns)
    job.refresh_from_db()


def judged(document: Document) -> Document:
    """The outcome of a job document; what cannot be read gives its errors in the outcome's place.

    A fault of the program is such an error too: the job's record stays readable, its verdict is missing.
    """
    try:
        return brackish.evaluate(document).to_dict()
    except BrackishError as error:
        faults = faults_of(error)
    except Exception as error:
        log.exception("job %s could not be judged", document.get("job"))
        faults = (BrackishError("program.failed", detail=type(error).__name__),)
    return {"format": FORMAT, "engine": brackish.__version__, "errors": [fault.to_dict() for fault in faults]}


def rows_of(state: Fold, outcome: Document) -> dict[str, tuple[int, str]]:
    """name of the test -> its place and canonical text; state and summary first, under names of their own."""
    tests = outcome.get("tests", [])
    summary = {**outcome, "tests": []} if "tests" in outcome else outcome
    rows = {STATE: (-1, canonical_bytes(state_document(state)).decode()), SUMMARY: (0, canonical_bytes(summary).decode())}
    for position, test in enumerate(tests, 1):  # type: ignore[arg-type, var-annotated]
        rows[test["id"]] = (position, canonical_bytes(test).decode())
    return rows


def state_document(state: Fold) -> Document:
    """What people and programs are told of a job's events, beside what was judged."""
    return {
        "document": signed_document(state),
        "open_conflicts": [{"path": list(each.path), "events": [event.to_dict() for event in each.events]} for each in state.conflicts],
        "held_events": [{"event": each.event.to_dict(), "waiting_for": list(each.waiting_for)} for each in state.held],
        "corrections": [_correction(each) for each in state.corrections],
        "forks": [[event.id for event in fork] for fork in state.forks],
    }


def _correction(each: Correction) -> Document:
    event = each.event
    return {
        "path": list(each.path),
        "event": event.id,
        "author": event.author,
        "made": event.made,
        "reason": event.reason,
        "value": event.value,
        "replaced": [{"event": old.id, "author": old.author, "value": old.value} for old in each.replaced],
    }


def summary_of(state: Fold, outcome: Document) -> dict[str, object]:
    """What the list of jobs shows of a job."""
    heading = state.document.get("job")
    about = heading if isinstance(heading, dict) else {}
    title, site, number = (str(about.get(name, "")) for name in ("title", "site", "number"))
    verdict = outcome.get("job", {})
    return {
        "title": title,
        "site": site,
        "words": " ".join((title, site, number)).casefold(),
        "verdict": verdict.get("verdict", "") if isinstance(verdict, dict) else "",
        "waiting_for": waiting_for(state, outcome),
        "conflicts": len(state.conflicts),
    }


def waiting_for(state: Fold, outcome: Document) -> str:
    """The one thing a job waits for, the most pressing first."""
    if state.conflicts:
        return "conflict"
    if "errors" in outcome:
        return "correction"
    questions = state.document.get("question", [])
    if any(isinstance(each, dict) and not each.get("answer") for each in (questions if isinstance(questions, list) else [])):
        return "questions"
    verdict = outcome["job"]["verdict"]  # type: ignore[index]
    if verdict == "fail":
        return "release"
    if verdict == "inconclusive":
        return "doubt"
    if verdict == "withheld":
        return "tests"
    return "nothing" if any(signature.current for signature in state.signatures) else "signature"


def _current_rows(job: models.Job, which: dict[str, object]) -> list[tuple[int, str]]:
    """Place and body of the kept rows asked for, made first where they are behind: one question to the database where they are not."""
    for _ in range(TRIES):
        if (job.judged_head, job.judged_events, job.engine) == (job.head, job.events, brackish.__version__):
            rows = list(models.Outcome.objects.filter(job=job, head=job.head, engine=job.engine, **which).order_by("position").values_list("position", "body"))
            if rows:
                return rows
        refresh(job)
    raise DeliveryError("server.busy", permanent=False)


def _keep(row: models.Job, wanted: dict[str, tuple[int, str]], columns: Document) -> None:
    kept = {one.test: (one.position, one.body) for one in models.Outcome.objects.filter(job=row)}
    models.Outcome.objects.filter(job=row, test__in=[test for test in kept if test not in wanted]).delete()
    changed = {test: place for test, place in wanted.items() if kept.get(test) != place}
    models.Outcome.objects.filter(job=row).exclude(test__in=list(changed)).update(head=row.head, engine=brackish.__version__)
    models.Outcome.objects.bulk_create(
        [
            models.Outcome(job=row, test=test, position=position, head=row.head, engine=brackish.__version__, body=body)
            for test, (position, body) in changed.items()
        ],
        update_conflicts=True,
        unique_fields=["job", "test"],
        update_fields=["position", "head", "engine", "body"],
    )
    for name, value in columns.items():
        setattr(row, name, value)
    row.judged_head, row.judged_events, row.engine = row.head, row.events, brackish.__version__
    row.save(update_fields=["title", "site", "words", "verdict", "waiting_for", "conflicts", "judged_head", "judged_events", "engine"])
