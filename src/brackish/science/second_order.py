# SPDX-License-Identifier: MIT
"""What the curvature of a model adds to its variance, for independent inputs (`uncertainty.py`, second_order)."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from itertools import combinations
from math import fsum

STEP = 0.125  # of the standard uncertainty: third differences need a wider step than slopes


def second_order_variance(*, model: Callable[..., float], inputs: Mapping[str, tuple[float, float]]) -> float:
    """The sum over all i, j of (f_ij2 / 2 + f_i f_ijj) u_i2 u_j2, which may be negative.

    It supposes normal inputs. Every derivative comes from differences in units of the standard uncertainty, so each
    f_ij here is the derivative times u_i u_j.

    Parameters
    ----------
    model : function
        Takes every input by its name as a float, returns a float.
    inputs : mapping
        Name to value and standard uncertainty; those without uncertainty add nothing.

    Returns
    -------
    scalar
        In the square of the result's unit.

    Source
    ------
    jcgm-100 note to 5.1.2

    """
    values = {name: value for name, (value, _) in inputs.items()}
    widths = {name: STEP * u for name, (_, u) in inputs.items() if u}

    def at(**steps: float) -> float:
        return model(**{name: value + steps.get(name, 0.0) * widths.get(name, 0.0) for name, value in values.items()})

    middle = at()
    line = {name: {step: at(**{name: step}) for step in (-2.0, -1.0, 1.0, 2.0)} for name in widths}
    slope = {name: (f[1.0] - f[-1.0]) / (2.0 * STEP) for name, f in line.items()}
    terms = []
    for name, f in line.items():
        bend = (f[1.0] - 2.0 * middle + f[-1.0]) / (STEP * STEP)
        third = (f[2.0] - 2.0 * f[1.0] + 2.0 * f[-1.0] - f[-2.0]) / (2.0 * STEP * STEP * STEP)
        terms.append(0.5 * bend * bend + slope[name] * third)
    for i, j in combinations(widths, 2):
        corner = {(a, b): at(**{i: a, j: b}) for a in (-1.0, 1.0) for b in (-1.0, 1.0)}
        twist = (corner[1.0, 1.0] - corner[1.0, -1.0] - corner[-1.0, 1.0] + corner[-1.0, -1.0]) / (4.0 * STEP * STEP)
        i_then_jj = (_bend_at(corner, line[i], 1.0, 0) - _bend_at(corner, line[i], -1.0, 0)) / (2.0 * STEP * STEP * STEP)
        j_then_ii = (_bend_at(corner, line[j], 1.0, 1) - _bend_at(corner, line[j], -1.0, 1)) / (2.0 * STEP * STEP * STEP)
        terms.append(twist * twist + slope[i] * i_then_jj + slope[j] * j_then_ii)
    return fsum(terms)


def _bend_at(corner: Mapping[tuple[float, float], float], line: Mapping[float, float], side: float, axis: int) -> float:
    """The second difference across, where one input stands one step to a side; `axis` says which of the pair that is."""
    low, high = (corner[side, -1.0], corner[side, 1.0]) if axis == 0 else (corner[-1.0, side], corner[1.0, side])
    return high - 2.0 * line[side] + low
