# SPDX-License-Identifier: MIT
"""What a few tests show about all the rest, and what they cannot show.

Everything here supposes places chosen by chance. Tests put where salt is likeliest say nothing about shares of the
area: record how places were chosen, and refuse these sentences unless by chance. Three to five tests in 100 m2 can each be held against the
limit; that they all pass does not show that 95 % of the area would.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from math import fsum, sqrt
from typing import NamedTuple

from brackish.science.conformity import compare
from brackish.science.elementary import exp, log, normal_cdf, normal_quantile, student_quantile
from brackish.science.uncertainty import from_repeats, pooled_scatter
from brackish.science.validity import Range

_SHARE = "a share or a chance"
COUNT = Range("number of tests", "", 1, 100_000, "more is no longer sampling by hand")
SCATTER_COUNT = Range("number of tests", "", 2, 1000, "a scatter needs two; accuracy shown up to 1000")
CONTENT = Range("content", "", 0.5, 0.9999, _SHARE)
CONFIDENCE = Range("confidence", "", 0.6, 0.9999, _SHARE)
SHARE_BAD = Range("share that is bad", "", 0.0, 1.0, _SHARE)
POPULATION = Range("population", "", 1, 1_000_000, "counted one by one")
_NODES = 480  # of the quadrature; twice as many change no digit


class ToleranceLimit(NamedTuple):
    """`limit` = mean + factor · standard deviation, of n results."""

    n: int
    mean: float
    standard_deviation: float
    factor: float
    limit: float


@lru_cache(maxsize=128)
def tolerance_factor(*, n: int, content: float, confidence: float) -> float:
    """The k of mean + k s, a limit that with this confidence lies above this share of a normal population.

    Exact, not the handbooks' approximation: with s/sigma = e to x, the confidence is the mean over x of the chance that the
    mean of n lies high enough. Of few results k is large because s is hardly known; a scatter pooled from many jobs is worth more than extra tests.

    Parameters
    ----------
    n : count
        Tests at places chosen by chance; 2 and 3 too.
    content : scalar
        Share of the population below the limit.
    confidence : scalar
        Of being right.

    Returns
    -------
    scalar
        Within 1e-8 relative.

    Valid
    -----
    n from 2 to 1000; content 0.5 to 0.9999; confidence 0.6 to 0.9999; outside raises OutOfRange

    Source
    ------
    iso-16269-6 one-sided, scatter unknown: the noncentral t quantile over sqrt n

    """
    SCATTER_COUNT.check(n)
    CONTENT.check(content)
    CONFIDENCE.check(confidence)
    root, z = sqrt(n), normal_quantile(content)
    scatters = _scatter_weights(n - 1)
    missing = log(1.0 - confidence)
    # The chance of missing falls nearly as a power of k: Newton's method on log over log, as elementary's far quantiles.
    k = z + student_quantile(confidence, n - 1) / root
    for _ in range(60):
        miss = fsum(weight * normal_cdf(root * (z - k * s)) for s, weight in scatters)
        fall = fsum(weight * root * s * _normal_density(root * (z - k * s)) for s, weight in scatters)
        step = (log(miss) - missing) * miss / (k * fall)
        k *= exp(max(min(step, 1.0), -1.0))
        if abs(step) < 1e-12:
            break
    return k


def tolerance_limit(*, values: Sequence[float], content: float, confidence: float) -> ToleranceLimit:
    """The limit that with this confidence lies above this share of all places, by the scatter of the results alone.

    It holds where results scatter as a normal distribution does; salt often scatters more to the high side, and then
    the limit lies too low. What the tests share (meter, blank) is not in their scatter.

    Parameters
    ----------
    values : sequence, n >= 2
        Independent results at places chosen by chance, one a place, in one unit.
    content : scalar
        Share of the population below the limit.
    confidence : scalar
        Of being right.

    Returns
    -------
    ToleranceLimit
        In the unit of the values.

    Valid
    -----
    as `tolerance_factor`; fewer than two raise ShapeMismatch

    Source
    ------
    iso-16269-6 one-sided, scatter unknown

    """
    mean, spread = from_repeats(values=values).value, pooled_scatter(groups=[values])[0]
    factor = tolerance_factor(n=len(values), content=content, confidence=confidence)
    return ToleranceLimit(len(values), mean, spread, factor, mean + factor * spread)


@lru_cache(maxsize=64)
def _scatter_weights(degrees_of_freedom: int) -> tuple[tuple[float, float], ...]:
    """Values of s/sigma with their weights: the trapezoidal rule over x = log(s/sigma), whose density is e to nu (x - (e to 2x)/2)."""
    nu = float(degrees_of_freedom)
    low, high = _reach(nu, -1.0), _reach(nu, 1.0)
    xs = [low + (high - low) * i / _NODES for i in range(_NODES + 1)]
    heights = [exp(-nu * _drop(x)) for x in xs]
    total = fsum(heights)
    return tuple((exp(x), height / total) for x, height in zip(xs, heights, strict=True))


def _drop(x: float) -> float:
    """How far the logarithm of that density lies below its peak, over nu."""
    return 0.5 * (exp(2.0 * x) - 1.0) - x


def _reach(nu: float, side: float) -> float:
    """How far to one side the density is over 1e-17 of its peak."""
    x = side * 6.5 / sqrt(nu)
    while nu * _drop(x) < 39.0:
        x *= 1.25
    while nu * _drop(x / 1.05) > 39.0:
        x /= 1.05
    return x


def _normal_density(x: float) -> float:
    return exp(-0.5 * min(x * x, 1400.0)) / 2.5066282746310002


def largest_share_bad(*, passes: int, confidence: float) -> float:
    """The largest share of the area that could still be bad when every test passed: 1 - (1 - confidence) to 1/n.

    Parameters
    ----------
    passes : count
        Tests at places chosen by chance, all passed.
    confidence : scalar
        Such as 0.95.

    Returns
    -------
    scalar
        0 to 1; five passes leave 45 % open.

    Valid
    -----
    1 to 100 000 passes; confidence 0.6 to 0.9999; outside raises OutOfRange

    Source
    ------
    own by algebra; the exact binomial bound

    """
    COUNT.check(passes)
    CONFIDENCE.check(confidence)
    return 1.0 - exp(log(1.0 - confidence) / passes)


def chance_all_pass(*, n: int, share_bad: float) -> float:
    """The chance that every test passes although this share of the area is bad.

    Parameters
    ----------
    n : count
        Tests at places chosen by chance.
    share_bad : scalar
        0 to 1.

    Returns
    -------
    scalar
        (1 - share) to the n.

    Source
    ------
    own by algebra

    """
    COUNT.check(n)
    SHARE_BAD.check(share_bad)
    return 0.0 if share_bad == 1.0 else exp(n * log(1.0 - share_bad))


def smallest_count(*, content: float, confidence: float, failures: int = 0) -> int:
    """The fewest tests that, with so many failures among them, show that this share of the area is good.

    Parameters
    ----------
    content : scalar
        Share to be shown good.
    confidence : scalar
        Such as 0.95.
    failures : count
        Tests allowed to fail.

    Returns
    -------
    count
        95 % content at 95 % confidence: 59 tests without a failure, 93 with one.

    Valid
    -----
    content 0.5 to 0.9999; confidence 0.6 to 0.9999; failures 0 to 20; outside raises OutOfRange

    Source
    ------
    iso-16269-6 distribution-free, one-sided

    """
    CONTENT.check(content)
    CONFIDENCE.check(confidence)
    Range("failures", "", 0, 20, "more failures call for another question").check(failures)
    n = failures + 1
    while compare(value=_at_most(failures, n, content), limit=1.0 - confidence) == "over":
        n += 1
    return n


def _at_most(failures: int, n: int, content: float) -> float:
    """The chance of at most so many failures in n, when each test passes with chance `content`."""
    term = exp(n * log(content))
    terms = [term]
    for k in range(failures):
        term *= (n - k) / (k + 1) * (1.0 - content) / content
        terms.append(term)
    return fsum(terms)


def largest_number_bad(*, population: int, sampled: int, confidence: float) -> int:
    """The largest number of bad pieces that could still hide in a counted lot when all sampled ones passed.

    Parameters
    ----------
    population : count
        Pieces in the lot (plates, bags), each tested or not.
    sampled : count
        Tested, chosen by chance without putting back, all passed.
    confidence : scalar
        Such as 0.95.

    Returns
    -------
    count
        Of the whole lot.

    Valid
    -----
    1 <= sampled <= population <= 1 000 000; confidence 0.6 to 0.9999; outside raises OutOfRange

    Source
    ------
    own by counting; the hypergeometric distribution

    """
    POPULATION.check(population)
    Range("sampled", "", 1, population, "no more than there are").check(sampled)
    CONFIDENCE.check(confidence)
    chance, bad = 1.0, 0
    while bad < population - sampled:
        # one more bad piece: the chance that the sample misses it, given that it missed the others
        chance *= (population - sampled - bad) / (population - bad)
        if compare(value=chance, limit=1.0 - confidence) != "over":
            break
        bad += 1
    return bad


def mean_limit_factor(*, n: int, confidence: float) -> float:
    """The factor of mean + factor s, a limit that with this confidence lies above the mean of a normal population.

    Parameters
    ----------
    n : count
        Tests at places chosen by chance.
    confidence : scalar
        Such as 0.95.

    Returns
    -------
    scalar
        t / sqrt n.

    Valid
    -----
    n from 2 to 1000; confidence 0.6 to 0.9999; outside raises OutOfRange

    Source
    ------
    jcgm-100 G.3

    """
    SCATTER_COUNT.check(n)
    CONFIDENCE.check(confidence)
    return student_quantile(confidence, n - 1) / sqrt(n)
