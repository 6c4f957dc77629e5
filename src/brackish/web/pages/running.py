# SPDX-License-Identifier: MIT
"""Runs: tests that were started and not yet ended, with the plan of their steps.

The steps and their times come from the method's file, what was begun from the record:

    ["test", "T9", "started"]                         when its first step began
    ["test", "T9", "x-steps", "dwell"]                when that step began; "end": when the last one was done
    ["test", "T9", "x-from-times", "dwell"]           the value of a time fact that was left empty and taken from those times
    ["test", "T9", "x-devices"]                       "allowed" or "not-allowed", asked before the first step
    ["test", "T9", "x-paper"]                         true: typed in from a paper sheet
    ["test", "T9", "determination", "#1", "x-steps", …]   the same for one of several portions

A step that has begun lasts until the next one begins; one that has not follows on from the last. So the plan is
the same after a reload, a night's sleep, and on a second device.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cached_property
from typing import Any

from django.utils.translation import gettext as _

from brackish.errors import BrackishError
from brackish.library.types import Method, Step
from brackish.quantities import parse
from brackish.report.case import Case
from brackish.web.pages.moment import moment_of

Document = dict[str, Any]
END = "end"


@dataclass(frozen=True)
class Stage:
    """One step of a run, with when it begins and ends: recorded, or as planned."""

    step: Step
    begin: datetime
    end: datetime
    begun: bool
    minutes: float
    timed: bool  # its time is part of the method, so that it is watched
    hands: bool  # somebody is needed all the time
    pumps: tuple[float, ...]  # seconds after its beginning


@dataclass(frozen=True)
class Run:
    """One test, or one portion of it, in the hands of one person."""

    test: Document
    portion: int | None  # from 1; None where the test is not divided
    method: Method
    case: Case
    at: datetime  # the moment for which the plan is made
    disputed: bool = False  # two values stand for what was measured: neither is in the document until one is taken

    @property
    def id(self) -> str:
        return str(self.test["id"])

    @property
    def name(self) -> str:
        """T9, or the second portion of it."""
        return self.id if self.portion is None else f"{self.id}.{self.portion}"

    @cached_property
    def table(self) -> Document:
        """Where its facts and steps stand: the test, or its portion."""
        return self.test if self.portion is None else portion_of(self.test, self.portion)

    @property
    def facts(self) -> Document:
        return self.test.get("facts", {}) if self.portion is None else {**self.test.get("facts", {}), **self.table}

    @property
    def path(self) -> list[str]:
        """The path of the record under which its steps stand."""
        return ["test", self.id] if self.portion is None else ["test", self.id, "determination", self.mark]

    @property
    def mark(self) -> str:
        return f"#{self.portion}"

    @property
    def fact_path(self) -> list[str]:
        return [*self.path, "facts"] if self.portion is None else self.path

    @property
    def steps(self) -> Document:
        """When each step began, as text; a key of our own, which no reader of a job file checks."""
        steps = self.table.get("x-steps")
        return steps if isinstance(steps, dict) else {}

    @cached_property
    def times(self) -> dict[str, datetime]:
        """When each step began, as recorded."""
        found = {name: moment_of(text) for name, text in self.steps.items()}
        first = self.method.steps[0].name
        if first not in found and self.portion is None and (started := moment_of(self.test.get("started"))):
            found[first] = started
        return {name: at for name, at in found.items() if at}

    @property
    def devices(self) -> str:
        return str(self.test.get("x-devices", ""))

    @property
    def paper(self) -> bool:
        return self.test.get("x-paper") is True

    @property
    def void(self) -> bool:
        return "void" in self.test or self.case.judged.get(self.id, {}).get("state") == "void"

    @property
    def measured(self) -> bool:
        return any(name in self.facts for name in self.method.measured)

    @cached_property
    def ended(self) -> datetime | None:
        """When the last thing of a test that is over was recorded."""
        recorded = [*self.times.values(), *(at for name in ("started", "read_at") if (at := moment_of(self.test.get(name))))]
        return max(recorded, default=None)

    @cached_property
    def state(self) -> str:
        """planned, running, done, disputed, void."""
        if self.void:
            return "void"
        if self.disputed:
            return "disputed"
        if self.paper:
            return "done" if self.measured else "planned"
        read = self.measured or (self.portion is None and "read_at" in self.test)  # its reading may be disputed, and then it stands nowhere
        if END in self.times or (read and not self.steps):
            return "done"
        return "running" if self.times else "planned"

    @property
    def unread(self) -> bool:
        """Something is written of it, it is not under way, and a reading is what it lacks."""
        own = self.facts if self.portion is None else [name for name in self.table if not name.startswith("x-")]  # not what all portions share
        return self.state in ("planned", "done") and not self.measured and bool(own or self.times)

    @property
    def where(self) -> str:
        return self.case.name("location", self.test.get("location")) or self.case.name("item", self.test.get("item"))

    @property
    def tester(self) -> str:
        return self.case.name("person", self.test.get("tester"))

    @property
    def purpose(self) -> str:
        """What the test is for where that is not acceptance, and that it is not counted."""
        purpose = str(self.test.get("purpose", "acceptance"))
        return "" if purpose == "acceptance" else purpose if purpose == "retest" else _("%s, not counted") % purpose

    @cached_property
    def stages(self) -> list[Stage]:
        """All steps with their times."""
        made: list[Stage] = []
        running = self.state == "running"
        begin = self.times.get(self.method.steps[0].name, self.at)
        for index, step in enumerate(self.method.steps):
            begin = self.times.get(step.name, begin)
            minutes = self._minutes(step)
            later = [self.times[name] for name in [*(each.name for each in self.method.steps[index + 1 :]), END] if name in self.times]
            planned = begin + timedelta(minutes=minutes)
            end = later[0] if later else max(planned, self.at) if running else min(planned, self.ended) if self.ended else planned
            timed = bool(step.until) or not step.attended or any(self._is_time(name) for name in step.facts)
            pumps = self._pumps(step, minutes)
            made.append(Stage(step, begin, max(begin, end), step.name in self.times, minutes, timed, step.attended and not step.until, pumps))
            begin = max(begin, end)
        return made

    @cached_property
    def current(self) -> int:
        """The place of the step that has begun last; 0 before the first."""
        return max((index for index, stage in enumerate(self.stages) if stage.begun), default=0)

    @property
    def due(self) -> datetime:
        """When the current step's time is up."""
        stage = self.stages[self.current]
        return stage.begin + timedelta(minutes=stage.minutes)

    @property
    def following(self) -> Stage | None:
        return self.stages[self.current + 1] if self.current + 1 < len(self.stages) else None

    @property
    def to_do(self) -> tuple[Step, datetime]:
        """What is to be done and when: while water waits, the step that follows once its time is up."""
        stage = self.stages[self.current]
        return (self.following.step, self.due) if stage.timed and not stage.hands and self.following else (stage.step, stage.begin)

    @property
    def doing(self) -> str:
        """Where a running test stands."""
        return _("at step %(n)s of %(all)s: %(step)s") % {
            "n": self.current + 1,
            "all": len(self.stages),
            "step": self.stages[self.current].step.title,
        }

    def _is_time(self, name: str) -> bool:
        fact = self.method.fact(name)
        return fact is not None and fact.dimension == "time"

    def _minutes(self, step: Step) -> float:
        """The agreed time where the step names one, else that of the method."""
        agreed = self.agreed(step.until.removeprefix("criterion.")) if step.until.startswith("criterion.") else self.facts.get(step.until)
        try:
            return parse(agreed, dimension="time").inside if agreed else float(step.minutes)
        except BrackishError:
            return float(step.minutes)

    def agreed(self, field: str) -> Any:
        """What the requirement says of this test, where it says it."""
        kind = self.case.entry("item", self.test.get("item")).get("kind")
        mine = (criterion for _, criterion in self.case.criteria.values() if criterion.get("applies_to") == kind)
        return next((criterion[field] for criterion in mine if criterion.get("quantity") in self.method.gives and field in criterion), None)

    @cached_property
    def cycles(self) -> int:
        """How often the water is drawn back and injected again: as agreed, else the least the method asks."""
        rules = (rule.limit for rule in self.method.rules if rule.value == "cycles_without_agreement" and rule.limit.isdigit())
        return int(self.agreed("cycles") or next(rules, 0))

    def _pumps(self, step: Step, minutes: float) -> tuple[float, ...]:
        count = self.cycles if "cycles" in step.facts else 0
        return tuple(round(60.0 * minutes * (number + 1) / (count + 1), 1) for number in range(count))


def portion_of(test: Document, portion: int) -> Document:
    """The portion of that number: by its mark, else by its place."""
    portions = test.get("determination", [])
    marked = next((each for each in portions if each.get("x-portion") == portion), None)
    if marked is not None:
        return dict(marked)
    plain = [each for each in portions if "x-portion" not in each]
    return dict(plain[portion - 1]) if portion <= len(plain) and len(plain) == len(portions) else {}


def runs_of_test(case: Case, test: Document, at: datetime, conflicts: Sequence[Document] = ()) -> list[Run]:
    """The runs of a test: one, or one a portion."""
    method = case.method(test.get("method", ""))
    if method is None:
        return []
    disputed = any(each["path"][:2] == ["test", test["id"]] and each["path"][-1] in method.measured for each in conflicts)
    whole = method.determinations == 1 or any(name in test.get("facts", {}) for name in method.measured)
    portions = [None] if whole else range(1, max(method.determinations, len(test.get("determination", []))) + 1)
    return [Run(test, portion, method, case, at, disputed) for portion in portions]


def runs(case: Case, at: datetime, conflicts: Sequence[Document] = ()) -> Iterator[Run]:
    """Every run of a job; `conflicts` are its open ones."""
    for test in case.job.get("test", []):
        if isinstance(test, dict) and "id" in test and "item" in test:
            yield from runs_of_test(case, test, at, conflicts)
