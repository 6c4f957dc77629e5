# SPDX-License-Identifier: MIT
"""Relative humidity over saturated salt solutions: above it the dry salt takes up water from the air and wets the steel.

Used by `deliquescence.py`. Values marked recalled were not seen in a copy; PHREEQC's pitzer database stands beside them in
`tests/evidence/chemistry_air.toml`.
"""

from __future__ import annotations

from typing import NamedTuple


class Deliquescence(NamedTuple):
    """Points (degC, % relative humidity) joined by straight lines, the limit of error in %, the source."""

    points: tuple[tuple[float, float], ...]
    limit_of_error: float
    source: str


_GREENSPAN = "Greenspan, J. Res. NBS 81A (1977) 89-96, table 2; recalled, values at 25 degC seen in a packaged table"

DELIQUESCENCE = {
    "NaCl": Deliquescence(((0.0, 75.51), (5.0, 75.65), (10.0, 75.67), (15.0, 75.61), (20.0, 75.47), (25.0, 75.29), (30.0, 75.09), (40.0, 74.68), (50.0, 74.43)), 0.5, _GREENSPAN),
    "KCl": Deliquescence(((0.0, 88.61), (5.0, 87.67), (10.0, 86.77), (15.0, 85.92), (20.0, 85.11), (25.0, 84.34), (30.0, 83.62), (40.0, 82.32), (50.0, 81.20)), 0.5, _GREENSPAN),
    "K2SO4": Deliquescence(((0.0, 98.77), (10.0, 98.18), (20.0, 97.59), (25.0, 97.30), (30.0, 97.00), (40.0, 96.41), (50.0, 95.82)), 0.8, _GREENSPAN),
    "MgCl2": Deliquescence(((0.0, 33.66), (5.0, 33.60), (10.0, 33.47), (15.0, 33.30), (20.0, 33.07), (25.0, 32.78), (30.0, 32.44), (40.0, 31.60), (50.0, 30.54)), 0.5, _GREENSPAN + "; solid MgCl2.6H2O"),
    "CaCl2": Deliquescence(((15.0, 34.1), (20.0, 30.9), (25.0, 28.1)), 1.5, "CRC Handbook 15-33, 0.11 exp(1653/T) %, as packaged; solid CaCl2.6H2O, tetrahydrate above 29 degC"),
    "FeCl2": Deliquescence(((20.0, 55.0), (30.0, 55.0)), 3.0, "corrosion literature, recalled; PHREEQC pitzer gives 53 at 25 degC; solid FeCl2.4H2O"),
    "Na2SO4": Deliquescence(((10.0, 97.8), (25.0, 93.6)), 1.5, "PHREEQC 3.8.6 pitzer, solid Na2SO4.10H2O"),
    "NaNO3": Deliquescence(((20.0, 74.0), (30.0, 74.0)), 1.5, "recalled"),
    "(NH4)2SO4": Deliquescence(((20.0, 80.5), (30.0, 80.5)), 1.0, "recalled, 80 to 81"),
    "sea salt": Deliquescence(((15.0, 33.0), (30.0, 33.0)), 3.0, "onset of wetting, set by its Mg and Ca chlorides, 30 to 35; recalled. Wholly liquid at about 74"),
}  # fmt: skip
