# SPDX-License-Identifier: MIT
"""The Debye-Hueckel-Onsager law with a finite ion size: conductivity of the free ions of one dilute solution.

    lambda_i = lambda_i0 - [ R * z_i * X_i * lambda_i0 + E * |z_i| ] * sqrt(I) / (1 + B * sqrt(I))     per equivalent

R is the relaxation of the ionic cloud, E its electrophoretic drag, B their size, I the
ionic strength in mol/L of the free ions. X_i = [(1 - sqrt(H)) r]_i describes how the ions of a mixture share the relaxation (Onsager and
Kim); for one salt it reduces to |z| q / (1 + sqrt(q)), which is 0.2929 for a 1:1 salt. A salt of two ions is computed
in closed form both ways (`TwoIonLaw`), any mixture by `mixture_conductivity`. The caller (`electrolyte.py`) checks ranges.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import fsum, sqrt
from typing import NamedTuple

from brackish.science import water
from brackish.science.mobility import ALL_IONS, limiting_conductivity

# angstrom. The two figures chosen here, by the handbook tables at 25 degC: 4 (better than 3) for every solution, 8 where
# divalent cations meet sulfate only (ZnSO4, CuSO4; McCleskey's fit of CaSO4 then agrees): closer ones already count as pairs.
ION_SIZE = 4.0
DIVALENT_SULFATE_SIZE = 8.0


class Solvent(NamedTuple):
    """What water at one temperature does to moving ions: R, E and B of the law above."""

    relaxation: float
    electrophoresis: float
    size: float


def solvent(*, temperature: float, ion_size: float = ION_SIZE) -> Solvent:
    """R, E and B of the law at one temperature (Robinson and Stokes, Electrolyte Solutions, equation 7.36)."""
    warmth = water.permittivity(temperature=temperature) * (temperature + water.KELVIN)
    root = sqrt(warmth)
    poise = water.viscosity(temperature=temperature) / 100.0
    return Solvent(2.801e6 / (warmth * root), 41.25 / (poise * root), 50.29 * ion_size / root)


class TwoIonLaw(NamedTuple):
    """kappa = scale * c * (limiting - slope * x / (1 + size * x)), x = sqrt(c), c mol of salt per litre."""

    scale: float
    limiting: float
    slope: float
    size: float

    def conductivity(self, amount: float) -> float:
        """uS/cm of `amount` mol/L."""
        x = sqrt(amount)
        return self.scale * amount * (self.limiting - self.slope * x / (1.0 + self.size * x))

    def amount(self, conductivity: float) -> float:
        """mol/L that conduct `conductivity` uS/cm, by Newton's method in sqrt(c) until it stands still."""
        scale, limiting, slope, size = self
        wanted = conductivity / scale
        x = sqrt(wanted / limiting)  # always below the root: the law bends downwards
        for _ in range(12):
            room = 1.0 + size * x
            drag = slope * x / room
            change = (x * x * (limiting - drag) - wanted) / (x * (2.0 * limiting - drag * (3.0 + 2.0 * size * x) / room)) if x else 0.0
            x -= change
            if -1e-16 * x <= change <= 1e-16 * x:
                break
        return x * x


def two_ion_law(*, cation: str, anion: str, cations: float, anions: float, temperature: float) -> TwoIonLaw:
    """The closed form for a salt of `cations` and `anions` per formula unit, fully dissociated."""
    z_plus, z_minus = float(ALL_IONS[cation].charge), float(-ALL_IONS[anion].charge)
    plus = limiting_conductivity(ion=cation, temperature=temperature) / z_plus
    minus = limiting_conductivity(ion=anion, temperature=temperature) / z_minus
    q = z_plus * z_minus * (plus + minus) / ((z_plus + z_minus) * (z_minus * plus + z_plus * minus))
    water_at_t = solvent(temperature=temperature)
    limiting = plus + minus
    drag = water_at_t.relaxation * z_plus * z_minus * q / (1.0 + sqrt(q)) * limiting + water_at_t.electrophoresis * (z_plus + z_minus)
    root_strength = sqrt((cations * z_plus * z_plus + anions * z_minus * z_minus) / 2.0)
    return TwoIonLaw(1000.0 * cations * z_plus, limiting, drag * root_strength, water_at_t.size * root_strength)


def mixture_conductivity(*, free_ions: Mapping[str, float], temperature: float) -> float:
    """uS/cm of free ions (mol/L, in any order), electroneutral, at one temperature."""
    names = [ion for ion in ALL_IONS if free_ions.get(ion, 0.0) > 0.0]
    amounts = [free_ions[ion] for ion in names]
    charges = [float(ALL_IONS[ion].charge) for ion in names]
    if not names:
        return 0.0
    limiting = [limiting_conductivity(ion=ion, temperature=temperature) / abs(z) for ion, z in zip(names, charges, strict=True)]
    strength = ionic_strength(free_ions)
    shares = [c * z * z / (2.0 * strength) for c, z in zip(amounts, charges, strict=True)]
    relaxation = relaxation_factors(charges=charges, mobilities=[own / abs(z) for own, z in zip(limiting, charges, strict=True)], shares=shares)
    water_at_t = solvent(temperature=temperature, ion_size=_ion_size(amounts, charges))
    root = sqrt(strength)
    cloud = root / (1.0 + water_at_t.size * root)
    return 1000.0 * fsum(
        c * abs(z) * (own - (water_at_t.relaxation * z * x * own + water_at_t.electrophoresis * abs(z)) * cloud)
        for c, z, own, x in zip(amounts, charges, limiting, relaxation, strict=True)
    )


def _ion_size(amounts: list[float], charges: list[float]) -> float:
    """4 angstrom, nearing 8 by the share of divalent ions on both sides."""
    share = 1.0
    for sign in (1.0, -1.0):
        side = [(c * z * z, z * sign) for c, z in zip(amounts, charges, strict=True) if z * sign > 0.0]
        share *= fsum(part for part, z in side if z > 1.0) / fsum(part for part, _ in side)
    return ION_SIZE + (DIVALENT_SULFATE_SIZE - ION_SIZE) * share


def ionic_strength(ions: Mapping[str, float]) -> float:
    """Half the sum of c*z^2, mol/L."""
    return fsum(ions[ion] * ALL_IONS[ion].charge * ALL_IONS[ion].charge for ion in ALL_IONS if ion in ions) / 2.0


def relaxation_factors(*, charges: list[float], mobilities: list[float], shares: list[float]) -> list[float]:
    """X = (1 - sqrt(H)) r of Onsager and Kim (1957) for each ion, by the series of 1 - sqrt((1 + x)/2) in x = 2H - 1.

    The eigenvalue 1 of H, at the edge of the series, is absent from r for a neutral solution; the others lie well
    inside, so about forty terms reach the last bit. `shares` are c*z^2/2I, `mobilities` are conductivities per equivalent over |z|.
    """
    pull = [[share * w / (v + w) for share, w in zip(shares, mobilities, strict=True)] for v in mobilities]
    own = [2.0 * fsum(row) - 1.0 for row in pull]
    centre = fsum(m * z for m, z in zip(shares, charges, strict=True)) / fsum(m / w for m, w in zip(shares, mobilities, strict=True))
    term = [z - centre / w for z, w in zip(charges, mobilities, strict=True)]
    root_half = sqrt(0.5)
    total = [(1.0 - root_half) * part for part in term]
    coefficient = 1.0
    for n in range(200):
        term = [a * part + 2.0 * fsum(p * other for p, other in zip(row, term, strict=True)) for a, row, part in zip(own, pull, term, strict=True)]
        coefficient *= (0.5 - n) / (n + 1.0)
        change = [root_half * coefficient * part for part in term]
        total = [sum_so_far - part for sum_so_far, part in zip(total, change, strict=True)]
        if max(abs(part) for part in change) < 1e-17:
            break
    return total
