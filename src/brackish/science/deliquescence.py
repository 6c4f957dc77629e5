# SPDX-License-Identifier: MIT
"""From which humidity on a salt that was left on the steel wets it."""

from __future__ import annotations

from brackish.errors import InputError
from brackish.science.data.deliquescence import DELIQUESCENCE
from brackish.science.validity import Range


def humidity(*, salt: str, temperature: float = 25.0) -> float:
    """The relative humidity above which the dry salt draws water from the air.

    Parameters
    ----------
    salt : name
        A key of `data.deliquescence.DELIQUESCENCE`, such as "NaCl" or "sea salt".
    temperature : scalar [degC]
        Of steel and air alike.

    Returns
    -------
    scalar [%]
        Over the saturated solution; sea salt: where wetting begins.

    Valid
    -----
    the temperatures of the salt's row; outside raises OutOfRange

    Source
    ------
    greenspan-1977 for NaCl, KCl, K2SO4 and MgCl2; each row of data/deliquescence.py names its own

    """
    if salt not in DELIQUESCENCE:
        raise InputError("science.unknown", name="salt", given=salt, allowed=list(DELIQUESCENCE))
    row = DELIQUESCENCE[salt]
    Range("temperature", "degC", row.points[0][0], row.points[-1][0], row.source).check(temperature)
    upper = max(1, next(place for place, (at, _) in enumerate(row.points) if temperature <= at))
    (cold, at_cold), (warm, at_warm) = row.points[upper - 1 : upper + 1]
    return at_cold + (at_warm - at_cold) * (temperature - cold) / (warm - cold)
