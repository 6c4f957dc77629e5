# SPDX-License-Identifier: MIT
"""Exponential, logarithm, normal and Student's t from operations that give the same bits everywhere.

`math.exp`, `erf` and their like come from each platform's C library and differ in the last bit, so a judgement
made on a phone and one made on a server would not have the same bytes. Here everything is built from + - * /,
comparisons, sqrt, floor, frexp and ldexp, which IEEE 754 fixes. `tests/science/test_elementary.py` shows the
accuracy against correctly rounded decimals and scipy.
"""

from __future__ import annotations

from math import floor, frexp, isfinite, ldexp

from brackish.errors import InputError, OutOfRange

# ln 2 in two parts: the first ends in 21 zero bits, so a whole multiple of it is exact.
_LN2_HIGH, _LN2_LOW = 0.6931471803691238, 1.9082149292705877e-10
_HIGHEST_EXPONENT, _LOWEST_EXPONENT = 709.78, -745.13


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
    f = m - 1.0
    s = f / (2.0 + f)
    z = s * s
    series = 2 / 11 + z * (2 / 13 + z * (2 / 15 + z * (2 / 17 + z * (2 / 19 + z * 2 / 21))))
    series = z * (2 / 3 + z * (2 / 5 + z * (2 / 7 + z * (2 / 9 + z * series))))
    half = 0.5 * f * f  # 2 s = f - f2/2 + s f2/2 keeps the digits of f
    return k * _LN2_HIGH - ((half - (s * (half + series) + k * _LN2_LOW)) - f)


def _refusal(name: str, value: float, lowest: float, highest: float) -> InputError:
    if value != value:
        return InputError("science.not_finite", name=name, given=value)
    return OutOfRange("science.out_of_range", name=name, value=value, unit="", lowest=lowest, highest=highest, source="definition of the function")
