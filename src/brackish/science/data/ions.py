# SPDX-License-Identifier: MIT
"""The ions a salt extract can hold: charge, mass, conductivity at no concentration, change with temperature, pairs.

Conductivities are per mole in S*cm2/mol at 25 degC, from the CRC Handbook (Vanysek, "Ionic conductivity and
diffusion at infinite dilution") as packaged in the MIT-licensed data of `chemicals` 1.5.2. Molar masses are the
IUPAC standard atomic weights, Cl 35.453. Used by `mobility.py` and `pairing.py`.
"""

from __future__ import annotations

from typing import NamedTuple


class Ion(NamedTuple):
    """One kind of ion: charge, molar mass in g/mol, limiting molar conductivity at 25 degC in S*cm2/mol."""

    charge: int
    molar_mass: float
    conductivity: float


IONS = {
    "Na+": Ion(1, 22.990, 50.08),
    "K+": Ion(1, 39.098, 73.48),
    "NH4+": Ion(1, 18.039, 73.5),
    "H+": Ion(1, 1.008, 349.65),
    "Mg+2": Ion(2, 24.305, 106.0),
    "Ca+2": Ion(2, 40.078, 118.94),
    "Fe+2": Ion(2, 55.845, 108.0),
    "Zn+2": Ion(2, 65.38, 105.6),
    "Cl-": Ion(-1, 35.453, 76.31),
    "NO3-": Ion(-1, 62.004, 71.42),
    "HCO3-": Ion(-1, 61.016, 44.5),
    "SO4-2": Ion(-2, 96.056, 160.0),
    "OH-": Ion(-1, 17.007, 198.0),
}

# Pairs with sulfate that conduct: they form from the ions above and are never given by a caller.
# 50 is an estimate from other large ions of one charge; HSO4- is the CRC value.
PAIR_IONS = {
    "NaSO4-": Ion(-1, 119.046, 50.0),
    "KSO4-": Ion(-1, 135.154, 50.0),
    "HSO4-": Ion(-1, 97.064, 52.0),
}


class Cubic(NamedTuple):
    """lambda(t) = at_25 + a(t-25) + b(t-25)^2 + c(t-25)^3, S*cm2/mol."""

    at_25: float
    a: float
    b: float
    c: float


class Quadratic(NamedTuple):
    """lambda(t) = t2*t^2 + t1*t + t0, mS*kg/(cm*mol)."""

    t2: float
    t1: float
    t0: float


# Harned and Owen / Robinson and Stokes, 5 to 55 degC; recalled, no copy seen. K+ with Cl- is confirmed by the
# NIST table of 0.01 mol/kg KCl from 0 to 50 degC (tests/evidence/chemistry_standards.toml).
CUBIC_LAWS = {
    "K+": Cubic(73.50, 1.43262, 0.0040563, -3.183e-05),
    "Na+": Cubic(50.15, 1.0916, 0.004715, -1.15e-05),
    "Cl-": Cubic(76.35, 1.54037, 0.00465, -1.285e-05),
    "H+": Cubic(349.85, 4.81595, -0.0103125, -7.67e-05),
}

# McCleskey, Nordstrom, Ryan, Ball, Geochim. Cosmochim. Acta 77 (2012) 369-382, Table 1, the term without ionic
# strength; from three public transcriptions, paper not seen. Zn looks too steep. Pairs follow the ion they resemble.
QUADRATIC_LAWS = {
    "NH4+": Quadratic(0.003341, 1.285, 39.04),
    "Mg+2": Quadratic(0.01068, 1.695, 57.16),
    "Ca+2": Quadratic(0.009645, 1.984, 62.28),
    "Fe+2": Quadratic(0.009939, 1.878, 54.8),
    "Zn+2": Quadratic(0.01249, 1.912, 48.2),
    "NO3-": Quadratic(0.001925, 1.214, 39.9),
    "HCO3-": Quadratic(0.000614, 0.9048, 21.14),
    "SO4-2": Quadratic(0.01037, 2.838, 82.37),
    "OH-": Quadratic(0.003396, 2.925, 121.3),
    "NaSO4-": Quadratic(0.01037, 2.838, 82.37),
    "KSO4-": Quadratic(0.01037, 2.838, 82.37),
    "HSO4-": Quadratic(0.000927, 0.8337, 29.56),
}


class Pair(NamedTuple):
    """A sulfate pair: log10 of its stability constant at 25 degC, and the ion it makes if it is charged."""

    log_constant: float
    ion: str | None


# WATEQ4F (Ball and Nordstrom, USGS Open-File Report 91-183) as in wateq4f.dat of PHREEQC 3.8.6. Used at every
# temperature: its enthalpies were tried and led further from PHREEQC and from McCleskey's salt fits at 5 to 50 degC.
# Its pair NH4SO4- (1.11) is left out: without it (NH4)2SO4 is nearer to PHREEQC.
SULFATE_PAIRS = {
    "Na+": Pair(0.70, "NaSO4-"),
    "K+": Pair(0.85, "KSO4-"),
    "H+": Pair(1.988, "HSO4-"),
    "Mg+2": Pair(2.37, None),
    "Ca+2": Pair(2.30, None),
    "Fe+2": Pair(2.25, None),
    "Zn+2": Pair(2.37, None),
}
