# SPDX-License-Identifier: MIT
"""Every input of a test's model: its value, how uncertain it is, and by whose word.

The word is the input's provenance: `measured`, `certificate`, `declared`, `published` or `assumed`.
An assumed one comes from `library/assumptions.toml` and leaves the finding `uncertainty.assumed`.
Inputs that several tests share (one meter, one blank, one thermometer) carry the same `key`, so that
a mean takes them once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import timedelta
from math import fsum, sqrt

from brackish import library
from brackish.judge.outcome import Finding
from brackish.quantities import Quantity, parse, shown_unit, significant
from brackish.record.job import Equipment, Job, Test, Verification
from brackish.science import solutions, uncertainty

INFINITE = None
READS_VOLUME = ("flask", "cylinder", "beaker", "pipette", "burette", "syringe")
READS_SMALL_VOLUME = ("syringe", "pipette", "burette", "cylinder", "flask", "beaker")


@dataclass(frozen=True, kw_only=True)
class Given:
    """One input: value and standard uncertainty in `unit`; `key` says which error it shares."""

    name: str
    key: str
    value: float
    standard_uncertainty: float
    degrees_of_freedom: float | None
    unit: str
    provenance: str
    why: str = ""


@dataclass
class Kit:
    """What was used for one test, and the notes taken while asking how good it is."""

    job: Job
    test: Test
    findings: list[Finding] = field(default_factory=list)

    @property
    def equipment(self) -> list[Equipment]:
        by_id = {each.id: each for each in self.job.equipment}
        return [by_id[id] for id in self.test.equipment]

    def first(self, kinds: Sequence[str]) -> Equipment | None:
        ranked = [each for each in self.equipment if each.kind in kinds]
        return min(ranked, key=lambda each: kinds.index(each.kind), default=None)

    @property
    def meter(self) -> Equipment | None:
        return self.first(("conductivity-meter",))

    def note(self, code: str, severity: str = "note", **params: object) -> None:
        self.findings.append(Finding(code=code, severity=severity, params=params))

    def assumed(self, key: str, *, input: str) -> Quantity:
        """A figure from the table of assumptions, with its finding."""
        row = library.assumption(key)
        self.note("uncertainty.assumed", "warning", input=input, value=row.value, what=row.label)
        return _parse_any(row.value)


def _parse_any(text: str) -> Quantity:
    return parse(text, dimension=("ratio", "volume", "temperature_difference", "temperature_coefficient", "conductivity", "time", "temperature"))


def overridden(kit: Kit, given: Given) -> Given:
    """The input with the test's own figure in place of the program's, where one is given."""
    figure = kit.test.uncertainty.get(given.name)
    if figure is None:
        return given
    return replace(
        given,
        standard_uncertainty=figure.standard_uncertainty.inside,
        degrees_of_freedom=figure.degrees_of_freedom,
        provenance="declared",
        why="given for this test",
    )


def _has_own(kit: Kit, name: str) -> bool:
    return name in kit.test.uncertainty


def _combine(parts: Sequence[tuple[float, float | None]]) -> tuple[float, float | None]:
    """Independent parts as one standard uncertainty with its effective degrees of freedom."""
    variance = fsum(u * u for u, _ in parts)
    limited = fsum(u * u * u * u / freedom for u, freedom in parts if freedom is not INFINITE)
    return sqrt(variance), variance * variance / limited if limited > 0.0 else INFINITE


def volume(kit: Kit, *, name: str, value: Quantity, kinds: Sequence[str], key: str = "") -> Given:
    """A volume and its uncertainty by the vessel that measured it."""
    given = Given(
        name=name,
        key=key or f"{name}:{kit.test.id}",
        value=value.inside,
        standard_uncertainty=0.0,
        degrees_of_freedom=INFINITE,
        unit="mL",
        provenance="declared",
    )
    if _has_own(kit, name):
        return overridden(kit, given)
    return _by_vessel(kit, given, kit.first(kinds), assumed="volume", relative=False)


def area(kit: Kit, *, name: str, value: Quantity, kinds: Sequence[str]) -> Given:
    """An area and its uncertainty by the cell or sleeve that bounds it."""
    given = Given(
        name=name, key=f"{name}:{kit.test.id}", value=value.inside, standard_uncertainty=0.0, degrees_of_freedom=INFINITE, unit="mm2", provenance="declared"
    )
    if _has_own(kit, name):
        return overridden(kit, given)
    return _by_vessel(kit, given, kit.first(kinds), assumed="area", relative=True)


def _by_vessel(kit: Kit, given: Given, vessel: Equipment | None, *, assumed: str, relative: bool) -> Given:
    if vessel and vessel.certified_uncertainty:
        factor = vessel.coverage_factor
        if factor is None:
            kit.note("uncertainty.coverage_taken", equipment=vessel.id, factor="2")
        figure = vessel.certified_uncertainty
        expanded = figure.inside * given.value if figure.dimension == "ratio" else figure.inside
        u = uncertainty.from_certificate(expanded_uncertainty=expanded, coverage_factor=factor or 2.0)
        return replace(given, standard_uncertainty=u, provenance="certificate", why=f"certificate of {vessel.id}")
    if vessel and (vessel.accuracy or vessel.graduation):
        parts = []
        if vessel.accuracy:
            parts.append((uncertainty.from_limits(half_width=vessel.accuracy.share * given.value + vessel.accuracy.amount), INFINITE))
        if vessel.graduation:
            parts.append((uncertainty.from_triangular(half_width=vessel.graduation.inside / 2.0), INFINITE))
        return replace(given, standard_uncertainty=_combine(parts)[0], why=f"{vessel.id}")
    limit = kit.assumed(assumed, input=given.name)
    a = limit.inside * given.value if relative else limit.inside
    return replace(given, standard_uncertainty=uncertainty.from_limits(half_width=a), provenance="assumed", why=f"± {limit.text}")


def mean_reading(readings: Sequence[Quantity]) -> tuple[float, str]:
    """The mean of repeats on one solution, and its bound: "<" or ">" when any of them is one."""
    bounds = {reading.bound for reading in readings if reading.bound}
    return fsum(reading.inside for reading in readings) / len(readings), bounds.pop() if len(bounds) == 1 else ""


def reading(kit: Kit, *, name: str, readings: Sequence[Quantity], key: str, unit: str, meter: Equipment | None) -> Given:
    """The value of a reading and what the display and its repeats leave open; the gain is apart."""
    value, _ = mean_reading(readings)
    given = Given(name=name, key=key, value=value, standard_uncertainty=0.0, degrees_of_freedom=INFINITE, unit=unit, provenance="measured")
    if _has_own(kit, name):
        return overridden(kit, given)
    step = _resolution(kit, meter, name, unit)
    parts: list[tuple[float, float | None]] = [(uncertainty.from_resolution(step=step), INFINITE)] if step else []
    if meter and meter.accuracy and (meter.accuracy.amount or meter.accuracy.digits):
        parts.append((uncertainty.from_limits(half_width=meter.accuracy.amount + meter.accuracy.digits * step), INFINITE))
    parts.extend(_scatter(kit, [each.inside for each in readings], unit))
    u, freedom = _combine(parts)
    return replace(given, standard_uncertainty=u, degrees_of_freedom=freedom, provenance="measured" if len(readings) > 1 else "declared")


def _resolution(kit: Kit, meter: Equipment | None, name: str, unit: str) -> float:
    if meter and meter.resolution:
        return meter.resolution.inside
    if meter and meter.graduation:
        return meter.graduation.inside
    if unit != "uS/cm":
        return 0.0
    return kit.assumed("resolution", input=name).inside


def _scatter(kit: Kit, values: list[float], unit: str) -> list[tuple[float, float | None]]:
    """Repeats: pooled scatter from the history for up to three of them, else their own."""
    history = next((row for row in kit.job.history if row.method == kit.test.method and row.standard_deviation.dimension == _dimension(unit)), None)
    if history and len(values) <= 3:
        return [(history.standard_deviation.inside / sqrt(len(values)), float(history.degrees_of_freedom))]
    if len(values) < 2:
        return []
    if len(values) <= 3:
        kit.note("replicate.own_scatter", readings=len(values))
    own = uncertainty.from_repeats(values=values)
    return [(own.standard_uncertainty, own.degrees_of_freedom)] if own.standard_uncertainty > 0.0 else []


def _dimension(unit: str) -> str:
    return "conductivity" if unit == "uS/cm" else "concentration"


def gain(kit: Kit, meter: Equipment | None) -> Given:
    """The meter's gain, 1: as good as its verification of the day, else as its maker says."""
    given = Given(
        name="meter_gain",
        key=f"meter_gain:{meter.id if meter else 'assumed'}",
        value=1.0,
        standard_uncertainty=0.0,
        degrees_of_freedom=INFINITE,
        unit="",
        provenance="declared",
    )
    if _has_own(kit, "meter_gain"):
        return overridden(kit, given)
    check = _check_before(kit, meter)
    if meter and check:
        u, deviation = _verified(kit, meter, check)
        share = meter.accuracy.share if meter.accuracy else _assumed_share()
        limit = share + (meter.accuracy.amount / check.reading.inside if meter.accuracy else 0.0)
        if abs(deviation) > limit > 0.0:
            kit.note("equipment.verification_off", "warning", equipment=meter.id, found=_percent(deviation), allowed=_percent(limit), solution=check.solution)
        return replace(given, standard_uncertainty=u, provenance="measured", why=f"{check.solution}, off by {_percent(deviation)}")
    if meter and meter.accuracy:
        return replace(given, standard_uncertainty=uncertainty.from_limits(half_width=meter.accuracy.share), why=f"{meter.accuracy.text} of {meter.id}")
    limit_of_error = kit.assumed("accuracy", input="meter_gain")
    return replace(given, standard_uncertainty=uncertainty.from_limits(half_width=limit_of_error.inside), provenance="assumed", why=f"± {limit_of_error.text}")


def _assumed_share() -> float:
    return parse(library.assumption("accuracy").value, dimension="ratio").inside


def _percent(share: float) -> str:
    return f"{100.0 * share:+.1f} %".replace("-", "\u2212")


def _check_before(kit: Kit, meter: Equipment | None) -> Verification | None:
    """The latest verification before the reading that is young enough; else a finding."""
    if meter is None:
        return None
    at = kit.test.at
    before = [check for check in meter.verification if at is None or check.at <= at]
    if not before:
        kit.note("equipment.verification_missing", "warning", equipment=meter.id)
        return None
    latest = max(before, key=lambda check: check.at)
    most = parse(library.assumption("verification_age").value, dimension="time")
    if at is not None and at - latest.at > timedelta(minutes=float(most.exact)):
        hours = (at - latest.at).total_seconds() / 3600.0
        kit.note("equipment.verification_old", "warning", equipment=meter.id, hours=f"{hours:.0f}", allowed=most.text)
        return None
    return latest


def _verified(kit: Kit, meter: Equipment, check: Verification) -> tuple[float, float]:
    """Standard uncertainty of the gain by a check, and the relative deviation it found (not corrected)."""
    deviation = solutions.verification_deviation(
        solution=check.solution,
        reading=check.reading.inside,
        temperature=check.temperature.inside if check.temperature else reference_temperature(meter),
        compensation=meter.temperature_compensation or "linear",
        coefficient=coefficient_of(meter),
        reference_temperature=reference_temperature(meter),
    )
    step = meter.resolution.inside if meter.resolution else parse(library.assumption("resolution").value, dimension="conductivity").inside
    display = uncertainty.from_resolution(step=step) / check.reading.inside
    return sqrt(deviation * deviation + _solution_uncertainty(kit, check) * _solution_uncertainty(kit, check) + display * display), deviation


def _solution_uncertainty(kit: Kit, check: Verification) -> float:
    bottle = next((each for each in kit.job.equipment if each.id == check.bottle), None)
    if bottle and bottle.certified_uncertainty:
        figure = bottle.certified_uncertainty
        nominal = figure.inside if figure.dimension == "ratio" else figure.inside / check.reading.inside
        return nominal / (bottle.coverage_factor or 2.0)
    return kit.assumed("solution", input="meter_gain").inside


def reference_temperature(meter: Equipment | None) -> float:
    """The temperature a meter's display refers to, 25 °C where nothing says."""
    if meter and meter.reference_temperature:
        return meter.reference_temperature.inside
    return parse(library.assumption("reference_temperature").value, dimension="temperature").inside


def coefficient_of(meter: Equipment | None) -> float:
    """The temperature coefficient a meter uses, 2.0 %/K where nothing says."""
    if meter and meter.temperature_coefficient:
        return meter.temperature_coefficient.inside
    return parse(library.assumption("temperature_coefficient").value, dimension="temperature_coefficient").inside


def coefficient(kit: Kit, meter: Equipment | None, stated: Quantity | None) -> Given:
    """The temperature coefficient of the solution, shared by all that one meter read."""
    value = stated.inside if stated else coefficient_of(meter)
    given = Given(
        name="temperature_coefficient",
        key=f"temperature_coefficient:{meter.id if meter else 'assumed'}",
        value=value,
        standard_uncertainty=0.0,
        degrees_of_freedom=INFINITE,
        unit="1/K",
        provenance="declared",
    )
    if _has_own(kit, "temperature_coefficient"):
        return overridden(kit, given)
    limit = kit.assumed("temperature_coefficient_limit", input="temperature_coefficient")
    return replace(given, standard_uncertainty=uncertainty.from_limits(half_width=limit.inside), provenance="assumed", why=f"± {limit.text}")


def temperature(kit: Kit, *, name: str, value: float, key: str = "") -> Given:
    """A temperature and the limits of the thermometer that showed it."""
    thermometer = kit.first(("thermometer",))
    shared = thermometer.id if thermometer else (kit.meter.id if kit.meter else "assumed")
    given = Given(
        name=name, key=key or f"thermometer:{shared}", value=value, standard_uncertainty=0.0, degrees_of_freedom=INFINITE, unit="degC", provenance="declared"
    )
    if _has_own(kit, name):
        return overridden(kit, given)
    if thermometer and thermometer.accuracy:
        limit = thermometer.accuracy.amount + thermometer.accuracy.share * abs(value)
        return replace(given, standard_uncertainty=uncertainty.from_limits(half_width=limit), why=f"{thermometer.accuracy.text} of {thermometer.id}")
    assumed = kit.assumed("thermometer", input=name)
    return replace(given, standard_uncertainty=uncertainty.from_limits(half_width=assumed.inside), provenance="assumed", why=f"± {assumed.text}")


def fixed(kit: Kit, *, name: str, value: float, unit: str, standard_uncertainty: float = 0.0, provenance: str = "published", why: str = "") -> Given:
    """An input that is a definition or a stated figure of the model, the same for all tests."""
    given = Given(
        name=name, key=name, value=value, standard_uncertainty=standard_uncertainty, degrees_of_freedom=INFINITE, unit=unit, provenance=provenance, why=why
    )
    return overridden(kit, given)


def tube_reading(kit: Kit, *, name: str, readings: Sequence[Quantity], key: str, tube: Equipment | None) -> Given:
    """The mark read on a tube: its maker's accuracy and graduation, else what is assumed."""
    value, _ = mean_reading(readings)
    given = Given(name=name, key=key, value=value, standard_uncertainty=0.0, degrees_of_freedom=INFINITE, unit="mg/L", provenance="declared")
    if _has_own(kit, name):
        return overridden(kit, given)
    parts = _scatter(kit, [each.inside for each in readings], "mg/L")
    if tube and tube.graduation:
        parts.append((uncertainty.from_resolution(step=tube.graduation.inside), INFINITE))
    if tube and tube.accuracy:
        parts.append((uncertainty.from_limits(half_width=tube.accuracy.share * value + tube.accuracy.amount), INFINITE))
        provenance, why = "declared", f"{tube.accuracy.text} of {tube.id}"
    else:
        share = kit.assumed("tube", input=name)
        parts.append((uncertainty.from_limits(half_width=share.inside * value), INFINITE))
        provenance, why = "assumed", f"± {share.text}"
    u, freedom = _combine(parts)
    return replace(given, standard_uncertainty=u, degrees_of_freedom=freedom, provenance=provenance, why=why)


def mass(kit: Kit, *, name: str, value: Quantity, key: str) -> Given:
    """A mass and the limits of the balance."""
    given = Given(name=name, key=key, value=value.inside, standard_uncertainty=0.0, degrees_of_freedom=INFINITE, unit="g", provenance="declared")
    if _has_own(kit, name):
        return overridden(kit, given)
    return _by_vessel(kit, given, kit.first(("balance",)), assumed="mass", relative=True)


def titrant(kit: Kit, *, value: Quantity) -> Given:
    """The titrant's concentration by its bottle; one bottle serves all tests that name it."""
    bottle = kit.first(("titrant", "solution"))
    given = Given(
        name="titrant_concentration",
        key=f"titrant:{bottle.id if bottle else 'assumed'}",
        value=value.inside,
        standard_uncertainty=0.0,
        degrees_of_freedom=INFINITE,
        unit="mol/L" if value.dimension == "amount_concentration" else "eq/L",
        provenance="declared",
    )
    if _has_own(kit, "titrant_concentration"):
        return overridden(kit, given)
    if bottle and bottle.certified_uncertainty and bottle.certified_uncertainty.dimension == "ratio":
        u = given.value * bottle.certified_uncertainty.inside / (bottle.coverage_factor or 2.0)
        return replace(given, standard_uncertainty=u, provenance="certificate", why=f"certificate of {bottle.id}")
    share = kit.assumed("titrant", input="titrant_concentration")
    u = uncertainty.from_limits(half_width=share.inside * given.value)
    return replace(given, standard_uncertainty=u, provenance="assumed", why=f"± {share.text}")


def humidity(kit: Kit, *, value: Quantity) -> Given:
    """Relative humidity as a share, by the hygrometer."""
    hygrometer = kit.first(("hygrometer",))
    given = Given(
        name="relative_humidity",
        key=f"hygrometer:{hygrometer.id if hygrometer else kit.test.id}",
        value=value.inside,
        standard_uncertainty=0.0,
        degrees_of_freedom=INFINITE,
        unit="",
        provenance="declared",
    )
    if _has_own(kit, "relative_humidity"):
        return overridden(kit, given)
    if hygrometer and hygrometer.accuracy:
        return replace(
            given, standard_uncertainty=uncertainty.from_limits(half_width=hygrometer.accuracy.amount), why=f"{hygrometer.accuracy.text} of {hygrometer.id}"
        )
    share = kit.assumed("humidity", input="relative_humidity")
    return replace(given, standard_uncertainty=uncertainty.from_limits(half_width=share.inside), provenance="assumed", why=f"± {share.text}")


def shown_figure(given: Given, value: float) -> str:
    """A figure of an input for people, with three significant digits and its unit."""
    if given.unit in ("1/K", ""):
        return f"{significant(100.0 * value)}\u00a0%{'/K' if given.unit else ''}"
    return f"{significant(value)}\u00a0{shown_unit(given.unit)}"


def assumption_value(key: str) -> float:
    """A figure of the table of assumptions in its inside unit, without a finding: a stated property of a model."""
    return _parse_any(library.assumption(key).value).inside
