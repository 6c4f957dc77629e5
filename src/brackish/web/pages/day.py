# SPDX-License-Identifier: MIT
"""The day of a job: what to do now and next, every running test with its water, and the hour on one line.

What runs comes from the record (`running.py`), never from this device: a second one shows the same.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import path, reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from brackish.errors import BrackishError
from brackish.judge.moments import when
from brackish.prepare import checks
from brackish.report.words import capital, typed_amount
from brackish.web.pages import timedrawing
from brackish.web.pages.context import JobPage, open_job
from brackish.web.pages.limits_card import card_of, choices_of, latest_blank
from brackish.web.pages.moment import moment_of, now
from brackish.web.pages.names import kit_title
from brackish.web.pages.page import screen, show
from brackish.web.pages.running import Run, runs
from brackish.web.pages.timedrawing import Bar, Hours, Lane

Document = dict[str, Any]
RESOURCES = {
    "compartment": (gettext_lazy("Patch"), gettext_lazy("P")),
    "flask": (gettext_lazy("Flask"), gettext_lazy("F")),
    "beaker": (gettext_lazy("Beaker"), gettext_lazy("B")),
    "sleeve": (gettext_lazy("Sleeve"), gettext_lazy("S")),
}
BEFORE, AFTER, SHORTEST = timedelta(minutes=20), timedelta(minutes=5), timedelta(minutes=40)
RECENT = timedelta(hours=12)  # what ended before is another day's
NEAR = timedelta(seconds=1)
LONGEST = 12  # letters of a name at the head of a lane


@dataclass(frozen=True)
class Action:
    """What one person does: now, or when a time is up."""

    run: Run
    what: str
    at: datetime
    waits: bool  # the time is not up yet
    address: str

    @property
    def person(self) -> str:
        return self.run.tester or _("Somebody")


@screen
def day(request: HttpRequest, job_id: str) -> HttpResponse:
    page = open_job(request, job_id)
    at = now()
    every = [] if page.faults else list(runs(page.outline, at, page.conflicts))
    running = sorted((run for run in every if run.state == "running"), key=lambda run: run.due)
    recent = [run for run in every if run.state in ("done", "void") and run.ended and at - run.ended < RECENT]
    drawn = [run for run in (*recent, *running) if any(stage.begun for stage in run.stages)]  # a typed one may say no more than when it was read
    mine = request.user.shown_name
    return show(
        request,
        "day",
        page=page,
        now=at.isoformat(),
        said=_said(running),
        cards=cards(page, at),
        meters=meters_off(page.document),
        actions=_two(sorted((_action(page, run, at) for run in running), key=lambda action: (action.at, action.run.name)), mine),
        timers=[timer(page, run) for run in running],
        **(_hour(drawn, at) if drawn else {"lanes": []}),
        planned=[_planned(page, run) for run in every if run.state in ("planned", "disputed") or run.unread],
        ends=max((run.stages[-1].end for run in running), default=None),
        conditions=_conditions(page.document),
    )


def _said(running: list[Run]) -> str:
    wet = sum(1 for run in running if run.stages[run.current].timed)
    if not running:
        return _("Nothing is running")
    if not wet:
        return ngettext("%d test is running", "%d tests are running", len(running)) % len(running)
    return ngettext("%d test holds water", "%d tests hold water", wet) % wet


def _conditions(document: Document) -> str:
    """The steel's temperature as last written."""
    written = [each for each in document.get("conditions", []) if each.get("surface_temperature")]
    return str(max(written, key=lambda each: str(each.get("at", ""))).get("surface_temperature", "")) if written else ""


def cards(page: JobPage, at: datetime, **given: str) -> list[Document]:
    """For each requirement on steel that a meter or tube can be held against: its limits card, of a `given` volume and area, and today's blank."""
    return [
        {
            "card": card_of(page, spec, criterion, given),
            "limit": typed_amount(str(criterion["limit"])),
            "of": latest_blank(_read_on(page.document.get("blank", []), at), criterion),
        }
        for spec, criterion in choices_of(page)
        if criterion.get("applies_to") == "steel"
    ]


def meters_off(document: Document) -> list[str]:
    """Each meter whose last check found it off, in words: what it reads next is in doubt."""
    said = []
    for entry in document.get("equipment", []):
        try:
            found = checks.checks_of(checks.meter_of(entry)) if entry.get("kind") == checks.METER else []
        except BrackishError:  # its job says what is wrong with the entry
            continue
        if found and found[-1].good is False:
            words = {"meter": kit_title(entry), "time": when(found[-1].at.isoformat()), "found": found[-1].shown, "allowed": found[-1].shown_allowed}
            said.append(
                _("%(meter)s failed its check of %(time)s: off by %(found)s, %(allowed)s is allowed. Clean it and check it again, or take another.") % words
            )
    return said


def _read_on(blanks: list[Document], at: datetime) -> list[Document]:
    """The blanks that were read on the day of `at`."""
    return [each for each in blanks if each.get("reading") and (moment := moment_of(each.get("at"))) and moment.date() == at.date()]


def _action(page: JobPage, run: Run, at: datetime) -> Action:
    step, when = run.to_do
    return Action(run, first_sentence(step.text), when, when > at + NEAR, _address(page, run))


def first_sentence(text: str) -> str:
    """The first sentence of a step: what to do, before how."""
    head, _stop, _rest = text.partition(". ")
    return head.rstrip(".") + "."


def _two(actions: list[Action], mine: str) -> list[Document]:
    """Yours first, then the next of somebody else, else your own next."""
    own = [action for action in actions if action.run.tester == mine] or actions
    others = [action for action in actions if own and action.run.tester != own[0].run.tester]
    chosen = [*own[:1], *(others[:1] or own[1:2])]
    return [{"action": action, "then": index == 1 and not others} for index, action in enumerate(chosen)]


def _address(page: JobPage, run: Run) -> str:
    return reverse("run", args=[page.job.id, run.id]) + (f"?portion={run.portion}" if run.portion else "")


def timer(page: JobPage, run: Run) -> Document:
    """One running test in a list, with the time its step has left."""
    stage = run.stages[run.current]
    seconds = max(1.0, stage.minutes * 60)
    left = (run.due - run.at).total_seconds()
    return {
        "name": run.name,
        "where": f"{run.where}, {run.purpose}" if run.purpose else run.where,
        "address": _address(page, run),
        "begin": stage.begin.isoformat(),
        "due": run.due.isoformat(),
        "pumps": [(stage.begin + timedelta(seconds=pump)).isoformat() for pump in stage.pumps],
        "timed": stage.timed,
        "what": (run.following if stage.timed and run.following else stage).step.title,
        "cup": timedrawing.cup(share=left / seconds if stage.timed else 0),
    }


def _hour(shown: list[Run], at: datetime) -> Document:
    """The drawing: from a while before now to the end of the last test."""
    begin = max(min(stage.begin for run in shown for stage in run.stages if stage.begun), at - BEFORE)
    end = max(max(run.stages[-1].end for run in shown) + AFTER, at + AFTER, begin + SHORTEST)
    hours = Hours(begin.replace(minute=begin.minute - begin.minute % 5, second=0), end)
    of = [*_people(shown, hours), *_vessels(shown, hours)]
    return {
        "lanes": of,
        "across": timedrawing.lanes(of=of, hours=hours, now=at),
        "down": timedrawing.lanes_tall(of=of, hours=hours, now=at),
        "begin": hours.begin.isoformat(),
        "end": hours.end.isoformat(),
        "words": [_in_words(run) for run in shown if run.state == "running"],
    }


def _people(shown: list[Run], hours: Hours) -> list[Lane]:
    """Who is needed when: consecutive steps of one test are one bar."""
    found: dict[str, list[Bar]] = {}
    for run in shown:
        bars = found.setdefault(run.tester or _("nobody named"), [])
        for stage in run.stages:
            if not stage.hands or stage.end <= hours.begin or (run.state != "running" and not stage.begun):
                continue
            past = stage.end <= run.at or run.state != "running"
            last = bars[-1] if bars else None
            if last and last.text == run.name and last.end == stage.begin and (last.kind == "past") == past:
                bars[-1] = Bar(last.kind, last.begin, stage.end, run.name)
            else:
                bars.append(Bar("past" if past else "hands", stage.begin, stage.end, run.name))
    return [Lane(name, _short(name), tuple(sorted(bars, key=lambda bar: bar.begin)), True) for name, bars in found.items()]


def _short(name: str) -> str:
    """What stands at the head of a lane."""
    first = name.split(" ")[0]
    return first if len(first) <= LONGEST else f"{first[: LONGEST - 1]}…"


def _vessels(shown: list[Run], hours: Hours) -> list[Lane]:
    """Which cell or flask holds whose water, as few lanes as serve."""
    held: dict[str, list[list[tuple[datetime, datetime, list[Bar]]]]] = {}
    for run in sorted(shown, key=lambda run: run.stages[0].begin):
        for resource in dict.fromkeys(stage.step.resource for stage in run.stages if stage.step.resource):
            stages = [stage for stage in run.stages if stage.step.resource == resource and (run.state == "running" or stage.begun)]
            bars = [_bar(run, stage) for stage in stages if stage.timed and stage.end > hours.begin]
            if not bars:
                continue
            lanes = held.setdefault(resource, [])
            free = next((lane for lane in lanes if lane[-1][1] <= stages[0].begin), None)
            lane = free if free is not None else []
            if free is None:
                lanes.append(lane)
            lane.append((stages[0].begin, stages[-1].end, bars))
    named = {key: RESOURCES.get(key, (capital(key), key[:1].upper())) for key in held}
    return [
        Lane(f"{named[key][0]} {number}", f"{named[key][1]}{number}", tuple(bar for *_times, bars in lane for bar in bars), False)
        for key, lanes in held.items()
        for number, lane in enumerate(lanes, 1)
    ]


def _bar(run: Run, stage: Any) -> Bar:
    over = stage.end <= run.at or run.state != "running"
    return Bar("past" if over else "wait", stage.begin, stage.end, run.name, tuple(stage.begin + timedelta(seconds=pump) for pump in stage.pumps))


def _in_words(run: Run) -> Document:
    """What the drawing says of one test, for whoever hears the page."""
    ahead = [stage for stage in run.stages if stage.end > run.at]
    return {
        "name": run.name,
        "tester": run.tester,
        "steps": [(first_sentence(stage.step.text), stage.begin.isoformat(), f"{stage.begin:%H:%M}") for stage in ahead],
    }


def _planned(page: JobPage, run: Run) -> Document:
    return {
        "name": run.name,
        "where": run.where,
        "method": run.method.short,
        "purpose": run.purpose,
        "tester": run.tester,
        "address": _address(page, run),
        "unread": reverse("result", args=[page.job.id, run.id]) if run.unread else "",
        "refused": run.devices == "not-allowed",
        "disputed": reverse("conflict", args=[page.job.id]) + f"?at={page.disputed(run.id)[0][0]}" if run.disputed else "",
    }


ADDRESSES = [path("jobs/<str:job_id>/day", day, name="day")]
