# SPDX-License-Identifier: MIT
"""Dew point of the air beside the steel, and how far the steel is above it."""

from __future__ import annotations

from brackish.science.elementary import log
from brackish.science.validity import Range

# Magnus formula over water, WMO-No. 8 (2018) annex 4.B, valid from -45 to 60 degC
MAGNUS_SLOPE, MAGNUS_SHIFT = 17.62, 243.12
_SOURCE = "WMO-No. 8, Magnus formula"
AIR = Range("air temperature", "degC", -45.0, 60.0, _SOURCE)
HUMIDITY = Range("relative humidity", "%", 1.0, 100.0, _SOURCE)
SURFACE = Range("surface temperature", "degC", -45.0, 100.0, "steel that is tested")


def dew_point(*, air_temperature: float, relative_humidity: float) -> float:
    """The temperature at which this air wets a surface.

    Over liquid water at every temperature, as hygrometers and weather services say it. Below 0 degC frost forms at up
    to a tenth of the distance to zero above this: the safe side is to count that in, and the 3 K rule covers it.

    Parameters
    ----------
    air_temperature : scalar [degC]
        Dry bulb, near the surface.
    relative_humidity : scalar [%]
        Over water.

    Returns
    -------
    scalar [degC]
        Never over the air temperature.

    Valid
    -----
    -45 to 60 degC and 1 to 100 %; outside raises OutOfRange

    Source
    ------
    wmo-8 annex 4.B; within 0.05 K of the ASHRAE formula for dew points from 0 to 40 degC

    """
    AIR.check(air_temperature)
    HUMIDITY.check(relative_humidity)
    g = log(relative_humidity / 100.0) + MAGNUS_SLOPE * air_temperature / (MAGNUS_SHIFT + air_temperature)
    return MAGNUS_SHIFT * g / (MAGNUS_SLOPE - g)


def condensation_margin(*, surface_temperature: float, air_temperature: float, relative_humidity: float) -> float:
    """How far a surface is above the dew point of the air beside it.

    Parameters
    ----------
    surface_temperature : scalar [degC]
        Of the steel.
    air_temperature : scalar [degC]
        Dry bulb, near the surface.
    relative_humidity : scalar [%]
        Over water.

    Returns
    -------
    scalar [K]
        Negative when water condenses.

    Valid
    -----
    as dew_point; surface -45 to 100 degC

    Source
    ------
    wmo-8 annex 4.B for the dew point; the difference is arithmetic

    """
    SURFACE.check(surface_temperature)
    return surface_temperature - dew_point(air_temperature=air_temperature, relative_humidity=relative_humidity)
