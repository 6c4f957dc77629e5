# SPDX-License-Identifier: MIT
"""Who changed what, when and why: the events of a job as lines, newest first. Nothing is ever overwritten."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from itertools import groupby, islice
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import path
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from brackish.report.words import day_of, name_of, when, written
from brackish.web import models
from brackish.web.pages.context import JobPage, open_job
from brackish.web.pages.page import screen, show

Document = dict[str, Any]
PAGE = 400
SILENT = {"facts", "=json"}


@screen
def history(request: HttpRequest, job_id: str) -> HttpResponse:
    page = open_job(request, job_id)
    number = int(asked) if (asked := request.GET.get("page", "1")).isdigit() and int(asked) > 0 else 1
    rows = _rows(page, (number - 1) * PAGE, number * PAGE + 1)
    days = days_of(lines(page, islice(rows, PAGE)))
    return show(request, "history", page=page, days=days, number=number, more=next(rows, None) is not None, total=page.job.events)


def latest(page: JobPage, *, most: int) -> list[Document]:
    """The last few lines of a job, by day."""
    return days_of(list(islice(lines(page, _rows(page, 0, 40 * most)), most)))


def of_test(page: JobPage, test: str) -> list[Document]:
    """Every line about one test, by day."""
    about = json.dumps(["test", test], ensure_ascii=False, separators=(",", ":"))[:-1]
    rows = models.Event.objects.filter(job=page.job, path__startswith=about + ",").order_by("-seq").values_list("body", flat=True)[:PAGE]
    return days_of(lines(page, [json.loads(body) for body in rows], short=True))


def days_of(found: Iterable[Document]) -> list[Document]:
    return [{"day": day, "lines": list(group)} for day, group in groupby(found, key=lambda line: line["day"])]


def lines(page: JobPage, events: Iterable[Document], *, short: bool = False) -> Iterator[Document]:
    """Events as lines, made as they are asked for; what one person wrote about one thing at one time is one line."""
    replaced = {one["event"]: [old["value"] for old in one["replaced"]] for one in page.state["corrections"]}
    groups = groupby(events, key=lambda event: (event["author"], event["made"][:16], tuple(event["path"][:2]), event["kind"], event["reason"]))
    return (_line(page, list(group), replaced, short) for _key, group in groups)


def _rows(page: JobPage, start: int, end: int) -> Iterator[Document]:
    rows = models.Event.objects.filter(job=page.job, placed=True).order_by("-seq").values_list("body", flat=True)[start:end]
    return map(json.loads, rows.iterator(chunk_size=100))  # most lines are found in the first hundred


def _line(page: JobPage, events: list[Document], replaced: dict[str, list[Any]], short: bool) -> Document:
    event = events[0]
    one = len(events) == 1
    told = when(event["made"])
    return {
        "day": day_of(event["made"]),
        "time": told.partition(", ")[2] or told,
        "made": event["made"],
        "thing": "" if short else _thing(event["path"]),
        "what": _what(events),
        "old": [written(value) for value in replaced.get(event["id"], [])] if one else [],
        "value": written(event["value"]) if one and event["kind"] == "set" else [],
        "by": page.authors.get(event["author"], event["author"]),
        "why": event["reason"],
        "code": event["id"][:9].replace("-", " ").strip(),
    }


def _thing(where: list[str]) -> str:
    if where[0] == "job":
        return _("Job")
    if len(where) > 1 and where[0] == "test":
        return where[1]
    return f"{name_of(where[0])} {where[1]}" if len(where) > 1 and not where[1].startswith("#") else name_of(where[0])


def _what(events: list[Document]) -> str:
    kind, where = events[0]["kind"], events[0]["path"]
    if kind == "sign":
        return _("signed")
    if kind == "attach":
        return _("photo added: %s") % events[0]["value"][0]
    if len(events) > 1:
        return ngettext("%d entry written", "%d entries written", len(events)) % len(events) if kind == "set" else _("taken back")
    if "x-steps" in where:
        return _("step %s begun:") % name_of(where[-1]).lower()
    rest = [part.removeprefix("x-") for part in where[1 if where[0] == "job" else 2 :] if part not in SILENT and not part.startswith("#")]
    name = ", ".join(name_of(part).lower() for part in rest) or name_of(where[0]).lower()
    return _("%s taken back") % name if kind == "withdraw" else f"{name}:"


ADDRESSES = [path("jobs/<str:job_id>/history", history, name="history")]
