# SPDX-License-Identifier: MIT
"""What is odd about a test although it could be computed: the method's rules, and named checks.

A rule of a known kind stands in the method's file; a check that needs more than one value is a
function here. Each gives findings with a code of its own; `void` ends the test.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from functools import cache

from brackish import library
from brackish.errors import InputError
from brackish.judge.inputs import Kit, figure, minutes_between
from brackish.judge.outcome import Finding
from brackish.judge.patch import solution_volume
from brackish.judge.portions import SALT_AMOUNTS, blank_suits, no_salt_amount, portions_of
from brackish.judge.resting import exceeding, holds_more, in_other_volume
from brackish.judge.rules import findings_of
from brackish.judge.terms import Seen
from brackish.library.types import Method
from brackish.quantities import DIMENSIONS, Quantity, parse
from brackish.record.job import Blank
from brackish.record.specification import Criterion

Check = Callable[[Kit, Blank | None, tuple[Criterion, ...]], Iterable[Finding]]


def findings_for(kit: Kit, method: Method, blank: Blank | None, criteria: tuple[Criterion, ...]) -> list[Finding]:
    """All findings of one test that do not come from its computation."""
    found: list[Finding] = []
    for facts in portions_of(kit.test):
        for criterion in criteria or (None,):
            found += findings_of(method.rules, Seen(kit=kit, facts=dict(facts), blank=blank, criterion=criterion))
    for check in CHECKS:
        found += check(kit, blank, criteria)
    return found


def _finding(code: str, severity: str = "note", **params: object) -> Finding:
    return Finding(code=code, severity=severity, params=params)


def facts_not_written(kit: Kit, blank: Blank | None, criteria: tuple[Criterion, ...]) -> Iterable[Finding]:
    """Facts of the method that help to trust a result and were not written down, in one finding."""
    method = library.method(kit.test.method)
    wanted = [fact for fact in method.facts if fact.name in GOOD_TO_HAVE and fact.name not in kit.test.facts]
    if kit.test.determination:
        wanted = [fact for fact in wanted if not all(fact.name in portion for portion in kit.test.determination)]
    if wanted:
        yield _finding("fact.not_written", facts=", ".join(fact.name for fact in wanted))


GOOD_TO_HAVE = (
    "volume_injected",
    "returned_to",
    "dwell",
    "cycles",
    "liquid_lost",
    "temperature",
    "dwell_agreed_by",
    "use",
    "mass",
    "water_volume",
    "abrasive_volume",
)


def volume_below_injected(kit: Kit, blank: Blank | None, criteria: tuple[Criterion, ...]) -> Iterable[Finding]:
    """All the water at the reading cannot be less than what was injected."""
    volume, injected = kit.test.facts.get("solution_volume"), kit.test.facts.get("volume_injected")
    if volume and injected and volume.exact < injected.exact:
        yield _finding("volume.below_injected", "warning", given=volume.text, injected=injected.text)


def volume_not_undiluted(kit: Kit, blank: Blank | None, criteria: tuple[Criterion, ...]) -> Iterable[Finding]:
    """Read undiluted, yet in more water than was injected: one of the two was written wrongly."""
    volume, injected = solution_volume(kit.test), kit.test.facts.get("volume_injected")
    if kit.test.facts.get("returned_to") == "undiluted" and volume and injected and volume.exact > injected.exact:
        yield _finding("volume.not_undiluted", "warning", given=volume.text, injected=injected.text)


def blank_missing(kit: Kit, blank: Blank | None, criteria: tuple[Criterion, ...]) -> Iterable[Finding]:
    """Nothing is taken off, although water and kit carry salt too."""
    method = library.method(kit.test.method)
    if "blank" in method.corrections and blank is None:
        yield _finding("blank.missing", "warning")
    elif blank and "blank" in method.corrections and not blank_suits(blank, method):
        yield _finding("blank.other_unit", "warning", blank=blank.id, given=blank.reading[0].text)


def blank_as_bound(kit: Kit, blank: Blank | None, criteria: tuple[Criterion, ...]) -> Iterable[Finding]:
    """A blank under the first mark: nothing is known to take off."""
    if blank and any(reading.bound == "<" for reading in blank.reading):
        yield _finding("blank.under_first_mark", blank=blank.id, given=blank.reading[0].text)


def blank_volume_missing(kit: Kit, blank: Blank | None, criteria: tuple[Criterion, ...]) -> Iterable[Finding]:
    """A full-kit blank is salt, not a concentration: without its volume that of the test is taken."""
    if blank and blank.kind == "full-kit" and blank.solution_volume is None and blank.reading[0].dimension == "conductivity":
        yield _finding("blank.volume_missing", "warning", blank=blank.id)


def blank_of_other_volume(kit: Kit, blank: Blank | None, criteria: tuple[Criterion, ...]) -> Iterable[Finding]:
    """A full-kit blank in more or less water than the test: the kit's salt is the same in it, the water's is not."""
    if blank and (params := in_other_volume(kit.test, blank)):
        yield _finding("blank.other_volume", "warning", **params)


def extract_without_amount(kit: Kit, blank: Blank | None, criteria: tuple[Criterion, ...]) -> Iterable[Finding]:
    """An acid extract, or one outside the pH gate, is no measure of salt."""
    reason = no_salt_amount(kit.test, library.method(kit.test.method), SALT_AMOUNTS[0])
    if reason:
        yield _finding(reason.code, "warning", **reason.params)


def blank_exceeds_extract(kit: Kit, blank: Blank | None, criteria: tuple[Criterion, ...]) -> Iterable[Finding]:
    """A blank over the extract: mixed up, or something dirty. `resting.py` says when that withholds."""
    readings = kit.test.facts.get("reading")
    if blank and readings and blank.reading[0].dimension == readings[0].dimension and holds_more(kit.test, blank):
        yield _finding("blank.exceeds_extract", "warning", **exceeding(kit.test, blank))


def blank_of_other_day(kit: Kit, blank: Blank | None, criteria: tuple[Criterion, ...]) -> Iterable[Finding]:
    """A blank belongs to the shift, the bottle and the box of its tests; a shift may go over midnight."""
    if blank and blank.at and kit.test.at:
        apart, most = abs(minutes_between(blank.at, kit.test.at)), figure("shift")
        if apart > most.inside:
            yield _finding("blank.other_day", "warning", blank=blank.id, given=f"{apart / 60.0:.1f} h", allowed=most.text)


def blank_of_other_meter(kit: Kit, blank: Blank | None, criteria: tuple[Criterion, ...]) -> Iterable[Finding]:
    """A blank is worked out with the settings and the gain of the test's own meter."""
    named = [kit.job.equipment_by_id[id] for id in blank.equipment] if blank else []
    meters = [each.id for each in named if each.kind == "conductivity-meter"]
    if blank and meters and kit.meter and kit.meter.id not in meters:
        yield _finding("blank.other_meter", "warning", blank=blank.id, given=", ".join(meters), meter=kit.meter.id)


def equipment_of_the_test(kit: Kit, blank: Blank | None, criteria: tuple[Criterion, ...]) -> Iterable[Finding]:
    """A meter that is not named cannot be checked; nothing is used after its last day."""
    reads_conductivity = any(fact.name == "reading" and fact.dimension == "conductivity" for fact in library.method(kit.test.method).facts)
    if reads_conductivity and kit.meter is None:
        yield _finding("equipment.meter_not_named", "warning")
    for each in kit.equipment:
        if each.expiry and kit.test.at and kit.test.at.date() > each.expiry:
            yield _finding("equipment.expired", "warning", equipment=each.id, allowed=each.expiry.isoformat(), day=kit.test.at.date().isoformat())


def range_of_the_meter(kit: Kit, blank: Blank | None, criteria: tuple[Criterion, ...]) -> Iterable[Finding]:
    """A plain figure outside the range its instrument is made for: of the test, of its portions, of its blank."""
    own = [reading for facts in portions_of(kit.test) for reading in facts.get("reading", ())]
    readings = [(reading, kit.equipment) for reading in own]
    if blank:
        with_blank = [kit.job.equipment_by_id[id] for id in blank.equipment] or kit.equipment
        readings += [(reading, with_blank) for reading in blank.reading]
    for reading, instruments in readings:
        for each in instruments:
            ends = _range(each.range)
            if ends is None and each.range:
                yield _finding("range.unread", equipment=each.id, given=each.range)
            elif ends and not reading.bound and ends[1].dimension == reading.dimension and not ends[0].exact <= reading.exact <= ends[1].exact:
                yield _finding("range.instrument", "warning", given=reading.text, allowed=each.range, equipment=each.id)


_RANGE = re.compile(r"(?:(\d+(?:\.\d+)?)\s*([^\d\s.…–-]\S*)?\s*(?:to|-|–|\.{2,3}|…)\s*|up to\s+)?(\d+(?:\.\d+)?)\s*([^\d\s.…–-]\S*)")


@cache
def _range(text: str) -> tuple[Quantity, Quantity] | None:
    """The ends of a range written "0 to 200 uS/cm", "0-200 uS/cm" or "up to 200 uS/cm"; None where it cannot be read."""
    match = _RANGE.fullmatch(text.strip())
    if not match:
        return None
    low, low_unit, high, unit = match.groups()
    try:
        last = parse(f"{high} {unit}", dimension=tuple(DIMENSIONS))
        return parse(f"{low or 0} {low_unit or unit}", dimension=last.dimension), last
    except InputError:
        return None


def order_of_times(kit: Kit, blank: Blank | None, criteria: tuple[Criterion, ...]) -> Iterable[Finding]:
    """A reading before its start, or later than the contract allows."""
    test = kit.test
    if test.started and test.read_at and test.read_at < test.started:
        yield _finding("time.order", "warning", started=test.started.isoformat(), read=test.read_at.isoformat())


def location_named(kit: Kit, blank: Blank | None, criteria: tuple[Criterion, ...]) -> Iterable[Finding]:
    """A test on steel without its place counts for no place."""
    method = library.method(kit.test.method)
    if method.applies_to == "steel" and not kit.test.location and (criteria or method.model != "condensation"):
        yield _finding("location.missing", "warning")


def stage_named(kit: Kit, blank: Blank | None, criteria: tuple[Criterion, ...]) -> Iterable[Finding]:
    """A test without its stage is not counted where the criterion asks for one."""
    for criterion in criteria:
        if criterion.stage and not kit.test.stage:
            yield _finding("stage.missing", "warning", criterion=criterion.id, stage=criterion.stage)


CHECKS: tuple[Check, ...] = (
    facts_not_written,
    volume_below_injected,
    volume_not_undiluted,
    blank_missing,
    blank_as_bound,
    blank_volume_missing,
    blank_of_other_volume,
    extract_without_amount,
    blank_exceeds_extract,
    blank_of_other_day,
    blank_of_other_meter,
    equipment_of_the_test,
    range_of_the_meter,
    order_of_times,
    location_named,
    stage_named,
)
