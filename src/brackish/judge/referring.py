# SPDX-License-Identifier: MIT
"""A conductivity as displayed, brought to the wanted temperature.

The meter's own compensation is undone as it was used, at the temperature it used; then the wanted
temperature is reached by the named model. Where the meter already refers to the wanted temperature
its figure is kept (`as-displayed`), with what the thermometer and the coefficient leave open.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from brackish.judge.inputs import Kit
from brackish.judge.meters import meter_coefficient, reference_temperature
from brackish.library.frozen import Frozen
from brackish.quantities import Quantity
from brackish.science import temperature as laws
from brackish.science.water import TEMPERATURE


class Referral(Frozen):
    """How readings of one test reach the temperature `reaches`."""

    model: str  # as-displayed | linear | natural-water | nacl
    reaches: float
    compensation: str
    meter_reference: float
    meter_coefficient: float
    kept_coefficient: float  # of a reading kept as displayed: the meter's and the solution's, one exact, one in doubt

    @property
    def needs_coefficient(self) -> bool:
        return self.model in ("as-displayed", "linear")

    def conductivity(self, *, reading_temperature: float) -> Callable[[float, float, float], float]:
        """(reading, temperature, coefficient) -> conductivity at the temperature reached.

        `reading_temperature` is what the meter went by; the arguments may differ from it, as errors.
        """
        if self.model == "as-displayed":
            return lambda reading, temperature, coefficient: laws.as_displayed(
                conductivity=reading,
                shown_coefficient=self.kept_coefficient,
                shown_temperature=reading_temperature,
                coefficient=coefficient,
                temperature=temperature,
                reference_temperature=self.meter_reference,
            )
        raw = self._raw(reading_temperature)
        if self.model == "linear":
            return lambda reading, temperature, coefficient: laws.linear(
                conductivity=raw(reading), temperature=temperature, reference_temperature=self.reaches, coefficient=coefficient
            )
        law = laws.natural_water if self.model == "natural-water" else laws.nacl_curve
        return lambda reading, temperature, coefficient: law(conductivity=raw(reading), temperature=temperature, reference_temperature=self.reaches)

    def _raw(self, reading_temperature: float) -> Callable[[float], float]:
        """Undo what the meter did: proportional to the reading, so one factor serves for all."""
        factor = laws.raw_conductivity(
            displayed=1.0,
            compensation=self.compensation,
            temperature=reading_temperature,
            reference_temperature=self.meter_reference,
            coefficient=self.meter_coefficient,
        )
        return lambda reading: factor * reading


def referral(kit: Kit, *, facts: Mapping[str, Any], wanted: float | None) -> Referral:
    """How readings of a test reach the wanted temperature: the criterion's, else the meter's, else 25 °C.

    Raises
    ------
    OutOfRange
        When the solution or the wanted temperature is outside what the conductivity model covers.

    """
    meter, recorded = kit.meter, facts.get("temperature")
    stated: Quantity | None = facts.get("temperature_coefficient")
    own = reference_temperature(meter)
    target = own if wanted is None else wanted
    for temperature in (recorded.inside if recorded else own, target, own):
        TEMPERATURE.check(temperature)
    compensation = _compensation(kit)
    if not (meter and meter.reference_temperature):
        _note_reference(kit, own, compensation, wanted)
    model = str(facts.get("temperature_model") or ("as-displayed" if compensation != "none" and own == target else "nacl"))
    if recorded is None:
        kit.note("temperature.as_displayed", "warning", temperature=f"{own:g}\u00a0°C")
        if compensation == "none" and model != "as-displayed":
            kit.note("temperature.raw_unknown", "warning", equipment=meter.id if meter else "none named")
        model = "as-displayed"
    if model == "as-displayed" and own != target:
        kit.note("temperature.other_reference", "warning", given=f"{own:g}\u00a0°C", wanted=f"{target:g}\u00a0°C")
    undoes = compensation == "linear" and model != "as-displayed"
    return Referral(
        model=model,
        reaches=own if model == "as-displayed" else target,
        compensation=compensation,
        meter_reference=own,
        meter_coefficient=meter_coefficient(kit, meter, stated) if undoes else 0.0,
        kept_coefficient=(stated.inside if stated else meter_coefficient(kit, meter)) if model == "as-displayed" else 0.0,
    )


def _compensation(kit: Kit) -> str:
    """What the meter did by itself: as used for this test, else as it is set, else linear with a finding."""
    used = kit.test.compensation_as_used or str(kit.test.facts.get("compensation_as_used", ""))
    known = used or (kit.meter.temperature_compensation if kit.meter else "")
    if not known:
        kit.note("temperature.compensation_unknown", "warning", equipment=kit.meter.id if kit.meter else "none named")
    return known or "linear"


def _note_reference(kit: Kit, own: float, compensation: str, wanted: float | None) -> None:
    """Which temperature is meant was taken, not told: the one wanted, or the one the display refers to."""
    if wanted is None:
        kit.note("temperature.reference_assumed", "warning", temperature=f"{own:g}\u00a0°C")
    elif compensation != "none":
        kit.note("temperature.meter_reference_assumed", "warning", temperature=f"{own:g}\u00a0°C")
