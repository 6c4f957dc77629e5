# SPDX-License-Identifier: MIT
"""One test from the question whether devices are allowed to its reading: one step a screen, all of them in one page.

All screens come at once, so that a step forward or back needs no network; `run.js` shows one at a time, and every
fact is an event the moment it is typed. Which one is open follows from what was recorded (`running.py`).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import path, reverse
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from brackish.errors import AccessError
from brackish.judge.findings import GOOD_TO_HAVE
from brackish.library.types import Fact, Method
from brackish.quantities import shown_unit
from brackish.web.pages import timedrawing
from brackish.web.pages.context import JobPage, open_job
from brackish.web.pages.day import cards, first_sentence, meters_off, timer
from brackish.web.pages.job import free_id
from brackish.web.pages.moment import now
from brackish.web.pages.names import kit_title
from brackish.web.pages.page import screen, show
from brackish.web.pages.running import END, Run, Stage, runs, runs_of_test

Document = dict[str, Any]
UNDILUTED = (("returned_to", "undiluted"), ("volume_injected", ""))
AREAS = ("compartment_area", "sleeve_area", "extraction_area")
HANGS_ON = ("solution_volume", "volume_injected", "returned_to", *AREAS)  # what the reading may be hangs on these
NEVER_COPIED = ("dwell", "cycles", "liquid_lost", "volume_recovered", "temperature", "dwell_agreed_by")


@dataclass(frozen=True)
class Field:
    """One fact to write down, with what stands there and what the last test of the method had."""

    fact: Fact
    path: list[str]
    value: Any
    unit: str
    numbers: list[str]  # what stands in the wells, without unit
    before: str = ""  # the number of the last test
    before_of: str = ""
    target: int = 0  # how many are agreed, of a count
    needed: bool = False  # for a verdict
    cost: str = ""  # what it costs to leave it empty
    given_by: tuple[tuple[str, str], ...] = ()  # facts, with the value they must have, that tell it as well
    choices: list[tuple[str, str]] = field(default_factory=list)

    @property
    def id(self) -> str:
        return f"fact-{self.fact.name}"


@dataclass(frozen=True)
class Panel:
    """One screen of a run."""

    name: str
    title: str
    stage: Stage | None = None
    fields: list[Field] = field(default_factory=list)
    glass: SafeString | None = None
    rest: str = ""  # how to do it, after what to do
    voids: tuple[str, ...] = ()
    next_words: str = ""
    next_hint: str = ""
    measures: bool = False


@screen
def run(request: HttpRequest, job_id: str, test: str) -> HttpResponse:
    page = open_job(request, job_id, "write")
    one = find_run(page, test, request.GET.get("portion", ""))
    if one.disputed:
        return _to_choose(page, one)
    others = [other for other in runs(page.outline, one.at, page.conflicts) if other.state == "running" and other.name != one.name]
    steps = panels(one)
    reads = not page.may_write_at(("test", one.id))
    return show(
        request,
        "day",
        template="run",
        page=page,
        now=one.at.isoformat(),
        run=one,
        panels=steps,
        open=_open(one, steps, reads),
        reads=reads,
        cautions=one.method.cautions,
        kit=_kit(page, one, request.user),
        cards=[] if page.faults else cards(page, one.at, **_spread(one)),
        hangs_on=HANGS_ON,
        meters=meters_off(page.document),
        others=[timer(page, other) for other in others],
        state={**_state(one), "reads": reads},
        again=_again(page, one),
        photos=one.test.get("photos", []),
        refused=_refused(page, one),
        following=_following(page, one),
        paper=reverse("paper", args=[page.job.id, one.id]) + (f"?portion={one.portion}" if one.portion else ""),
    )


def _following(page: JobPage, one: Run) -> Run | None:
    """The portion of the same test that is still to do."""
    portions = runs_of_test(page.outline, one.test, one.at, page.conflicts) if one.portion else []
    return next((each for each in portions if each.portion != one.portion and each.state in ("planned", "running")), None)


@screen
def paper(request: HttpRequest, job_id: str, test: str) -> HttpResponse:
    """A paper sheet, typed in afterwards."""
    page = open_job(request, job_id, "write")
    one = find_run(page, test, request.GET.get("portion", ""))
    if one.disputed:
        return _to_choose(page, one)
    if not page.may_write_at(("test", one.id)):  # there is nothing on the sheet to look at
        return HttpResponseRedirect(reverse("run", args=[page.job.id, one.id]) + (f"?portion={one.portion}" if one.portion else ""))
    kit = _kit(page, one, request.user) | {name: one.test.get(name, "") for name in ("tester", "blank")} | {"taken": one.test.get("equipment", [])}
    return show(request, "day", template="paper", typed=True, page=page, now=one.at.isoformat(), run=one, panels=panels(one), state=_state(one), kit=kit)


def _to_choose(page: JobPage, run: Run) -> HttpResponse:
    """It was measured: nobody runs it again over the record, one of its two values is taken."""
    return HttpResponseRedirect(reverse("conflict", args=[page.job.id]) + f"?at={page.disputed(run.id)[0][0]}")


def find_run(page: JobPage, test: str, portion: str) -> Run:
    """The run of a test, or of the portion that is named; not found where there is none."""
    written = page.outline.tests.get(test)
    found = runs_of_test(page.outline, written, now(), page.conflicts) if written else []
    wanted = [each for each in found if str(each.portion or "") == portion] or (found[:1] if not portion else [])
    if not wanted:
        raise AccessError("access.not_found", given=f"test {test}")
    return wanted[0]


def panels(run: Run) -> list[Panel]:
    """The steps as screens."""
    made = []
    for index, stage in enumerate(run.stages):
        step = stage.step
        following = run.stages[index + 1].step if index + 1 < len(run.stages) else None
        left = (stage.begin - run.at).total_seconds() / 60 + stage.minutes if stage.begun else stage.minutes
        done = run.facts.get("cycles", 0)
        made.append(
            Panel(
                name=step.name,
                title=first_sentence(step.text).rstrip("."),
                stage=stage,
                fields=fields(run, step.facts),
                glass=timedrawing.level(minutes=stage.minutes, left=left, pumps=stage.pumps, done=done if isinstance(done, int) else 0)
                if stage.timed
                else None,
                rest=step.text.partition(". ")[2],
                voids=(step.voids.rstrip("."),) if step.voids else (),
                next_words=following.title if following else "",
                next_hint=first_sentence(following.text) if following else "",
                measures=any(name in run.method.measured for name in step.facts),
            )
        )
    return made


def fields(run: Run, names: tuple[str, ...]) -> list[Field]:
    """The facts of a step."""
    last = _last(run)
    found = []
    for name in sorted(names, key=lambda name: getattr(run.method.fact(name), "dimension", "") == "time"):  # times come last: the record knows them
        fact = run.method.fact(name)
        if fact is None:
            continue
        value = run.facts.get(name)
        before = last[1].get(name) if last and name not in (*run.method.measured, *NEVER_COPIED) else None
        found.append(
            Field(
                fact=fact,
                path=["test", run.id, "facts", name] if run.portion and fact.per == "test" and name in run.test.get("facts", {}) else [*run.fact_path, name],
                value=value,
                unit=shown_unit(fact.unit),
                numbers=[_number(each, fact.unit) for each in (value if isinstance(value, list) else [] if value is None else [value])],
                before=str(before) if isinstance(before, str) else "",
                before_of=last[0] if last else "",
                target=run.cycles if name == "cycles" else 0,
                needed=fact.required or name in run.method.measured,
                cost=_cost(run.method, fact),
                given_by=UNDILUTED if name == "solution_volume" and run.method.fact("returned_to") else (),
                choices=[(choice, choice.replace("-", " ")) for choice in fact.choices],
            )
        )
    return found


def _cost(method: Method, fact: Fact) -> str:
    """What the judge will say of a test without this fact; empty where it will not miss it."""
    if fact.required or fact.name in method.measured:
        return _("Without it there is no verdict.")
    if any(rule.value == fact.name and rule.severity == "void" for rule in method.rules):
        return _("Without it nothing shows later that the test was not void.")
    return _("The test stands, but less can be shown later.") if fact.name in GOOD_TO_HAVE and fact.dimension != "time" else ""


def _spread(run: Run) -> dict[str, str]:
    """The water of this test and the area it was spread over, as written so far."""
    read_in = "volume_injected" if run.facts.get("returned_to") == "undiluted" and "solution_volume" not in run.facts else "solution_volume"
    area = next((name for name in AREAS if name in run.facts), "")
    return {name: str(run.facts[of]) for name, of in (("volume", read_in), ("area", area)) if of in run.facts}


def _number(value: Any, unit: str) -> str:
    """What a person typed, without the unit that is printed beside it."""
    text = str(value)
    return text.removesuffix(f" {unit}") if unit else text


def _last(run: Run) -> tuple[str, Document] | None:
    """The facts of the test of this method that was begun last."""
    same = [test for test in run.case.job.get("test", []) if test.get("method") == run.method.id and test.get("id") != run.id and test.get("started")]
    written = [
        (test["id"], {**test.get("facts", {}), **(test.get("determination") or [{}])[0]}) for test in sorted(same, key=lambda test: str(test["started"]))
    ]
    full = [pair for pair in written if pair[1]]
    return full[-1] if full else None


def _open(run: Run, steps: list[Panel], reads: bool) -> str:
    """The screen that what was recorded asks for; whoever only reads is asked nothing."""
    if run.void:
        return "void"
    if run.devices == "not-allowed" and not reads:
        return "refused"
    if run.state == "running":
        return steps[run.current].name
    if run.state == "done":
        return END
    return steps[0].name if reads else "zone"


def _state(run: Run) -> Document:
    """What the script needs of the record."""
    first = run.method.steps[0].name
    return {
        "path": run.path,
        "test": ["test", run.id],
        "facts": run.fact_path,
        "id": run.id,
        "portion": run.portion,
        "mark": run.table.get("x-portion") is not None,
        "times": {name: at.isoformat() for name, at in run.times.items()},
        "started": run.test.get("started", ""),
        "readAt": run.test.get("read_at", ""),
        "first": first,
        "paper": run.paper,
        "done": run.state in ("done", "void"),
        "steps": [step.name for step in run.method.steps],
    }


def _kit(page: JobPage, run: Run, user: Any) -> Document:
    """Who and with what: as planned, else whoever is signed in, with what the last test had."""
    document, test = page.document, run.test
    begun = [each for each in document.get("test", []) if each.get("started") and each.get("method") == run.method.id]
    last: Document = max(begun, key=lambda each: str(each["started"]), default={})
    people = [each for each in document.get("person", []) if "id" in each]
    mine = next((each["id"] for each in people if user.shown_name == each.get("name") or user.name == each["id"]), "")
    named = [] if mine else [{"id": user.name, "name": user.shown_name, "role": page.role if page.role in ("inspector", "trainee") else "tester"}]
    blanks = sorted((each for each in document.get("blank", []) if "id" in each), key=lambda each: str(each.get("at", "")), reverse=True)
    return {
        "people": [(each["id"], each.get("name") or each["id"]) for each in [*people, *named]],
        "tester": test.get("tester") or mine or user.name,
        "naming": {each["id"]: [{"path": ["person", each["id"], name], "value": value} for name, value in each.items()] for each in named},
        "equipment": [(each["id"], kit_title(each)) for each in document.get("equipment", []) if "id" in each],
        "taken": test.get("equipment", last.get("equipment", [])),
        "blanks": blanks,
        "blank": test.get("blank") or (blanks[0]["id"] if blanks else ""),
        "corrected": "blank" in run.method.corrections,
        "was": {name: test[name] for name in ("tester", "equipment", "blank") if name in test},
    }


def _again(page: JobPage, run: Run) -> Document:
    """A new test for the place of one that is void."""
    identity = free_id("T", page.document.get("test", []), page.taken_back("test"))
    kept = ("item", "location", "method", "purpose", "stage", "round", "retest_of", "edition")
    return {"id": identity, "changes": [{"path": ["test", identity, name], "value": run.test[name]} for name in kept if name in run.test]}


def _refused(page: JobPage, run: Run) -> Document:
    """The first lines of the paper sheet, so that one sees what is printed."""
    named = [run.method.fact(name) for step in run.method.steps for name in step.facts]
    return {
        "address": reverse("sheet", args=[page.job.id]) + f"?test={run.id}",
        "all": reverse("sheet", args=[page.job.id]),
        "lines": [(fact.label, shown_unit(fact.unit)) for fact in named if fact],
        "cautions": [
            _("Take a clock, a pen and the sheet. Times are written by hand."),
            _("Take a meter only if the permit names it. If not, bring the solutions out in closed vessels and read them outside."),
        ],
    }


ADDRESSES = [path("jobs/<str:job_id>/run/<path:test>/paper", paper, name="paper"), path("jobs/<str:job_id>/run/<path:test>", run, name="run")]
