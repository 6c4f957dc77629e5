# SPDX-License-Identifier: MIT
"""Steps of several public functions, for outside values that no single one gives; nothing is computed here by itself."""

from __future__ import annotations

import math
import re

from brackish import library
from brackish.library import counting
from brackish.quantities import parse
from brackish.science import amounts, conformity, detection, electrolyte, elementary, sampling, uncertainty, water
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


def inside(*, text: str, dimension: str) -> float:
    """A typed quantity in the unit used inside the program."""
    return parse(text, dimension=dimension).inside


def mixed_salt(*, solution_volume: str, compartment_area: str, reading: str, blank: str, blank_volume: str | None = None) -> float:
    """mg/m2 of mixed salts from facts as typed, meter and wanted temperature the same."""
    return amounts.mixed_salt_per_area(
        constant=amounts.MIXED_SALT_CONSTANT,
        meter_gain=1.0,
        solution_volume=inside(text=solution_volume, dimension="volume"),
        conductivity=inside(text=reading, dimension="conductivity"),
        compartment_area=inside(text=compartment_area, dimension="area"),
        blank_conductivity=inside(text=blank, dimension="conductivity"),
        blank_volume=None if blank_volume is None else inside(text=blank_volume, dimension="volume"),
    )


def nacl_equivalent(*, solution_volume: str, compartment_area: str, reading: str, blank: str, temperature: float) -> float:
    """mg/m2 NaCl equivalent from facts as typed, read at the temperature the meter refers to."""
    extract, blank_concentration = (
        electrolyte.concentration(salt="NaCl", conductivity=inside(text=text, dimension="conductivity"), temperature=temperature) for text in (reading, blank)
    )
    return amounts.nacl_equivalent_per_area(
        meter_gain=1.0,
        solution_volume=inside(text=solution_volume, dimension="volume"),
        concentration=extract,
        blank_concentration=blank_concentration,
        compartment_area=inside(text=compartment_area, dimension="area"),
    )


def chloride_per_area(*, reading: str, solution_volume: str, area: str) -> float:
    """mg/m2 of chloride from facts as typed."""
    return amounts.concentration_per_area(
        solution_volume=inside(text=solution_volume, dimension="volume"),
        concentration=inside(text=reading, dimension="concentration"),
        area=inside(text=area, dimension="area"),
    )


def chloride_per_area_as_nacl(*, reading: str, solution_volume: str, area: str) -> float:
    return amounts.chloride_as_nacl(chloride=chloride_per_area(reading=reading, solution_volume=solution_volume, area=area))


def meter_at_limit(*, limit: float, solution_volume: float, compartment_area: float, temperature: float) -> float:
    """uS/cm on top of pure water at exactly this NaCl equivalent."""
    concentration = limit / amounts.concentration_per_area(solution_volume=solution_volume, concentration=1.0, area=compartment_area)
    return electrolyte.salt_conductivity(salt="NaCl", concentration=concentration, temperature=temperature)


TARGET = {
    "constant": (5.0, 0.10, None),
    "solution_volume": (3.0, 0.02, None),
    "compartment_area": (1250.0, 15.0, 50.0),
    "reading": (42.0, 0.40, 2.0),
    "temperature": (28.4, 0.30, None),
    "blank": (3.1, 0.15, 4.0),
    "blank_temperature": (27.9, 0.30, None),
    "temperature_coefficient": (0.0195, 0.0006, None),
    "meter_gain": (1.0, 0.01, None),
}


def target(*, correlation: float = 0.0, level: float = 0.95) -> uncertainty.Propagated:
    """The fully specified patch test: raw readings, compensated linearly to 25 degC, gain and coefficient shared by sample and blank."""

    def model(**v: float) -> float:
        def referred(reading: str, temperature: str) -> float:
            return referring.linear(conductivity=v[reading], temperature=v[temperature], reference_temperature=25.0, coefficient=v["temperature_coefficient"])

        return amounts.mixed_salt_per_area(
            constant=v["constant"],
            meter_gain=v["meter_gain"],
            solution_volume=v["solution_volume"],
            conductivity=referred("reading", "temperature"),
            compartment_area=v["compartment_area"],
            blank_conductivity=referred("blank", "blank_temperature"),
        )

    return uncertainty.propagate(
        model=model,
        inputs={name: uncertainty.Input(value=value, standard_uncertainty=u, degrees_of_freedom=nu) for name, (value, u, nu) in TARGET.items()},
        correlations={("temperature", "blank_temperature"): correlation} if correlation else None,
        level=level,
    )


def target_verdict(*, limit: float, rule: str) -> str:
    """The verdict on that test with its expanded uncertainty as guard band."""
    result = target()
    band = conformity.guard_band(kind="two-sided", standard_uncertainty=result.standard_uncertainty, degrees_of_freedom=result.degrees_of_freedom, level=0.95)
    return conformity.decide(rule=rule, sense="at-most", value=result.value, limit=limit, guard_band=band)


def target_probability_over(*, limit: float) -> float:
    result = target()
    return conformity.probability_over(
        value=result.value, limit=limit, standard_uncertainty=result.standard_uncertainty, degrees_of_freedom=result.degrees_of_freedom
    )


def probability_within(*, value: float, lowest: float, highest: float, standard_uncertainty: float) -> float:
    """The chance that the true value lies between two limits."""
    over = [conformity.probability_over(value=value, limit=limit, standard_uncertainty=standard_uncertainty) for limit in (lowest, highest)]
    return over[0] - over[1]


def probability_below(*, value: float, limit: float, standard_uncertainty: float) -> float:
    return 1.0 - conformity.probability_over(value=value, limit=limit, standard_uncertainty=standard_uncertainty)


def wrong_acceptance(*, width: float, degrees_of_freedom: float | None = None) -> float:
    """The chance of being over when the result stands at the edge of acceptance, the guard band `width` standard uncertainties wide."""
    edge = conformity.acceptance_limit(rule="guarded-acceptance", sense="at-most", limit=50.0, guard_band=width)
    return conformity.probability_over(value=edge, limit=50.0, standard_uncertainty=1.0, degrees_of_freedom=degrees_of_freedom)


def wrong_acceptance_by_kind(*, kind: str, degrees_of_freedom: float | None = None) -> float:
    width = conformity.guard_band(kind=kind, standard_uncertainty=1.0, degrees_of_freedom=degrees_of_freedom, level=0.95)
    return wrong_acceptance(width=width, degrees_of_freedom=degrees_of_freedom)


def content_shown_by_maximum(*, n: int, confidence: float) -> float:
    """The share of the population that the largest of n results is known to be above."""
    return 1.0 - sampling.largest_share_bad(passes=n, confidence=confidence)


def paired_detection_limit(*, blank_standard_uncertainty: float) -> float:
    return detection.detection_limit(critical_value=detection.critical_value(blank_standard_uncertainty=blank_standard_uncertainty))


def coverage_cut_to_whole(*, degrees_of_freedom: float, level: float) -> float:
    """The coverage factor as the Guide takes it, from degrees of freedom cut to a whole number."""
    return elementary.student_quantile(0.5 * (1.0 + level), math.floor(degrees_of_freedom))


def speed_threshold(*, limit: float, relative: float, confidence: float) -> float:
    """The reading from which one is so sure of being over, where the uncertainty is a share of the reading."""
    band = conformity.guard_band(kind="one-sided", standard_uncertainty=relative, degrees_of_freedom=None, level=confidence)
    return limit / (1.0 - band)


def rule_limit(*, method: str, code: str) -> str | int:
    """What the library's method asks under a finding code, as its file writes it."""
    limit = next(rule.limit for rule in library.method(method).rules if rule.code == code and not rule.limit.startswith("criterion."))
    return int(limit) if limit.isdigit() else limit


def rinse_limit(*, method: str) -> str:
    """The conductivity under which the rinse between samples shows that syringe, beaker and meter are clean, as the method tells it."""
    return next(found[1] for step in library.method(method).steps if (found := re.search(r"rinse water that reads under (\d+ µS/cm)", step.text)))


def filling(*, volume: float, area: float) -> str:
    """Whether the library's patch method takes this filling of a cell (mL, mm2) as usual."""
    rule = next(rule for rule in library.method("patch-conductivity").rules if rule.code == "volume.filling")
    lowest, highest = (parse(text, dimension="volume").inside for text in (rule.lowest, rule.highest))
    return "usual" if lowest <= volume / area <= highest else "unusual"


def step_minutes(*, method: str, step: str) -> float:
    """How long a step of a method takes in the library."""
    return float(next(each.minutes for each in library.method(method).steps if each.name == step))


def tests_asked(*, rule: str, area: str, system: str) -> int:
    """Tests that a count rule of the library asks for on an area, by one of its unit systems."""
    return counting.tests_by_system(rule=counting.read_rule(rule), area=parse(area, dimension="area").exact)[system]


def tube_result(*, reading: str, volume: str, area: str) -> float:
    """ug/cm2 of chloride by a tube."""
    concentration, water, steel = (
        parse(text, dimension=dimension).inside for text, dimension in ((reading, "concentration"), (volume, "volume"), (area, "area"))
    )
    return amounts.concentration_per_area(solution_volume=water, concentration=concentration, area=steel) / 10.0
