# SPDX-License-Identifier: MIT
"""The jobs in one's sight, by what they wait for: yours first, then what waits for others, then what is settled."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from django.db.models import Count, QuerySet
from django.http import HttpRequest, HttpResponse
from django.urls import path
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from brackish.judge.moments import when
from brackish.report.case import Case
from brackish.report.front import count_words, job_mark
from brackish.web import models
from brackish.web.ledger import outcomes
from brackish.web.pages.moment import now
from brackish.web.pages.page import screen, show
from brackish.web.pages.running import Run, runs
from brackish.web.pages.typed import whole
from brackish.web.people.access import jobs_of, person_of
from brackish.web.people.rules import WRITES, may

PAGE = 50
MOST_RUNNING = 3  # tests named of one job
COLUMNS = ("id", "organisation_id", "title", "site", "waiting_for")
WAIT_WORDS = {  # what a job waits for, the most pressing first: as a word of the sieve, and as the thing to do
    "conflict": (gettext_lazy("a choice"), gettext_lazy("Choose between two values.")),
    "correction": (gettext_lazy("a correction"), gettext_lazy("Correct what cannot be read.")),
    "questions": (gettext_lazy("an answer"), gettext_lazy("Get the open questions answered.")),
    "release": (gettext_lazy("a release"), gettext_lazy("Find the cause, clean again, test again.")),
    "doubt": (gettext_lazy("a repeat"), gettext_lazy("Settle what lies too near the limit.")),
    "tests": (gettext_lazy("tests"), gettext_lazy("Test what is still open.")),
    "signature": (gettext_lazy("a signature"), gettext_lazy("Read the report and sign it.")),
    "nothing": (gettext_lazy("nothing"), gettext_lazy("Signed. Nothing is open.")),
}
WAITS = tuple(WAIT_WORDS)
FOR_ROLE = {  # whose hands a job is in, by what it waits for
    "conflict": ("owner", "inspector", "tester"),
    "correction": ("owner", "inspector", "tester"),  # who may write what is at fault
    "questions": ("owner", "inspector"),
    "release": ("inspector",),
    "doubt": ("inspector", "tester"),
    "running": ("tester", "trainee", "inspector"),
    "tests": ("tester", "trainee"),
    "signature": ("inspector", "owner", "witness"),
    "nothing": (),
}


@dataclass(frozen=True)
class Line:
    """One job in the list."""

    job: dict[str, Any]  # its columns
    waits: str
    say: str
    mark: dict[str, Any]
    count: str
    running: list[str]  # what is under way, before all else the job waits for
    faulty: frozenset[str] = frozenset()  # first names of the paths that cannot be read


@screen
def jobs(request: HttpRequest) -> HttpResponse:
    person = person_of(request)
    sight = jobs_of(person)
    find, wait = request.GET.get("find", ""), request.GET.get("wait", "")
    number = whole(request.GET.get("page", "")) or 1
    found = _found(sight, find, wait if wait in WAITS else "")
    rows = list(found[(number - 1) * PAGE : number * PAGE + 1])
    member = models.Membership.objects.filter(person=person).order_by("organisation_id")
    held = list(member.values_list("organisation_id", "job_id", "role", "organisation__name"))
    return show(
        request,
        "jobs",
        groups=_groups(_lines(rows[:PAGE]), held),
        sieve=_sieve(sight, wait),
        find=find,
        wait=wait,
        narrowed=bool(find or wait),
        nothing=not rows,
        number=number,
        more=len(rows) > PAGE,
        may_create=any(job is None and may(role, "create job") for _, job, role, _name in held),
        may_invite=any(job is None and may(role, "invite") for _, job, role, _name in held),
        organisation=held[0][3] if held else "",
    )


def _found(sight: QuerySet[models.Job], find: str, wait: str) -> QuerySet[models.Job, dict[str, Any]]:
    rows = sight.order_by("-changed", "id").values(*COLUMNS)
    if wait:
        rows = rows.filter(waiting_for=wait)
    for word in find.casefold().split()[:8]:
        rows = rows.filter(words__contains=word)
    return rows


def _sieve(sight: QuerySet[models.Job], chosen: str) -> list[dict[str, Any]]:
    counts = dict(sight.values_list("waiting_for").annotate(Count("id")))
    rows = [{"value": "", "words": _("anything"), "count": sum(counts.values()), "on": chosen not in WAITS}]
    return rows + [{"value": one, "words": WAIT_WORDS[one][0], "count": counts[one], "on": chosen == one} for one in WAITS if counts.get(one)]


def _lines(rows: list[dict[str, Any]]) -> list[Line]:
    summaries: dict[str, Any] = outcomes.summaries_of([job["id"] for job in rows])
    to_do = {wait: str(say) for wait, (_word, say) in WAIT_WORDS.items()}
    running = _running({job: summary for job, summary in summaries.items() if any(test["state"] == "running" for test in summary.get("tests", []))})
    return [_line(job, to_do.get(job["waiting_for"]) or _("It was not judged yet."), summaries.get(job["id"], {}), running.get(job["id"], [])) for job in rows]


def _running(summaries: dict[str, dict[str, Any]]) -> dict[str, list[str]]:
    """What is to be done where a test is under way, by job: the documents of those jobs alone are read."""
    found: dict[str, list[str]] = {}
    at = now()
    documents = outcomes.documents_of(list(models.Job.objects.filter(id__in=summaries))) if summaries else {}
    for job, document in documents.items():
        open_runs = sorted((run for run in runs(Case(document, summaries[job]), at) if run.state == "running"), key=lambda run: run.to_do[1])
        found[job] = [_under_way(run) for run in open_runs[:MOST_RUNNING]]
    return found


def _under_way(run: Run) -> str:
    step, at = run.to_do
    today = at.date() == run.at.astimezone(at.tzinfo).date()
    said = {"test": run.name, "step": step.title, "time": f"{at:%H:%M}" if today else when(at.isoformat())}
    return (_("%(test)s: %(step)s at %(time)s") if at > run.at else _("%(test)s: %(step)s, since %(time)s")) % said


def _line(job: dict[str, Any], waits: str, summary: dict[str, Any], running: list[str]) -> Line:
    if "job" not in summary:
        faults = summary.get("errors", [])
        mark = {"kind": "withheld", "word": "Withheld"}
        faulty = frozenset(re.split(r"[.\[]", fault["place"])[0] for fault in faults)
        return Line(job, waits, _of_test(faults[0]) if faults else "", mark, _("cannot be judged") if faults else "", running, faulty)
    case = Case({}, summary)
    counts = [count_words(verdict) for item, verdict in case.item_verdicts()]
    said = summary["job"]["summary"]
    return Line(job, waits, said[0] if said else "", job_mark(case), counts[0] if len(counts) == 1 else _total(case), running)


def _of_test(fault: dict[str, Any]) -> str:
    """What is wrong, after the test in which it stands."""
    test = re.match(r"test\[([^\]]+)\]", fault["place"])
    return f"{test[1]}: {fault['message']}" if test else str(fault["message"])


def _total(case: Case) -> str:
    """How much is done over all items, where every item has a number to reach."""
    verdicts = [verdict for _, verdict in case.item_verdicts()]
    if not verdicts or any("required" not in verdict for verdict in verdicts):
        return ""
    done = sum(min(verdict["counted"], verdict["required"]) for verdict in verdicts)
    return _("%(done)s of %(all)s places or tests") % {"done": done, "all": sum(verdict["required"] for verdict in verdicts)}


def _groups(lines: list[Line], held: list[tuple[int, str | None, str, str]]) -> list[dict[str, Any]]:
    yours: list[Line] = []
    others: list[Line] = []
    settled: list[Line] = []
    for line in lines:
        wait, its = "running" if line.running else line.job["waiting_for"], (line.job["id"], line.job["organisation_id"])
        roles = [role for organisation, job, role, _name in held if job == its[0] or (job is None and organisation == its[1])]
        (settled if wait == "nothing" else yours if any(_in_hands(line, wait, role) for role in roles) else others).append(line)
    names = ((_("Waits for you"), yours), (_("Waits for others"), others), (_("Settled"), settled))
    return [{"name": name, "lines": group} for name, group in names if group]


def _in_hands(line: Line, wait: str, role: str) -> bool:
    """Whether somebody of this role can do what the job waits for; a correction, where the role writes."""
    allowed = WRITES.get(role)
    return role in FOR_ROLE.get(wait, ()) and (wait != "correction" or allowed is None or bool(allowed & line.faulty))


ADDRESSES = [path("", jobs, name="jobs")]
