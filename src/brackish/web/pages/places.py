# SPDX-License-Identifier: MIT
"""The places of the workspace in their order; the rail, the bar and the index at the foot are made of them."""

from __future__ import annotations

from dataclasses import dataclass

from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from brackish.web.pages.context import JobPage

JOB = {
    "job": _("Job"),
    "requirement": _("Requirement"),
    "day": _("Day"),
    "results": _("Results"),
    "compare": _("Compare"),
    "release": _("Release"),
    "report": _("Report"),
}
EVERYWHERE = {"jobs": _("Jobs"), "equipment": _("Equipment"), "lessons": _("Lessons")}
BAR_OF_JOB = ("job", "day", "results", "report")  # four words and "More"


@dataclass(frozen=True)
class Place:
    """One line of the index."""

    name: str
    words: str
    address: str
    current: bool


def places_of(current: str, page: JobPage | None = None) -> dict[str, list[Place]]:
    """The index and the bar of a page, of a job where it is about one."""
    of_job = [Place(name, words, reverse(name, args=[page.job.id]), name == current) for name, words in JOB.items()] if page else []
    everywhere = [Place(name, words, reverse(name), name == current) for name, words in EVERYWHERE.items()]
    return {"of_job": of_job, "everywhere": everywhere, "bar": [place for place in of_job if place.name in BAR_OF_JOB] or everywhere}
