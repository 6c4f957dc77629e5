# SPDX-License-Identifier: MIT
"""The patch: readings of extract and blank, volume and area -> what was on the steel.

    ks, kb                     reading and blank at one temperature (`referring.py`)
    extract_conductivity       g · (ks − kb)
    mixed_salt_per_area        c · g · (V·ks − Vb·kb) / A            the constant c: `science/amounts.py`
    nacl_equivalent_per_area   g · (V·C(ks) − Vb·C(kb)) / A          C: NaCl with that conductivity
    chloride_bound_per_area    the same, as chloride: the most the conductivity allows

V is all the water the salt was spread through. Vb is V, save for a full-kit blank of another volume,
which is taken off as the salt it held.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from brackish.judge import inputs, meters
from brackish.judge.inputs import Given, Kit
from brackish.judge.measurement import Measurement, Step
from brackish.judge.models import Wish
from brackish.judge.referring import Referral, referral
from brackish.quantities import Quantity, show, significant, to_shown
from brackish.record.job import Blank, Test
from brackish.science import amounts, electrolyte


def solution_volume(test: Test) -> Quantity | None:
    """All the water at the reading; read undiluted, that is the volume injected."""
    if "solution_volume" in test.facts:
        return test.facts["solution_volume"]
    return test.facts.get("volume_injected") if test.facts.get("returned_to") == "undiluted" else None


def measure(kit: Kit, wish: Wish) -> Measurement:
    """The wanted quantity of a patch test as a formula of its inputs."""
    conductivities = _conductivities(kit, wish)
    way, givens = conductivities.way, dict(conductivities.givens)
    if wish.quantity != "extract_conductivity":
        givens |= _amount_inputs(kit, wish)
    if wish.quantity in ("nacl_equivalent_per_area", "chloride_bound_per_area") or way.model == "nacl":
        givens["electrolyte_model"] = inputs.electrolyte_model(kit)
    formula = FORMULAS[wish.quantity](conductivities, way)
    return Measurement(
        quantity=wish.quantity,
        formula=formula,
        givens=tuple(givens[name] for name in _ORDER if name in givens),
        reference_temperature=way.reaches,
        temperature_model=way.model,
        bound=conductivities.bound,
        steps=_steps(conductivities, wish, way, {name: given.value for name, given in givens.items()}, formula),
        blank=wish.blank.kind if wish.blank else "none",
    )


class Waters(NamedTuple):
    """What was read of extract and blank [uS/cm] at one temperature [degC]; volumes [mL] and area [mm2] where an amount on steel is meant."""

    extract: float
    blank: float
    temperature: float
    volume: float = 0.0
    blank_volume: float | None = None
    area: float | None = None


def waters(kit: Kit, wish: Wish) -> Waters:
    """Extract and blank of a patch test, referred to the temperature wished for."""
    conductivities = _conductivities(kit, wish)
    v = {name: given.value for name, given in (conductivities.givens | _amount_inputs(kit, wish)).items()}
    return Waters(
        extract=conductivities.sample(v),
        blank=conductivities.blank_part(v),
        temperature=conductivities.way.reaches,
        volume=v["solution_volume"],
        blank_volume=v.get("blank_volume"),
        area=v["compartment_area"],
    )


# Order of the budget: as the formula reads.
_ORDER = (
    "constant", "solution_volume", "blank_volume", "compartment_area", "reading", "blank", "temperature", "blank_temperature",
    "temperature_coefficient", "meter_gain", "electrolyte_model",
)  # fmt: skip


# A budget moves one input at a time, and most inputs move neither conductivity: those of reading, temperature and
# coefficient, at their values and either side, are kept, for extract and blank.
MOVES = 16


def _conductivities(kit: Kit, wish: Wish) -> _Conductivities:
    """ks and kb, which do not hang on the quantity wished for."""

    def work_out() -> _Conductivities:
        return _Conductivities(kit=kit, way=referral(kit, facts=kit.test.facts, wanted=wish.reference_temperature), blank=wish.blank)

    return kit.once(("conductivities", wish.reference_temperature, wish.blank and wish.blank.id), work_out)


@dataclass
class _Conductivities:
    """ks and kb of one test as functions of the inputs."""

    kit: Kit
    way: Referral
    blank: Blank | None

    def __post_init__(self) -> None:
        kit, facts = self.kit, self.kit.test.facts
        meter = kit.meter
        self.bound = inputs.joined_bound(reading.bound for reading in facts["reading"])
        recorded = facts.get("temperature")
        self.temperature = recorded.inside if recorded else self.way.meter_reference
        self.givens: dict[str, Given] = {
            "reading": meters.reading(kit, name="reading", readings=facts["reading"], key=f"reading:{kit.test.id}", meter=meter),
            "temperature": inputs.temperature(kit, name="temperature", value=self.temperature),
            "meter_gain": meters.gain(kit, meter),
        }
        if self.way.needs_coefficient:
            self.givens["temperature_coefficient"] = meters.coefficient(kit, meter, facts.get("temperature_coefficient"))
        self.sample_law = lru_cache(MOVES)(self.way.conductivity(reading_temperature=self.temperature))
        if self.blank:
            self._add_blank(self.blank)

    def _add_blank(self, blank: Blank) -> None:
        kit = self.kit
        if blank.temperature is None:
            kit.note("blank.temperature_missing", "warning", blank=blank.id)
        at = blank.temperature.inside if blank.temperature else self.temperature
        self.givens["blank"] = meters.reading(kit, name="blank", readings=inputs.blank_reading(blank), key=f"blank:{blank.id}", meter=kit.meter)
        own_figure = "blank_temperature" in kit.test.uncertainty or "temperature" in kit.test.uncertainty
        key = f"blank_temperature:{blank.id}" if own_figure else ""
        self.givens["blank_temperature"] = inputs.temperature(kit, name="blank_temperature", value=at, key=key)
        self.blank_law = lru_cache(MOVES)(self.way.conductivity(reading_temperature=at))

    def sample(self, values: dict[str, float]) -> float:
        return self.sample_law(values["reading"], values["temperature"], values.get("temperature_coefficient", 0.0))

    def blank_part(self, values: dict[str, float]) -> float:
        if self.blank is None:
            return 0.0
        return self.blank_law(values["blank"], values["blank_temperature"], values.get("temperature_coefficient", 0.0))


def _amount_inputs(kit: Kit, wish: Wish) -> dict[str, Given]:
    facts = kit.test.facts
    volume = solution_volume(kit.test)
    assert volume is not None
    kinds = inputs.READS_SMALL_VOLUME if facts.get("returned_to") == "undiluted" else inputs.READS_VOLUME
    givens = {
        "solution_volume": inputs.volume(kit, name="solution_volume", value=volume, kinds=kinds),
        "compartment_area": inputs.area(kit, name="compartment_area", value=facts["compartment_area"], kinds=("compartment",)),
    }
    if wish.quantity == "mixed_salt_per_area":
        stated = facts.get("constant")
        value = stated.inside if stated else amounts.MIXED_SALT_CONSTANT
        why = "as stated for this test" if stated else "ISO 8502-9, taken as a definition"
        givens["constant"] = inputs.fixed(kit, name="constant", value=value, unit="kg/m2/S", provenance="declared" if stated else "published", why=why)
    other = other_blank_volume(wish.blank, volume)
    if other and wish.blank:
        key = f"blank_volume:{wish.blank.id}"
        givens["blank_volume"] = inputs.volume(kit, name="blank_volume", value=other, kinds=inputs.READS_VOLUME, key=key)
    return givens


def other_blank_volume(blank: Blank | None, volume: Quantity | None) -> Quantity | None:
    """The volume of a full-kit blank where it is not the test's own; a water blank has none."""
    if blank is None or volume is None or blank.kind != "full-kit" or blank.solution_volume is None:
        return None
    return blank.solution_volume if blank.solution_volume.exact != volume.exact else None


Formula = Callable[..., float]


def _extract(k: _Conductivities, way: Referral) -> Formula:
    return lambda **v: v["meter_gain"] * (k.sample(v) * _curve(v) - k.blank_part(v) * _curve(v))


def _mixed(k: _Conductivities, way: Referral) -> Formula:
    return lambda **v: amounts.mixed_salt_per_area(
        constant=v["constant"],
        meter_gain=v["meter_gain"],
        solution_volume=v["solution_volume"],
        conductivity=k.sample(v) * _curve(v),
        compartment_area=v["compartment_area"],
        blank_conductivity=k.blank_part(v) * _curve(v),
        blank_volume=v.get("blank_volume", v["solution_volume"]),
    )


def _curve(v: dict[str, float]) -> float:
    """What the NaCl curve leaves open when it brings a reading to another temperature; an input only then."""
    return v.get("electrolyte_model", 1.0)


def _nacl(k: _Conductivities, way: Referral) -> Formula:
    return _by_curve(k, way, nacl_concentration)


def _chloride_bound(k: _Conductivities, way: Referral) -> Formula:
    return _by_curve(k, way, most_chloride)


def _by_curve(k: _Conductivities, way: Referral, law: Callable[[float, float], float]) -> Formula:
    concentration = lru_cache(MOVES)(lambda conductivity: law(conductivity, way.reaches))
    return lambda **v: (
        v["electrolyte_model"]
        * amounts.nacl_equivalent_per_area(
            meter_gain=v["meter_gain"],
            solution_volume=v["solution_volume"],
            concentration=concentration(k.sample(v)),
            compartment_area=v["compartment_area"],
            blank_concentration=concentration(k.blank_part(v)),
            blank_volume=v.get("blank_volume", v["solution_volume"]),
        )
    )


FORMULAS: dict[str, Callable[[_Conductivities, Referral], Formula]] = {
    "extract_conductivity": _extract,
    "mixed_salt_per_area": _mixed,
    "nacl_equivalent_per_area": _nacl,
    "chloride_bound_per_area": _chloride_bound,
}


def nacl_concentration(conductivity: float, temperature: float) -> float:
    """NaCl [mg/L] with this conductivity; odd about zero, so that a step below zero has a value too."""
    if conductivity < 0.0:
        return -electrolyte.concentration(salt="NaCl", conductivity=-conductivity, temperature=temperature)
    return electrolyte.concentration(salt="NaCl", conductivity=conductivity, temperature=temperature)


def most_chloride(conductivity: float, temperature: float) -> float:
    """The most chloride [mg/L] that this conductivity allows; odd about zero like `nacl_concentration`."""
    if conductivity < 0.0:
        return -electrolyte.most_chloride(conductivity=-conductivity, temperature=temperature)
    return electrolyte.most_chloride(conductivity=conductivity, temperature=temperature)


def _steps(k: _Conductivities, wish: Wish, way: Referral, v: dict[str, float], formula: Formula) -> tuple[Step, ...]:
    """The working, one line a step: words, formula with the numbers in it, value."""
    at = f"{way.reaches:g}\u00a0°C"
    ks, kb = k.sample(v), k.blank_part(v)
    n = len(k.kit.test.facts["reading"])
    steps = []
    if n > 1:
        steps.append(step("mean of the readings", f"mean of {n} readings of one extract", v["reading"], "uS/cm", 2))
    steps.append(step(f"extract, referred to {at}", _referred(way, v["reading"], v["temperature"], at), ks, "uS/cm", 2))
    if k.blank:
        steps.append(step(f"blank {k.blank.id}, referred to {at}", _referred(way, v["blank"], v["blank_temperature"], at), kb, "uS/cm", 2))
    steps.append(step("difference", f"{show(ks, unit='', decimals=2)} − {show(kb, unit='', decimals=2)}", ks - kb, "uS/cm", 2))
    if wish.quantity == "extract_conductivity":
        return tuple(steps)
    if wish.quantity == "mixed_salt_per_area":
        constant = f"{significant(v['constant'], digits=2)}\u00a0kg·m⁻²·S⁻¹"
        return (
            *steps,
            step("mixed salts per area", f"{constant} × {_dissolved(v, ks, kb, 'uS/cm', 2)} ÷ {_area(v)}", formula(**v), "mg/m2", 2, source="iso-8502-9"),
        )
    return (*steps, *_by_curve_steps(k, wish, way, v, formula(**v)))


def _by_curve_steps(k: _Conductivities, wish: Wish, way: Referral, v: dict[str, float], value: float) -> list[Step]:
    """From conductivities by the curve to an amount per area."""
    at = f"{way.reaches:g}\u00a0°C"
    ks, kb = k.sample(v), k.blank_part(v)
    salt, law = ("NaCl", nacl_concentration) if wish.quantity == "nacl_equivalent_per_area" else ("the most chloride", most_chloride)
    cs, cb = law(ks, way.reaches), law(kb, way.reaches)
    steps = [step(f"{salt} with the conductivity of the extract", f"curve at {at}, {show(ks, unit='uS/cm', decimals=2)}", cs, "mg/L", 3, source="own")]
    if k.blank:
        steps.append(step(f"{salt} with the conductivity of the blank", f"curve at {at}, {show(kb, unit='uS/cm', decimals=2)}", cb, "mg/L", 3, source="own"))
    words = f"{_dissolved(v, cs, cb, 'mg/L', 3)} ÷ {_area(v)}"
    if wish.quantity == "nacl_equivalent_per_area":
        return [*steps, step("NaCl equivalent per area", words, value, "mg/m2", 2)]
    bound = to_shown(value=value, quantity="chloride_bound_per_area")
    return [*steps, step("the most chloride this conductivity allows, per area", words, bound, "ug/cm2", 3)]


def _dissolved(v: dict[str, float], extract: float, blank: float, unit: str, decimals: int) -> str:
    """V·k less Vb·kb in words; one volume is said once."""
    volume = show(v["solution_volume"], unit="mL", decimals=2)
    if "blank_volume" not in v:
        return f"{volume} × {show(extract - blank, unit=unit, decimals=decimals)}"
    other = show(v["blank_volume"], unit="mL", decimals=2)
    return f"({volume} × {show(extract, unit=unit, decimals=decimals)} − {other} × {show(blank, unit=unit, decimals=decimals)})"


def _area(v: dict[str, float]) -> str:
    return show(v["compartment_area"], unit="mm2", decimals=0)


def _referred(way: Referral, reading: float, temperature: float, at: str) -> str:
    words = {
        "as-displayed": f"as displayed, referred by the meter to {at}",
        "linear": f"linear compensation from {temperature:.1f}\u00a0°C",
        "natural-water": f"ISO 7888 natural water from {temperature:.1f}\u00a0°C",
        "nacl": f"meter's compensation undone, NaCl curve from {temperature:.1f}\u00a0°C",
    }
    return f"{show(reading, unit='uS/cm', decimals=2)} {words[way.model]}"


def step(text: str, formula: str, value: float, unit: str, decimals: int, *, source: str = "") -> Step:
    """One line of the working."""
    row: Step = {"text": text, "formula": formula, "value": value, "unit": unit, "shown": show(value, unit=unit, decimals=decimals)}
    return row | ({"source": source} if source else {})
