# SPDX-License-Identifier: MIT
"""Propagation against the `uncertainties` package, a Monte Carlo of numpy, and what must hold for any model."""

from __future__ import annotations

import math

import numpy as np
import pytest
import uncertainties
from hypothesis import given
from hypothesis import strategies as st

from brackish.errors import InputError, OutOfRange
from brackish.science.uncertainty import Input, from_pooled, from_repeats, pooled_scatter, propagate
from tests.examples import examples

thorough = examples(150)
VALUES = st.floats(0.5, 50.0)
SHARES = st.floats(0.0, 0.05)
DEGREES = st.one_of(st.none(), st.floats(1.0, 200.0))


def inputs_of(values, shares, degrees=(None,) * 3):
    return {
        name: Input(value=value, standard_uncertainty=share * value, degrees_of_freedom=nu)
        for name, value, share, nu in zip("abc", values, shares, degrees, strict=True)
    }


def model(*, a, b, c):
    return a * b / (1.0 + 0.02 * c) - a * c


VALUES_OF_THREE, SHARES_OF_THREE, DEGREES_OF_THREE = (st.tuples(*[strategy] * 3) for strategy in (VALUES, SHARES, DEGREES))


@thorough
@given(VALUES_OF_THREE, st.tuples(*[st.floats(1e-6, 0.05)] * 3))
def test_agrees_with_the_uncertainties_package(values, shares):
    inputs = inputs_of(values, shares)
    found = propagate(model=model, inputs=inputs)
    other = model(**{name: uncertainties.ufloat(given.value, given.standard_uncertainty) for name, given in inputs.items()})
    assert found.value == pytest.approx(other.nominal_value, rel=1e-12)
    assert found.standard_uncertainty == pytest.approx(other.std_dev, rel=1e-6, abs=1e-9)


@thorough
@given(VALUES_OF_THREE, SHARES_OF_THREE, st.floats(-1.0, 1.0))
def test_correlated_inputs_agree_with_the_uncertainties_package(values, shares, r):
    inputs = inputs_of(values, shares)
    matrix = np.array([[1.0, r, 0.0], [r, 1.0, 0.0], [0.0, 0.0, 1.0]])
    widths = np.array([given.standard_uncertainty for given in inputs.values()])
    slopes = propagate(model=model, inputs=inputs).budget
    parts = np.array([line.sensitivity for line in slopes]) * widths
    found = propagate(model=model, inputs=inputs, correlations={("a", "b"): r})
    assert found.standard_uncertainty**2 == pytest.approx(parts @ matrix @ parts, rel=1e-9, abs=1e-12 * float(parts @ parts) + 1e-300)


@pytest.mark.parametrize("r", [-0.9, -0.355, 0.0, 0.5, 1.0])
def test_correlation_agrees_with_the_uncertainties_package(r):
    covariance = [[0.04, r * 0.2 * 0.3, 0.0], [r * 0.2 * 0.3, 0.09, 0.0], [0.0, 0.0, 0.01]]
    a, b, c = uncertainties.correlated_values([10.0, 7.0, 3.0], covariance)
    inputs = {name: Input(value=value, standard_uncertainty=u) for name, value, u in (("a", 10.0, 0.2), ("b", 7.0, 0.3), ("c", 3.0, 0.1))}
    assert propagate(model=model, inputs=inputs, correlations={("b", "a"): r}).standard_uncertainty == pytest.approx(model(a=a, b=b, c=c).std_dev, rel=1e-6)


@thorough
@given(VALUES_OF_THREE, SHARES_OF_THREE, DEGREES_OF_THREE, st.floats(1e-3, 1e3))
def test_another_unit_of_the_result_scales_the_uncertainty(values, shares, degrees, factor):
    inputs = inputs_of(values, shares, degrees)
    plain, scaled = propagate(model=model, inputs=inputs), propagate(model=lambda **v: factor * model(**v), inputs=inputs)
    assert scaled.standard_uncertainty == pytest.approx(factor * plain.standard_uncertainty, rel=1e-9, abs=1e-12)
    if plain.degrees_of_freedom is not None and plain.degrees_of_freedom < 1e6:
        assert scaled.degrees_of_freedom == pytest.approx(plain.degrees_of_freedom, rel=1e-6)


@thorough
@given(VALUES_OF_THREE, SHARES_OF_THREE, DEGREES_OF_THREE)
def test_degrees_of_freedom_lie_between_the_least_and_the_sum(values, shares, degrees):
    found = propagate(model=model, inputs=inputs_of(values, shares, degrees))
    counted = [line for line in found.budget if line.contribution]
    known = [line.degrees_of_freedom for line in counted if line.degrees_of_freedom is not None]
    if found.degrees_of_freedom is not None:
        assert found.degrees_of_freedom >= min(known) * (1 - 1e-9)
        if len(known) == len(counted):
            assert found.degrees_of_freedom <= math.fsum(known) * (1 + 1e-9)


@thorough
@given(VALUES_OF_THREE, SHARES_OF_THREE)
def test_order_of_the_inputs_changes_nothing_but_the_order_of_the_budget(values, shares):
    inputs = inputs_of(values, shares)
    one, other = propagate(model=model, inputs=inputs), propagate(model=model, inputs=dict(reversed(inputs.items())))
    assert one.standard_uncertainty == other.standard_uncertainty
    assert [line.input for line in one.budget] == ["a", "b", "c"]
    assert one.budget == tuple(reversed(other.budget))


def test_second_order_agrees_with_a_simulation():
    """x^2 y + exp(z) at places where the slopes are small; the exact variance of normals is simulated."""
    inputs = {
        "x": Input(value=0.05, standard_uncertainty=0.1),
        "y": Input(value=1.0, standard_uncertainty=0.1),
        "z": Input(value=-4.0, standard_uncertainty=0.1),
    }
    found = propagate(model=lambda *, x, y, z: x * x * y + math.exp(z), inputs=inputs, second_order=True)
    draws = np.random.default_rng(1).normal(size=(3, 2_000_000))
    x, y, z = (given.value + given.standard_uncertainty * row for given, row in zip(inputs.values(), draws, strict=True))
    simulated = np.std(x * x * y + np.exp(z))
    first = propagate(model=lambda *, x, y, z: x * x * y + math.exp(z), inputs=inputs).standard_uncertainty
    assert found.standard_uncertainty == pytest.approx(simulated, rel=0.02)
    assert first < 0.8 * simulated


def test_shared_input_once_or_twice_with_correlation_one_is_the_same():
    gain = Input(value=1.0, standard_uncertainty=0.01, degrees_of_freedom=5.0)
    once = propagate(model=lambda *, g: 3.0 * g - 2.0 * g, inputs={"g": gain})
    twice = propagate(model=lambda *, g, h: 3.0 * g - 2.0 * h, inputs={"g": gain, "h": gain}, correlations={("g", "h"): 1.0})
    apart = propagate(model=lambda *, g, h: 3.0 * g - 2.0 * h, inputs={"g": gain, "h": gain})
    assert twice.standard_uncertainty == pytest.approx(once.standard_uncertainty, rel=1e-9)
    assert twice.degrees_of_freedom == pytest.approx(once.degrees_of_freedom, rel=1e-9)
    assert apart.standard_uncertainty == pytest.approx(0.01 * math.sqrt(13.0), rel=1e-9)


def test_input_without_uncertainty_is_listed_and_not_moved():
    def blank_at_the_edge(*, reading, blank):
        if blank < 0.0:
            raise OutOfRange("science.out_of_range", name="blank", value=blank, unit="uS/cm", lowest=0.0, highest=1.0, source="test")
        return reading - blank

    inputs = {"reading": Input(value=9.1, standard_uncertainty=0.1), "blank": Input(value=0.0, standard_uncertainty=0.0)}
    found = propagate(model=blank_at_the_edge, inputs=inputs)
    assert [(line.input, line.sensitivity, line.contribution) for line in found.budget][1] == ("blank", 0.0, 0.0)
    with pytest.raises(OutOfRange):
        propagate(model=blank_at_the_edge, inputs={**inputs, "blank": Input(value=0.0, standard_uncertainty=0.1)})


def test_nothing_uncertain_has_no_uncertainty():
    found = propagate(model=lambda *, a: a, inputs={"a": Input(value=5.0, standard_uncertainty=0.0, degrees_of_freedom=3.0)})
    assert (found.standard_uncertainty, found.degrees_of_freedom, found.expanded_uncertainty) == (0.0, None, 0.0)


def test_correlated_group_has_its_fewest_degrees_of_freedom():
    inputs = {name: Input(value=1.0, standard_uncertainty=0.1, degrees_of_freedom=nu) for name, nu in (("a", 4.0), ("b", 9.0), ("c", None))}
    found = propagate(model=lambda *, a, b, c: a + b + c, inputs=inputs, correlations={("a", "b"): 0.5})
    assert found.degrees_of_freedom == pytest.approx((0.03 + 0.01) ** 2 / (0.03**2 / 4.0), rel=1e-9)


@pytest.mark.parametrize(
    ("correlations", "code"),
    [
        ({("a", "b"): 1.001}, "science.out_of_range"),
        ({("a", "b"): 1.0, ("b", "c"): 1.0}, "science.correlations_impossible"),
        ({("a", "b"): math.nan}, "science.not_finite"),
        ({("a", "x"): 0.1}, "science.unknown"),
        ({("a", "a"): 1.0}, "science.correlation_twice"),
        ({("a", "b"): 0.5, ("b", "a"): 0.5}, "science.correlation_twice"),
        ({("a", "b"): 0.9, ("b", "c"): 0.9, ("a", "c"): -0.9}, "science.correlations_impossible"),
        ({("a", "b"): 1.0, ("b", "c"): 1.0, ("a", "c"): 0.5}, "science.correlations_impossible"),
    ],
)
def test_impossible_correlations_are_refused(correlations, code):
    with pytest.raises(InputError) as caught:
        propagate(model=model, inputs=inputs_of((2.0, 3.0, 4.0), (0.01,) * 3), correlations=correlations)
    assert caught.value.code == code


def test_possible_correlations_of_three_are_taken():
    correlations = {("a", "b"): 1.0, ("b", "c"): -1.0, ("a", "c"): -1.0}
    assert propagate(model=model, inputs=inputs_of((2.0, 3.0, 4.0), (0.01,) * 3), correlations=correlations).standard_uncertainty > 0.0


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"value": math.nan}, "science.not_finite"),
        ({"value": math.inf}, "science.not_finite"),
        ({"standard_uncertainty": -0.1}, "science.out_of_range"),
        ({"standard_uncertainty": math.nan}, "science.not_finite"),
        ({"degrees_of_freedom": 0.0}, "science.out_of_range"),
        ({"distribution": "bell"}, "science.unknown"),
    ],
)
def test_impossible_inputs_are_refused(change, code):
    with pytest.raises(InputError) as caught:
        Input(**{"value": 1.0, "standard_uncertainty": 0.1, **change})
    assert caught.value.code == code


@pytest.mark.parametrize("level", [0.0, 1.0, 95.0])
def test_level_outside_its_range_is_refused(level):
    with pytest.raises(OutOfRange):
        propagate(model=lambda *, a: a, inputs={"a": Input(value=1.0, standard_uncertainty=0.1)}, level=level)


def test_model_that_gives_no_number_is_refused():
    with pytest.raises(InputError) as caught:
        propagate(model=lambda *, a: math.inf, inputs={"a": Input(value=1.0, standard_uncertainty=0.1)})
    assert caught.value.code == "science.not_finite"


@thorough
@given(st.lists(st.lists(st.floats(-100.0, 100.0), min_size=1, max_size=6), min_size=1, max_size=5).filter(lambda groups: any(len(g) > 1 for g in groups)))
def test_pooled_scatter_agrees_with_numpy(groups):
    sd, degrees_of_freedom = pooled_scatter(groups=groups)
    squares = sum(np.var(group) * len(group) for group in groups)
    assert degrees_of_freedom == sum(len(group) - 1 for group in groups)
    assert sd == pytest.approx(math.sqrt(squares / degrees_of_freedom), rel=1e-9, abs=1e-9)


@thorough
@given(st.lists(st.floats(0.1, 100.0), min_size=2, max_size=8))
def test_own_scatter_is_the_pooled_scatter_of_one_group(values):
    sd, degrees_of_freedom = pooled_scatter(groups=[values])
    own, pooled = from_repeats(values=values), from_pooled(values=values, standard_deviation=sd, degrees_of_freedom=degrees_of_freedom)
    assert own.standard_uncertainty == pytest.approx(pooled.standard_uncertainty, rel=1e-12)
    assert (own.value, own.degrees_of_freedom) == (pooled.value, pooled.degrees_of_freedom)
