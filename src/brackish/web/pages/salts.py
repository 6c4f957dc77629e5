# SPDX-License-Identifier: MIT
"""Which salt was it? What the reading of one test would be of each salt it could come from, on one line."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import path

from brackish.errors import AccessError
from brackish.judge import salts as core
from brackish.record.document import read_job
from brackish.report import figures
from brackish.web.pages import drawing
from brackish.web.pages.context import open_job
from brackish.web.pages.page import screen, show

Document = dict[str, Any]


@screen
def salts(request: HttpRequest, job_id: str, test: str) -> HttpResponse:
    page = open_job(request, job_id)
    if test not in page.outline.tests:
        raise AccessError("access.not_found", given=f"test {test}")
    if page.faults:
        return show(request, "results", template="unjudged", page=page, test=page.outline.tests[test])
    found = core.of_test(read_job(page.document), test)
    scale = figures.common_scale(values=[0.0, *(row["value"] for row in found["salts"])], limit=None)
    low, *_between, high = scale.numerals()
    return show(
        request,
        "results",
        template="salts",
        page=page,
        test=test,
        where=page.outline.name("location", page.outline.tests[test].get("location")),
        found=found,
        head=drawing.plot_head(ends=(low["label"], high["label"])),
        rows=[row | {"plot": drawing.plot(kind="plain", at=scale.at(row["value"]))} for row in found["salts"]],
    )


ADDRESSES = [path("jobs/<str:job_id>/salts/<path:test>", salts, name="salts")]
