# SPDX-License-Identifier: MIT
"""From the uncertainty of each input to that of the result, with the budget that shows who is to blame.

First order, as the Guide to the expression of uncertainty (JCGM 100) does it: sensitivities by central differences,
contributions added as squares, degrees of freedom by Welch and Satterthwaite, coverage by Student's t. An input that
acts twice (a meter's gain on sample and blank) is ONE input of the model, or two with correlation 1; never two independent ones.
`correlation.py` and `second_order.py` hold what few results need. Below `propagate`: where standard uncertainties come from.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import fsum, sqrt
from typing import NamedTuple

from brackish.errors import InputError, ShapeMismatch
from brackish.science.correlation import Correlations, Part, independent_parts
from brackish.science.elementary import LOWEST_DEGREES_OF_FREEDOM, student_quantile
from brackish.science.second_order import second_order_variance
from brackish.science.validity import Range, check_finite

STEP = 0.0009765625  # 2**-10 of the standard uncertainty: small against curvature, large against rounding
_SMALLEST_STEP = 1e-10  # of the value, where the uncertainty is next to nothing
DISTRIBUTIONS = ("normal", "rectangular", "triangular", "u-shaped")
DEGREES_OF_FREEDOM = Range("degrees of freedom", "", LOWEST_DEGREES_OF_FREEDOM, float("inf"), "Student's t of elementary.py")
UNCERTAINTY = Range("standard uncertainty", "", 0.0, float("inf"), "an uncertainty is a width")
COVERAGE_FACTOR = Range("coverage factor", "", 0.1, 100.0, "a certificate states 1 to 4")
LEVEL = Range("level", "", 0.01, 0.999999, "a level of confidence")

Model = Callable[..., float]


@dataclass(frozen=True, kw_only=True, slots=True)
class Input:
    """One input of a model: estimate, standard uncertainty, degrees of freedom (None: infinite), and the shape a simulation draws from."""

    value: float
    standard_uncertainty: float
    degrees_of_freedom: float | None = None
    distribution: str = "normal"

    def __post_init__(self) -> None:
        check_finite("value of an input", self.value)
        check_finite("standard uncertainty", self.standard_uncertainty)
        UNCERTAINTY.check(self.standard_uncertainty)
        if self.degrees_of_freedom is not None:
            DEGREES_OF_FREEDOM.check(self.degrees_of_freedom)
        if self.distribution not in DISTRIBUTIONS:
            raise InputError("science.unknown", name="distribution", given=self.distribution, allowed=list(DISTRIBUTIONS))


class Line(NamedTuple):
    """A line of the budget: what one input adds, |sensitivity| times its standard uncertainty, in the unit of the result."""

    input: str
    value: float
    standard_uncertainty: float
    degrees_of_freedom: float | None
    sensitivity: float
    contribution: float


class Propagated(NamedTuple):
    """A result with its uncertainty; degrees of freedom None: infinite; the budget in the order of the inputs."""

    value: float
    standard_uncertainty: float
    degrees_of_freedom: float | None
    coverage_factor: float
    expanded_uncertainty: float
    level: float
    budget: tuple[Line, ...]


def propagate(
    *, model: Model, inputs: Mapping[str, Input], correlations: Correlations | None = None, level: float = 0.95, second_order: bool = False
) -> Propagated:
    """The result of a model with its standard and expanded uncertainty.

    Inputs without uncertainty stand in the budget with sensitivity and contribution 0 and are not moved, so a model
    may end exactly at them. Errors of the model are not caught.

    Parameters
    ----------
    model : function
        Takes every input by its name as a float, returns a float.
    inputs : mapping
        Name to Input.
    correlations : mapping
        Pair of names to correlation; pairs not named are independent. How groups count: `correlation.py`.
    level : scalar
        Level of confidence of the expanded uncertainty.
    second_order : truth value
        Adds the second-order term, for independent inputs; needed when a sensitivity is near 0. It leaves the degrees of freedom as they are.

    Returns
    -------
    Propagated
        Degrees of freedom unrounded (the Guide's examples cut them to whole numbers, a little wider).

    Valid
    -----
    level from 1 % to 99.9999 %; correlations from -1 to 1, possible together; outside raises OutOfRange or InputError

    Source
    ------
    jcgm-100 equations 10, 13, G.2b, and the note to 5.1.2 for the second order

    """
    LEVEL.check(level)
    point = {name: given.value for name, given in inputs.items()}
    value = model(**point)
    check_finite("result of the model", value)
    budget = tuple(_line(model, point, name, given) for name, given in inputs.items())
    parts = {line.input: Part(line.sensitivity * line.standard_uncertainty, line.degrees_of_freedom) for line in budget}
    groups = independent_parts(parts=parts, correlations=correlations or {})
    variance = fsum(variance for variance, _ in groups)
    degrees_of_freedom = _effective_degrees_of_freedom(groups, variance)
    if second_order:
        variance += _second_order(model, inputs, correlations)
    u = sqrt(max(variance, 0.0))
    factor = student_quantile(0.5 * (1.0 + level), degrees_of_freedom)
    return Propagated(value, u, degrees_of_freedom, factor, factor * u, level, budget)


def _line(model: Model, point: Mapping[str, float], name: str, given: Input) -> Line:
    u = given.standard_uncertainty
    sensitivity = _sensitivity(model, point, name, u) if u else 0.0
    return Line(name, given.value, u, given.degrees_of_freedom, sensitivity, abs(sensitivity) * u)


def _sensitivity(model: Model, point: Mapping[str, float], name: str, u: float) -> float:
    """The slope by a central difference, over the step as it is after rounding."""
    value, step = point[name], max(STEP * u, _SMALLEST_STEP * abs(point[name]))
    above, below = value + step, value - step
    moved = {**point, name: above}
    result_above = model(**moved)
    moved[name] = below
    slope = (result_above - model(**moved)) / (above - below)
    check_finite(f"sensitivity to {name}", slope)
    return slope


def _effective_degrees_of_freedom(groups: list[tuple[float, float | None]], variance: float) -> float | None:
    """Welch and Satterthwaite: 1/nu is the sum of (share of the variance)2 / nu over independent groups."""
    shares = [(part / variance, nu) for part, nu in groups if part and nu is not None]
    inverse = fsum(share * share / nu for share, nu in shares)
    return 1.0 / inverse if inverse > 1e-300 else None


def _second_order(model: Model, inputs: Mapping[str, Input], correlations: Correlations | None) -> float:
    if correlations:
        raise InputError("science.second_order_correlated", given=[" and ".join(pair) for pair in correlations])
    return second_order_variance(model=model, inputs={name: (given.value, given.standard_uncertainty) for name, given in inputs.items()})


# Where standard uncertainties come from. What is common to all repeats (gain, volume, resolution) is never divided by sqrt(n).


def from_limits(half_width: float) -> float:
    """The standard uncertainty of a value known only to lie within plus or minus this (rectangular): a / sqrt 3."""
    UNCERTAINTY.check(half_width)
    return half_width / sqrt(3.0)


def from_resolution(step: float) -> float:
    """The standard uncertainty of a display that moves in such steps, rectangular over one step: d / sqrt 12."""
    UNCERTAINTY.check(step)
    return step / sqrt(12.0)


def from_triangular(half_width: float) -> float:
    """The standard uncertainty of a value within plus or minus this, the middle likelier, as for graduated glass: a / sqrt 6."""
    UNCERTAINTY.check(half_width)
    return half_width / sqrt(6.0)


def from_certificate(*, expanded: float, coverage_factor: float) -> float:
    """The standard uncertainty behind the one a certificate states: U / k."""
    UNCERTAINTY.check(expanded)
    COVERAGE_FACTOR.check(coverage_factor)
    return expanded / coverage_factor


def from_repeats(*, values: Sequence[float]) -> Input:
    """The mean of repeats with the uncertainty of their own scatter, s / sqrt n with n - 1 degrees of freedom.

    Of two or three repeats s is known within a factor of two only: pool it (`pooled_scatter`, `from_pooled`). Equal
    repeats give 0; the resolution remains and is an input of its own.

    Parameters
    ----------
    values : sequence, n >= 2
        Independent repeats in one unit.

    Returns
    -------
    Input
        In the unit of the values.

    Source
    ------
    jcgm-100 4.2

    """
    variance, degrees_of_freedom = _scatter([values])
    return Input(value=_mean(values), standard_uncertainty=sqrt(variance / len(values)), degrees_of_freedom=degrees_of_freedom)


def pooled_scatter(*, groups: Sequence[Sequence[float]]) -> tuple[float, float]:
    """The standard deviation of single values about the means of their groups, and its degrees of freedom.

    Parameters
    ----------
    groups : sequence of sequences
        Repeats of one thing each, in one unit and of one scatter; a group of one adds nothing.

    Returns
    -------
    pair
        Standard deviation, in the unit of the values, and the sum of n - 1.

    Source
    ------
    jcgm-100 4.2.4

    """
    variance, degrees_of_freedom = _scatter(groups)
    return sqrt(variance), degrees_of_freedom


def from_pooled(*, values: Sequence[float], standard_deviation: float, degrees_of_freedom: float | None) -> Input:
    """The mean of one or more repeats with the uncertainty of a scatter known from elsewhere, s / sqrt n.

    Parameters
    ----------
    values : sequence, n >= 1
        Independent repeats in one unit.
    standard_deviation : scalar
        Of single values, from `pooled_scatter` or a published precision.
    degrees_of_freedom : scalar
        With which that scatter is known; None: infinite.

    Returns
    -------
    Input
        In the unit of the values.

    Source
    ------
    jcgm-100 4.2.4

    """
    if not values:
        raise ShapeMismatch("science.shape", name="values", given=0, wanted="at least 1")
    UNCERTAINTY.check(standard_deviation)
    return Input(value=_mean(values), standard_uncertainty=standard_deviation / sqrt(len(values)), degrees_of_freedom=degrees_of_freedom)


def _mean(values: Sequence[float]) -> float:
    return fsum(values) / len(values)


def _scatter(groups: Sequence[Sequence[float]]) -> tuple[float, float]:
    groups = [group for group in groups if group]
    means = [_mean(group) for group in groups]
    degrees_of_freedom = fsum(len(group) - 1 for group in groups)
    if not degrees_of_freedom:
        raise ShapeMismatch("science.shape", name="repeats", given=[len(group) for group in groups], wanted="at least 2 of one thing")
    squares = [(value - mean) * (value - mean) for group, mean in zip(groups, means, strict=True) for value in group]
    return fsum(squares) / degrees_of_freedom, degrees_of_freedom
