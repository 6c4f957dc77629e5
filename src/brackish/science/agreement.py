# SPDX-License-Identifier: MIT
"""Do repeats agree, and what follows when they do not? Two to five results of one thing.

Two rules: the range against the critical range, where the repeatability of the method is known (ISO 5725-6), and a share
of the mean with an absolute floor, where it is not. No result is ever dropped; all stay in the record.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import fsum, sqrt
from typing import NamedTuple

from brackish.errors import ShapeMismatch
from brackish.science.conformity import compare
from brackish.science.uncertainty import UNCERTAINTY
from brackish.science.validity import Range

# 95 % of n results lie within this many repeatability standard deviations, as ISO 5725-6 prints it (recalled; check your
# copy). The exact quantiles of the range are 2.772, 3.314, 3.633, 3.858.
CRITICAL_RANGE_FACTORS = {2: 2.8, 3: 3.3, 4: 3.6, 5: 3.9}
# What to do when n results do not agree: two get company, more than two are settled by their median.
WHEN_APART = {2: "test-two-more", 3: "take-median", 4: "take-median", 5: "take-median"}
SHARE = Range("share of the mean", "", 0.0, 1.0, "a share")
COUNT = Range("number of results in a mean", "", 1, 10000, "a mean needs one")


class RangeCheck(NamedTuple):
    """`spread` against `critical_range`; `next` is take-mean, test-two-more or take-median; `result` that mean or median, None before more tests."""

    spread: float
    critical_range: float
    agree: bool
    next: str
    result: float | None


class ShareCheck(NamedTuple):
    """`spread` against what the rule allows."""

    spread: float
    allowed: float
    agree: bool


def critical_range(*, n: int, repeatability_sd: float) -> float:
    """The range that n results under repeatability stay within, 95 times in 100; for two it is the repeatability limit r.

    Parameters
    ----------
    n : count
        2 to 5.
    repeatability_sd : scalar
        Of single results.

    Returns
    -------
    scalar
        In the unit of the results.

    Valid
    -----
    n from 2 to 5; outside raises ShapeMismatch

    Source
    ------
    iso-5725-6 table of critical range factors

    """
    if n not in CRITICAL_RANGE_FACTORS:
        raise ShapeMismatch("science.shape", name="results", given=n, wanted="2 to 5")
    UNCERTAINTY.check(repeatability_sd)
    return CRITICAL_RANGE_FACTORS[n] * repeatability_sd


def check_range(*, values: Sequence[float], repeatability_sd: float) -> RangeCheck:
    """Whether results agree within the critical range, and what follows.

    Two that are apart: test two more and check all four. Three or more that are still apart: their median, and say so.

    Parameters
    ----------
    values : sequence, 2 <= n <= 5
        Results on separate portions or places, under repeatability.
    repeatability_sd : scalar
        Of single results, known from elsewhere; never from these values.

    Returns
    -------
    RangeCheck
        In the unit of the results.

    Valid
    -----
    2 to 5 results; outside raises ShapeMismatch

    Source
    ------
    iso-5725-6 5.2.2, where testing is not expensive

    """
    critical = critical_range(n=len(values), repeatability_sd=repeatability_sd)
    spread = max(values) - min(values)
    if compare(value=spread, limit=critical) != "over":
        return RangeCheck(spread, critical, True, "take-mean", _mean(values))
    follows = WHEN_APART[len(values)]
    return RangeCheck(spread, critical, False, follows, median(values=values) if follows == "take-median" else None)


def check_share(*, values: Sequence[float], share: float, floor: float) -> ShareCheck:
    """Whether determinations agree: apart by no more than a share of their mean, or by no more than a floor, whichever is more.

    Parameters
    ----------
    values : sequence, n >= 2
        Determinations on separate portions.
    share : scalar
        Of the mean, such as 0.1.
    floor : scalar
        In the unit of the values; what a good meter and two portions differ by anyway.

    Returns
    -------
    ShareCheck
        In the unit of the values.

    Source
    ------
    common-practice the 10 % and its floors are data of the library

    """
    if len(values) < 2:
        raise ShapeMismatch("science.shape", name="determinations", given=len(values), wanted="at least 2")
    SHARE.check(share)
    UNCERTAINTY.check(floor)
    spread = max(values) - min(values)
    allowed = max(share * abs(_mean(values)), floor)
    return ShareCheck(spread, allowed, compare(value=spread, limit=allowed) != "over")


def critical_difference(*, repeatability_sd: float, first_count: int, second_count: int) -> float:
    """The difference that the means of two sets of results under repeatability stay within, 95 times in 100.

    Parameters
    ----------
    repeatability_sd : scalar
        Of single results.
    first_count, second_count : count
        Results in each mean.

    Returns
    -------
    scalar
        In the unit of the results.

    Source
    ------
    iso-5725-6 4.2: 2.8 s sqrt(1/(2 n1) + 1/(2 n2))

    """
    UNCERTAINTY.check(repeatability_sd)
    COUNT.check(first_count)
    COUNT.check(second_count)
    return CRITICAL_RANGE_FACTORS[2] * repeatability_sd * sqrt(0.5 / first_count + 0.5 / second_count)


def critical_difference_to_reference(*, repeatability_sd: float, reproducibility_sd: float, count: int) -> float:
    """The difference that the mean of one tester stays within from a known reference value, 95 times in 100.

    Parameters
    ----------
    repeatability_sd, reproducibility_sd : scalar
        Of single results, within one tester and between testers; the second is not the smaller.
    count : count
        Results in the mean.

    Returns
    -------
    scalar
        In the unit of the results.

    Source
    ------
    iso-5725-6 4.2: sqrt((2.8 s_R)2 - (2.8 s_r)2 (n - 1)/n) / sqrt 2

    """
    COUNT.check(count)
    Range("reproducibility", "", repeatability_sd, float("inf"), "it includes the repeatability").check(reproducibility_sd)
    within = CRITICAL_RANGE_FACTORS[2] * repeatability_sd
    between = CRITICAL_RANGE_FACTORS[2] * reproducibility_sd
    return sqrt(0.5 * (between * between - within * within * (count - 1) / count))


def median(*, values: Sequence[float]) -> float:
    """The middle one of the values in order, or the mean of the two in the middle."""
    ordered = sorted(values)
    half = len(ordered) // 2
    return ordered[half] if len(ordered) % 2 else 0.5 * (ordered[half - 1] + ordered[half])


def _mean(values: Sequence[float]) -> float:
    return fsum(values) / len(values)
