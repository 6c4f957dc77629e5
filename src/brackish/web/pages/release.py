# SPDX-License-Identifier: MIT
"""From failure to release on one page: what blocks, what failed, cause, re-clean, retest, who released; each written as events.

What blocks, and which place is next, is what `judge/release.py` says. Which form is offered follows
from the code of the first thing that blocks.
"""

from __future__ import annotations

import json
import uuid
from functools import lru_cache
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import path
from django.utils.safestring import SafeString

from brackish.judge import release as core
from brackish.judge.wording import kind_of
from brackish.report.words import VERDICT_WORDS, split
from brackish.web import models
from brackish.web.pages.context import JobPage, open_job
from brackish.web.pages.facing import against_limit, side_of
from brackish.web.pages.job import free_id
from brackish.web.pages.page import screen, show

Document = dict[str, Any]
PAPERS = ("release.no_nonconformance", "release.no_reclean")  # what an agreed retest of an inconclusive result does not need
CARRIED = ("item", "location", "method", "edition", "stage", "equipment")  # what a retest has from the test that failed


@screen
def release(request: HttpRequest, job_id: str) -> HttpResponse:
    page = open_job(request, job_id)
    found: Document = {"places": []} if page.faults else _of_job(json.dumps(page.document))
    places = found["places"]
    asked = request.GET.get("place", "")
    blocked = next((place for place in places if not place["released"]), None)
    place = next((each for each in places if _key(each) == asked), blocked or (places[0] if places else None))
    return show(
        request,
        "release",
        page=page,
        others=[{"key": _key(each), "name": each["name"], "released": each["released"], "here": each is place} for each in places],
        failure=place,
        first=place["blocks"][0]["code"].partition(".")[2] if place and place["blocks"] else "",
        blocks=[_block(note) for note in place["blocks"]] if place else [],
        rounds=[_test(page, test, place["criterion"]) for test in place["tests"]] if place else [],
        drawn=_drawn(page, place) if place else "",
        beside=[_neighbour(each) for each in place.get("neighbours", {}).get("places", [])] if place else [],
        forms=_forms(page, place) if place else {},
        papers=place is not None and ("nonconformance" in place or any(note["code"] in PAPERS for note in place["blocks"])),
    )


@lru_cache(maxsize=32)
def _of_job(document: str) -> Document:
    """Judged once for each state of a job."""
    return core.of_job(json.loads(document))


def _key(place: Document) -> str:
    return f"{place['criterion']}/{place['place']}"


def _block(note: Document) -> Document:
    first, _stop, rest = note["message"].partition(". ")
    return {"first": first.rstrip(".") + ".", "rest": rest}


def _test(page: JobPage, test: Document, criterion: str) -> Document:
    number, unit = split(test.get("shown", ""))
    plus = split(test.get("shown_uncertainty", ""))[0] if not number.startswith(("<", ">")) else ""
    written = page.case.tests.get(test["test"], {})
    where = page.case.name("location", written.get("location")) or page.case.name("item", written.get("item"))
    kind = kind_of(test)
    verdict: Document = next((one for one in page.case.judged.get(test["test"], {}).get("verdicts", []) if one["criterion"] == criterion), {})
    banded = kind in ("fail", "inconclusive") and "guard_band" in verdict  # it may lie within the limit and yet not clear of it
    return {
        **test,
        "id": test["test"],
        "where": where,
        "number": number,
        "plus": plus,
        "unit": unit,
        "mark": _mark(kind),
        "why": str(verdict["shown"]).partition(": ")[2] if banded else "",
    }


def _drawn(page: JobPage, place: Document) -> SafeString | str:
    """The first that failed above, the latest below, one limit between them."""
    sides = [side for test in place["tests"] if (side := side_of(page.case, test["test"], place["criterion"], sub=test["test"]))]
    return against_limit([sides[0], sides[-1]]) if len(sides) > 1 else ""


def _neighbour(each: Document) -> Document:
    return {**each, "mark": _mark(kind_of(each)) if "verdict" in each else None}


def _mark(kind: str) -> Document:
    return {"kind": kind, "word": VERDICT_WORDS.get(kind, kind.capitalize())}


def _forms(page: JobPage, place: Document) -> Document:
    """Names and values that the forms of this place write."""
    document = page.document
    paper = place.get("nonconformance", {})
    failed = page.case.tests.get(place["failed"], {})
    return {
        "paper": paper.get("id") or free_id("NC-", document.get("nonconformance", [])),
        "reclean": _open_reclean(page, place) or f"#{uuid.uuid4().hex[:12]}",  # a mark that no other device gives
        "retest": free_id("R", document.get("test", []), page.taken_back("test")),
        "round": max(test["round"] for test in place["tests"]) + 1,
        "carried": [(name, failed[name]) for name in CARRIED if name in failed],
        "planned": next((note["params"]["retest"].split(", ")[0] for note in place["blocks"] if note["code"] == "release.retest_planned"), ""),
    }


def _open_reclean(page: JobPage, place: Document) -> str:
    """The mark under which the re-clean of this place was written, where its end is not."""
    if "reclean" not in place or "finished_at" in place["reclean"]:
        return ""
    rows = models.Event.objects.filter(job=page.job, path__startswith='["reclean",').order_by("-seq").values_list("body", flat=True)
    events = (json.loads(body) for body in rows)
    return next((event["path"][1] for event in events if event["path"][2:] == ["locations"] and place["place"] in event["value"]), "")


ADDRESSES = [path("jobs/<str:job_id>/release", release, name="release")]
