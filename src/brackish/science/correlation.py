# SPDX-License-Identifier: MIT
"""Sorts what the inputs add to a variance into groups that are independent of each other (`uncertainty.py`).

Inputs joined by a correlation, directly or through others, form one group. Welch and Satterthwaite's degrees of freedom hold
for independent parts only, so they are applied to groups; a group is known with the fewest degrees of freedom found in it.
That is exact where its members come from one set of readings (the slope and intercept of a line), and cautious otherwise.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import fsum, sqrt
from typing import NamedTuple

from brackish.errors import InputError
from brackish.science.validity import Range

CORRELATION = Range("correlation", "", -1.0, 1.0, "definition of a correlation")
_ROUNDING = 1e-9  # a pivot this far below zero is still rounding

Correlations = Mapping[tuple[str, str], float]


class Part(NamedTuple):
    """What one input adds, sensitivity times standard uncertainty with its sign, and its degrees of freedom (None: infinite)."""

    signed: float
    degrees_of_freedom: float | None


def independent_parts(*, parts: Mapping[str, Part], correlations: Correlations) -> list[tuple[float, float | None]]:
    """The variance and degrees of freedom of each group; an input that hangs together with none is a group by itself."""
    _check(parts, correlations)
    group_of = {name: [name] for name in parts}
    for first, second in correlations:
        if group_of[first] is not group_of[second]:
            joined = group_of[first] + group_of[second]
            for name in joined:
                group_of[name] = joined
    groups = {id(group): group for group in group_of.values()}
    return [_group(group, parts, correlations) for group in groups.values()]


def _group(names: Sequence[str], parts: Mapping[str, Part], correlations: Correlations) -> tuple[float, float | None]:
    own = [parts[name] for name in names]
    squares = [part.signed * part.signed for part in own]
    crossed = [2.0 * r * parts[first].signed * parts[second].signed for (first, second), r in correlations.items() if first in names]
    known = [part.degrees_of_freedom for part in own if part.degrees_of_freedom is not None and part.signed]
    return max(fsum(squares + crossed), 0.0), min(known, default=None)


def _check(parts: Mapping[str, Part], correlations: Correlations) -> None:
    seen = set()
    for pair, r in correlations.items():
        for name in pair:
            if name not in parts:
                raise InputError("science.unknown", name="correlated input", given=name, allowed=list(parts))
        CORRELATION.check(r)
        if len({*pair}) < 2 or frozenset(pair) in seen:
            raise InputError("science.correlation_twice", given=" and ".join(pair))
        seen.add(frozenset(pair))
    if len(correlations) > 1:
        _check_consistent(list(dict.fromkeys(name for pair in correlations for name in pair)), correlations)


def _check_consistent(names: Sequence[str], correlations: Correlations) -> None:
    """Cholesky's decomposition of the correlations exists; else no variables can be correlated so."""
    rows: list[list[float]] = []
    for i, name in enumerate(names):
        row: list[float] = []
        for j in range(i):
            r = correlations.get((name, names[j]), correlations.get((names[j], name), 0.0))
            rest = r - fsum(a * b for a, b in zip(row, rows[j], strict=False))
            if not rows[j][j] and abs(rest) > sqrt(_ROUNDING):
                raise InputError("science.correlations_impossible", given=list(names))
            row.append(rest / rows[j][j] if rows[j][j] else 0.0)
        pivot = 1.0 - fsum(a * a for a in row)
        if pivot < -_ROUNDING:
            raise InputError("science.correlations_impossible", given=list(names))
        rows.append([*row, sqrt(pivot) if pivot > _ROUNDING else 0.0])
