# SPDX-License-Identifier: MIT
"""PHREEQC, run now: the values committed in `tests/evidence` are what it gives, so nobody can adjust them to the model."""

from __future__ import annotations

import pytest

from brackish.science.salts import SALTS
from tests.evidence.cases import all_cases

phreeqc = pytest.importorskip("phreeqc")

ELEMENTS = {
    "Na+": "Na", "K+": "K", "NH4+": "N(-3)", "Mg+2": "Mg", "Ca+2": "Ca", "Fe+2": "Fe(2)", "Zn+2": "Zn",
    "Cl-": "Cl", "NO3-": "N(5)", "HCO3-": "C(4)", "SO4-2": "S(6)",
}  # fmt: skip
WATER_AT_25 = 0.99705  # kg/L: PHREEQC takes mol per kg of water
CASES = [case for case in all_cases() if case.file in ("chemistry_phreeqc", "chemistry_mixtures")]


@pytest.fixture(scope="module")
def engine():
    engine = phreeqc.Phreeqc()
    engine.LoadBuiltInDatabase("phreeqc.dat")
    return engine


def conductivity_by_phreeqc(engine, ions: dict[str, float]) -> float:
    amounts = "\n".join(f" {ELEMENTS[ion]} {1000.0 * amount / WATER_AT_25:.10g}" for ion, amount in ions.items())
    ph = " pH 6\n pe 2" if "Fe+2" in ions and "HCO3-" not in ions else " pH 7 charge\n pe 4"
    engine.RunString(
        f"SOLUTION 1\n temp 25\n{ph}\n units mmol/kgw\n{amounts}\nSELECTED_OUTPUT\n -reset false\n"
        "USER_PUNCH\n -headings conductivity\n -start\n 10 PUNCH SC\n -end\nEND\n"
    )
    assert not engine.GetErrorString()
    return engine.GetSelectedOutput()["conductivity"][-1]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_committed_value_is_what_phreeqc_gives(engine, case):
    inputs = case.inputs
    ions = inputs.get("ions") or {ion: count * inputs["amount"] for ion, count in SALTS[inputs["salt"]].ions.items()}
    assert conductivity_by_phreeqc(engine, ions) == pytest.approx(float(case.printed), rel=1e-4, abs=0.006)


def test_there_are_ten_mixtures_and_more():
    assert len({case.place for case in CASES if case.file == "chemistry_mixtures"}) >= 10
