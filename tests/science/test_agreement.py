# SPDX-License-Identifier: MIT
"""The printed factors against the exact distribution of the range, and the flow of repeats."""

from __future__ import annotations

import pytest
import scipy.stats
from hypothesis import given
from hypothesis import strategies as st

from brackish.science.agreement import CRITICAL_RANGE_FACTORS, check_range, check_share, critical_difference, critical_range, median
from tests.examples import examples

thorough = examples(200)
RESULTS = st.lists(st.floats(0.0, 100.0), min_size=2, max_size=5)


@pytest.mark.parametrize("n", CRITICAL_RANGE_FACTORS)
def test_printed_factor_is_the_rounded_quantile_of_the_range(n):
    exact = scipy.stats.studentized_range.ppf(0.95, n, float("inf"))
    assert CRITICAL_RANGE_FACTORS[n] == round(float(exact), 1)


@thorough
@given(RESULTS, st.floats(0.01, 50.0), st.randoms(use_true_random=False))
def test_order_of_the_results_changes_nothing(values, sd, random):
    shuffled = random.sample(values, len(values))
    assert check_range(values=shuffled, repeatability_sd=sd) == check_range(values=values, repeatability_sd=sd)
    assert check_share(values=shuffled, share=0.1, floor=0.5) == check_share(values=values, share=0.1, floor=0.5)


@thorough
@given(RESULTS, st.floats(0.01, 50.0))
def test_result_lies_among_the_values_or_is_not_given(values, sd):
    found = check_range(values=values, repeatability_sd=sd)
    assert found.agree == (found.next == "take-mean")
    assert (found.result is None) == (found.next == "test-two-more")
    if found.result is not None:
        assert min(values) - 1e-9 <= found.result <= max(values) + 1e-9


@thorough
@given(st.floats(0.5, 100.0), st.sampled_from([2, 3, 4, 5]), st.floats(1e-3, 1e3))
def test_another_unit_changes_no_agreement(sd, n, factor):
    values = [10.0 + i * critical_range(n=n, repeatability_sd=sd) / (n - 1) * 0.999 for i in range(n)]
    assert check_range(values=values, repeatability_sd=sd).agree
    assert check_range(values=[factor * value for value in values], repeatability_sd=factor * sd).agree


def test_spread_exactly_at_the_share_agrees_in_every_unit():
    assert all(check_share(values=[9.5 * factor, 10.5 * factor], share=0.1, floor=0.0).agree for factor in (1.0, 0.1, 10.0, 1 / 3))


@thorough
@given(st.integers(1, 20), st.integers(1, 20))
def test_difference_of_two_means_shrinks_with_more_results(first, second):
    def difference(n, m):
        return critical_difference(repeatability_sd=1.0, first_count=n, second_count=m)

    assert difference(first, second) == difference(second, first)
    assert difference(first + 1, second) < difference(first, second)


@thorough
@given(st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=9))
def test_median_has_as_many_below_as_above(values):
    middle = median(values=values)
    assert sum(value < middle for value in values) <= len(values) / 2 >= sum(value > middle for value in values)
