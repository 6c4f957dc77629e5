# SPDX-License-Identifier: MIT
"""All results of a job on one limit line: what is over or in doubt first, and what is not judged or not counted says why."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import path
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from brackish.judge.moments import when
from brackish.judge.wording import kind_of
from brackish.report import figures, table
from brackish.report.case import Case
from brackish.report.front import count_words
from brackish.report.words import NO_BREAK, VERDICT_WORDS, file_name, plus_minus, reasons_of, split
from brackish.web.api.jobs import file_answer
from brackish.web.pages import drawing
from brackish.web.pages.context import open_job
from brackish.web.pages.moment import now
from brackish.web.pages.page import screen, show
from brackish.web.pages.running import Run, runs

Document = dict[str, Any]
WORST_FIRST = ("fail", "inconclusive", "disputed", "withheld", "accepted", "pass", "plain", "void", "running", "begun", "planned")
SIEVES = {"doubt": ("fail", "inconclusive"), "withheld": ("withheld", "plain"), "void": ("void",), "uncounted": ()}


@dataclass(frozen=True)
class Line:
    """One test under one criterion, or on its own."""

    test: Document  # as written
    judged: Document  # as judged
    verdict: Document
    result: Document | None
    kind: str
    why: str
    counted: bool
    words: str  # what a search looks in


@screen
def results(request: HttpRequest, job_id: str) -> HttpResponse:
    page = open_job(request, job_id)
    find, only = request.GET.get("find", ""), request.GET.get("show", "")
    all_lines = lines_of(page.case, {run.id: run for run in runs(page.case, now(), page.conflicts) if run.state in ("running", "disputed") or run.unread})
    kept = [line for line in all_lines if _fits(line, find, only)]
    return show(
        request,
        "results",
        page=page,
        sections=sections(page.case, kept),
        sieve=_sieve(all_lines, only),
        find=find,
        narrowed=bool(find or only),
        say=page.outcome["job"]["summary"],
    )


def lines_of(case: Case, open_runs: dict[str, Run]) -> list[Line]:
    """Every test of a job, once for each criterion that is about it; `open_runs` are those under way, begun without a reading, or with two values."""
    written = [test for test in case.job.get("test", []) if test.get("id") in case.judged]
    return [line for test in written for line in _of_test(case, test, case.judged[test["id"]], open_runs.get(test["id"]))]


def _of_test(case: Case, test: Document, judged: Document, run: Run | None) -> list[Line]:
    verdicts = judged.get("verdicts", [])
    if judged["state"] == "planned" and run:
        why = _("two values were written") if run.disputed else _("no reading yet") if run.unread else run.doing
        return [_make(case, test, judged, {}, None, "begun" if run.unread else run.state, why)]
    if not verdicts:
        result = next(iter(judged.get("results", [])), None)
        kind = "void" if judged["state"] == "void" else "planned" if judged["state"] == "planned" else "plain" if result else "withheld"
        return [_make(case, test, judged, {}, result, kind, _bare_why(judged))]
    return [_judged(case, test, judged, verdict) for verdict in verdicts]


def _judged(case: Case, test: Document, judged: Document, verdict: Document) -> Line:
    return _make(case, test, judged, verdict, case.result_judged(judged, verdict), kind_of(verdict), _why(case, judged, verdict))


def _make(case: Case, test: Document, judged: Document, verdict: Document, result: Document | None, kind: str, why: str) -> Line:
    names = (case.name("item", test.get("item")), case.name("location", test.get("location")), case.name("person", test.get("tester")))
    words = " ".join((test["id"], *names, *map(str, test.get("equipment", [])), judged["method"])).casefold()
    return Line(test, judged, verdict, result, kind, why, bool(verdict.get("counted")), words)


def _bare_why(judged: Document) -> str:
    if judged["state"] == "void":
        return next((found["message"] for found in judged["findings"] if found["severity"] == "void"), _("declared void"))
    if judged["state"] == "planned":
        return _("not tested yet")
    return _("no requirement is about it") if judged.get("results") else " ".join(reasons_of(judged))


def _why(case: Case, judged: Document, verdict: Document) -> str:
    """One short reason under a verdict."""
    if over := next((last for one, last in case.overtaken() if one.test["id"] == judged["id"] and one.verdict is verdict), ""):
        return _("earlier round; %s stands in its place") % over
    if not verdict.get("counted") and judged["purpose"] not in ("acceptance", "retest"):
        return _("%s, not counted") % judged["purpose"]
    if verdict["verdict"] == "withheld":
        return " ".join(reasons_of(verdict)[:1])
    if verdict.get("bound"):
        return _("known only as a bound")
    if "shown_probability" in verdict:
        return _("chance of over %(limit)s: %(chance)s") % {
            "limit": split(verdict["shown_limit"])[0],
            "chance": verdict["shown_probability"].replace(" ", NO_BREAK),
        }
    return str(verdict.get("shown", "")).partition(": ")[2]


def _fits(line: Line, find: str, only: str) -> bool:
    if only == "uncounted" and (line.counted or line.kind in ("void", "disputed", "running", "begun", "planned")):
        return False
    if only in SIEVES and SIEVES[only] and line.kind not in SIEVES[only]:
        return False
    return all(word in line.words for word in find.casefold().split()[:8])


def _sieve(lines: list[Line], chosen: str) -> list[Document]:
    words = {"": _("all"), "doubt": _("over or in doubt"), "withheld": _("not judged"), "void": _("void"), "uncounted": _("not counted")}
    counted = {name: sum(_fits(line, "", name) for line in lines) for name in words}
    return [
        {"value": name, "words": word, "count": counted[name], "on": chosen == name} for name, word in words.items() if counted[name] or name in ("", chosen)
    ]


def sections(case: Case, lines: list[Line]) -> list[Document]:
    """The lines by item and by what is asked, each section on one scale."""
    made = []
    for item in case.outcome["items"]:
        groups: dict[tuple[str, str], list[Line]] = {}
        for line in lines:
            if line.test.get("item") == item["id"]:
                groups.setdefault(_group(case, line), []).append(line)
        made += [
            _section(case, item, criterion, group) | {"anchor": item["id"] if index == 0 else ""}
            for index, ((criterion, _), group) in enumerate(groups.items())
        ]
    return made


def _group(case: Case, line: Line) -> tuple[str, str]:
    """What a line stands with: its criterion; where it has none, its quantity, or the item's one criterion."""
    if line.verdict:
        return line.verdict["criterion"], ""
    if line.result:
        return "", line.result["quantity"]
    about = [one["criterion"] for item in case.outcome["items"] if item["id"] == line.test.get("item") for one in item["verdicts"]]
    return about[0] if about else "", ""


def _section(case: Case, item: Document, criterion: str, lines: list[Line]) -> Document:
    verdict = next((one for one in item["verdicts"] if one["criterion"] == criterion), None)
    limited = next((line.verdict for line in lines if "limit" in line.verdict), {})
    values = [line.result["value"] for line in lines if line.result]
    scale = figures.common_scale(values=values, limit=limited.get("limit")) if values else None
    results = [line.result for line in lines if line.result]
    asked = case.criteria.get(criterion, ({}, {}))[1]
    return {
        "name": case.name("item", item["id"]),
        "area": case.entry("item", item["id"]).get("area", ""),
        "what": str(asked.get("title") or "") if criterion else "",
        "quantity": case.words_of(results[0]["quantity"]) if results else "",
        "count": count_words(verdict) if verdict else "",
        "unit": split(results[0]["shown"])[1] if results else "",
        "head": _head(scale, limited),
        "rows": [_row(case, line, scale, limited.get("limit")) for line in sorted(lines, key=_order)],
        "limit": limited.get("shown_limit", ""),
        "of_the_rest": (verdict or {}).get("sampling", {}).get("shown", ""),
    }


def _order(line: Line) -> tuple[int, float]:
    return WORST_FIRST.index(line.kind), -line.result["value"] if line.result else 0.0


def _head(scale: figures.Scale | None, limited: Document) -> SafeString | str:
    if scale is None:
        return ""
    numerals = scale.numerals()
    limit = scale.at(limited["limit"]) if "limit" in limited else None
    text = _("limit %s") % split(limited["shown_limit"])[0] if "shown_limit" in limited else ""
    return drawing.plot_head(ends=(numerals[0]["label"], numerals[-1]["label"]), limit=limit, limit_text=text)


def _row(case: Case, line: Line, scale: figures.Scale | None, limit: float | None) -> Document:
    shown, unit = split(line.result["shown"]) if line.result else ("", "")
    return {
        "id": line.test["id"],
        "where": case.name("location", line.test.get("location")) or case.name("item", line.test.get("item")),
        "under": ", ".join(part for part in (when(str(line.test.get("read_at") or "")), case.name("person", line.test.get("tester"))) if part),
        "value": shown,
        "plus": plus_minus(line.result) if line.result else "",
        "unit": unit,
        "kind": line.kind,
        "mark": {"kind": line.kind, "word": VERDICT_WORDS.get(line.kind, "")},
        "why": line.why,
        "plot": _plot(line, scale, limit) if scale else "",
    }


def _plot(line: Line, scale: figures.Scale, limit: float | None) -> SafeString:
    at_limit = scale.at(limit) if limit is not None else None
    if not line.result:
        return drawing.plot(kind=line.kind, at=None, limit=at_limit)
    value, expanded = line.result["value"], line.result.get("expanded_uncertainty")
    span = () if line.result.get("bound") or expanded is None else (scale.at(value - expanded), scale.at(value + expanded))
    return drawing.plot(kind=line.kind, at=scale.at(value), span=span, limit=at_limit)


@screen
def as_csv(request: HttpRequest, job_id: str) -> HttpResponse:
    page = open_job(request, job_id)
    return file_answer(table.csv(job=page.document, outcome=page.outcome), "text/csv; charset=utf-8", file_name(page.document, "csv"))


ADDRESSES = [
    path("jobs/<str:job_id>/results", results, name="results"),
    path("jobs/<str:job_id>/results.csv", as_csv, name="results-csv"),
]
