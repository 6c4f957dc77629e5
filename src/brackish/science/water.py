# SPDX-License-Identifier: MIT
"""Pure water at one atmosphere: density, viscosity, relative permittivity, 0 to 50 degC.

What the conductance law (`onsager.py`) and the step from molality to mol/L need.
"""

from __future__ import annotations

from brackish.science.elementary import exp, log
from brackish.science.validity import Range

TEMPERATURE = Range("temperature", "degC", 0.0, 50.0, "water and ion figures of the conductivity model")
KELVIN = 273.15

# IAPWS R12 supplementary release for liquid water at 0.1 MPa (2008): uPa*s and powers of T/300 K
_VISCOSITY_TERMS = ((280.68, -1.9), (511.45, -7.7), (61.131, -19.6), (0.45903, -40.0))


def density(*, temperature: float) -> float:
    """The density of pure water.

    Parameters
    ----------
    temperature : scalar [degC]
        Of the water.

    Returns
    -------
    scalar [kg/L]
        Air-free water at 101.325 kPa.

    Valid
    -----
    0 to 50 degC; outside raises OutOfRange

    Source
    ------
    kell-1975 equation 16; within 0.01 kg/m3 of IAPWS-95

    """
    TEMPERATURE.check(temperature)
    t = temperature
    upper = 999.83952 + t * (16.945176 + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 + t * -280.54253e-12))))
    return upper / (1.0 + 16.879850e-3 * t) / 1000.0


def viscosity(*, temperature: float) -> float:
    """The dynamic viscosity of pure water.

    Parameters
    ----------
    temperature : scalar [degC]
        Of the water.

    Returns
    -------
    scalar [mPa*s]
        At 0.1 MPa.

    Valid
    -----
    0 to 50 degC; outside raises OutOfRange

    Source
    ------
    iapws-sr6-2011 equation 9

    """
    TEMPERATURE.check(temperature)
    log_ratio = log((temperature + KELVIN) / 300.0)
    total = 0.0
    for factor, power in _VISCOSITY_TERMS:
        total += factor * exp(power * log_ratio)
    return total / 1000.0


def permittivity(*, temperature: float) -> float:
    """The relative permittivity (dielectric constant) of pure water.

    Parameters
    ----------
    temperature : scalar [degC]
        Of the water.

    Returns
    -------
    scalar [1]
        78.30 at 25 degC.

    Valid
    -----
    0 to 50 degC; outside raises OutOfRange

    Source
    ------
    malmberg-maryott-1956

    """
    TEMPERATURE.check(temperature)
    t = temperature
    return 87.740 + t * (-0.40008 + t * (9.398e-4 + t * -1.410e-6))
