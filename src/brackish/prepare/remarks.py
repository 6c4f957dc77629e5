# SPDX-License-Identifier: MIT
"""What a fact just written gives cause to say, before the test is done: how it was read, and which rules of the method it breaks.

Nothing here keeps a fact from being written. The rules are those of the method's file, and the ranges those of the
instruments named, held against this one test by the judge's own functions; what they say with the fact and would not
say without it belongs to the fact. Beside them a figure is compared with what is usual, so that a slip is seen while
the water still stands there; no outcome hangs on that.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from brackish.errors import BrackishError, InputError
from brackish.judge import findings
from brackish.judge.inputs import Kit
from brackish.judge.outcome import Finding, unique
from brackish.judge.rules import findings_of
from brackish.judge.terms import Seen
from brackish.judge.trial import applies
from brackish.library import method
from brackish.quantities import Quantity, parse, shown_unit
from brackish.record.facts import read_facts
from brackish.record.fields import read_table
from brackish.record.job import Job, Test

Document = dict[str, Any]
CHECKS = (  # those of the judge that look at what is typed in a run
    findings.volume_below_injected,
    findings.volume_not_undiluted,
    findings.extract_without_amount,
    findings.blank_exceeds_extract,
    findings.range_of_the_meter,
)
USUAL = {  # what a fact is between where nobody slipped in figure or unit, also before there is an area to hold a volume against; common practice, no source
    "compartment_area": ("100 mm2", "10000 mm2"),
    "sleeve_area": ("1 cm2", "100 cm2"),
    "volume_injected": ("0.5 mL", "50 mL"),
    "dwell": ("20 s", "2 h"),
    "temperature": ("0 degC", "50 degC"),
    "air_temperature": ("-30 degC", "55 degC"),
    "surface_temperature": ("-30 degC", "80 degC"),
}


def remarks(*, document: Mapping[str, Any], test: str, facts: Mapping[str, Any], determination: int | None = None) -> Document:
    """The faults of these facts, and the warnings they cause, as `{"errors": […], "findings": […]}`.

    Parameters
    ----------
    document : job document
    test : text
        Its id; raises InputError where the document has no such test.
    facts : table
        What was just typed: names and values, as the job file would hold them.
    determination : whole number
        The place, from 0, of the portion they belong to; None: the test itself.

    """
    row = next((row for row in document.get("test", []) if row.get("id") == test), None)
    if row is None:
        raise InputError("input.unknown_reference", place="test", kind="test", given=repr(test), allowed="the tests of the job")
    portions = [dict(portion) for portion in row.get("determination", [])]
    if determination is not None:
        portions += [{} for _ in range(determination + 1 - len(portions))]
    written = portions[determination] if determination is not None else dict(row.get("facts", {}))
    others = {name: value for name, value in written.items() if name not in facts}

    def with_facts(table: Document) -> Document:
        if determination is None:
            return {**row, "facts": table}
        return {**row, "determination": [*portions[:determination], table, *portions[determination + 1 :]]}

    faults: list[BrackishError] = []
    after = _findings(document, with_facts({**others, **facts}), faults)
    before = unique(_findings(document, with_facts(others), []))
    mine = [fault for fault in faults if fault.place.rpartition(".")[2] in facts]
    return {"errors": [fault.to_dict() for fault in mine], "findings": [found for found in unique(after) if found not in before]}


def _findings(document: Mapping[str, Any], row: Document, faults: list[BrackishError]) -> list[Finding]:
    """What the method's rules say of one test, with the faults that reading it left."""
    job = read_table(Job, {**document, "test": [row]}, "", [], partial=True)
    if job is None or not job.test:
        return []
    test = read_facts(job.test[0], f"test[{row['id']}]", faults)
    known = method(test.method)
    item = next((item for item in job.item if item.id == test.item), None)
    criteria = [criterion for criterion in job.criteria if item and applies(criterion, test, item, known)]
    blank = next((blank for blank in job.blank if blank.id == test.blank), None)
    kit = Kit(job=job, test=_with_known_kit(test, job))
    tables = [{**(test.facts or {}), **portion} for portion in test.determination] or [dict(test.facts or {})]
    by_rules = [
        found
        for facts in tables
        for criterion in (criteria or (None,))
        for found in findings_of(known.rules, Seen(kit=kit, facts=facts, blank=blank, criterion=criterion))
    ]
    by_checks = [found for check in CHECKS for found in check(kit, blank, tuple(criteria))]
    return by_rules + by_checks + [found for facts in tables for found in _unusual(facts)]


def _unusual(facts: Document) -> Iterator[Finding]:
    """Figures that are far from what is usual, and more water drawn back than was put in."""
    for name, ends in USUAL.items():
        if (value := facts.get(name)) is None:
            continue
        lowest, highest = (parse(end, dimension=value.dimension) for end in ends)
        if not lowest.exact <= value.exact <= highest.exact:
            params = {"given": _shown(value), "lowest": _shown(lowest), "highest": _shown(highest), "source": "common-practice"}
            yield Finding(code="range.unusual", severity="warning", params=params)
    back, injected = facts.get("volume_recovered"), facts.get("volume_injected")
    if back and injected and back.exact > injected.exact:
        params = {"given": _shown(back), "injected": _shown(injected)}
        yield Finding(code="volume.more_back", severity="warning", params=params)


def _shown(amount: Quantity) -> str:
    """An amount as it was typed, its unit as it is printed."""
    number, _, unit = amount.text.partition(" ")
    return f"{number}\u00a0{shown_unit(unit)}" if unit else number


def _with_known_kit(test: Test, job: Job) -> Test:
    return replace(test, equipment=tuple(id for id in test.equipment if any(each.id == id for each in job.equipment)))
