# SPDX-License-Identifier: MIT
"""The places of the workspace in their order; the rail, the bar and the index at the foot are made of them.

A place is there as soon as an address of its name exists (`addresses.py`).
"""

from __future__ import annotations

from dataclasses import dataclass

from django.urls import NoReverseMatch, reverse
from django.utils.translation import gettext_lazy as _

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


def places(*, current: str, job: str = "") -> dict[str, list[Place]]:
    """The index and the bar of a page."""
    of_job = _existing(JOB, current, job) if job else []
    everywhere = _existing(EVERYWHERE, current)
    bar = [place for place in of_job if place.name in BAR_OF_JOB] if job else everywhere
    return {"of_job": of_job, "everywhere": everywhere, "bar": bar}


def _existing(names: dict[str, str], current: str, job: str = "") -> list[Place]:
    found = []
    for name, words in names.items():
        try:
            address = reverse(name, args=[job] if job else [])
        except NoReverseMatch:
            continue
        found.append(Place(name, words, address, name == current))
    return found
