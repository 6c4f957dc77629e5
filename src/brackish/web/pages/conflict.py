# SPDX-License-Identifier: MIT
"""Two values for one fact: who wrote each, when, where, and what hangs on it. One is taken, or both are kept, by an event."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import path
from django.utils.translation import gettext as _

from brackish.record.fold import fold_with
from brackish.report.case import Case
from brackish.web.ledger.outcomes import judged
from brackish.web.ledger.store import events_of
from brackish.web.pages.context import JobPage, open_job
from brackish.web.pages.facing import against_limit, side_of
from brackish.web.pages.names import words_of
from brackish.web.pages.page import screen, show
from brackish.web.pages.whatif import judged_with

Document = dict[str, Any]


@screen
def conflict(request: HttpRequest, job_id: str) -> HttpResponse:
    page = open_job(request, job_id)
    found = page.conflicts
    asked = request.GET.get("at", "")
    index = min(int(asked), len(found) - 1) if asked.isdigit() and found else 0
    chosen = found[index] if found else None
    claims = _claims(page, chosen) if chosen else []
    both = _both(chosen) if chosen else None
    drawn = [claim["side"] for claim in claims if claim["side"]]
    return show(
        request,
        "conflict",
        page=page,
        others=[{"number": number, "words": words_of(page.document, each["path"]), "here": number == index} for number, each in enumerate(found)],
        conflict=chosen,
        words=words_of(page.document, chosen["path"]) if chosen else "",
        claims=claims,
        both=both,
        both_gives=_gives_both(page, chosen, both) if chosen and both else None,
        drawn=against_limit(drawn) if len(drawn) == 2 and drawn[0]["limit"] == drawn[1]["limit"] else "",
        say=_say(drawn),
    )


def device_words(device: str, by: str) -> str:
    """Which device wrote something: its kind and whose it is, never its number."""
    kind = device.split(" ")[0].split("-")[0].lower()
    return (
        _("browser of %s") % by if kind == "browser" else _("%(kind)s of %(name)s") % {"kind": kind, "name": by} if kind.isalpha() else _("device of %s") % by
    )


def _claims(page: JobPage, chosen: Document) -> list[Document]:
    events = {event.id: event for event in events_of(page.job.id)}
    claims = []
    for event in chosen["events"]:
        document = fold_with(events=events.values(), chosen=events[event["id"]])
        by = str(page.authors.get(event["author"], event["author"]))
        side = _side(document, judged(document), chosen["path"], sub=by)
        claims.append({**event, "by": by, "device": device_words(event["device"], by), "side": side, "withdrawn": event["kind"] == "withdraw"})
    return claims


def _side(document: Document, outcome: Document, where: list[str], *, sub: str) -> dict[str, Any] | None:
    """What the test gives with one of the values, under its first requirement."""
    if where[0] != "test" or "errors" in outcome:
        return None
    case = Case(document, outcome)
    verdicts = case.judged.get(where[1], {}).get("verdicts", [])
    return side_of(case, where[1], verdicts[0]["criterion"], sub=sub) if verdicts else None


def _both(chosen: Document) -> list[Any] | None:
    """All the values as one list, where the fact is a list: readings of one solution."""
    values = [event.get("value") for event in chosen["events"]]
    return [part for value in values for part in value] if chosen["path"][-1] == "reading" and all(isinstance(value, list) for value in values) else None


def _gives_both(page: JobPage, chosen: Document, both: list[Any]) -> dict[str, Any] | None:
    change = (tuple(chosen["path"]), both)
    return _side(page.document, judged_with(page.document, [change]), chosen["path"], sub="")


def _say(sides: list[dict[str, Any]]) -> str:
    if len(sides) < 2:
        return ""
    return _("The verdict is the same with either value.") if len({side["kind"] for side in sides}) == 1 else _("The verdict hangs on it.")


ADDRESSES = [path("jobs/<str:job_id>/conflict", conflict, name="conflict")]
