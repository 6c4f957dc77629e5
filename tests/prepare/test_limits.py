# SPDX-License-Identifier: MIT
"""A limits card is the judgement run the other way: a test that reads it lies exactly at the limit."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from brackish.errors import BrackishError, InputError, faults_of
from brackish.judge.main import evaluate
from brackish.prepare.limits import NO_READING, READINGS, card
from brackish.quantities import QUANTITIES
from tests.judge.jobs import job

CASES = tomllib.loads((Path(__file__).parents[1] / "judge" / "contract_cases.toml").read_text("utf-8"))["limit"]
PATCH = {"solution_volume": "10 mL", "area": "1250 mm2"}


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["limit"])
@pytest.mark.parametrize("degrees", [20, 25])
def test_difference_is_that_of_the_contract(case, degrees):
    """Both by a dilute-solution model; the digits and the tolerance are the contract's."""
    made = card(
        limit=case["limit"],
        quantity=case["quantity"],
        solution_volume=case["solution_volume"],
        area=case["compartment_area"],
        reference_temperature=f"{degrees} degC",
    )
    assert made.difference.value == pytest.approx(case[f"conductivity_difference_{degrees}C_uS_cm"], rel=case["tol"])
    assert made.reading.value == made.difference.value


@pytest.mark.parametrize(
    ("limit", "volume", "area", "blank", "reading"),
    [  # exact arithmetic: limit · A/(500·V) + blank
        ("50 mg/m2", "15 mL", "1250 mm2", None, 50 * 1250 / (500 * 15)),
        ("5 ug/cm2", "15 mL", "12.5 cm2", "1.8 uS/cm", 50 * 1250 / (500 * 15) + 1.8),
        ("20 mg/m2", "3 mL", "1250 mm2", "0.2 mS/m", 20 * 1250 / (500 * 3) + 2.0),
        ("25.2 mg/m2", "15 mL", "1250 mm2", "1.8 uS/cm", 6.0),  # the contract's first surface case, backwards
        ("36 mg/m2", "3 mL", "12.5 cm2", None, 30.0),
    ],
)
def test_mixed_salt_reading_is_exact(limit, volume, area, blank, reading):
    made = card(limit=limit, quantity="mixed_salt_per_area", solution_volume=volume, area=area, blank=blank)
    assert made.reading.value == pytest.approx(reading, rel=1e-12)


@pytest.mark.parametrize(
    ("quantity", "limit", "volume", "area", "reading"),
    [  # exact: limit · A/V, as NaCl times 35.453/58.443
        ("chloride_per_area", "14.4 ug/cm2", "12 mL", "10 cm2", 12.0),
        ("chloride_per_area", "9.6 ug/cm2", "15 mL", "12.5 cm2", 8.0),
        ("chloride_as_nacl_per_area", "50 mg/m2", "10 mL", "1250 mm2", 50 * 35.453 / 58.443 * 1250 / 10 / 1000),
    ],
)
def test_tube_reading_is_exact(quantity, limit, volume, area, reading):
    made = card(limit=limit, quantity=quantity, solution_volume=volume, area=area).to_dict()
    assert made["tube_reading"]["value"] == pytest.approx(reading, rel=1e-12)
    assert made["tube_reading"]["unit"] == "mg/L"
    assert "meter_reading" not in made and "conductivity_difference" not in made
    assert "resolvable" not in made  # nothing is known of the tube's first mark


def digits(value: float) -> str:
    """As many digits as a text may have."""
    return f"{value:.15g}"


@given(
    quantity=st.sampled_from(["mixed_salt_per_area", "nacl_equivalent_per_area", "extract_conductivity"]),
    limit=st.integers(10, 900),
    volume=st.integers(20, 400),
    blank=st.integers(0, 90),
    degrees=st.sampled_from([15, 20, 25, 30]),
)
@example(quantity="nacl_equivalent_per_area", limit=500, volume=100, blank=12, degrees=25)
def test_reading_of_the_card_gives_exactly_the_limit(quantity, limit, volume, blank, degrees):
    """limits inverts evaluate: all figures in tenths."""
    unit = "uS/cm" if quantity == "extract_conductivity" else "mg/m2"
    limit_text, volume_text, blank_text, temperature = f"{limit / 10} {unit}", f"{volume / 10} mL", f"{blank / 10} uS/cm", f"{degrees} degC"
    made = card(limit=limit_text, quantity=quantity, solution_volume=volume_text, area="1250 mm2", blank=blank_text, reference_temperature=temperature)
    document = job(
        criterion__quantity=quantity,
        criterion__limit=limit_text,
        criterion__decision_rule="simple-acceptance",
        criterion__reference_temperature=temperature,
        equipment__reference_temperature=temperature,
        blank__solution_volume=volume_text,
        blank__reading=[blank_text],
        facts__volume_injected="2.0 mL",
        facts__solution_volume=volume_text,
        facts__reading=[f"{digits(made.reading.value)} uS/cm"],
    )
    result = next(row for row in evaluate(document).to_dict()["tests"][0]["results"] if row["quantity"] == quantity)
    assert result["value"] == pytest.approx(limit / 10, rel=1e-9)


@given(
    limit=st.integers(10, 900),
    volume=st.integers(20, 400),
    blank=st.integers(0, 20),
    quantity=st.sampled_from(["chloride_per_area", "chloride_as_nacl_per_area"]),
)
def test_tube_reading_of_the_card_gives_exactly_the_limit(limit, volume, blank, quantity):
    unit, volume_text = QUANTITIES[quantity].shown_unit, f"{volume / 10} mL"
    blank_text = f"{blank / 10} mg/L"
    made = card(limit=f"{limit / 10} {unit}", quantity=quantity, solution_volume=volume_text, area="10 cm2", blank=blank_text)
    document = job(
        criterion__quantity=quantity,
        criterion__limit=f"{limit / 10} {unit}",
        criterion__reference_temperature=None,
        test__method="sleeve-chloride-tube",
        blank__solution_volume=volume_text,
        blank__reading=[blank_text],
    )
    document["test"][0]["facts"] = {
        "reading": [f"{digits(made.reading.value)} mg/L"],
        "solution_volume": volume_text,
        "sleeve_area": "10 cm2",
        "liquid_lost": False,
    }
    result = next(row for row in evaluate(document).to_dict()["tests"][0]["results"] if row["quantity"] == quantity)
    assert result["value"] == pytest.approx(limit / 10, rel=1e-9)


def test_guarded_reading_is_that_of_the_limit_less_the_guard_band():
    """95 % two-sided: 1.959964 standard uncertainties (normal table)."""
    guarded = card(limit="50 mg/m2", quantity="nacl_equivalent_per_area", **PATCH, blank="1.2 uS/cm", uncertainty="2 mg/m2", level="95 %")
    plain = card(limit=f"{50 - 2 * 1.959963984540054:.13f} mg/m2", quantity="nacl_equivalent_per_area", **PATCH, blank="1.2 uS/cm")
    assert guarded.guarded.value == pytest.approx(plain.reading.value, rel=1e-9)
    assert guarded.basis["guard_band"]["value"] == pytest.approx(3.919928, abs=1e-6)


def test_guarded_reading_passes_and_the_next_does_not():
    made = card(limit="50 mg/m2", quantity="mixed_salt_per_area", **PATCH, blank="1.2 uS/cm", uncertainty="2 mg/m2")

    def verdict(reading: float) -> str:
        changes = {
            "criterion__quantity": "mixed_salt_per_area",
            "criterion__guard_band": "3.91992796908011 mg/m2",
            "facts__reading": [f"{digits(reading)} uS/cm"],
        }
        return evaluate(job(**changes)).to_dict()["tests"][0]["verdicts"][0]["verdict"]

    assert verdict(made.guarded.value * (1 - 1e-9)) == "pass"
    assert verdict(made.guarded.value * (1 + 1e-9)) == "inconclusive"


def test_without_an_uncertainty_there_is_no_guarded_reading():
    made = card(limit="50 mg/m2", quantity="mixed_salt_per_area", **PATCH, level="95 %")
    assert "guarded_reading" not in made.to_dict()
    assert made.basis["not_used"] == ["level"]


def test_a_guard_band_as_wide_as_the_limit_leaves_no_reading_that_passes():
    made = card(limit="3 mg/m2", quantity="mixed_salt_per_area", **PATCH, uncertainty="2 mg/m2")
    assert made.guarded is None and made.resolvable is False
    assert any("no reading passes" in each for each in made.basis["assumed"])


@pytest.mark.parametrize("limit", ["50 mg/m2", "49.99 mg/m2", "33.37 mg/m2", "12.5 mg/m2"])
def test_a_reading_for_people_is_never_over_the_limit(limit):
    made = card(limit=limit, quantity="mixed_salt_per_area", **PATCH, blank="1.2 uS/cm")
    shown = float(made.reading.shown.split("\u00a0")[0])
    assert made.reading.value - 0.1 < shown <= made.reading.value * (1 + 1e-12)


def test_a_reading_that_is_exact_at_a_mark_is_not_rounded_down():
    assert card(limit="50 mg/m2", quantity="mixed_salt_per_area", **PATCH).reading.shown == "12.5\u00a0µS/cm"


@pytest.mark.parametrize(("limit", "resolvable"), [("50 mg/m2", True), ("0.54 mg/m2", True), ("0.53 mg/m2", False)])
def test_resolvable_is_a_difference_over_the_detection_limit(limit, resolvable):
    """Resolution 0.1: 2 · 1.645 · √2 · 0.1/√12 = 0.13431 µS/cm, worth 0.53725 mg/m² at 4 mg/m² for each µS/cm."""
    made = card(limit=limit, quantity="mixed_salt_per_area", **PATCH)
    assert made.least.value == pytest.approx(0.1343137, abs=1e-6)
    assert made.resolvable is resolvable


def test_a_tube_with_a_large_blank_does_not_resolve():
    texts = {"limit": "1 ug/cm2", "quantity": "chloride_per_area", "solution_volume": "10 mL", "area": "10 cm2"}
    assert card(**texts, blank="0.5 mg/L").resolvable is True
    assert card(**texts, blank="20 mg/L").resolvable is False


def test_basis_says_every_assumption():
    bare = card(limit="50 mg/m2", quantity="nacl_equivalent_per_area", **PATCH, uncertainty="2 mg/m2").basis["assumed"]
    assert [word for word in ("25", "blank", "level", "normally", "steps") if not any(word in each for each in bare)] == []
    full = card(
        limit="50 mg/m2", quantity="nacl_equivalent_per_area", **PATCH, blank="1 uS/cm", reference_temperature="20 degC", uncertainty="2 mg/m2", level="90 %"
    )
    assert [word for word in ("25", "level") if any(word in each for each in full.basis["assumed"])] == []
    assert full.basis["reference_temperature"] == "20 degC" and full.basis["level"] == "90 %"


@pytest.mark.parametrize("quantity", ["abrasive_conductivity_by_mass", "abrasive_conductivity_by_volume", "water_conductivity"])
def test_where_nothing_is_taken_off_the_limit_is_the_reading(quantity):
    made = card(limit="25 mS/m", quantity=quantity, blank="3 uS/cm")
    assert made.reading.value == 250.0
    assert made.basis["not_used"] == ["blank"] and "conductivity_difference" not in made.to_dict()


def faults(**texts: str) -> list[tuple[str, str]]:
    with pytest.raises(InputError) as caught:
        card(**texts)
    assert all(fault.message for fault in faults_of(caught.value))
    return [(fault.place, fault.code) for fault in faults_of(caught.value)]


@pytest.mark.parametrize(
    ("texts", "wanted"),
    [
        ({"limit": "25 mS/m", "quantity": "nacl_equivalent_per_area", **PATCH}, [("limit", "quantity.wrong_dimension")]),
        ({"limit": "50 uS/cm2", "quantity": "mixed_salt_per_area", **PATCH}, [("limit", "quantity.impossible_unit")]),
        ({"limit": "50", "quantity": "mixed_salt_per_area", **PATCH}, [("limit", "quantity.bare_number")]),
        ({"limit": "0 mg/m2", "quantity": "mixed_salt_per_area", **PATCH}, [("limit", "input.not_positive")]),
        ({"limit": "50 mg/m2", "quantity": "mixed_salt_per_area"}, [("solution_volume", "limits.needs"), ("area", "limits.needs")]),
        ({"limit": "5 ug/cm2", "quantity": "chloride_per_area", **PATCH, "blank": "1 uS/cm"}, [("blank", "quantity.wrong_dimension")]),
        ({"limit": "5 ug/cm2", "quantity": "salt"}, [("quantity", "input.not_one_of")]),
        ({"limit": "50 mg/m2", "quantity": "mixed_salt_per_area", **PATCH, "uncertainty": "2 mg/m2", "level": "100 %"}, [("level", "science.out_of_range")]),
        ({"limit": "50 mg/m2", "quantity": "mixed_salt_per_area", **PATCH, "uncertainty": "-2 mg/m2"}, [("uncertainty", "input.negative")]),
    ],
)
def test_texts_that_cannot_be_used_say_where_and_why(texts, wanted):
    assert faults(**texts) == wanted


@pytest.mark.parametrize("quantity", NO_READING)
def test_a_quantity_without_a_reading_says_what_to_do(quantity):
    assert faults(limit="5 ug/cm2", quantity=quantity) == [("quantity", "limits.no_reading")]


def test_every_quantity_of_the_trade_has_an_answer():
    assert set(READINGS) | set(NO_READING) == set(QUANTITIES)


def test_outside_the_model_there_is_no_card():
    with pytest.raises(BrackishError):
        card(limit="50 mg/m2", quantity="nacl_equivalent_per_area", **PATCH, reference_temperature="80 degC")


def test_json_has_the_names_of_the_contract():
    made = card(limit="50 mg/m2", quantity="nacl_equivalent_per_area", **PATCH, blank="1.2 uS/cm", uncertainty="2 mg/m2").to_dict()
    assert set(made) == {"conductivity_difference", "meter_reading", "guarded_reading", "resolvable", "basis"}
    assert all(set(made[name]) == {"value", "unit", "shown"} for name in made if name not in ("resolvable", "basis"))
    assert all(re.fullmatch(r"[\d.]+\u00a0µS/cm", made[name]["shown"]) for name in ("conductivity_difference", "meter_reading", "guarded_reading"))
