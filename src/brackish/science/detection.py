# SPDX-License-Identifier: MIT
"""Is anything there at all? Critical value and detection limit from blanks.

Three numbers that are not the same: the first mark of an instrument, the critical value (a result above it is
"detected") and the detection limit (what the procedure finds nearly always; it states a capability). Never compare a result with the last.
"""

from __future__ import annotations

from math import sqrt

from brackish.science.elementary import student_quantile
from brackish.science.uncertainty import DEGREES_OF_FREEDOM, UNCERTAINTY
from brackish.science.validity import Range

ONE_SIDED_95 = 1.645  # the figure that is agreed, not the quantile to more digits
BLANKS = Range("number of blanks", "", 1, 10000, "a mean needs one blank")
FALSE_ALARM = Range("chance of a false alarm", "", 1e-6, 0.5, "a chance")


def critical_value(*, blank_standard_uncertainty: float) -> float:
    """The result above which salt counts as detected: one reading less one blank of the same uncertainty, 5 % false alarms.

    Parameters
    ----------
    blank_standard_uncertainty : scalar [mg/m2]
        The whole uncertainty of the blank reading, in the unit of the result.

    Returns
    -------
    scalar [mg/m2]
        In the unit of the result.

    Source
    ------
    currie-1968 paired blank, 1.645 sqrt 2 = 2.326

    """
    UNCERTAINTY.check(blank_standard_uncertainty)
    return ONE_SIDED_95 * sqrt(2.0) * blank_standard_uncertainty


def critical_value_of_blanks(*, standard_deviation: float, blanks: int, degrees_of_freedom: float | None, false_alarm: float = 0.05) -> float:
    """The result above which salt counts as detected, when the mean of several blanks is subtracted.

    Parameters
    ----------
    standard_deviation : scalar [mg/m2]
        Of single blanks, in the unit of the result.
    blanks : count
        Whose mean is subtracted.
    degrees_of_freedom : scalar
        With which the standard deviation is known (blanks - 1 when from these blanks); None: infinite.
    false_alarm : scalar
        Accepted chance of calling a blank detected.

    Returns
    -------
    scalar [mg/m2]
        In the unit of the result.

    Source
    ------
    currie-1968 with Student's t: t s sqrt(1 + 1/n)

    """
    UNCERTAINTY.check(standard_deviation)
    BLANKS.check(blanks)
    FALSE_ALARM.check(false_alarm)
    if degrees_of_freedom is not None:
        DEGREES_OF_FREEDOM.check(degrees_of_freedom)
    return student_quantile(1.0 - false_alarm, degrees_of_freedom) * standard_deviation * sqrt(1.0 + 1.0 / blanks)


def detection_limit(*, critical_value: float) -> float:
    """About the amount that is detected in 95 of 100 tests: twice the critical value, for a scatter that does not grow with the amount.

    Parameters
    ----------
    critical_value : scalar [mg/m2]
        From one of the functions above.

    Returns
    -------
    scalar [mg/m2]
        A capability of the procedure, never a mark to compare results with.

    Source
    ------
    currie-1968 equal chances of both errors

    """
    return 2.0 * critical_value
