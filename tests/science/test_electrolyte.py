# SPDX-License-Identifier: MIT
"""Properties of the conductivity model; its outside values are `tests/evidence/chemistry_*.toml`."""

from __future__ import annotations

from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brackish.errors import InputError, OutOfRange
from brackish.science import electrolyte, water
from brackish.science.data.accuracy import AT_25, GROUP_OF_SALT
from brackish.science.data.ions import IONS
from brackish.science.data.salts import PLAUSIBLE
from brackish.science.onsager import TwoIonLaw, mixture_conductivity
from brackish.science.pairing import free_ions
from brackish.science.salts import salt_law
from tests.evidence.cases import all_cases
from tests.evidence.chains import equivalent_conductivity, salt_conductivity
from tests.examples import examples

SALTS = sorted(electrolyte.SALTS)
temperatures = st.floats(0.0, 50.0)
shares = st.floats(1e-6, 1.0)
derandomised = examples(60)


@derandomised
@given(salt=st.sampled_from(SALTS), share=shares, temperature=temperatures)
def test_concentration_undoes_conductivity(salt, share, temperature):
    wanted = share * salt_law(salt=salt, temperature=temperature).highest_conductivity
    amount = electrolyte.concentration(salt=salt, conductivity=wanted, temperature=temperature)
    assert electrolyte.salt_conductivity(salt=salt, concentration=amount, temperature=temperature) == pytest.approx(wanted, rel=1e-13)


@derandomised
@given(salt=st.sampled_from(SALTS), share=st.floats(1e-3, 0.9), temperature=st.floats(0.0, 49.0))
def test_more_conductivity_is_more_salt_and_warmer_is_less(salt, share, temperature):
    wanted = share * salt_law(salt=salt, temperature=temperature).highest_conductivity
    amount = electrolyte.concentration(salt=salt, conductivity=wanted, temperature=temperature)
    assert electrolyte.concentration(salt=salt, conductivity=1.01 * wanted, temperature=temperature) > amount
    assert electrolyte.concentration(salt=salt, conductivity=wanted, temperature=temperature + 1.0) < amount


@derandomised
@given(conductivity=st.floats(0.5, 5000.0), temperature=st.floats(5.0, 45.0))
def test_nacl_has_a_derivative_at_the_smallest_steps(conductivity, temperature):
    def slope(step: float) -> float:
        high, low = (
            electrolyte.concentration(salt="NaCl", conductivity=conductivity + sign * step * conductivity, temperature=temperature) for sign in (1.0, -1.0)
        )
        return (high - low) / (2.0 * step * conductivity)

    assert slope(1e-7) == pytest.approx(slope(1e-4), rel=3e-8)


@derandomised
@given(scale=st.floats(1e-6, 0.01), temperature=temperatures, order=st.permutations(["Na+", "Mg+2", "K+", "Cl-", "SO4-2"]))
def test_order_of_ions_does_not_matter(scale, temperature, order):
    ions = {"Na+": scale, "Mg+2": scale, "K+": scale, "Cl-": 2.0 * scale, "SO4-2": scale}
    shuffled = {ion: ions[ion] for ion in order}
    assert electrolyte.conductivity(ions=shuffled, temperature=temperature) == electrolyte.conductivity(ions=ions, temperature=temperature)


@pytest.mark.parametrize("salt", [name for name in SALTS if isinstance(salt_law(salt=name, temperature=25.0).law, TwoIonLaw)])
@pytest.mark.parametrize("temperature", [0.0, 25.0, 50.0])
def test_form_for_mixtures_and_closed_form_agree(salt, temperature):
    ions = {ion: 0.002 * count for ion, count in electrolyte.SALTS[salt].ions.items()}
    assert mixture_conductivity(free_ions=ions, temperature=temperature) == pytest.approx(
        salt_law(salt=salt, temperature=temperature).law.conductivity(0.002), rel=1e-13
    )


def test_series_for_mixtures_agrees_with_eigenvalues():
    """1 - sqrt(H) by the eigenvalues of H (numpy) for six ions of very different mobility."""
    np = pytest.importorskip("numpy")
    from brackish.science.onsager import relaxation_factors

    charges = [1.0, 1.0, 2.0, -1.0, -2.0, -1.0]
    mobilities = [349.65, 50.08, 29.7, 76.31, 40.0, 44.5]
    amounts = [1e-4, 2e-3, 1e-3, 2e-3, 1e-3, 1e-4]
    strength = sum(c * z * z for c, z in zip(amounts, charges, strict=True))
    shares = [c * z * z / strength for c, z in zip(amounts, charges, strict=True)]
    w, mu = np.array(mobilities), np.array(shares)
    pull = mu * w / (w[:, None] + w)
    h = pull + np.diag(pull.sum(axis=1))
    values, vectors = np.linalg.eig(h)
    root = (vectors * np.sqrt(values)) @ np.linalg.inv(vectors)
    r = np.array(charges) - (mu @ charges) / (mu / w).sum() / w
    assert relaxation_factors(charges=charges, mobilities=mobilities, shares=shares) == pytest.approx(list((np.eye(6) - root) @ r), abs=1e-13)


def test_each_ion_adds_to_conductivity():
    for ion, row in IONS.items():
        partner = "Cl-" if row.charge > 0 else "Na+"
        count = float(abs(row.charge))
        base = {"Na+": 0.001, "Cl-": 0.001}
        more = dict(base)
        more[ion] = more.get(ion, 0.0) + 0.0001
        more[partner] = more.get(partner, 0.0) + 0.0001 * count
        assert electrolyte.conductivity(ions=more, temperature=25.0) > electrolyte.conductivity(ions=base, temperature=25.0), ion


def test_sulfate_pairs_keep_every_mole():
    ions = {"Na+": 0.004, "Ca+2": 0.003, "Fe+2": 0.002, "Cl-": 0.004, "SO4-2": 0.005}
    free = free_ions(ions=ions, temperature=10.0)
    paired = sum(ions[metal] - free[metal] for metal in ("Na+", "Ca+2", "Fe+2"))
    assert ions["SO4-2"] - free["SO4-2"] == pytest.approx(paired, rel=1e-12)
    assert free["Cl-"] == ions["Cl-"]
    assert free_ions(ions={"Na+": 0.01, "Cl-": 0.01}, temperature=25.0) == {"Na+": 0.01, "Cl-": 0.01}


def test_pairing_follows_the_mass_action_law():
    """Mass action with Davies' activities at 25 degC, written out once more for CaSO4."""
    free = free_ions(ions={"Ca+2": 0.005, "SO4-2": 0.005}, temperature=25.0)
    root = sqrt(4.0 * free["Ca+2"])
    activity = 10.0 ** (-0.51 * 4.0 * (root / (1.0 + root) - 0.3 * root * root))
    constant = (0.005 - free["Ca+2"]) / (free["Ca+2"] * free["SO4-2"] * activity * activity)
    assert constant == pytest.approx(10.0**2.30, rel=0.01)


HANDBOOK = [case for case in all_cases() if case.function == "chains.equivalent_conductivity" and case.kind == "recalled"]
IN_HANDBOOK = {case.inputs["salt"] for case in HANDBOOK}
PHREEQC = [case for case in all_cases() if case.function == "chains.salt_conductivity" and case.inputs["salt"] not in IN_HANDBOOK]


@pytest.mark.parametrize("case", HANDBOOK + PHREEQC, ids=lambda case: case.name)
def test_stated_accuracy_covers_the_evidence(case):
    """No row is further off than the program says: the handbook where it has the salt, else PHREEQC."""
    salt = case.inputs["salt"]
    found = equivalent_conductivity(**case.inputs) if case in HANDBOOK else salt_conductivity(**case.inputs)
    conductivity = found * (1000.0 * case.inputs["normality"] if case in HANDBOOK else 1.0)
    stated = electrolyte.accuracy(salt=salt, conductivity=conductivity, temperature=25.0)
    assert abs(found / float(case.printed) - 1.0) <= stated


def test_accuracy_grows_with_conductivity_and_away_from_25():
    def stated(salt, conductivity, temperature):
        return electrolyte.accuracy(salt=salt, conductivity=conductivity, temperature=temperature)

    assert stated("NaCl", 100.0, 25.0) == 0.002
    assert stated("NaCl", 100.0, 25.0) < stated("NaCl", 100.0, 20.0) < stated("NaCl", 100.0, 12.0) < stated("NaCl", 100.0, 2.0)
    assert stated("CaSO4", 100.0, 25.0) < stated("CaSO4", 500.0, 25.0) < stated("CaSO4", 1400.0, 25.0)
    assert stated("CaCl2", 100.0, 20.0) - stated("CaCl2", 100.0, 25.0) > stated("NaCl", 100.0, 20.0) - stated("NaCl", 100.0, 25.0)


def test_every_salt_has_a_stated_accuracy():
    assert set(GROUP_OF_SALT) == set(electrolyte.SALTS)
    for rows in AT_25.values():
        assert list(rows) == sorted(rows)
        assert [error for _, error in rows] == sorted(error for _, error in rows)


def test_composition_band_is_ordered_and_holds_nacl():
    band = electrolyte.composition_band(conductivity=100.0, temperature=25.0)
    amounts = [amount for _, amount in band]
    assert amounts == sorted(amounts)
    assert {name for name, _ in band} == set(PLAUSIBLE)
    assert dict(band)["NaCl"] == electrolyte.concentration(salt="NaCl", conductivity=100.0, temperature=25.0)
    assert dict(band)["MgCl2"] < dict(band)["NaCl"] < dict(band)["Ca(HCO3)2"]


@derandomised
@given(conductivity=st.floats(1.0, 2000.0), temperature=st.floats(10.0, 35.0))
def test_chloride_bound_is_the_reverse_of_the_least_conductivity(conductivity, temperature):
    most = electrolyte.most_chloride(conductivity=conductivity, temperature=temperature)
    assert electrolyte.least_conductivity(chloride=most, temperature=temperature) == pytest.approx(conductivity, rel=1e-12)


def test_chloride_bound_is_over_nacl_where_magnesium_conducts_less():
    as_nacl = electrolyte.concentration(salt="NaCl", conductivity=1000.0, temperature=25.0) * 35.453 / 58.443
    assert as_nacl == pytest.approx(297.79, rel=1e-3)
    assert electrolyte.most_chloride(conductivity=1000.0, temperature=25.0) > 1.03 * as_nacl


@pytest.mark.parametrize("temperature", [-0.001, 50.001, float("inf")])
def test_temperature_outside_the_model_is_refused(temperature):
    with pytest.raises(OutOfRange, match=r"holds from 0\.0 to 50\.0 degC"):
        electrolyte.concentration(salt="NaCl", conductivity=10.0, temperature=temperature)


@pytest.mark.parametrize("bad", [{"conductivity": float("nan")}, {"temperature": float("nan")}])
def test_nan_is_refused(bad):
    with pytest.raises(InputError) as caught:
        electrolyte.concentration(**{"salt": "NaCl", "conductivity": 10.0, "temperature": 25.0} | bad)
    assert caught.value.code == "science.not_finite"


def test_water_figures_move_as_water_does():
    assert water.density(temperature=4.0) > max(water.density(temperature=t) for t in (0.0, 8.0, 25.0))
    assert water.density(temperature=25.0) == pytest.approx(0.997047, abs=3e-6)  # CRC Handbook; the formula is older
    assert water.viscosity(temperature=20.0) == pytest.approx(1.0016, abs=5e-5)  # ISO/TR 3666
    assert water.viscosity(temperature=25.0) == pytest.approx(0.889997, abs=5e-7)  # IAPWS SR6-08, value for checking programs
    assert water.permittivity(temperature=25.0) == pytest.approx(78.30, abs=0.005)  # Malmberg and Maryott, their own value
