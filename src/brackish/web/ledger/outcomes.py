# SPDX-License-Identifier: MIT
"""What a job's events give, kept by head and engine so that no page folds or judges.

`refresh` folds and judges; it runs after events came in, or when a reader finds the kept outcome
behind. Where two processes do it at once both write the same bytes.
"""

from __future__ import annotations

import json

from django.db import transaction

import brackish
from brackish.errors import BrackishError, faults_of
from brackish.record.canonical import canonical_bytes
from brackish.record.fold import Fold, fold
from brackish.record.statement import signed_document
from brackish.web import models
from brackish.web.ledger.store import events_of

Document = dict[str, object]
SUMMARY = ""  # the row that holds everything but the tests
FORMAT = "brackish-outcome/1"


def state_of(job: models.Job) -> Fold:
    """The fold of a job's placed events; the held ones are counted in its row."""
    return fold(events=events_of(job.id))


def outcome_bytes(job: models.Job) -> bytes:
    """The kept outcome in canonical form, judged first where it is behind."""
    rows = _rows(job)
    if not rows:
        refresh(job)
        rows = _rows(job)
    return assembled(rows[0].body, [row.body for row in rows[1:]])


def test_bytes(job: models.Job, test: str) -> bytes | None:
    """The kept outcome of one test."""
    outcome_is_current(job)
    row = models.Outcome.objects.filter(job=job, test=test, head=job.head).exclude(test=SUMMARY).first()
    return row.body.encode() if row else None


def outcome_is_current(job: models.Job) -> None:
    """Judge a job whose kept outcome is behind its events or of another engine."""
    if (job.judged_head, job.engine) != (job.head, brackish.__version__):
        refresh(job)


def assembled(summary: str, tests: list[str]) -> bytes:
    """One outcome from its rows. `tests` sorts last among its keys, so the canonical form is put together as text."""
    if summary.endswith('"tests":[]}'):
        return (summary[: -len("]}")] + ",".join(tests) + "]}").encode()
    document = json.loads(summary)
    return canonical_bytes({**document, "tests": [json.loads(test) for test in tests]} if tests else document)


def refresh(job: models.Job) -> Fold:
    """Fold and judge a job, and keep what comes out, unless newer events came meanwhile."""
    state = state_of(job)
    outcome = judged(signed_document(state))
    with transaction.atomic():
        row = models.Job.objects.select_for_update().get(id=job.id)
        if state.order and row.head != state.head:
            return state  # another request brought events, and judges them
        _keep(row, state, outcome)
        job.refresh_from_db()
    return state


def judged(document: Document) -> Document:
    """The outcome of a job document; what cannot be read gives its errors in the outcome's place."""
    try:
        return brackish.evaluate(document).to_dict()
    except BrackishError as error:
        return {"format": FORMAT, "engine": brackish.__version__, "errors": [fault.to_dict() for fault in faults_of(error)]}


def rows_of(outcome: Document) -> dict[str, tuple[int, str]]:
    """name of the test -> its place and canonical text; the summary first, under the empty name."""
    tests = outcome.get("tests", [])
    summary = {**outcome, "tests": []} if "tests" in outcome else outcome
    rows = {SUMMARY: (0, canonical_bytes(summary).decode())}
    for position, test in enumerate(tests, 1):  # type: ignore[arg-type, var-annotated]
        rows[test["id"]] = (position, canonical_bytes(test).decode())
    return rows


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


def _rows(job: models.Job) -> list[models.Outcome]:
    """The kept rows, or none where they are behind. One question to the database."""
    return list(models.Outcome.objects.filter(job=job, head=job.head, engine=brackish.__version__).order_by("position"))


def _keep(row: models.Job, state: Fold, outcome: Document) -> None:
    wanted = rows_of(outcome)
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
    for name, value in summary_of(state, outcome).items():
        setattr(row, name, value)
    row.judged_head, row.engine = row.head, brackish.__version__
    row.save(update_fields=["title", "site", "words", "verdict", "waiting_for", "conflicts", "judged_head", "engine"])


def document_of(job: models.Job) -> Document:
    """The job document of a job: the file that `brackish evaluate` reads."""
    return json.loads(canonical_bytes(signed_document(state_of(job))))
