# SPDX-License-Identifier: MIT
"""The two computations a judgement repeats, a thousand times each, beside what a person would use instead.

Both sides must give the same figures before their times are compared. `uncertainties` propagates
without degrees of freedom, coverage or budget; ours gives them too.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import uncertainties
from _timing import python, row
from scipy.optimize import brentq

from brackish.science import electrolyte
from brackish.science.uncertainty import Input, propagate

TIMES = 1000
REPEATS = 5
CONDUCTIVITIES = [0.5 + 0.2 * step for step in range(TIMES)]
TEMPERATURES = [10.0 + 0.02 * step for step in range(TIMES)]
# The fully specified patch test of tests/evidence: value, standard uncertainty.
INPUTS = {
    "constant": (5.0, 0.10),
    "volume": (3.0, 0.02),
    "area": (1250.0, 15.0),
    "reading": (42.0, 0.40),
    "temperature": (28.4, 0.30),
    "blank": (3.1, 0.15),
    "blank_temperature": (27.9, 0.30),
    "coefficient": (0.0195, 0.0006),
    "gain": (1.0, 0.01),
}


def model(constant, volume, area, reading, temperature, blank, blank_temperature, coefficient, gain):
    sample = reading / (1.0 + coefficient * (temperature - 25.0))
    water = blank / (1.0 + coefficient * (blank_temperature - 25.0))
    return 100.0 * constant * gain * volume * (sample - water) / area


def ours() -> tuple[float, float]:
    result = propagate(model=model, inputs={name: Input(value=value, standard_uncertainty=u) for name, (value, u) in INPUTS.items()}, level=0.95)
    return result.value, result.standard_uncertainty


def theirs() -> tuple[float, float]:
    result = model(**{name: uncertainties.ufloat(value, u) for name, (value, u) in INPUTS.items()})
    return result.nominal_value, result.std_dev


def inverse(conductivity: float, temperature: float = 25.0) -> float:
    return electrolyte.concentration(salt="NaCl", conductivity=conductivity, temperature=temperature)


def by_root_finder(conductivity: float) -> float:
    return brentq(lambda c: electrolyte.salt_conductivity(salt="NaCl", concentration=c, temperature=25.0) - conductivity, 0.0, conductivity, xtol=1e-12)


def same(one: float, other: float) -> None:
    if abs(one - other) > 1e-6 * abs(other):
        raise SystemExit(f"not the same: {one} and {other}; no times are compared")


def seconds(task: Callable[[], object]) -> float:
    best = float("inf")
    for _ in range(REPEATS):
        started = time.perf_counter()
        task()
        best = min(best, time.perf_counter() - started)
    return best


def main() -> int:
    for mine, other in zip(ours(), theirs(), strict=True):
        same(mine, other)
    for conductivity in CONDUCTIVITIES[:: TIMES // 10]:
        same(inverse(conductivity), by_root_finder(conductivity))
    nothing = python("pass")
    found = seconds(lambda: [inverse(each) for each in CONDUCTIVITIES])
    rooted = seconds(lambda: [by_root_finder(each) for each in CONDUCTIVITIES])
    elsewhere = seconds(lambda: [inverse(each, at) for each, at in zip(CONDUCTIVITIES, TEMPERATURES, strict=True)])
    carried = seconds(lambda: [ours() for _ in range(TIMES)])
    by_package = seconds(lambda: [theirs() for _ in range(TIMES)])
    row("python -c pass", nothing, beside=nothing, than="itself")
    row("1000 NaCl amounts from conductivities", found, beside=nothing, than="python -c pass")
    row("  beside a root finder on the same curve", found, beside=rooted, than="scipy's brentq")
    row("  each at a temperature of its own", elsewhere, beside=nothing, than="python -c pass")
    row("1000 uncertainties of nine inputs", carried, beside=nothing, than="python -c pass")
    row("  beside the package uncertainties", carried, beside=by_package, than="uncertainties")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
