# SPDX-License-Identifier: MIT
"""A quantity of one test as a formula of named inputs, and how several are joined into a mean.

`models.py` builds one for each method. The uncertainty is then the same few lines for all of them:
`propagated` for one test, `joined` for a mean in which one meter or one blank is a single input.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from math import fsum
from typing import Any

from brackish.judge.inputs import Given
from brackish.library.frozen import Frozen
from brackish.science import uncertainty

Step = dict[str, Any]


class Measurement(Frozen):
    """`formula(**values)` in the inside unit of the quantity, of the inputs `givens` by name."""

    quantity: str
    formula: Callable[..., float]
    givens: tuple[Given, ...]
    reference_temperature: float | None = None
    temperature_model: str = ""
    bound: str = ""
    steps: tuple[Step, ...] = ()
    blank: str = ""  # the kind that is taken off, or "none"; empty where that is no question

    @property
    def value(self) -> float:
        return self.formula(**{given.name: given.value for given in self.givens})

    @property
    def conductometric(self) -> bool:
        return bool(self.temperature_model)


def propagated(measurement: Measurement, *, level: float) -> uncertainty.Propagated:
    """Value, standard uncertainty, degrees of freedom, coverage and budget of one measurement.

    Two inputs with one key (extract and blank by one thermometer) are fully correlated.
    """
    givens = measurement.givens
    pairs = ((one, other) for index, one in enumerate(givens) for other in givens[index + 1 :] if one.key == other.key)
    return uncertainty.propagate(
        model=measurement.formula,
        inputs={
            given.name: uncertainty.Input(value=given.value, standard_uncertainty=given.standard_uncertainty, degrees_of_freedom=given.degrees_of_freedom)
            for given in givens
        },
        correlations={(one.name, other.name): 1.0 for one, other in pairs} or None,
        level=level,
    )


def joined(measurements: Sequence[Measurement], *, weights: Sequence[float]) -> Measurement:
    """The weighted sum of measurements as one measurement; inputs with one key enter once.

    An input whose tests state several values (one thermometer, several temperatures) enters as its
    error, estimate zero, that all of them share. Where figures for one key differ, the larger counts.
    """
    shared: dict[str, Given] = {}
    values: dict[str, set[float]] = {}
    for given in (given for measurement in measurements for given in measurement.givens):
        values.setdefault(given.key, set()).add(given.value)
        if given.key not in shared or given.standard_uncertainty > shared[given.key].standard_uncertainty:
            shared[given.key] = given
    one_value = {key for key, found in values.items() if len(found) == 1}
    names = _names(shared)

    def formula(**v: float) -> float:
        return fsum(
            weight * measurement.formula(**{given.name: v[names[given.key]] + (0.0 if given.key in one_value else given.value) for given in measurement.givens})
            for measurement, weight in zip(measurements, weights, strict=True)
        )

    givens = (
        given._replace(name=names[key]) if key in one_value else given._replace(name=names[key], value=0.0, spans=(min(values[key]), max(values[key])))
        for key, given in shared.items()
    )
    return replace(measurements[0], formula=formula, givens=tuple(givens), steps=())


def _names(shared: Mapping[str, Given]) -> dict[str, str]:
    """A name for each shared input: its own where it stands once, else with the test or portion it belongs to."""
    owners: dict[str, list[list[str]]] = {}
    for key, given in shared.items():
        owners.setdefault(given.name, []).append(key.split(":")[1:])
    names = {}
    for key, given in shared.items():
        belongs, others = key.split(":")[1:], owners[given.name]
        told_apart = belongs[1:] if len(belongs) > 1 and len({other[0] for other in others}) == 1 else belongs
        names[key] = given.name if len(others) == 1 else f"{given.name} ({', '.join(told_apart)})"
    return names


def unequal_keys(measurements: Sequence[Measurement]) -> list[str]:
    """Inputs that several tests share but state with different uncertainties."""
    figures: dict[str, set[float]] = {}
    for measurement in measurements:
        for given in measurement.givens:
            figures.setdefault(given.key, set()).add(given.standard_uncertainty)
    return sorted(key for key, found in figures.items() if len(found) > 1)
