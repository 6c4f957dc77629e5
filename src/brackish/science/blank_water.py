# SPDX-License-Identifier: MIT
"""What the purest water conducts: nothing but water, and water that has taken up carbon dioxide from the air.

A blank cannot be lower. Breath or a closed tank raises the carbon dioxide, so the blank is taken the way the sample is.
"""

from __future__ import annotations

from math import sqrt

from brackish.science import onsager, water
from brackish.science.elementary import exp, log
from brackish.science.validity import Range

LN_10 = 2.302585092994046
CARBON_DIOXIDE = Range("carbon dioxide", "ppm", 0.0, 10000.0, "air at one atmosphere")

# log10 K = a + b T + c/T + d log10 T + e/T^2, T in kelvin; Plummer and Busenberg, Geochim. Cosmochim. Acta 46 (1982) 1011-1040,
# as in wateq4f.dat of PHREEQC 3.8.6. Water: H2O = H+ + OH-; gas: CO2 dissolved in equilibrium with 1 atm; first acid step.
_WATER = (-283.971, -0.05069842, 13323.0, 102.24447, -1119669.0)
_GAS = (108.3865, 0.01985076, -6919.53, -40.45154, 669365.0)
_ACID = (-356.3094, -0.06091964, 21834.37, 126.8339, -1684915.0)


def pure_water_conductivity(*, temperature: float) -> float:
    """The conductivity of water that holds nothing else, not even air.

    Parameters
    ----------
    temperature : scalar [degC]
        Of the water.

    Returns
    -------
    scalar [uS/cm]
        0.055 at 25 degC.

    Valid
    -----
    0 to 50 degC; outside raises OutOfRange

    Source
    ------
    plummer-busenberg-1982 for the ion product, the model for the ions

    """
    water.TEMPERATURE.check(temperature)
    ions = sqrt(_constant(_WATER, temperature))
    return onsager.mixture_conductivity(free_ions={"H+": ions, "OH-": ions}, temperature=temperature)


def air_water_conductivity(*, carbon_dioxide: float, temperature: float) -> float:
    """The conductivity of pure water in equilibrium with air.

    Parameters
    ----------
    carbon_dioxide : scalar, parts per million
        Of the air, by volume: about 420 outdoors, over 1000 in a room with people.
    temperature : scalar [degC]
        Of the water.

    Returns
    -------
    scalar [uS/cm]
        From H+, HCO3- and OH-; carbonate does not count here.

    Valid
    -----
    0 to 50 degC, 0 to 10000 parts per million; outside raises OutOfRange

    Source
    ------
    plummer-busenberg-1982 for the equilibria, the model for the ions

    """
    water.TEMPERATURE.check(temperature)
    CARBON_DIOXIDE.check(carbon_dioxide)
    acid = _constant(_ACID, temperature) * _constant(_GAS, temperature) * carbon_dioxide * 1e-6
    product = _constant(_WATER, temperature)
    hydrogen = sqrt(acid + product)
    ions = {"H+": hydrogen, "HCO3-": acid / hydrogen, "OH-": product / hydrogen}
    return onsager.mixture_conductivity(free_ions=ions, temperature=temperature)


def _constant(terms: tuple[float, float, float, float, float], temperature: float) -> float:
    a, b, c, d, e = terms
    t = temperature + water.KELVIN
    return exp(LN_10 * (a + b * t + c / t + d * log(t) / LN_10 + e / (t * t)))
