# SPDX-License-Identifier: MIT
"""What a few tests show, against scipy's noncentral t, binomial and hypergeometric distributions."""

from __future__ import annotations

import math

import pytest
import scipy.stats
from hypothesis import given
from hypothesis import strategies as st

from brackish.science.sampling import (
    chance_all_pass,
    largest_number_bad,
    largest_share_bad,
    mean_limit_factor,
    smallest_count,
    tolerance_factor,
)
from tests.examples import examples

thorough = examples(60)


@pytest.mark.parametrize("n", [2, 3, 4, 5, 10, 43, 300, 1000])
@pytest.mark.parametrize("content", [0.5, 0.8, 0.95, 0.9999])
@pytest.mark.parametrize("confidence", [0.6, 0.95, 0.9999])
def test_tolerance_factor_agrees_with_scipy(n, content, confidence):
    exact = scipy.stats.nct.ppf(confidence, n - 1, scipy.stats.norm.ppf(content) * math.sqrt(n)) / math.sqrt(n)
    assert tolerance_factor(n=n, content=content, confidence=confidence) == pytest.approx(exact, rel=1e-8)


@thorough
@pytest.mark.slow
@given(st.integers(2, 200), st.floats(0.55, 0.99), st.floats(0.65, 0.99))
def test_tolerance_factor_grows_with_content_and_confidence_and_falls_with_more_tests(n, content, confidence):
    k = tolerance_factor(n=n, content=content, confidence=confidence)
    assert k < tolerance_factor(n=n, content=content + 0.005, confidence=confidence)
    assert k < tolerance_factor(n=n, content=content, confidence=confidence + 0.005)
    assert k > tolerance_factor(n=n + 1, content=content, confidence=confidence)


@thorough
@given(st.integers(2, 500), st.floats(0.6, 0.999))
def test_half_the_content_is_the_limit_of_the_mean(n, confidence):
    assert tolerance_factor(n=n, content=0.5, confidence=confidence) == pytest.approx(mean_limit_factor(n=n, confidence=confidence), rel=1e-9)


@pytest.mark.parametrize("failures", [0, 1, 3, 20])
@pytest.mark.parametrize("content", [0.5, 0.9, 0.95, 0.995])
def test_smallest_count_agrees_with_scipy(content, failures):
    n = smallest_count(content=content, confidence=0.95, failures=failures)
    assert scipy.stats.binom.cdf(failures, n, 1.0 - content) <= 0.05 < scipy.stats.binom.cdf(failures, n - 1, 1.0 - content)


@thorough
@given(st.integers(1, 400), st.data())
def test_largest_number_bad_agrees_with_scipy(population, data):
    sampled = data.draw(st.integers(1, population))
    bad = largest_number_bad(population=population, sampled=sampled, confidence=0.95)
    assert bad == 0 or scipy.stats.hypergeom.pmf(0, population, bad, sampled) > 0.05
    assert bad == population - sampled or scipy.stats.hypergeom.pmf(0, population, bad + 1, sampled) <= 0.05 * (1 + 1e-9)


@thorough
@given(st.integers(1, 1000), st.floats(0.6, 0.9999))
def test_share_that_could_be_bad_passes_with_just_the_chance_left(passes, confidence):
    share = largest_share_bad(passes=passes, confidence=confidence)
    assert chance_all_pass(n=passes, share_bad=share) == pytest.approx(1.0 - confidence, rel=1e-9)


def test_finite_lot_comes_to_the_endless_surface():
    shares = [largest_number_bad(population=population, sampled=5, confidence=0.95) / population for population in (100, 1000, 100_000)]
    assert shares == sorted(shares)
    assert shares[-1] == pytest.approx(largest_share_bad(passes=5, confidence=0.95), abs=1e-4)
