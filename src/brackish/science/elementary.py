# SPDX-License-Identifier: MIT
"""Exponential, logarithm, normal and Student's t from operations that give the same bits everywhere.

`math.exp`, `erf` and their like come from each platform's C library and differ in the last bit, so a judgement
made on a phone and one made on a server would not have the same bytes. Here everything is built from + - * /,
comparisons, sqrt, floor, frexp and ldexp, which IEEE 754 fixes. `tests/science/test_elementary.py` shows the
accuracy against correctly rounded decimals and scipy.
"""

from __future__ import annotations

from functools import lru_cache
from math import floor, frexp, isfinite, ldexp, sqrt

from brackish.errors import InputError, OutOfRange

# ln 2 in two parts: the first ends in 21 zero bits, so a whole multiple of it is exact.
_LN2_HIGH, _LN2_LOW = 0.6931471803691238, 1.9082149292705877e-10
_HIGHEST_EXPONENT, _LOWEST_EXPONENT = 709.78, -745.13
_SQRT_TWO_PI = 2.5066282746310002

# Where the quantiles are used: beyond, t2 would no longer be a float.
LOWEST_DEGREES_OF_FREEDOM = 0.5
LOWEST_PROBABILITY = 1e-60


def exp(x: float) -> float:
    """The exponential of x.

    Within 1.3e-16 relative. x is k ln 2 + r, and e to r comes from r coth(r/2) = 2 + r2/6 - r4/360 + ...

    Valid
    -----
    up to 709.78, above raises OutOfRange; 0 below -745.13

    """
    if not _LOWEST_EXPONENT < x < _HIGHEST_EXPONENT:
        return _exp_beyond(x)
    k = floor(x * 1.4426950408889634 + 0.5)
    high, low = x - k * _LN2_HIGH, k * _LN2_LOW
    r = high - low
    s = r * r
    t = r - s * (1 / 6 - s * (1 / 360 - s * (1 / 15120 - s * (1 / 604800 - s * (1 / 23950080 - s * (691 / 653837184000 - s / 37362124800))))))
    return ldexp(1.0 - ((low - r * t / (2.0 - t)) - high), k)


def _exp_beyond(x: float) -> float:
    if x <= _LOWEST_EXPONENT:
        return 0.0
    raise _refusal("exponent", x, _LOWEST_EXPONENT, _HIGHEST_EXPONENT)


def log(x: float) -> float:
    """The natural logarithm of x.

    Within 1.5e-16 relative. x is 2**k (1 + f), and with s = f/(2 + f) the rest is 2 s + 2 s3/3 + 2 s5/5 + ...

    Valid
    -----
    finite numbers over 0; others raise OutOfRange

    """
    if not (x > 0.0 and isfinite(x)):
        raise _refusal("argument of the logarithm", x, 5e-324, 1.7976931348623157e308)
    m, k = frexp(x)
    if m < 0.7071067811865476:
        m, k = 2.0 * m, k - 1
    return _log(k, m - 1.0)


def _log(k: int, f: float) -> float:
    """k ln 2 + ln(1 + f), for f from -0.3 to 0.42."""
    s = f / (2.0 + f)
    z = s * s
    series = 2 / 11 + z * (2 / 13 + z * (2 / 15 + z * (2 / 17 + z * (2 / 19 + z * 2 / 21))))
    series = z * (2 / 3 + z * (2 / 5 + z * (2 / 7 + z * (2 / 9 + z * series))))
    half = 0.5 * f * f  # 2 s = f - f2/2 + s f2/2 keeps the digits of f
    return k * _LN2_HIGH - ((half - (s * (half + series) + k * _LN2_LOW)) - f)


def normal_cdf(x: float) -> float:
    """The chance that a standard normal variable is at most x.

    Relative to the smaller tail within 1e-13. See `student_cdf`, of which this is the case without end of degrees of freedom.
    """
    return _cdf(x, 0.0)


def normal_quantile(p: float) -> float:
    """The value below which a standard normal variable stays with chance p.

    Within 1e-14 relative.

    Valid
    -----
    p from 1e-60, below 1; others raise OutOfRange

    """
    return _quantile(p, 0.0)


def student_cdf(x: float, degrees_of_freedom: float | None, /) -> float:
    """The chance that Student's t is at most x; None: infinite degrees of freedom, the normal distribution.

    Relative to the smaller tail within 1e-13. Beyond 1e100 the chance at 1e100 is given.

    Valid
    -----
    degrees of freedom from 0.5, whole or not; less raises OutOfRange

    """
    return _cdf(x, _inverse(degrees_of_freedom))


def student_quantile(p: float, degrees_of_freedom: float | None, /) -> float:
    """The value below which Student's t stays with chance p; None: infinite degrees of freedom.

    Within 1e-12 relative.

    Valid
    -----
    p from 1e-60, below 1; degrees of freedom from 0.5, whole or not; others raise OutOfRange

    """
    return _quantile(p, _inverse(degrees_of_freedom))


# Below, t > 0 and g = 1 / degrees of freedom, so that the normal distribution is simply g = 0.


def _inverse(degrees_of_freedom: float | None) -> float:
    if degrees_of_freedom is None:
        return 0.0
    if not degrees_of_freedom >= LOWEST_DEGREES_OF_FREEDOM:
        raise _refusal("degrees of freedom", degrees_of_freedom, LOWEST_DEGREES_OF_FREEDOM, float("inf"))
    return 1.0 / degrees_of_freedom


def _cdf(x: float, g: float) -> float:
    if x != x:
        raise _refusal("x", x, -1e100, 1e100)
    if x == 0.0:
        return 0.5
    tail = _tail(min(abs(x), 1e100), g)
    return tail if x < 0.0 else 1.0 - tail


def _tail(t: float, g: float) -> float:
    """The chance of more than t: by series from the middle, further out by a continued fraction; each where it is quick."""
    if t * t * (1.0 + 7.0 * g) < 8.0:
        return 0.5 - _from_middle(t, g)
    return _density(t, g) * (1.0 + g * t * t) / t * _fraction(t, g)


def _density(t: float, g: float) -> float:
    """Height of the curve at t."""
    u = g * t * t
    if u < 1e-30:
        return exp(-0.5 * t * t) / _SQRT_TWO_PI
    logarithm = _log(0, u) if u < 0.4 else log(1.0 + u)
    return _height(g) * exp(-0.5 * (1.0 + 1.0 / g) * logarithm)


@lru_cache(maxsize=256)
def _height(g: float) -> float:
    """Height in the middle: Gamma(h + 1/2) / (Gamma(h) sqrt(2 pi h)), h half the degrees of freedom; raised to over 25, then in 1/w2."""
    h = half = 0.5 / g
    factor = 1.0
    while h < 25.0:
        factor *= h / (h + 0.5)
        h += 1.0
    w = h - 0.25
    z = 1.0 / (w * w)
    series = 1.0 + z * (1 / 64 + z * (-19 / 8192 + z * (631 / 524288 - z * 174317 / 134217728)))
    return factor * series * sqrt(w / half) / _SQRT_TWO_PI


def _from_middle(t: float, g: float) -> float:
    """The chance of 0 to t: density times t times the hypergeometric series F(1, (nu+1)/2; 3/2; t2/(nu+t2)), all terms positive."""
    q = g * t * t / (1.0 + g * t * t)
    p = 0.5 * t * t * (1.0 + g) / (1.0 + g * t * t)
    total = term = 1.0
    k = 0
    while term > 1e-17 * total:
        term *= (p + q * k) / (1.5 + k)
        total += term
        k += 1
    return _density(t, g) * t * total


def _fraction(t: float, g: float) -> float:
    """Gauss's continued fraction for F(1/2, 1; nu/2 + 1; -nu/t2), which for g = 0 is Laplace's; all terms positive, evaluated from behind."""
    depth = floor(10.0 + 400.0 / (t * t))
    if g * t * t > 1e-6:
        depth = min(depth, floor(5.0 + 20.0 * sqrt(1.0 + 1.0 / (g * t * t))))
    value = 1.0
    for j in range(depth, 0, -1):
        value = 1.0 + j * (1.0 + g * (j - 1)) / ((1.0 + 2.0 * g * (j - 1)) * (1.0 + 2.0 * g * j) * t * t * value)
    return 1.0 / value


@lru_cache(maxsize=1024)
def _quantile(p: float, g: float) -> float:
    if not LOWEST_PROBABILITY <= p < 1.0:
        raise _refusal("probability", p, LOWEST_PROBABILITY, 1.0)
    if p == 0.5:
        return 0.0
    tail = min(p, 1.0 - p)
    t = _near_middle(abs(p - 0.5), g) if tail > 0.2 else _far_out(tail, g)
    return t if p > 0.5 else -t


def _near_middle(chance: float, g: float) -> float:
    """t with this chance between 0 and t. Newton's method with Halley's term; it starts below and cannot overshoot."""
    t = chance / _density(0.0, 0.0) if g == 0.0 else chance / _height(g)
    for _ in range(30):
        step = (_from_middle(t, g) - chance) / _density(t, g)
        bend = t * (1.0 + g) / (1.0 + g * t * t)
        t -= step / (1.0 + 0.5 * step * bend)
        if abs(step) < 1e-6 * t:  # the step after this one would be below 1e-18
            break
    return t


def _far_out(tail: float, g: float) -> float:
    """t with this chance beyond it. Newton's method with Halley's term on log tail over log t, which is nearly straight."""
    wanted = log(tail)
    t = sqrt((exp(-2.0 * g * wanted) - 1.0) / g) if g > 1e-9 else sqrt(-2.0 * wanted)
    for _ in range(30):
        found = _tail(t, g)
        slope = t * _density(t, g) / found
        step = (log(found) - wanted) / slope
        bend = 1.0 + slope - t * t * (1.0 + g) / (1.0 + g * t * t)
        t *= exp(step / (1.0 + 0.5 * step * bend))
        if abs(step) < 1e-6:
            break
    return t


def _refusal(name: str, value: float, lowest: float, highest: float) -> InputError:
    if value != value:
        return InputError("science.not_finite", name=name, given=value)
    return OutOfRange("science.out_of_range", name=name, value=value, unit="", lowest=lowest, highest=highest, source="definition of the function")
