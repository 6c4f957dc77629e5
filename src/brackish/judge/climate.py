# SPDX-License-Identifier: MIT
"""How far the steel is above the dew point of the air."""

from __future__ import annotations

from brackish.judge import inputs
from brackish.judge.inputs import Kit
from brackish.judge.measurement import Measurement
from brackish.judge.models import Wish
from brackish.judge.patch import step
from brackish.quantities import show
from brackish.science import humid_air


def measure(kit: Kit, wish: Wish) -> Measurement:
    """Dew point, or surface temperature less dew point."""
    facts = kit.test.facts
    givens = {
        "air_temperature": inputs.temperature(kit, name="air_temperature", value=facts["air_temperature"].inside, key=f"air_temperature:{kit.test.id}"),
        "relative_humidity": inputs.humidity(kit, value=facts["relative_humidity"]),
    }

    def dew(v: dict[str, float]) -> float:
        """Mirrored at 100 %, so that the slope at air full of water has a far side too."""
        humidity = 100.0 * v["relative_humidity"]
        if humidity <= 100.0:
            return humid_air.dew_point(air_temperature=v["air_temperature"], relative_humidity=humidity)
        full, mirrored = (humid_air.dew_point(air_temperature=v["air_temperature"], relative_humidity=each) for each in (100.0, 200.0 - humidity))
        return 2.0 * full - mirrored

    if wish.quantity == "condensation_margin":
        surface = inputs.temperature(kit, name="surface_temperature", value=facts["surface_temperature"].inside, key=f"surface_temperature:{kit.test.id}")
        givens["surface_temperature"] = surface._replace(name="surface_temperature")
    values = {name: given.value for name, given in givens.items()}
    air = f"air {show(values['air_temperature'], unit='degC', decimals=1)}, {show(100.0 * values['relative_humidity'], unit='%', decimals=0)}"
    steps = [step("dew point", air, dew(values), "degC", 1)]
    if wish.quantity == "condensation_margin":
        margin = values["surface_temperature"] - dew(values)
        words = f"{show(values['surface_temperature'], unit='degC', decimals=1)} − {show(dew(values), unit='degC', decimals=1)}"
        steps.append(step("surface above dew point", words, margin, "K", 1))
    return Measurement(
        quantity=wish.quantity,
        formula=(lambda **v: v["surface_temperature"] - dew(v)) if wish.quantity == "condensation_margin" else (lambda **v: dew(v)),
        givens=tuple(givens.values()),
        steps=tuple(steps),
    )
