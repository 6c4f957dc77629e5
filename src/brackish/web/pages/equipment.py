# SPDX-License-Identifier: MIT
"""Meters, syringes, cells, tubes and solutions of all jobs in sight: verify one today, see what runs out and what is in doubt.

One piece of kit stands in the record of each job that uses it; here it is one line, found again by its serial
number or lot. A check is written into those jobs that are still open: into a signed one only where somebody ticks
it, because a change takes the force of a signature.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from functools import cached_property
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import path
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from brackish.errors import BrackishError
from brackish.judge.inputs import figure
from brackish.prepare import checks
from brackish.prepare.checks import Check
from brackish.record.fields import as_last_day
from brackish.record.job import Equipment
from brackish.report.words import name_of
from brackish.web import models
from brackish.web.ledger import outcomes
from brackish.web.pages import timedrawing
from brackish.web.pages.job import free_id
from brackish.web.pages.moment import moment_of, now
from brackish.web.pages.names import kit_title
from brackish.web.pages.page import screen, show
from brackish.web.pages.timedrawing import Expiry
from brackish.web.people.access import jobs_of, person_of
from brackish.web.people.rules import WRITES, may

Document = dict[str, Any]
MOST_JOBS = 40  # the latest changed ones
MOST_CHECKS = 5
SOON = timedelta(days=30)
TODAY = timedelta(days=1)
BLANKS = ("full-kit", "water")


@dataclass(frozen=True)
class Use:
    """One job in which a piece of kit stands."""

    job: models.Job
    document: Document
    entry: Document
    writes: bool

    @property
    def title(self) -> str:
        return self.job.title or self.job.id

    @property
    def signed(self) -> bool:
        """Whether a signature stands under the job as it is."""
        return bool(self.document.get("signature"))

    def holds(self, check: Check) -> bool:
        """Whether the job has this check of the piece in its own record."""
        return any(moment_of(each.get("at")) == check.at and each.get("reading") == check.reading for each in self.entry.get("verification", []))


@dataclass
class Piece:
    """One piece of kit, whatever jobs it stands in."""

    uses: list[Use] = field(default_factory=list)

    @property
    def entry(self) -> Document:
        """As the job that was changed last has it."""
        return self.uses[0].entry

    @property
    def by_name(self) -> list[Use]:
        return _by_name(self.uses)

    @property
    def key(self) -> str:
        return key_of(self.entry)

    @property
    def kind(self) -> str:
        return str(self.entry.get("kind", ""))

    @property
    def title(self) -> str:
        """Conductivity meter C-1207."""
        return kit_title(self.entry)

    @cached_property
    def meter(self) -> Equipment | None:
        """The meter as the judge reads it, with the checks of all jobs; nothing where its entry has a fault."""
        seen: dict[tuple[str, str], Document] = {}
        for use in self.uses:
            for check in use.entry.get("verification", []):
                seen.setdefault((str(check.get("at")), str(check.get("reading"))), dict(check))
        try:
            return checks.meter_of({**self.entry, "verification": list(seen.values())})
        except BrackishError:
            return None

    @cached_property
    def checks(self) -> list[Check]:
        return checks.checks_of(self.meter) if self.meter else []

    @property
    def day(self) -> Any:
        """The last day on which it may be used."""
        return last_day(self.entry)


def last_day(entry: Document) -> date | None:
    """The last day on which a piece may be used."""
    try:
        return as_last_day(entry["expiry"]) if entry.get("expiry") else None
    except BrackishError:
        return None


def key_of(entry: Document) -> str:
    """What tells one piece from another: kind with serial, lot, name or id."""
    return "/".join((str(entry.get("kind", "")), str(entry.get("serial") or entry.get("lot") or entry.get("name") or entry.get("id", ""))))


@screen
def equipment(request: HttpRequest) -> HttpResponse:
    person = person_of(request)
    uses = _uses(person)
    pieces = _pieces(uses)
    at = now()
    meters = [piece for piece in pieces if piece.kind == checks.METER]
    chosen = next((piece for piece in meters if piece.key == request.GET.get("meter")), meters[0] if meters else None)
    expiring = sorted((piece for piece in pieces if piece.day), key=lambda piece: piece.day)
    return show(
        request,
        "equipment",
        now=at.isoformat(),
        meters=[_meter(piece, at) for piece in meters],
        chosen=chosen,
        verify=_verify(chosen, pieces, request, at) if chosen else {},
        doubt=[row for piece in meters for row in _doubt(piece, piece.checks)],
        expiring=[_expiring(piece, at) for piece in expiring],
        months=timedrawing.months(
            of=[Expiry(_short(piece), piece.day, "fail" if piece.day - at.date() < SOON else "ink") for piece in expiring if piece.day >= at.date()],
            today=at.date(),
        )
        if expiring
        else "",
        kinds=_kinds(pieces),
        blanks=_blanks(uses, at),
        so_far=_so_far(chosen, at) if chosen else [],
        blank_jobs=[_blank_job(use) for use in _by_name(uses) if use.writes],
        organisation=models.Organisation.objects.filter(membership__person=person).values_list("name", flat=True).first() or "",
    )


def _uses(person: models.Person) -> list[Use]:
    """The jobs in sight, each with its document and no piece yet."""
    jobs = list(jobs_of(person).order_by("-changed", "id")[:MOST_JOBS])
    documents = outcomes.documents_of(jobs)
    held = models.Membership.objects.filter(person=person).values_list("organisation_id", "job_id", "role")
    roles = {(organisation, job): role for organisation, job, role in held}
    return [Use(job, documents[job.id], {}, _writes(roles.get((job.organisation_id, job.id)) or roles.get((job.organisation_id, None), ""))) for job in jobs]


def _by_name(uses: Iterable[Use]) -> list[Use]:
    """Jobs as they are listed: whatever is written into one, it stays where it stood, the signed ones last."""
    return sorted(uses, key=lambda use: (use.signed, use.title.casefold(), use.job.id))


def _writes(role: str) -> bool:
    """Whether a role writes into the list of equipment."""
    allowed = WRITES.get(role, frozenset())
    return may(role, "write") and (allowed is None or "equipment" in allowed)


def _pieces(uses: list[Use]) -> list[Piece]:
    found: dict[str, Piece] = {}
    for use in uses:
        for entry in use.document.get("equipment", []):
            if isinstance(entry, dict) and "id" in entry:
                found.setdefault(key_of(entry), Piece()).uses.append(Use(use.job, use.document, entry, use.writes))
    return sorted(found.values(), key=lambda piece: (piece.kind != checks.METER, piece.kind, piece.key))


def _short(piece: Piece) -> str:
    return str(piece.entry.get("name") or name_of(piece.kind))


def _meter(piece: Piece, at: datetime) -> Document:
    """A meter and how it stands today."""
    last = piece.checks[-1] if piece.checks else None
    until = last.at + timedelta(minutes=figure("verification_age").inside) if last else None
    fit = bool(last and last.good and until and until > at)
    return {
        "piece": piece,
        "key": piece.key,
        "last": last,
        "until": until.isoformat() if until else "",
        "fit": fit,
        "old": bool(last and last.good and not fit),
        "bad": bool(last and last.good is False),
    }


def _verify(piece: Piece, pieces: list[Piece], request: HttpRequest, at: datetime) -> Document:
    """The form's fields with what was typed, and what the check found."""
    bottles = [(str(each.entry.get("name", "")), each) for each in pieces if each.kind == "solution" and each.entry.get("name")]
    last = piece.checks[-1] if piece.checks else None
    typed = {
        "solution": request.GET.get("solution", "").strip() or (last.solution if last else bottles[0][0] if bottles else ""),
        "reading": request.GET.get("reading", "").strip().replace(",", "."),
        "temperature": request.GET.get("temperature", "25.0").strip().replace(",", "."),
    }
    answer = _checked(piece, typed, at) if typed["reading"] else {}
    over = {kit_title(bottle): day for use in piece.by_name if (bottle := _bottle(use, typed["solution"])) and (day := last_day(bottle)) and day < at.date()}
    return {
        **typed,
        "over": [{"bottle": bottle, "day": day.isoformat()} for bottle, day in over.items()],
        "bottles": [name for name, _piece in bottles],
        "answer": answer,
        "targets": [_target(use, typed["solution"], request) for use in piece.by_name if use.writes],
    }


def _target(use: Use, solution: str, request: HttpRequest) -> Document:
    """A job into which the check may be written: ticked or not, where, after what, with which bottle."""
    asked = use.job.id in request.GET.getlist("known")  # whoever types on keeps the ticks
    return {
        "use": use,
        "ticked": use.job.id in request.GET.getlist("into") if asked else not use.signed,
        "write": {"job": use.job.id, "base": use.job.frontier, "path": _path(use), "bottle": _bottle(use, solution).get("id", "")},
    }


def _bottle(use: Use, solution: str) -> Document:
    """The bottle of a solution in a job: of several the one that lasts longest."""
    named = [each for each in use.document.get("equipment", []) if each.get("kind") == "solution" and each.get("name") == solution and "id" in each]
    return max(named, key=lambda each: last_day(each) or date.max, default={})


def _path(use: Use, *rest: str) -> list[str]:
    return ["equipment", use.entry["id"], "verification", *rest]


def _so_far(piece: Piece, at: datetime) -> list[Document]:
    """The latest checks, newest first, each with the jobs that hold it and what takes it back."""
    return [
        {"check": each, "uses": [use for use in piece.by_name if use.holds(each)], "back": _back(piece, each, at)}
        for each in piece.checks[: -MOST_CHECKS - 1 : -1]
    ]


def _back(piece: Piece, check: Check, at: datetime) -> list[Document]:
    """Where a check of the last day that this page wrote can be taken back: in jobs that are open."""
    mark = f"#{int(check.at.timestamp()):x}"  # as `equipment.js` names it
    held = {} if at - check.at > TODAY else {use.job.id: use for use in piece.uses if use.writes and not use.signed and use.holds(check)}
    paths = [json.dumps(_path(use, mark, "at"), ensure_ascii=False, separators=(",", ":")) for use in held.values()]
    written = models.Event.objects.filter(job__in=held, path__in=paths).values_list("job_id", flat=True) if held else []
    return [{"job": job, "base": held[job].job.frontier, "path": _path(held[job], mark)} for job in dict.fromkeys(written)]


def _checked(piece: Piece, typed: Document, at: datetime) -> Document:
    """What a reading of the standard solution says of the meter; or what is wrong with what was typed."""
    written = {
        "at": at.isoformat(),
        "solution": typed["solution"],
        "reading": _with_unit(typed["reading"], "uS/cm"),
        "temperature": _with_unit(typed["temperature"], "degC"),
    }
    if piece.meter is None:
        return {"errors": [_("The entry of this meter has a fault; correct it in its job first.")]}
    try:
        found = checks.check_of(meter=piece.meter, check=written)
    except BrackishError as error:
        return {"errors": [fault.message for fault in getattr(error, "faults", (error,))]}
    new = [] if found.good is not False else [row for row in _doubt(piece, [*piece.checks, found]) if row["check"] is found]
    return {"check": found, "written": written, "drawn": _drawn(found), "doubt": new}


def _with_unit(text: str, unit: str) -> str:
    return text if " " in text else f"{text} {unit}"


def _drawn(check: Check) -> SafeString | str:
    if check.deviation is None:
        return ""
    spoken = _("The meter is off by %(found)s, %(allowed)s is allowed.") % {"found": check.shown, "allowed": check.shown_allowed}
    kind = "pass" if check.good else "fail"
    return timedrawing.deviation(found=check.deviation, allowed=check.allowed, value=check.shown, most=check.shown_allowed, kind=kind, spoken=spoken)


def _doubt(piece: Piece, found_checks: list[Check]) -> list[Document]:
    """Each test that a bad check of this meter puts in doubt, with its result, those of signed jobs first."""
    rows = []
    for use in sorted(piece.by_name, key=lambda use: not use.signed) if any(check.good is False for check in found_checks) else []:
        tests = {test["id"]: test for test in use.document.get("test", []) if use.entry["id"] in test.get("equipment", []) and "void" not in test}
        times = {id: moment for id, test in tests.items() if (moment := moment_of(test.get("read_at") or test.get("started")))}
        found = checks.doubtful(checks=found_checks, times=times)
        judged = outcomes.tests_bytes(use.job, found) if found else {}
        for id, check in found.items():
            rows.append({"test": id, "use": use, "check": check, "at": times[id].isoformat(), "piece": piece, "shown": _shown(judged.get(id))})
    return rows


def _blank_job(use: Use) -> Document:
    """A job into which a blank may be written."""
    return {"job": use.job, "signed": use.signed, "base": json.dumps(use.job.frontier), "next": free_id("B", use.document.get("blank", []))}


def _shown(judged: bytes | None) -> str:
    results = json.loads(judged).get("results", []) if judged else []
    return str(results[0]["shown"]) if results else ""


def _expiring(piece: Piece, at: datetime) -> Document:
    left = (piece.day - at.date()).days
    planned = sum(1 for use in piece.uses for test in use.document.get("test", []) if use.entry["id"] in test.get("equipment", []) and not test.get("read_at"))
    return {
        "piece": piece,
        "day": piece.day.isoformat(),
        "left": left,
        "over": left < 0,
        "soon": 0 <= left < SOON.days,
        "planned": planned,
        "jobs": [use.job for use in piece.by_name],
    }


def _kinds(pieces: list[Piece]) -> list[Document]:
    """All kit by its kind."""
    named = {piece.kind: name_of(piece.kind) for piece in pieces}
    return [{"name": name, "pieces": [piece for piece in pieces if piece.kind == kind]} for kind, name in named.items()]


def _blanks(uses: list[Use], at: datetime) -> list[Document]:
    """The blanks of the last day on which one was read, in each job."""
    rows = []
    for use in _by_name(uses):
        dated = [(moment, blank) for blank in use.document.get("blank", []) if (moment := moment_of(blank.get("at")))]
        latest = max((moment.date() for moment, _blank in dated), default=None)
        rows += [
            {"job": use.job, "writes": use.writes, "blank": blank, "today": latest == at.date()}
            for moment, blank in sorted(dated, key=lambda pair: pair[0])
            if moment.date() == latest
        ]
    return rows


ADDRESSES = [path("equipment", equipment, name="equipment")]
