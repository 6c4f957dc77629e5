# SPDX-License-Identifier: MIT
"""What one reading would be of each salt: the NaCl row is the result, the humidities are handbook values, nothing else is called a result."""

from __future__ import annotations

from pathlib import Path

import pytest

from brackish.errors import InputError
from brackish.judge import salts
from brackish.judge.main import evaluate
from brackish.judge.patch import Waters
from brackish.record.document import load, read_job

EXAMPLES = Path(__file__).parents[2] / "examples"


def band_of(name: str, test: str) -> dict:
    return salts.of_test(read_job(load(EXAMPLES / f"{name}.toml")), test)


@pytest.mark.parametrize(("name", "test"), [("footbridge", "T1"), ("footbridge", "T5"), ("ballast-tank", "T1")])
def test_row_of_sodium_chloride_is_the_result_of_the_test(name, test):
    outcome = evaluate(EXAMPLES / f"{name}.toml").to_dict()
    results = next(each for each in outcome["tests"] if each["id"] == test)["results"]
    result = next(each for each in results if each["quantity"] == "nacl_equivalent_per_area")
    row = next(each for each in band_of(name, test)["salts"] if each["salt"] == "NaCl")
    assert row["shown"] == result["shown"]
    assert row["value"] == pytest.approx(result["value"], rel=1e-12)


def test_rows_go_from_the_least_to_the_most_and_the_words_name_both_ends():
    found = band_of("footbridge", "T1")
    values = [row["value"] for row in found["salts"]]
    assert values == sorted(values)
    assert values[-1] > 1.9 * values[0]  # that is what "unknown salt" leaves open
    assert found["salts"][0]["shown"] in found["sentences"][0]
    assert found["salts"][-1]["shown"] in found["sentences"][0]


@pytest.mark.parametrize(
    ("salt", "humidity"),
    [
        ("NaCl", "75\u00a0%"),  # Greenspan, J. Res. NBS 81A (1977) table 2, 25 °C: 75.29
        ("MgCl2", "33\u00a0%"),  # the same: 32.78
        ("NaCl + Na2SO4", "below 75\u00a0%"),  # a mixture wets before the first of its parts would
        ("CaSO4", ""),  # none known: nothing is said
    ],
)
def test_humidity_from_which_a_salt_wets_the_steel(salt, humidity):
    found = salts.band(Waters(extract=11.3, blank=1.2, temperature=25.0))
    assert next(row for row in found["salts"] if row["salt"] == salt)["wets_from"] == humidity


def test_without_an_area_the_amounts_are_concentrations():
    found = salts.band(Waters(extract=1184.5, blank=0.0, temperature=25.0))  # CRC Handbook: 118.45 S·cm²/mol at 0.01 mol/L, 58.44 g/mol
    row = next(each for each in found["salts"] if each["salt"] == "NaCl")
    assert row["unit"] == "mg/L"
    assert row["value"] == pytest.approx(584.4, rel=0.005)


@pytest.mark.parametrize(("name", "test"), [("footbridge", "T2"), ("tank-roof-chloride", "S1"), ("abrasive-lot", "A1")])
def test_void_test_or_other_method_is_refused_by_name(name, test):
    with pytest.raises(InputError) as refused:
        band_of(name, test)
    assert refused.value.code == "salts.no_extract"
    assert test in str(refused.value)


def test_extract_no_higher_than_its_blank_names_no_salt():
    document = load(EXAMPLES / "footbridge.toml")
    document["test"][0]["facts"]["reading"] = ["1.0 uS/cm"]
    assert salts.of_test(read_job(document), "T1")["sentences"][0] == "The extract conducts no more than its blank: there is no salt to name."
