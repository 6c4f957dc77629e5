# SPDX-License-Identifier: MIT
"""What a lesson's control does: one number moves, the real functions of `science/` answer.

Each lesson is a function from the number to rows: a name, an amount, its place on the line, and the
verdict under simple acceptance where there is one. The page draws what stands here and computes nothing.
The patch of 1250 mm² and the volumes 3, 10 and 15 mL are common practice, no source; the extracts are invented.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from brackish.judge.verdicts import chance
from brackish.quantities import show as in_words
from brackish.quantities import shown_unit
from brackish.report.figures import scale_over
from brackish.report.words import split
from brackish.science import amounts, conformity, electrolyte, sampling, temperature

AREA = 1250.0  # mm2
LIMIT = 50.0  # mg/m2
VOLUME = 10.0  # mL
VOLUMES = (3.0, 10.0, 15.0)
EXTRACT = 14.0  # uS/cm, of the lesson on the blank
SOLUTION = 6.0  # mg/L of NaCl, of the lesson on temperature
COEFFICIENT = 0.02  # 1/K, the usual setting of a meter (common practice, no source)
STANDARD_UNCERTAINTY = 1.5  # mg/m2, of the lesson on the rule
LEVEL = 0.95
SHARES = (0.05, 0.1, 0.2, 0.5)


@dataclass(frozen=True)
class Control:
    """The one number that moves."""

    label: str
    unit: str
    lowest: float
    highest: float
    step: float
    start: float

    @property
    def decimals(self) -> int:
        return 0 if self.step == int(self.step) else 1


@dataclass(frozen=True)
class Row:
    """One line of the answer; positions are percent of the line's width."""

    name: str
    number: str
    unit: str
    kind: str  # pass, fail, inconclusive, accepted; plain where nothing is judged
    word: str
    at: float
    vial: float | None = None  # how full the glass is, 0 to 1


@dataclass(frozen=True)
class Answer:
    """What the page shows for one place of the control."""

    value: float
    shown: str
    rows: tuple[Row, ...]
    told: str


@dataclass(frozen=True)
class Model:
    """A lesson's control and its function; the line runs from `ends[0]` to `ends[1]`."""

    control: Control
    ends: tuple[float, float]
    limit: float | None
    answer: Callable[[float], tuple[tuple[Row, ...], str]]


def answer(model: Model, value: float) -> Answer:
    """The answer to a place of the control; a number outside it is taken at its end."""
    control = model.control
    kept = min(control.highest, max(control.lowest, value))
    rows, told = model.answer(kept)
    return Answer(kept, in_words(kept, unit=control.unit, decimals=control.decimals), rows, told)


def models() -> dict[str, Model]:
    """Every lesson by its name, in the order in which they are taught."""
    difference = _("Sample minus blank")
    return {
        "volume": Model(Control(difference, "uS/cm", 0.0, 20.0, 0.1, 10.0), (0.0, 120.0), LIMIT, _volume),
        "blank": Model(Control(_("The blank"), "uS/cm", 0.0, 10.0, 0.1, 2.0), (0.0, 80.0), LIMIT, _blank),
        "species": Model(Control(difference, "uS/cm", 0.0, 20.0, 0.1, 13.0), (0.0, 80.0), LIMIT, _species),
        "temperature": Model(Control(_("Temperature of the solution"), "degC", 5.0, 35.0, 0.5, 12.0), (0.0, 80.0), LIMIT, _temperature),
        "rule": Model(Control(_("The result"), "mg/m2", 40.0, 60.0, 0.1, 48.5), (40.0, 60.0), LIMIT, _rule),
        "sampling": Model(Control(_("Places tested"), "", 1.0, 29.0, 1.0, 3.0), (0.0, 100.0), None, _sampling),
    }


def line_of(model: Model) -> dict[str, Any]:
    """The line that all rows share: numerals and ticks at their places, and the limit."""
    scale = scale_over(low=model.ends[0], high=model.ends[1])
    return {
        "numerals": scale.numerals(),
        "fine": scale.fine(),
        "limit": None if model.limit is None else scale.at(model.limit),
        "limit_text": "" if model.limit is None else _("limit %s") % f"{model.limit:.0f}",
    }


def _volume(difference: float) -> tuple[tuple[Row, ...], str]:
    found = [(volume, _mixed(difference, volume=volume)) for volume in VOLUMES]
    rows = tuple(_judged(in_words(volume, unit="mL", decimals=0), amount, (0.0, 120.0), vial=volume / 16.0) for volume, amount in found)
    kinds = {row.name.split("\u00a0")[0]: row.kind for row in rows}
    passes, fails = ([name for name, kind in kinds.items() if kind == wanted] for wanted in ("pass", "fail"))
    if not fails:
        return rows, _("It passes in every volume.")
    if not passes:
        return rows, _("It fails in every volume.")
    return rows, _("The same reading from the same patch passes in %(passes)s mL and fails in %(fails)s mL.") % {
        "passes": _(" and ").join(passes),
        "fails": _(" and ").join(fails),
    }


def _blank(blank: float) -> tuple[tuple[Row, ...], str]:
    ends = (0.0, 80.0)
    water = _mixed(blank)
    rows = (
        _judged(_("Blank not taken off"), _mixed(EXTRACT), ends),
        _judged(_("Blank taken off"), _mixed(EXTRACT, blank=blank), ends),
        _plain(_("The water alone"), water, ends),
    )
    return rows, _("An extract of %(extract)s in 10 mL. Its water alone is worth %(water)s: what the steel gave is the rest.") % {
        "extract": in_words(EXTRACT, unit="uS/cm", decimals=1),
        "water": in_words(water, unit="mg/m2", decimals=1),
    }


def _species(difference: float) -> tuple[tuple[Row, ...], str]:
    ends = (0.0, 80.0)
    strength = electrolyte.concentration(salt="NaCl", conductivity=difference, temperature=25.0)
    sodium_chloride = amounts.concentration_per_area(solution_volume=VOLUME, concentration=strength, area=AREA)
    mixed, chloride = _mixed(difference), amounts.chloride_in_nacl(nacl=sodium_chloride)
    rows = (
        _judged(_("Mixed salts"), mixed, ends),
        _judged(_("Sodium chloride"), sodium_chloride, ends),
        _judged(_("Chloride in it"), chloride, ends),
    )
    return rows, _("One reading, three amounts: %(mixed)s, %(nacl)s or %(chloride)s. A limit of 50 mg/m² is three limits until the salt is named.") % {
        "mixed": in_words(mixed, unit="mg/m2", decimals=1),
        "nacl": in_words(sodium_chloride, unit="mg/m2", decimals=1),
        "chloride": in_words(chloride, unit="mg/m2", decimals=1),
    }


def _temperature(degrees: float) -> tuple[tuple[Row, ...], str]:
    ends = (0.0, 80.0)
    raw = electrolyte.salt_conductivity(salt="NaCl", concentration=SOLUTION, temperature=degrees)
    at_25 = temperature.linear(conductivity=raw, temperature=degrees, reference_temperature=25.0, coefficient=COEFFICIENT)
    at_20 = temperature.linear(conductivity=raw, temperature=degrees, reference_temperature=20.0, coefficient=COEFFICIENT)
    curve = temperature.nacl_curve(conductivity=raw, temperature=degrees, reference_temperature=25.0)
    rows = (
        _judged(_("No compensation"), _mixed(raw), ends),
        _judged(_("Linear, to 20 °C"), _mixed(at_20), ends),
        _judged(_("Linear, to 25 °C"), _mixed(at_25), ends),
        _judged(_("NaCl curve, to 25 °C"), _mixed(curve), ends),
    )
    return rows, _("The solution is the same throughout. At %(at)s it conducts %(raw)s; the meter's setting makes the rest.") % {
        "at": in_words(degrees, unit="degC", decimals=1),
        "raw": in_words(raw, unit="uS/cm", decimals=1),
    }


def _rule(result: float) -> tuple[tuple[Row, ...], str]:
    band = conformity.guard_band(kind="two-sided", standard_uncertainty=STANDARD_UNCERTAINTY, degrees_of_freedom=None, level=LEVEL)
    names = {
        "simple-acceptance": _("Simple"),
        "guarded-acceptance": _("Guarded"),
        "three-way": _("Three-way"),
        "guarded-rejection": _("Guarded rejection"),
    }
    rows = []
    for rule, name in names.items():
        kind: str = conformity.decide(rule=rule, sense="at-most", value=result, limit=LIMIT, guard_band=band)
        if rule == "guarded-rejection" and kind == "pass" and conformity.compare(value=result, limit=LIMIT) == "over":
            kind = "accepted"
        rows.append(_row(name, result, (40.0, 60.0), kind))
    over = chance(conformity.probability_over(value=result, limit=LIMIT, standard_uncertainty=STANDARD_UNCERTAINTY))
    return tuple(rows), _("The guard band is %(band)s. The chance that the true amount is over the limit: %(chance)s.") % {
        "band": in_words(band, unit="mg/m2", decimals=1),
        "chance": over,
    }


def _sampling(places: float) -> tuple[tuple[Row, ...], str]:
    n = int(places)
    rows = tuple(
        _plain(_("%d %% of the area bad") % round(100 * share), 100.0 * sampling.chance_all_pass(n=n, share_bad=share), (0.0, 100.0), unit="%", decimals=1)
        for share in SHARES
    )
    hidden = sampling.largest_share_bad(passes=n, confidence=LEVEL)
    return rows, _("The chance that all %(n)s pass although part of the area is bad. When they do pass, up to %(share)s may still be bad, 95 %% sure.") % {
        "n": n,
        "share": in_words(100.0 * hidden, unit="%", decimals=0),
    }


def _mixed(conductivity: float, *, volume: float = VOLUME, blank: float = 0.0) -> float:
    return amounts.mixed_salt_per_area(
        constant=amounts.MIXED_SALT_CONSTANT,
        meter_gain=1.0,
        solution_volume=volume,
        conductivity=conductivity,
        compartment_area=AREA,
        blank_conductivity=blank,
    )


def _judged(name: str, amount: float, ends: tuple[float, float], *, vial: float | None = None) -> Row:
    kind: str = conformity.decide(rule="simple-acceptance", sense="at-most", value=amount, limit=LIMIT)
    return _row(name, amount, ends, kind, vial=vial)


def _plain(name: str, amount: float, ends: tuple[float, float], *, unit: str = "mg/m2", decimals: int = 1) -> Row:
    return _row(name, amount, ends, "plain", unit=unit, decimals=decimals)


def _row(name: str, amount: float, ends: tuple[float, float], kind: str, *, unit: str = "mg/m2", decimals: int = 1, vial: float | None = None) -> Row:
    words = {"pass": _("Pass"), "fail": _("Fail"), "inconclusive": _("Inconclusive"), "accepted": _("Accepted by agreed rule")}
    number = split(in_words(amount, unit=unit, decimals=decimals))[0]
    return Row(name, number, shown_unit(unit), kind, words.get(kind, ""), scale_over(low=ends[0], high=ends[1]).at(amount), vial)
