# SPDX-License-Identifier: MIT
"""Steps of several public functions, for outside values that no single one gives; nothing is computed here by itself."""

from __future__ import annotations

from brackish.science import electrolyte, water
from brackish.science import temperature as referring
from brackish.science.data.ions import IONS
from brackish.science.mobility import limiting_conductivity
from brackish.science.onsager import relaxation_factors


def salt_conductivity(*, salt: str, amount: float, temperature: float) -> float:
    """uS/cm of so many mol/L."""
    concentration = 1000.0 * electrolyte.SALTS[salt].molar_mass * amount
    return electrolyte.salt_conductivity(salt=salt, concentration=concentration, temperature=temperature)


def equivalent_conductivity(*, salt: str, normality: float) -> float:
    """S*cm2/eq at 25 degC of so many eq/L, as handbooks print it."""
    cation, count = next(iter(electrolyte.SALTS[salt].ions.items()))
    return salt_conductivity(salt=salt, amount=normality / (count * IONS[cation].charge), temperature=25.0) / (1000.0 * normality)


def limiting_sum(*, cation: str, anion: str, temperature: float) -> float:
    """S*cm2/mol at no concentration of a salt of two singly charged ions."""
    return limiting_conductivity(ion=cation, temperature=temperature) + limiting_conductivity(ion=anion, temperature=temperature)


def kcl_conductivity(*, molality: float, temperature: float) -> float:
    """uS/cm of so many mol KCl per kg of water by the model, mol/L by the density of water."""
    return salt_conductivity(salt="KCl", amount=molality * water.density(temperature=temperature), temperature=temperature)


def at_constant_molality(*, salt: str, conductivity: float, temperature: float, reference_temperature: float) -> float:
    """uS/cm at another temperature of a solution of one salt that keeps its molality."""
    here = electrolyte.concentration(salt=salt, conductivity=conductivity, temperature=temperature)
    there = here * water.density(temperature=reference_temperature) / water.density(temperature=temperature)
    return electrolyte.salt_conductivity(salt=salt, concentration=there, temperature=reference_temperature)


def factor_to_25(*, salt: str, temperature: float) -> float:
    """f25 of a solution that has 100 uS/cm at 25 degC."""
    return 100.0 / at_constant_molality(salt=salt, conductivity=100.0, temperature=25.0, reference_temperature=temperature)


def temperature_coefficient(*, salt: str, temperature: float) -> float:
    """% per K at a temperature of a solution that has 100 uS/cm at 25 degC."""
    here = at_constant_molality(salt=salt, conductivity=100.0, temperature=25.0, reference_temperature=temperature)
    low, high = (at_constant_molality(salt=salt, conductivity=here, temperature=temperature, reference_temperature=temperature + step) for step in (-0.1, 0.1))
    return 100.0 * (high - low) / 0.2 / here


def mass_per_conductivity(*, salt: str, conductivity: float, temperature: float) -> float:
    """mg/L per uS/cm."""
    return electrolyte.concentration(salt=salt, conductivity=conductivity, temperature=temperature) / conductivity


def relaxation_of_one_salt() -> float:
    """q/(1 + sqrt(q)) of NaCl found by the form for mixtures."""
    return relaxation_factors(charges=[1.0, -1.0], mobilities=[50.08, 76.31], shares=[0.5, 0.5])[0]


def mixed_salt_per_area_at(*, reading: float, blank: float, reference_temperature: float) -> float:
    """mg/m2 by the constant 5, 10 mL, 1250 mm2, of readings referred to 25 degC brought elsewhere by the NaCl curve."""
    sample, water_part = (referring.nacl_curve(conductivity=shown, temperature=25.0, reference_temperature=reference_temperature) for shown in (reading, blank))
    return 500.0 * 10.0 * (sample - water_part) / 1250.0


def nacl_equivalent_per_area(*, reading: float, blank: float, temperature: float, volume: float) -> float:
    """mg/m2 on 1250 mm2."""
    sample, water_part = (electrolyte.concentration(salt="NaCl", conductivity=shown, temperature=temperature) for shown in (reading, blank))
    return volume / 1000.0 * (sample - water_part) / 1250e-6


def ratio_to_25(*, salt: str, molality: float, temperature: float) -> float:
    """Conductivity at a temperature over that at 25 degC, of so many mol of salt per kg of water."""
    here, at_25 = (salt_conductivity(salt=salt, amount=molality * water.density(temperature=each), temperature=each) for each in (temperature, 25.0))
    return here / at_25
