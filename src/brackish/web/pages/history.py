# SPDX-License-Identifier: MIT
"""Who changed what, when and why: the events of a job as lines, newest first. Nothing is ever overwritten.

What one person wrote about one thing at one time is one line, which opens to each fact with its old and new value.
The short history of a job and of a test leaves out the lines that only keep the record in order. A person reads "entry" for an event.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from itertools import groupby, islice
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import path
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from brackish.judge.moments import when
from brackish.report.words import day_of
from brackish.web import models
from brackish.web.pages.context import JobPage, open_job
from brackish.web.pages.filters import runs
from brackish.web.pages.markup import joined, markup
from brackish.web.pages.names import Names, is_technical
from brackish.web.pages.page import screen, show
from brackish.web.pages.typed import whole

Document = dict[str, Any]
PAGE = 400


@screen
def history(request: HttpRequest, job_id: str) -> HttpResponse:
    page = open_job(request, job_id)
    number = whole(request.GET.get("page", "")) or 1
    rows = _rows(page, (number - 1) * PAGE, number * PAGE + 1)
    days = days_of(lines(page, islice(rows, PAGE)))
    more = next(rows, None) is not None
    return show(request, "history", page=page, days=days, number=number, more=more, total=page.job.events, held=_held(page))


def latest(page: JobPage, *, most: int) -> list[Document]:
    """The last few lines of a job, by day. What one of them holds opens in the whole history: the page of a job is looked at most."""
    return days_of(list(islice(lines(page, _rows(page, 0, 40 * most), opens=False, short=True), most)))


def of_test(page: JobPage, test: str) -> list[Document]:
    """Every line about one test, by day."""
    about = json.dumps(["test", test], ensure_ascii=False, separators=(",", ":"))[:-1]
    rows = models.Event.objects.filter(job=page.job, path__startswith=about + ",").order_by("-seq").values_list("body", flat=True)[:PAGE]
    return days_of(lines(page, map(json.loads, rows), named=False, short=True))


def days_of(found: Iterable[Document]) -> list[Document]:
    return [{"day": day, "lines": list(group)} for day, group in groupby(found, key=lambda line: line["day"])]


def lines(page: JobPage, events: Iterable[Document], *, named: bool = True, opens: bool = True, short: bool = False) -> Iterator[Document]:
    """Events as lines, made as they are asked for; `named`: with the thing they are about, `opens`: with what a line of many holds, `short`: of people."""
    replaced = {one["event"]: [old["value"] for old in one["replaced"]] for one in page.state["corrections"]}
    names = Names(page.document)
    groups = groupby(events, key=lambda event: (event["author"], event["made"][:16], tuple(event["path"][:2]), event["kind"], event["reason"]))
    for _key, group in groups:
        written = list(group)
        told = [event for event in written if not (short and is_technical(event["path"]))]
        if told:  # of one entry its value stands in the line; of more their number, which is the same in every history
            yield _line(page, names, told if len(told) == 1 else written, replaced, named, opens)


def _rows(page: JobPage, start: int, end: int) -> Iterator[Document]:
    rows = models.Event.objects.filter(job=page.job, placed=True).order_by("-seq").values_list("body", flat=True)[start:end]
    return map(json.loads, rows.iterator(chunk_size=100))  # most lines are found in the first hundred


def _held(page: JobPage) -> list[Document]:
    """What came before something it follows; it is placed as soon as that comes."""
    if not page.job.held:
        return []
    rows = models.Event.objects.filter(job=page.job, placed=False).order_by("-seq").values_list("body", flat=True)[:PAGE]
    return days_of(lines(page, map(json.loads, rows)))


def _line(page: JobPage, names: Names, events: list[Document], replaced: dict[str, list[Any]], named: bool, opens: bool) -> Document:
    event = events[0]
    told = when(event["made"])
    many = len(events) > 1 and event["kind"] in ("set", "withdraw")
    return {
        "day": day_of(event["made"]),
        "time": told.partition(", ")[2] or told,
        "made": event["made"],
        "thing": names.thing(event["path"]) if named else "",
        "what": _what(names, events),
        "many": many,
        "facts": joined(_fact(names, each, replaced) for each in events[::-1]) if many and opens else "",
        "wrote": "" if many else _wrote(names, event, replaced),
        "by": page.authors.get(event["author"], event["author"]),
        "why": event["reason"],
        "id": events[-1]["id"],
        "code": event["id"][:9].replace("-", " ").strip(),
    }


def _fact(names: Names, event: Document, replaced: dict[str, list[Any]]) -> SafeString:
    """A line of a fold, made here: most are never looked at, and a template takes longer."""
    return markup('<li class="small" id="e-{}">{}: {}</li>', event["id"], names.field(event["path"]), _wrote(names, event, replaced))


def _wrote(names: Names, event: Document, replaced: dict[str, list[Any]]) -> SafeString:
    """What stood at a path before an event, struck out, and what it put there."""
    where = event["path"]
    old = joined(markup("<del>{}</del> ", runs(names.value(where, value))) for value in replaced.get(event["id"], []))
    return joined([old, runs(names.value(where, event["value"])) if event["kind"] == "set" else ""])


def _what(names: Names, events: list[Document]) -> str:
    kind, where = events[0]["kind"], events[0]["path"]
    if kind == "sign":
        return _("signed")
    if kind == "attach":
        return _("photo added: %s") % events[0]["value"][0]
    if len(events) > 1:
        if kind == "set":
            return ngettext("%d entry written", "%d entries written", len(events)) % len(events)
        return ngettext("%d entry taken back", "%d entries taken back", len(events)) % len(events)
    return _("%s taken back") % names.field(where) if kind == "withdraw" else f"{names.field(where)}:"


ADDRESSES = [path("jobs/<str:job_id>/history", history, name="history")]
