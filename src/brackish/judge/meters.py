# SPDX-License-Identifier: MIT
"""A conductivity meter: what its display leaves open, its gain, its temperature coefficient and reference.

The share of the reading in its accuracy, or its verification of the day, is the gain: one error of all
that the meter read. Range and digit parts, the display, and a certificate in the meter's own unit are errors of each reading on its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt

from brackish.errors import OutOfRange
from brackish.judge.inputs import INFINITE, Given, Kit, Part, certified, figure, mean_value, minutes_between, own_figure_or, scatter
from brackish.quantities import Quantity
from brackish.record.job import Equipment, Verification
from brackish.science import solutions, uncertainty


def reading(kit: Kit, *, name: str, readings: Sequence[Quantity], key: str, meter: Equipment | None) -> Given:
    """The mean of the readings, with display, range part and scatter; the gain is apart."""
    given = Given(name=name, key=key, value=mean_value(readings), unit="uS/cm", provenance="measured" if len(readings) > 1 else "declared")
    return own_figure_or(kit, given, lambda given: given.with_parts([*_display(kit, meter, name), *scatter(kit, readings)]))


def _display(kit: Kit, meter: Equipment | None, name: str) -> list[Part]:
    step = _resolution(kit, meter, name)
    parts: list[Part] = [(uncertainty.from_resolution(step=step), INFINITE)]
    if meter and meter.certified_uncertainty and meter.certified_uncertainty.dimension != "ratio":
        return [*parts, (certified(kit, meter, 0.0), INFINITE)]
    half_width = meter.accuracy.amount + meter.accuracy.digits * step if meter and meter.accuracy else 0.0
    return [*parts, (uncertainty.from_limits(half_width=half_width), INFINITE)] if half_width else parts


def _resolution(kit: Kit, meter: Equipment | None, name: str) -> float:
    step = _step(meter)
    return (step or kit.assumed("resolution", input=name)).inside


def _step(meter: Equipment | None) -> Quantity | None:
    return (meter.resolution or meter.graduation) if meter else None


def gain(kit: Kit, meter: Equipment | None) -> Given:
    """The meter's gain, 1: as good as its verification of the day, else as its maker says."""
    given = Given(name="meter_gain", key=f"meter_gain:{meter.id if meter else 'assumed'}", value=1.0, unit="")
    return own_figure_or(kit, given, lambda given: _verified(kit, meter, given) or _by_maker(kit, meter, given))


def _by_maker(kit: Kit, meter: Equipment | None, given: Given) -> Given:
    if meter and meter.certified_uncertainty:
        share = certified(kit, meter, 1.0) if meter.certified_uncertainty.dimension == "ratio" else 0.0
        return given._replace(standard_uncertainty=share, provenance="certificate", why=f"certificate of {meter.id}")
    if meter and meter.accuracy:
        return given._replace(standard_uncertainty=uncertainty.from_limits(half_width=meter.accuracy.share), why=f"{meter.accuracy.text} of {meter.id}")
    limit = kit.assumed("accuracy", input="meter_gain")
    return given._replace(standard_uncertainty=uncertainty.from_limits(half_width=limit.inside), provenance="assumed", why=f"± {limit.text}")


def _verified(kit: Kit, meter: Equipment | None, given: Given) -> Given | None:
    """The gain by the check of the day: the deviation it found (carried, not corrected), its solution, its display."""
    if meter is None:
        return None
    _compare_later(kit, meter)
    check = _check_before(kit, meter)
    deviation = _deviation(kit, meter, check) if check else None
    if check is None or deviation is None:
        return None
    display = uncertainty.from_resolution(step=_resolution(kit, meter, "meter_gain")) / check.reading.inside
    solution = _solution_uncertainty(kit, check)
    u = sqrt(deviation * deviation + solution * solution + display * display)
    return given._replace(standard_uncertainty=u, provenance="measured", why=f"{check.solution}, off by {percent(deviation)}")


def _check_before(kit: Kit, meter: Equipment) -> Verification | None:
    """The latest verification before the reading, when it is young enough; else a finding says why none counts."""
    at = kit.test.at
    if at is None:
        if meter.verification:
            kit.note("equipment.verification_undated", "warning", equipment=meter.id)
        return None
    latest = max((check for check in meter.verification if check.at <= at), key=lambda check: check.at, default=None)
    if latest is None:
        kit.note("equipment.verification_missing", "warning", equipment=meter.id)
        return None
    most = figure("verification_age")
    age = minutes_between(latest.at, at)
    if age > most.inside:
        kit.note("equipment.verification_old", "warning", equipment=meter.id, hours=f"{max(age, most.inside + 60.0) / 60.0:.0f}", allowed=most.text)
        return None
    return latest


def _compare_later(kit: Kit, meter: Equipment) -> None:
    """The next check after the reading changes no figure, but a meter found off then was perhaps off before."""
    at = kit.test.at
    later = min((check for check in meter.verification if at and check.at > at), key=lambda check: check.at, default=None)
    if later:
        _deviation(kit, meter, later)


def _deviation(kit: Kit, meter: Equipment, check: Verification) -> float | None:
    """How far a check found the meter off, relative; a finding when that is beyond its accuracy, or cannot be said."""
    reference = reference_temperature(meter)
    try:
        deviation = solutions.verification_deviation(
            solution=check.solution,
            reading=check.reading.inside,
            temperature=check.temperature.inside if check.temperature else reference,
            compensation=meter.temperature_compensation or "linear",
            coefficient=meter_coefficient(kit, meter),
            reference_temperature=reference,
        )
    except OutOfRange:
        kit.note("equipment.verification_outside", "warning", equipment=meter.id, solution=check.solution)
        return None
    most = allowed(meter, check)
    if abs(deviation) > most * (1.0 + 1e-12):
        kit.note("equipment.verification_off", "warning", equipment=meter.id, found=percent(deviation), allowed=percent(most), solution=check.solution)
    return deviation


def allowed(meter: Equipment, check: Verification) -> float:
    """The limits of error at the reading of a check, all terms added, relative."""
    if meter.accuracy is None:
        return figure("accuracy").inside
    step = (_step(meter) or figure("resolution")).inside
    return meter.accuracy.share + (meter.accuracy.amount + meter.accuracy.digits * step) / check.reading.inside


def _solution_uncertainty(kit: Kit, check: Verification) -> float:
    bottle = kit.job.equipment_by_id.get(check.bottle)
    if bottle and bottle.certified_uncertainty:
        return certified(kit, bottle, check.reading.inside) / check.reading.inside
    return kit.assumed("solution", input="meter_gain").inside


def percent(share: float) -> str:
    """A share as it is said, with its sign."""
    return f"{100.0 * share:+.1f}\u00a0%".replace("-", "\u2212")


def reference_temperature(meter: Equipment | None) -> float:
    """The temperature a meter's display refers to, 25 °C where nothing says."""
    return ((meter and meter.reference_temperature) or figure("reference_temperature")).inside


def meter_coefficient(kit: Kit, meter: Equipment | None, stated: Quantity | None = None) -> float:
    """The temperature coefficient a meter is set to; without one, that stated for the test, else 2.0 %/K with a finding."""
    known = (meter and meter.temperature_coefficient) or stated
    return (known or kit.assumed("temperature_coefficient", input="temperature_coefficient")).inside


def coefficient(kit: Kit, meter: Equipment | None, stated: Quantity | None) -> Given:
    """The temperature coefficient of the solution, shared by all that one meter read."""
    value = stated.inside if stated else meter_coefficient(kit, meter)
    given = Given(name="temperature_coefficient", key=f"temperature_coefficient:{meter.id if meter else 'assumed'}", value=value, unit="1/K")
    return own_figure_or(kit, given, lambda given: _by_habit(kit, given))


def _by_habit(kit: Kit, given: Given) -> Given:
    limit = kit.assumed("temperature_coefficient_limit", input="temperature_coefficient")
    return given._replace(standard_uncertainty=uncertainty.from_limits(half_width=limit.inside), provenance="assumed", why=f"± {limit.text}")
