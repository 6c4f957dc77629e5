# SPDX-License-Identifier: MIT
"""A conductivity as displayed, brought to the wanted temperature.

The meter's own compensation is undone as it was used, at the temperature it used; then the wanted
temperature is reached by the named model. Where the meter already refers to the wanted temperature
its figure is kept (`as-displayed`), with what the thermometer and the coefficient leave open.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from brackish.judge.inputs import Kit, coefficient_of, reference_temperature
from brackish.quantities import Quantity
from brackish.science import temperature as laws


@dataclass(frozen=True, kw_only=True)
class Referral:
    """How readings of one test reach the temperature `reaches`."""

    model: str  # as-displayed | linear | natural-water | nacl
    reaches: float
    compensation: str
    meter_reference: float
    meter_coefficient: float

    @property
    def needs_coefficient(self) -> bool:
        return self.model in ("as-displayed", "linear")

    def conductivity(self, *, reading_temperature: float) -> Callable[[float, float, float], float]:
        """(reading, temperature, coefficient) -> conductivity at the temperature reached.

        `reading_temperature` is what the meter went by; the arguments may differ from it, as errors.
        """
        if self.model == "as-displayed":
            own = self.meter_coefficient if self.compensation != "none" else 0.0
            return lambda reading, temperature, coefficient: laws.as_displayed(
                conductivity=reading,
                shown_coefficient=own,
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


def referral(kit: Kit, *, recorded: Quantity | None, wanted: Quantity | None, stated_model: str) -> Referral:
    """How this test's readings reach the wanted temperature: the criterion's, else the meter's, else 25 °C."""
    meter = kit.meter
    own = reference_temperature(meter)
    if wanted is None and not (meter and meter.reference_temperature):
        kit.note("temperature.reference_assumed", "warning", temperature=f"{own:g} °C")
    target = wanted.inside if wanted else own
    compensation = kit.test.compensation_as_used or str(kit.test.facts.get("compensation_as_used", "")) or (meter.temperature_compensation if meter else "")
    if not compensation:
        kit.note("temperature.compensation_unknown", "warning", equipment=meter.id if meter else "none named")
        compensation = "linear"
    model = stated_model or ("as-displayed" if recorded is None or (compensation != "none" and own == target) else "nacl")
    if recorded is None:
        kit.note("temperature.as_displayed", "warning", temperature=f"{own:g} °C")
        model = "as-displayed"
    reaches = own if model == "as-displayed" else target
    return Referral(model=model, reaches=reaches, compensation=compensation, meter_reference=own, meter_coefficient=coefficient_of(meter))
