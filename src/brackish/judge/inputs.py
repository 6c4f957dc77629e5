# SPDX-License-Identifier: MIT
"""Every input of a test's model: its value, how uncertain it is, and by whose word.

The word is the input's provenance: `measured`, `certificate`, `declared`, `published` or `assumed`.
An assumed one comes from `library/assumptions.toml` and leaves the finding `uncertainty.assumed`.
Inputs that several tests share (one meter, one blank, one thermometer) carry the same `key`, so that
a mean takes them once. What a conductivity meter shows, its gain and its coefficient: `meters.py`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from fractions import Fraction
from functools import cache, cached_property
from math import fsum, sqrt
from typing import Any, NamedTuple

from brackish import library
from brackish.judge.outcome import Finding
from brackish.quantities import Quantity, parse, shown_unit, significant
from brackish.record.job import Blank, Equipment, Job, Test
from brackish.science import uncertainty

INFINITE = None
READS_VOLUME = ("flask", "cylinder", "beaker", "pipette", "burette", "syringe")
READS_SMALL_VOLUME = ("syringe", "pipette", "burette", "cylinder", "flask", "beaker")
USUAL_COVERAGE_FACTOR = 2.0

Part = tuple[float, float | None]  # standard uncertainty, degrees of freedom


class Given(NamedTuple):
    """One input: value and standard uncertainty in `unit`; `key` says which error it shares."""

    name: str
    key: str
    value: float
    unit: str
    standard_uncertainty: float = 0.0
    degrees_of_freedom: float | None = INFINITE
    provenance: str = "declared"
    why: str = ""
    spans: tuple[float, float] | None = None  # of an error that several values share

    def with_parts(self, parts: Sequence[Part], **more: str) -> Given:
        """The input with an uncertainty made of independent parts."""
        u, freedom = combined(parts)
        return self._replace(standard_uncertainty=u, degrees_of_freedom=freedom, **more)  # type: ignore[arg-type]


def combined(parts: Sequence[Part]) -> Part:
    """Independent parts as one standard uncertainty with its effective degrees of freedom."""
    variance = fsum(u * u for u, _ in parts)
    limited = fsum(u * u * u * u / freedom for u, freedom in parts if freedom is not INFINITE)
    return sqrt(variance), variance * variance / limited if limited > 0.0 else INFINITE


@dataclass
class Kit:
    """What was used for one test, and the notes taken while asking how good it is."""

    job: Job
    test: Test
    findings: list[Finding] = field(default_factory=list)
    worked_out: dict[object, Any] = field(default_factory=dict)

    @cached_property
    def equipment(self) -> list[Equipment]:
        return [self.job.equipment_by_id[id] for id in self.test.equipment]

    def first(self, kinds: Sequence[str]) -> Equipment | None:
        ranked = [each for each in self.equipment if each.kind in kinds]
        return min(ranked, key=lambda each: kinds.index(each.kind), default=None)

    @cached_property
    def meter(self) -> Equipment | None:
        return self.first(("conductivity-meter",))

    def once(self, what: object, work_out: Callable[[], Any]) -> Any:
        """What several results of a test are made of: worked out, and what is odd about it noted, once."""
        if what not in self.worked_out:
            self.worked_out[what] = work_out()
        return self.worked_out[what]

    def note(self, code: str, severity: str = "note", **params: object) -> None:
        self.findings.append(Finding(code=code, severity=severity, params=params))

    def assumed(self, key: str, *, input: str) -> Quantity:
        """A figure from the table of assumptions, with its finding."""
        row = library.assumption(key)
        self.note("uncertainty.assumed", "warning", input=input, value=row.value, what=row.label)
        return figure(key)


@cache
def figure(key: str) -> Quantity:
    """A figure from the table of assumptions, where its use is no assumption about this test."""
    wanted = ("ratio", "volume", "temperature_difference", "temperature_coefficient", "conductivity", "time", "temperature")
    return parse(library.assumption(key).value, dimension=wanted)


def minutes_between(start: datetime, end: datetime) -> float:
    """How long after `start` it is `end`, whatever clocks the two were written by [min]; negative before it."""
    return (end - start).total_seconds() / 60.0


def own_figure_or(kit: Kit, given: Given, work_out: Callable[[Given], Given]) -> Given:
    """The input with the test's own figure of [test.uncertainty]; without one, as the program works it out."""
    own = kit.test.uncertainty.get(given.name)
    if own is None:
        return kit.once(given, lambda: work_out(given))
    return given._replace(
        standard_uncertainty=own.standard_uncertainty.inside,
        degrees_of_freedom=own.degrees_of_freedom,
        provenance="declared",
        why="given for this test",
    )


def by_instrument(kit: Kit, given: Given, instrument: Equipment | None, *, assumed: str, relative: bool = False) -> Given:
    """How uncertain a figure is by what measured it: certificate, else limits of error, graduation and display, else what is assumed."""
    if instrument and instrument.certified_uncertainty:
        u = certified(kit, instrument, given.value)
        return given._replace(standard_uncertainty=u, provenance="certificate", why=f"certificate of {instrument.id}")
    parts = _stated(instrument, given.value) if instrument else []
    if instrument and (instrument.accuracy or instrument.graduation):
        return given.with_parts(parts, why=f"{instrument.accuracy.text} of {instrument.id}" if instrument.accuracy else instrument.id)
    limit = kit.assumed(assumed, input=given.name)
    half_width = limit.inside * abs(given.value) if relative else limit.inside
    return given.with_parts([*parts, (uncertainty.from_limits(half_width=half_width), INFINITE)], provenance="assumed", why=f"± {limit.text}")


def _stated(instrument: Equipment, value: float) -> list[Part]:
    """What an instrument's own figures leave open: limits rectangular, graduation triangular over half a step, a display over its step."""
    parts: list[Part] = []
    step = instrument.resolution.inside if instrument.resolution else 0.0
    if instrument.accuracy:
        half_width = instrument.accuracy.share * abs(value) + instrument.accuracy.amount + instrument.accuracy.digits * step
        parts.append((uncertainty.from_limits(half_width=half_width), INFINITE))
    if instrument.graduation:
        parts.append((uncertainty.from_triangular(half_width=instrument.graduation.inside / 2.0), INFINITE))
    if step:
        parts.append((uncertainty.from_resolution(step=step), INFINITE))
    return parts


def certified(kit: Kit, equipment: Equipment, value: float) -> float:
    """The standard uncertainty that a certificate states, for a figure of this size; k = 2 with a finding where it does not say."""
    stated = equipment.certified_uncertainty
    assert stated
    if equipment.coverage_factor is None:
        kit.note("uncertainty.coverage_taken", equipment=equipment.id, factor=f"{USUAL_COVERAGE_FACTOR:g}")
    expanded = stated.inside * abs(value) if stated.dimension == "ratio" else stated.inside
    return uncertainty.from_certificate(expanded=expanded, coverage_factor=equipment.coverage_factor or USUAL_COVERAGE_FACTOR)


def volume(kit: Kit, *, name: str, value: Quantity, kinds: Sequence[str], key: str = "") -> Given:
    """A volume and its uncertainty by the vessel that measured it."""
    given = Given(name=name, key=key or f"{name}:{kit.test.id}", value=value.inside, unit="mL")
    return own_figure_or(kit, given, lambda given: by_instrument(kit, given, kit.first(kinds), assumed="volume"))


def area(kit: Kit, *, name: str, value: Quantity, kinds: Sequence[str]) -> Given:
    """An area and its uncertainty by the cell or sleeve that bounds it."""
    given = Given(name=name, key=f"{name}:{kit.test.id}", value=value.inside, unit="mm2")
    return own_figure_or(kit, given, lambda given: by_instrument(kit, given, kit.first(kinds), assumed="area", relative=True))


def mass(kit: Kit, *, name: str, value: Quantity, key: str) -> Given:
    """A mass and the limits of the balance."""
    given = Given(name=name, key=key, value=value.inside, unit="g")
    return own_figure_or(kit, given, lambda given: by_instrument(kit, given, kit.first(("balance",)), assumed="mass", relative=True))


def temperature(kit: Kit, *, name: str, value: float, key: str = "") -> Given:
    """A temperature and the limits of the thermometer that showed it."""
    thermometer = kit.first(("thermometer",))
    shared = thermometer.id if thermometer else (kit.meter.id if kit.meter else "assumed")
    given = Given(name=name, key=key or f"thermometer:{shared}", value=value, unit="degC")
    return own_figure_or(kit, given, lambda given: by_instrument(kit, given, thermometer, assumed="thermometer"))


def humidity(kit: Kit, *, value: Quantity) -> Given:
    """Relative humidity as a share, by the hygrometer."""
    hygrometer = kit.first(("hygrometer",))
    given = Given(name="relative_humidity", key=f"hygrometer:{hygrometer.id if hygrometer else kit.test.id}", value=value.inside, unit="")
    return own_figure_or(kit, given, lambda given: by_instrument(kit, given, hygrometer, assumed="humidity"))


def titrant(kit: Kit, *, value: Quantity) -> Given:
    """The titrant's concentration by its bottle; one bottle serves all tests that name it."""
    bottle = kit.first(("titrant", "solution"))
    unit = "mol/L" if value.dimension == "amount_concentration" else "eq/L"
    given = Given(name="titrant_concentration", key=f"titrant:{bottle.id if bottle else 'assumed'}", value=value.inside, unit=unit)
    return own_figure_or(kit, given, lambda given: by_instrument(kit, given, bottle, assumed="titrant", relative=True))


def fixed(kit: Kit, *, name: str, value: float, unit: str, standard_uncertainty: float = 0.0, provenance: str = "published", why: str = "") -> Given:
    """An input that is a definition or a stated figure of the model, the same for all tests."""
    given = Given(name=name, key=name, value=value, unit=unit, standard_uncertainty=standard_uncertainty, provenance=provenance, why=why)
    return own_figure_or(kit, given, lambda given: given)


def electrolyte_model(kit: Kit) -> Given:
    """What the NaCl curve leaves open, as a factor of 1."""
    u = figure("electrolyte_model").inside
    return fixed(kit, name="electrolyte_model", value=1.0, unit="", standard_uncertainty=u, why="NaCl curve against handbook rows")


def mean_reading(readings: Sequence[Quantity]) -> tuple[float, str]:
    """The mean of repeats on one solution, and its bound: "<" or ">" when any of them is one, both when they contradict."""
    return mean_value(readings), joined_bound(reading.bound for reading in readings)


def mean_value(readings: Sequence[Quantity]) -> float:
    """The mean of repeats on one solution, whatever bounds they have."""
    return fsum(reading.inside for reading in readings) / len(readings)


def blank_reading(blank: Blank) -> tuple[Quantity, ...]:
    """What a blank takes off: its readings; one only known as under the first mark takes nothing off."""
    return tuple(replace(reading, value=Fraction(0)) if reading.bound == "<" else reading for reading in blank.reading)


def joined_bound(bounds: object) -> str:
    """The bound of a mean: "<", ">", "" or, where both occur and nothing is known, "<>"."""
    return "".join(sorted({bound for bound in bounds if bound}))  # type: ignore[attr-defined]


def scatter(kit: Kit, readings: Sequence[Quantity]) -> list[Part]:
    """Repeats: the scatter known from the history for up to three of them, else their own."""
    values = [reading.inside for reading in readings]
    alike = (row for row in kit.job.history if row.method == kit.test.method and row.standard_deviation.dimension == readings[0].dimension)
    history = next(alike, None)
    if history and len(values) <= 3:
        known = uncertainty.from_pooled(
            values=values, standard_deviation=history.standard_deviation.inside, degrees_of_freedom=float(history.degrees_of_freedom)
        )
        return [(known.standard_uncertainty, known.degrees_of_freedom)]
    if len(values) < 2:
        return []
    if len(values) <= 3:
        kit.note("replicate.own_scatter", readings=len(values))
    own = uncertainty.from_repeats(values=values)
    return [(own.standard_uncertainty, own.degrees_of_freedom)] if own.standard_uncertainty > 0.0 else []


def tube_reading(kit: Kit, *, name: str, readings: Sequence[Quantity], key: str, tube: Equipment | None) -> Given:
    """The mark read on a tube: its scale, its maker's accuracy or what is assumed, and the scatter of repeats."""
    given = Given(name=name, key=key, value=mean_value(readings), unit="mg/L")
    return own_figure_or(kit, given, lambda given: _by_tube(kit, given, readings, tube))


def _by_tube(kit: Kit, given: Given, readings: Sequence[Quantity], tube: Equipment | None) -> Given:
    by_maker = by_instrument(kit, given, replace(tube, graduation=None) if tube else None, assumed="tube", relative=True)
    parts = [(by_maker.standard_uncertainty, INFINITE), *scatter(kit, readings)]
    if tube and tube.graduation:
        parts.append((uncertainty.from_resolution(step=tube.graduation.inside), INFINITE))
    return by_maker.with_parts(parts)


def shown_value(given: Given) -> str:
    """The value of an input for people; for an error that several values share, from which to which they go."""
    if given.spans is None:
        return shown_figure(given, given.value)
    return f"{significant(given.spans[0])} to {shown_figure(given, given.spans[1])}"


def shown_figure(given: Given, value: float) -> str:
    """A figure of an input for people, with three significant digits and its unit."""
    if given.unit in ("1/K", ""):
        return f"{significant(100.0 * value)}\u00a0%{'/K' if given.unit else ''}"
    return f"{significant(value)}\u00a0{shown_unit(given.unit)}"
