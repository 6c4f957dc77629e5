# SPDX-License-Identifier: MIT
"""What a job's events give, kept by head and engine so that no page folds or judges: its state and its outcome.

Kept is gzip: an outcome of fifty tests is 600 kB of repeating words, 40 kB so, and goes out as it lies.
`refresh` folds and judges; it runs soon after events came in (`judging.py`), or when a reader finds the
kept outcome behind. Where two processes do it at once both write the same bytes.
"""

from __future__ import annotations

import gzip
import json
import logging
import zlib
from collections.abc import Iterable, Sequence
from typing import Any

from django.db import DatabaseError, connection, transaction

import brackish
from brackish.errors import BrackishError, DeliveryError, faults_of
from brackish.record.canonical import canonical_bytes
from brackish.record.fold import Correction, Fold, fold
from brackish.record.shape import shaped
from brackish.record.statement import signed_document
from brackish.report.mark import code_of_texts
from brackish.web import models
from brackish.web.ledger.judging import reader_judges
from brackish.web.ledger.store import events_of
from brackish.web.ledger.turns import one_writer

Document = dict[str, object]
SUMMARY = ""  # the row that holds everything of an outcome but the tests; of them only which are void or under way
STATE, WHOLE, BRIEF = "\x01", "\x02", "\x03"  # the state, the outcome as it goes out, and what lists show of it; no event can name a test so
CODE = "\x04"  # the code that a report prints, which names job and outcome
OURS = {SUMMARY, STATE, WHOLE, BRIEF, CODE}
DETAILS = {"budget", "steps", "sentences"}  # of results and verdicts: most of an outcome, and only the page of one test shows them
TRIES = 5
PACKING = 3  # of gzip's nine levels: twice as quick as the usual one, a half larger
log = logging.getLogger("brackish.web")
FORMAT = "brackish-outcome/1"
_KEPT = "SELECT test, body FROM web_outcome WHERE job_id = %s AND head = %s AND engine = %s"


def state_of(job: models.Job) -> Fold:
    """The fold of a job's placed events; the held ones are counted in its row."""
    return fold(events=events_of(job.id))


def outcome_bytes(job: models.Job) -> bytes:
    """The kept outcome in canonical form, judged first where it is behind."""
    return unpacked(packed_outcome(job))


def packed_outcome(job: models.Job) -> bytes:
    """The same as it is kept: gzip, which most clients unpack themselves."""
    return _current(job, WHOLE)[WHOLE]


def brief_bytes(job: models.Job) -> bytes:
    """The kept outcome without `DETAILS`; of findings only what makes a test void is in words."""
    return unpacked(_current(job, BRIEF)[BRIEF])


def report_code(job: models.Job) -> str:
    """The kept code that a report of the job prints."""
    return unpacked(_current(job, CODE)[CODE]).decode()


def test_bytes(job: models.Job, test: str) -> bytes | None:
    """The kept outcome of one test."""
    return tests_bytes(job, [test]).get(test)


def tests_bytes(job: models.Job, tests: Iterable[str]) -> dict[str, bytes]:
    """The kept outcomes of some tests, by test."""
    wanted = [test for test in tests if test not in OURS]
    kept = _current(job, SUMMARY, *wanted)
    return {test: unpacked(kept[test]) for test in wanted if test in kept}


def summaries_of(jobs: Sequence[str]) -> dict[str, Document]:
    """What is kept of several jobs for a list: their outcomes without the tests, by job; none is judged for it."""
    if not jobs:
        return {}
    with connection.cursor() as cursor:  # written out: to compose it takes Django longer than to answer it
        cursor.execute(f"SELECT job_id, body FROM web_outcome WHERE test = %s AND job_id IN ({_places(jobs)})", [SUMMARY, *jobs])
        return {job: json.loads(unpacked(body)) for job, body in cursor.fetchall()}


def state_and_summary(job: models.Job) -> tuple[Document, Document]:
    """What most pages need: the kept state, and the kept outcome without its tests."""
    kept = _current(job, STATE, SUMMARY)
    return json.loads(unpacked(kept[STATE])), json.loads(unpacked(kept[SUMMARY]))


def state_text(job: models.Job) -> str:
    """The kept state: document, conflicts, held events, corrections, forks, as canonical text."""
    return unpacked(_current(job, STATE)[STATE]).decode()


def document_of(job: models.Job) -> Document:
    """The job document of a job: the file that `brackish evaluate` reads."""
    document: Document = json.loads(state_text(job))["document"]
    return document


def document_and_outcome(job: models.Job) -> tuple[Document, bytes]:
    """The job document and its outcome of one head: an event that comes meanwhile cannot make them contradict each other."""
    kept = _current(job, STATE, WHOLE)
    return json.loads(unpacked(kept[STATE]))["document"], unpacked(kept[WHOLE])


def documents_of(jobs: list[models.Job]) -> dict[str, Document]:
    """The job documents of several jobs, by job, with one question for all of which nothing is behind; of one that cannot be read what has the format's shape."""
    rows = models.Outcome.objects.filter(job__in=[job.id for job in jobs], test=STATE).values_list("job_id", "head", "engine", "body")
    kept = {(job, head, engine): body for job, head, engine, body in rows}
    found = {job.id: kept.get((job.id, job.head, job.engine)) if is_current(job) else None for job in jobs}
    documents = {job.id: json.loads(unpacked(body))["document"] if (body := found[job.id]) else document_of(job) for job in jobs}
    return {job.id: documents[job.id] if job.verdict else shaped(documents[job.id]) for job in jobs}


def refresh(job: models.Job) -> None:
    """Fold and judge a job, and keep what comes out, unless newer events came meanwhile."""
    _keep(job, *_made(job))


def _made(job: models.Job) -> tuple[Fold, Document, list[models.Outcome]]:
    state = state_of(job)
    outcome = judged(signed_document(state))
    rows = [
        models.Outcome(job=job, test=test, position=position, head=state.head, engine=brackish.__version__, body=packed(text))
        for test, (position, text) in rows_of(state, outcome).items()
    ]
    return state, outcome, rows


def _keep(job: models.Job, state: Fold, outcome: Document, rows: list[models.Outcome]) -> None:
    with one_writer(), transaction.atomic():
        row = models.Job.objects.select_for_update().get(id=job.id)
        if (row.head, row.events) == (state.head, len(state.order) + len(state.held)):
            _replace(row, rows, summary_of(state, outcome))
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


def rows_of(state: Fold, outcome: Document) -> dict[str, tuple[int, bytes]]:
    """name of the test -> its place and canonical text; first the rows under names of their own."""
    tests: list[Any] = outcome.get("tests", [])  # type: ignore[assignment]
    known = [{"id": test["id"], "state": "void"} for test in tests if test["state"] == "void"]
    known += [{"id": test["id"], "state": "running"} for test in _under_way(state, {test["id"]: test["state"] for test in tests})]
    texts = [canonical_bytes(test) for test in tests]
    document, whole = state_document(state), _whole(outcome, texts)
    code = code_of_texts(job=canonical_bytes(document["document"]), outcome=whole)
    rows = {
        CODE: (-4, code.encode()),
        BRIEF: (-3, canonical_bytes(_with_tests(outcome, [_brief(test) for test in tests]))),
        WHOLE: (-2, whole),
        STATE: (-1, canonical_bytes(document)),
        SUMMARY: (0, canonical_bytes(_with_tests(outcome, known))),
    }
    return rows | {test["id"]: (position, text) for position, (test, text) in enumerate(zip(tests, texts, strict=True), 1)}


def _under_way(state: Fold, judged: dict[str, str]) -> list[Any]:
    """The tests that a run may have begun and not ended, for the list of jobs; `web/pages/running.py` says for sure."""
    written: Any = state.document.get("test", [])
    tests = written if isinstance(written, list) else []
    rows = [test for test in tests if isinstance(test, dict) and judged.get(str(test.get("id")), "void") != "void"]
    return [test for test in rows if any(_has_open_steps(table) for table in (test, *test.get("determination", [])))]


def _has_open_steps(table: Any) -> bool:
    steps = table.get("x-steps") if isinstance(table, dict) else None
    return isinstance(steps, dict) and bool(steps) and "end" not in steps


def _with_tests(outcome: Document, tests: list[Any]) -> Document:
    """An outcome with other tests; one that could not be judged has none."""
    return {**outcome, "tests": tests} if "tests" in outcome else outcome


def _brief(test: dict[str, Any]) -> Document:
    parts = {part: [_without(DETAILS, each) for each in test[part]] for part in ("results", "verdicts")}
    return {**test, **parts, "findings": [found if found["severity"] == "void" else _without({"message"}, found) for found in test["findings"]]}


def _without(names: set[str], table: dict[str, Any]) -> Document:
    return {name: value for name, value in table.items() if name not in names}


def _whole(outcome: Document, tests: Iterable[bytes]) -> bytes:
    """The canonical text of an outcome from those of its tests: writing them once more takes as long as all the rest."""
    parts = {name: b"[%b]" % b",".join(tests) if name == "tests" else canonical_bytes(value) for name, value in outcome.items()}
    return b"{%b}" % b",".join(b"%b:%b" % (canonical_bytes(name), parts[name]) for name in sorted(parts))


def packed(text: bytes) -> bytes:
    """A text as it is kept: the same text gives the same bytes, for there is no clock in it."""
    return gzip.compress(text, compresslevel=PACKING, mtime=0)


def unpacked(body: bytes) -> bytes:
    """The text again; `gzip.decompress` reads the head of the file in Python, which takes as long as a short text."""
    return zlib.decompress(body, wbits=16 + zlib.MAX_WBITS)


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
    title, site, number = (str(about.get(name, "")).replace("\0", "") for name in ("title", "site", "number"))  # which no PostgreSQL keeps
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
    written = state.document.get("question", [])
    questions = [each for each in written if isinstance(each, dict)] if isinstance(written, list) else []
    judged: Any = outcome["job"]
    if any(not each.get("answer") for each in questions) or _not_agreed(judged["reasons"], asked=bool(questions)):
        return "questions"
    verdict = judged["verdict"]
    if verdict == "fail":
        return "release"
    if verdict == "inconclusive":
        return "doubt"
    if verdict == "withheld":
        return "tests"
    return "nothing" if any(signature.current for signature in state.signatures) else "signature"


def _not_agreed(reasons: list[Document], *, asked: bool) -> bool:
    """Whether an answer is still wanted although each question has one: it left open what a verdict needs, or nobody adopted what was answered."""
    codes = {str(each["code"]) for each in reasons}
    return any(code.startswith("criterion.") and code.endswith("_missing") for code in codes) or (asked and "criterion.none" in codes)


def is_current(job: models.Job) -> bool:
    """Is what is kept that of the newest events and this engine?"""
    return (job.judged_head, job.judged_events, job.engine) == (job.head, job.events, brackish.__version__)


def _current(job: models.Job, *names: str) -> dict[str, bytes]:
    """The kept rows asked for, the first of which every job has; made first where they are behind, one question to the database where not."""
    for _ in range(TRIES):
        if is_current(job):
            with connection.cursor() as cursor:  # written out because every page asks it: people/sessions.py says what that saves
                cursor.execute(f"{_KEPT} AND test IN ({_places(names)})", [job.id, job.head, job.engine, *names])
                bodies = {test: bytes(body) for test, body in cursor.fetchall()}
            if names[0] in bodies:
                return bodies
        reader_judges(job.id)
        made = _made(job)
        try:
            _keep(job, *made)
        except (DatabaseError, OSError) as error:  # a full disk: whoever only reads is answered all the same
            log.error("job %s was judged and could not be kept: %s", job.id, error)
            return {row.test: bytes(row.body) for row in made[2] if row.test in names}
    raise DeliveryError("server.busy", permanent=False)


def _places(values: Sequence[str]) -> str:
    return ", ".join(["%s"] * len(values))


def _replace(row: models.Job, rows: list[models.Outcome], columns: Document) -> None:
    models.Outcome.objects.filter(job=row).delete()
    models.Outcome.objects.bulk_create(rows)
    for name, value in columns.items():
        setattr(row, name, value)
    row.judged_head, row.judged_events, row.engine = row.head, row.events, brackish.__version__
    row.save(update_fields=["title", "site", "words", "verdict", "waiting_for", "conflicts", "judged_head", "judged_events", "engine"])
