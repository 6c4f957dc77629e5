# SPDX-License-Identifier: MIT
"""Accuracy of the core's own functions over wide ranges: decimals (correctly rounded) for exp and log, scipy for the distributions."""

from __future__ import annotations

from decimal import Context, Decimal
from math import inf, nan

import pytest
import scipy.special
import scipy.stats
from hypothesis import example, given
from hypothesis import strategies as st

from brackish.errors import InputError, OutOfRange
from brackish.science.elementary import exp, log, normal_cdf, normal_quantile, student_cdf, student_quantile
from tests.examples import examples

thorough = examples(400)
EXACT = Context(prec=40)
DEGREES = st.one_of(st.floats(0.5, 5.0), st.floats(5.0, 200.0), st.floats(200.0, 1e9), st.integers(1, 100).map(float))


def relative_error(found: float, true: Decimal) -> float:
    return float(abs(EXACT.divide(EXACT.subtract(Decimal(found), true), true)))


@thorough
@given(st.one_of(st.floats(-708.0, 709.0), st.floats(-1.0, 1.0), st.floats(-1e-6, 1e-6)))
@example(0.34657359027997264)
@example(-0.34657359027997264)
def test_exp_agrees_with_decimals(x):
    assert relative_error(exp(x), EXACT.exp(Decimal(x))) < 1.5e-16


@thorough
@given(st.one_of(st.floats(1e-307, 1e308), st.floats(0.5, 2.0), st.floats(0.999, 1.001)).filter(lambda x: x != 1.0))
@example(0.7071067811865476)
@example(0.7071067811865475)
@example(1.0 + 2.0**-52)
def test_log_agrees_with_decimals(x):
    assert relative_error(log(x), EXACT.ln(Decimal(x))) < 1.7e-16


@thorough
@given(st.floats(-37.0, 8.0))
def test_normal_cdf_agrees_with_scipy_in_the_tail(x):
    assert normal_cdf(x) == pytest.approx(scipy.special.ndtr(x), rel=2e-13)


@thorough
@given(st.one_of(st.floats(-60.0, -0.31).map(lambda power: 10.0**power), st.floats(0.4, 0.999999)))
def test_normal_quantile_agrees_with_scipy(p):
    assert normal_quantile(p) == pytest.approx(scipy.special.ndtri(p), rel=2e-14, abs=1e-15)


@thorough
@given(st.one_of(st.floats(-3.0, 1.5).map(lambda power: 10.0**power), st.floats(0.5, 4.0)), DEGREES)
def test_student_cdf_agrees_with_scipy(t, degrees_of_freedom):
    assert student_cdf(-t, degrees_of_freedom) == pytest.approx(scipy.stats.t.cdf(-t, degrees_of_freedom), rel=3e-13)
    assert student_cdf(t, degrees_of_freedom) == pytest.approx(scipy.stats.t.cdf(t, degrees_of_freedom), rel=1e-14)


@thorough
@given(st.one_of(st.floats(0.5, 0.99999), st.floats(0.9, 0.999)), DEGREES)
def test_student_quantile_agrees_with_scipy(p, degrees_of_freedom):
    assert student_quantile(p, degrees_of_freedom) == pytest.approx(scipy.stats.t.ppf(p, degrees_of_freedom), rel=1e-12, abs=1e-14)


@thorough
@given(st.floats(-50.0, -0.31).map(lambda power: 10.0**power), DEGREES)
def test_student_quantile_undoes_student_cdf(p, degrees_of_freedom):
    assert student_cdf(student_quantile(p, degrees_of_freedom), degrees_of_freedom) == pytest.approx(p, rel=5e-13)


@thorough
@given(st.floats(0.0, 1e300), DEGREES)
def test_distributions_are_symmetric(t, degrees_of_freedom):
    assert student_cdf(-t, degrees_of_freedom) + student_cdf(t, degrees_of_freedom) == 1.0
    assert 0.0 <= student_cdf(-t, degrees_of_freedom) <= 0.5


@thorough
@given(st.floats(0.001, 0.999))
def test_student_with_two_degrees_of_freedom_is_the_closed_form(p):
    assert student_quantile(p, 2.0) == pytest.approx((2 * p - 1) / (2 * p * (1 - p)) ** 0.5, rel=1e-13, abs=1e-15)


def test_infinite_degrees_of_freedom_are_the_normal_distribution():
    assert student_cdf(1.3, None) == normal_cdf(1.3)
    assert student_quantile(0.975, None) == normal_quantile(0.975)
    assert student_quantile(0.975, 1e12) == pytest.approx(normal_quantile(0.975), rel=1e-11)


def test_ends_are_reached():
    assert (exp(-746.0), exp(-inf)) == (0.0, 0.0)
    assert (normal_cdf(-inf), normal_cdf(0.0), normal_cdf(inf)) == (0.0, 0.5, 1.0)
    assert normal_quantile(0.5) == 0.0
    assert student_cdf(inf, 0.5) == 1.0


@pytest.mark.parametrize(
    ("function", "arguments"),
    [
        (exp, (709.79,)),
        (exp, (inf,)),
        (log, (0.0,)),
        (log, (-1.0,)),
        (log, (inf,)),
        (normal_quantile, (0.0,)),
        (normal_quantile, (1.0,)),
        (student_quantile, (1e-61, 3.0)),
        (student_quantile, (0.9, 0.4)),
        (student_cdf, (1.0, 0.0)),
        (student_cdf, (1.0, -3.0)),
    ],
)
def test_outside_the_range_is_refused(function, arguments):
    with pytest.raises(OutOfRange) as caught:
        function(*arguments)
    assert caught.value.code == "science.out_of_range"
    assert caught.value.message


@pytest.mark.parametrize(("function", "arguments"), [(exp, (nan,)), (log, (nan,)), (normal_cdf, (nan,)), (student_cdf, (1.0, nan)), (normal_quantile, (nan,))])
def test_not_a_number_is_refused(function, arguments):
    with pytest.raises(InputError) as caught:
        function(*arguments)
    assert caught.value.code == "science.not_finite"


# Own values: they detect a platform or a change that computes other bits, nothing else.
BITS = {
    "exp": (exp(0.7).hex(), "0x1.01c2a61268987p+1"),
    "exp far": (exp(-613.3).hex(), "0x1.25137a182d3b0p-885"),
    "log": (log(0.0141).hex(), "-0x1.10bdbc0f6f10dp+2"),
    "normal": (normal_cdf(-1.234).hex(), "0x1.bcd4e0528f970p-4"),
    "normal far": (normal_cdf(-7.5).hex(), "0x1.1f68f3dbb818ap-45"),
    "normal quantile": (normal_quantile(0.95).hex(), "0x1.a515209676abbp+0"),
    "student": (student_cdf(-1.1, 4.3).hex(), "0x1.50f6c395a000ap-3"),
    "student far": (student_cdf(-4.4, 118.46).hex(), "0x1.8f843a36d5b47p-17"),
    "student quantile": (student_quantile(0.975, 16.752).hex(), "0x1.0e5c7be56812bp+1"),
    "student quantile near": (student_quantile(0.6, 2.5).hex(), "0x1.2036ec299cc82p-2"),
}


@pytest.mark.parametrize("name", BITS)
def test_bits_are_the_same_everywhere(name):
    found, known = BITS[name]
    assert found == known
