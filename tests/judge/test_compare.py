# SPDX-License-Identifier: MIT
"""From one result to another: exact arithmetic, an independent program for the uncertainty, and what never compares."""

from __future__ import annotations

import copy
import json
from math import sqrt
from pathlib import Path

import pytest
import uncertainties
from hypothesis import given
from hypothesis import strategies as st

from brackish.cli.compare import lines
from brackish.errors import InputError
from brackish.judge.compare import compare
from brackish.record.document import load
from tests.examples import examples
from tests.judge.jobs import first, job, with_tests

EXAMPLE = Path(__file__).parents[2] / "examples" / "dispute.toml"


def pair(*, facts: dict | None = None, base: dict | None = None, **other: object) -> dict:
    """T1 and T2 beside it: mixed salts, no blank agreed, T2 with these keys and facts changed."""
    start = {"criterion__quantity": "mixed_salt_per_area", "criterion__blank_rule": "none", "test__blank": None}
    return with_tests(job(**(start | (base or {}))), {"id": "T2", "location": "L2", "facts": facts or {}, **other})


UNDILUTED = {"returned_to": "undiluted", "volume_injected": "3.0 mL", "solution_volume": "3.0 mL"}
BEAKER = {"returned_to": "beaker", "volume_injected": "3.0 mL", "solution_volume": "15.0 mL"}


def with_facts(document: dict, **facts: object) -> dict:
    first(document, "facts").update(facts)
    return document


def step(found: dict, change: str) -> dict:
    return next(row for row in found["steps"] if row["change"] == change)


# 28 uS/cm on 1250 mm2: 5 kg/m2/S x V x 28 uS/cm / A is 33.6 mg/m2 in 3 mL and 168 mg/m2 in 15 mL (exact, by the units).


def test_volume_step_is_five_fold_when_three_millilitres_become_fifteen():
    found = compare(with_facts(pair(facts={**BEAKER, "reading": ["5.6 uS/cm"]}), **UNDILUTED, reading=["28.0 uS/cm"]), "T1", "T2")
    volume = step(found, "volume")
    assert (volume["from"], volume["to"]) == pytest.approx((33.6, 168.0), rel=1e-12)
    assert volume["shown_difference"] == "+134.4\u00a0mg/m²"
    assert found["total"]["difference"] == pytest.approx(0.0, abs=1e-9)
    assert found["differ"] == "not-shown"


def test_wrongly_written_volume_is_found_by_putting_the_other_in_its_place():
    """25.2 mg/m2 in 15 mL, 5.04 where 3 mL was written for the same beaker (contract case 1; arithmetic)."""
    document = pair(base={"facts__solution_volume": "15 mL", "facts__reading": ["4.2 uS/cm"]}, facts={"solution_volume": "3 mL"})
    found = compare(document, "T1", "T2")
    assert (found["a"]["value"], found["b"]["value"]) == pytest.approx((25.2, 5.04), rel=1e-12)
    assert found["differ"] == "yes"
    assert [row["change"] for row in found["steps"]] == ["volume"]
    mended = next(row for row in found["what_if"] if row["test"] == "T2")
    assert mended["value"] == pytest.approx(25.2, rel=1e-12)
    assert mended["factor"] == pytest.approx(5.0, rel=1e-12)
    assert mended["differ"] == "not-shown"
    assert "find out which volume is right" in mended["sentence"]


def test_injected_volume_stands_beside_a_beaker_that_both_read():
    document = pair(base={"facts__solution_volume": "15 mL"})
    found = compare(document, "T1", "T2")
    assert [(row["test"], row["new"]) for row in found["what_if"]] == [("T1", "3.0\u00a0mL (undiluted)"), ("T2", "3.0\u00a0mL (undiluted)")]
    assert all(row["factor"] == pytest.approx(0.2, rel=1e-12) for row in found["what_if"])


def two_items() -> dict:
    """Contract case: 44 and 2 uS/cm in 3 mL; 50.4 mg/m2 as mixed salts (exact), 47.2 as NaCl (model, 1 %)."""
    base = {"criterion__quantity": "mixed_salt_per_area", "criterion__items": ["girder"], "blank__reading": ["2.0 uS/cm"], "blank__solution_volume": "3 mL"}
    document = with_facts(job(**base), **UNDILUTED, reading=["44.0 uS/cm"])
    document["item"].append({"id": "pier", "kind": "steel"})
    criterion = first(document, "criterion")
    document["specification"][0]["criterion"].append(criterion | {"id": "other", "items": ["pier"], "quantity": "nacl_equivalent_per_area"})
    return with_tests(document, {"id": "T2", "item": "pier", "location": "P1"})


def test_species_step_says_one_reading_as_two_quantities():
    found = compare(two_items(), "T1", "T2")
    assert [(row["change"], row["kind"]) for row in found["steps"]] == [("quantity", "basis")]
    assert found["steps"][0]["from"] == pytest.approx(50.4, rel=1e-12)
    assert found["steps"][0]["to"] == pytest.approx(47.2, rel=0.01)
    assert found["remaining"]["difference"] == 0.0
    assert found["differ"] == "not-shown"


def test_area_and_constant_are_steps_of_their_own():
    """Half the area doubles the amount; 6 in place of 5 kg/m2/S adds a fifth (exact)."""
    found = compare(pair(facts={"compartment_area": "625 mm2", "constant": "6 kg/m2/S"}), "T1", "T2")
    assert [(row["change"], row["kind"]) for row in found["steps"]] == [("constant", "basis"), ("area", "done")]
    assert step(found, "constant")["to"] / step(found, "constant")["from"] == pytest.approx(1.2, rel=1e-12)
    assert step(found, "area")["to"] / step(found, "area")["from"] == pytest.approx(2.0, rel=1e-12)


def test_blank_taken_off_by_one_only_is_a_matter_of_basis():
    document = with_tests(job(criterion__quantity="mixed_salt_per_area", criterion__blank_rule=None), {"id": "T2", "location": "L2"})
    del document["test"][1]["blank"]
    found = compare(document, "T1", "T2")
    assert [(row["change"], row["kind"]) for row in found["steps"]] == [("blank_rule", "basis")]
    assert found["steps"][0]["difference"] == pytest.approx(1.2 * 500 * 10 / 1250, rel=1e-12)
    assert found["remaining"]["difference"] == 0.0


def test_reference_temperature_is_a_step_where_the_meters_differ():
    """The same solution reads 10 % less at 20 degC (contract case: 31.6 and 28.4 mg/m2, model, 1 %)."""
    document = pair(base={"criterion__reference_temperature": None, "facts__reading": ["7.9 uS/cm"]}, equipment=["cold"], facts={"reading": ["7.1 uS/cm"]})
    document["equipment"].append(document["equipment"][0] | {"id": "cold", "reference_temperature": "20 degC"})
    found = compare(document, "T1", "T2")
    moved = step(found, "reference_temperature")
    assert (moved["from"], moved["to"]) == (pytest.approx(31.6, rel=1e-9), pytest.approx(28.4, rel=0.01))
    assert abs(found["remaining"]["difference"]) < 0.3 < abs(found["total"]["difference"])


# Sums, mirrors, equals


def a_pair(values: tuple) -> dict:
    volume, area, reading, blank, warm = values
    document = job(criterion__quantity="nacl_equivalent_per_area", criterion__blank_rule=None)
    document["blank"].append({"id": "B2", "kind": "water", "reading": [f"{blank} uS/cm"], "temperature": "21.0 degC"})
    facts = {"solution_volume": f"{volume} mL", "compartment_area": f"{area} mm2", "reading": [f"{reading} uS/cm"], "temperature": f"{warm} degC"}
    return with_tests(document, {"id": "T2", "location": "L2", "blank": "B2", "facts": facts})


@pytest.mark.slow
@examples(40)
@given(st.tuples(st.integers(3, 40), st.integers(500, 3000), st.integers(2, 200), st.integers(0, 3), st.integers(5, 35)))
def test_steps_add_up_and_the_other_direction_mirrors(values):
    document = a_pair(values)
    there, back = compare(document, "T1", "T2"), compare(document, "T2", "T1")
    scale = max(abs(row[end]) for row in [there["total"], *there["steps"]] for end in ("from", "to"))
    assert sum(row["difference"] for row in there["steps"]) == pytest.approx(there["total"]["difference"], abs=1e-12 * scale)
    assert there["total"]["difference"] == pytest.approx(there["b"]["value"] - there["a"]["value"], abs=1e-12 * scale)
    done = [row["difference"] for row in there["steps"] if row["kind"] != "basis"]
    assert sum(done) == pytest.approx(there["remaining"]["difference"], abs=1e-12 * scale)
    assert [row["change"] for row in back["steps"]] == [row["change"] for row in reversed(there["steps"])]
    assert [row["difference"] for row in back["steps"]] == [-row["difference"] for row in reversed(there["steps"])]
    assert (back["differ"], back["remaining"]["difference"]) == (there["differ"], -there["remaining"]["difference"])
    assert back["remaining"]["expanded_uncertainty"] == pytest.approx(there["remaining"]["expanded_uncertainty"], rel=1e-9)


def test_equal_tests_and_one_test_differ_by_zero():
    for found in (compare(pair(), "T1", "T2"), compare(pair(), "T1", "T1")):
        assert found["steps"] == []
        assert found["total"]["difference"] == found["remaining"]["difference"] == 0.0
        assert found["differ"] == "not-shown"
    assert compare(pair(), "T1", "T1")["remaining"]["expanded_uncertainty"] == 0.0


# The uncertainty of the difference


def test_joint_uncertainty_is_that_of_an_independent_program():
    """Linear error propagation by the package `uncertainties`: one meter, blank and thermometer, two volumes and areas."""
    document = with_tests(
        job(criterion__quantity="mixed_salt_per_area", facts__temperature="21.5 degC"),
        {"id": "T2", "location": "L2", "facts": {"solution_volume": "15.0 mL", "reading": ["8.3 uS/cm"], "temperature": "18.0 degC"}},
    )
    document["blank"][0].update(kind="water")
    first(document, "criterion").update(blank_rule="water")
    u = uncertainties.ufloat
    gain, thermometer, coefficient = u(1, 0.01 / sqrt(3)), u(0, 0.5 / sqrt(3)), u(0.021, 0.001 / sqrt(3))
    display = 0.1 / sqrt(12)
    blank = u(1.2, display)

    def referred(reading, temperature):
        return reading * (1 + 0.021 * (temperature - 25)) / (1 + coefficient * (temperature + thermometer - 25))

    def amount(reading, temperature, volume):
        water, area = u(volume, 0.1 / sqrt(3)), u(1250, 12.5 / sqrt(3))
        return 500 * gain * water * (referred(u(reading, display), temperature) - referred(blank, 25.0)) / area

    expected = amount(8.3, 18.0, 15.0) - amount(9.1, 21.5, 10.0)
    remaining = compare(document, "T1", "T2")["remaining"]
    assert remaining["difference"] == pytest.approx(expected.n, rel=1e-9)
    assert remaining["standard_uncertainty"] == pytest.approx(expected.s, rel=1e-5)


EXACT = {name: {"standard_uncertainty": f"0 {unit}"} for name, unit in {"solution_volume": "mL", "compartment_area": "mm2", "meter_gain": "%"}.items()}


def exact_but_for(reading_1: str, reading_2: str, **more: object) -> dict:
    """2.5 mL on 1250 mm2 without temperature doubt: 1 mg/m2 for each uS/cm, only the readings uncertain."""
    facts = {"solution_volume": "2.5 mL", "volume_injected": "2.5 mL", "returned_to": "undiluted"}
    figures = [EXACT | {"temperature": {"standard_uncertainty": "0 K"}, "reading": {"standard_uncertainty": f"{u} uS/cm"}} for u in (reading_1, reading_2)]
    document = pair(uncertainty=figures[1], facts={"reading": ["10.00 uS/cm"]}, base={"test__uncertainty": figures[0], "facts__reading": ["10.05 uS/cm"]})
    for test in document["test"]:
        test["facts"].update(facts)
    return document | more


def test_ratio_is_the_en_number_of_two_independent_results():
    """10.05 (U 0.04) against 10.00 (U 0.03): En = 1.000 (arithmetic: 0.05 / sqrt(0.04^2 + 0.03^2)); U/1.959964 typed."""
    found = compare(exact_but_for("0.0204085", "0.0153064"), "T1", "T2")
    assert found["remaining"]["ratio"] == pytest.approx(1.0, abs=5e-4)
    assert found["remaining"]["expanded_uncertainty"] == pytest.approx(0.05, abs=5e-6)


def test_scatter_of_the_history_gives_the_repeatability_limit():
    """With nothing else open, two results may differ by 1.96 sqrt2 s = 2.77 s (ISO 5725-6; it prints 2.8)."""
    history = [{"method": "patch-conductivity", "standard_deviation": "2 mg/m2", "degrees_of_freedom": 1000000}]
    found = compare(exact_but_for("0", "0", history=history), "T1", "T2")
    assert found["remaining"]["expanded_uncertainty"] / 2.0 == pytest.approx(2.77, abs=0.005)
    assert found["remaining"]["uncertainty_from"] == "history"
    assert found["differ"] == "not-shown"
    assert compare(exact_but_for("0", "0"), "T1", "T2")["differ"] == "yes"


def test_published_figure_of_the_method_counts_for_each_of_two_results():
    """±8.2 mg/m2 for one result (NACE SP0508 as the library has it): sqrt2 x 8.2 = 11.6 for the difference of two."""
    found = compare(pair(base={"criterion__uncertainty": "method", "facts__reading": ["9.1 uS/cm"]}, facts={"reading": ["11.0 uS/cm"]}), "T1", "T2")
    assert found["remaining"]["expanded_uncertainty"] == pytest.approx(11.6, abs=0.05)
    assert found["remaining"]["uncertainty_from"] == "method"


def test_one_extract_read_twice_has_no_spot_to_spot_scatter():
    document = pair(base={"test__extract": "E1"}, facts={"reading": ["9.3 uS/cm"]})
    codes = [note["code"] for note in compare(document, "T1", "T2")["remaining"]["may_be"]]
    assert "compare.one_extract" in codes
    assert not {"compare.scatter_known", "compare.scatter_unknown", "compare.place"} & set(codes)


# What never compares


def tube(id: str, method: str = "extract-chloride-tube", reading: str = "12 mg/L", **facts: object) -> dict:
    area = "sleeve_area" if method.startswith("sleeve") else "extraction_area"
    own = {area: "10 cm2", "solution_volume": "10 mL", "reading": reading, **facts}
    return {"id": id, "item": "girder", "location": "L1", "method": method, "stage": "after-blasting", "facts": own}


def abrasive(id: str, method: str) -> dict:
    facts = {"reading": ["98 uS/cm"], "temperature": "25 degC"} | ({"mass": "100 g"} if method == "abrasive-conductivity" else {"abrasive_volume": "300 mL"})
    water = "100 mL" if method == "abrasive-conductivity" else "300 mL"
    return {"id": id, "item": "grit", "method": method, "equipment": ["meter"], "facts": facts | {"water_volume": water}}


def with_rows(*rows: dict) -> dict:
    document = job()
    document["item"].append({"id": "grit", "kind": "abrasive", "lot": "G-1"})
    document["test"] += [copy.deepcopy(row) for row in rows]
    return document


NEVER = [
    ("compare.mass_volume", [abrasive("X", "abrasive-conductivity"), abrasive("Y", "abrasive-conductivity-equal-volume")]),
    ("compare.liquid", [tube("X"), tube("Y", "sleeve-chloride-tube")]),
    ("compare.chloride_total", [tube("X"), {"id": "Y"}]),
    ("compare.nothing_common", [tube("X"), abrasive("Y", "abrasive-conductivity")]),
    ("compare.void", [tube("X") | {"void": {"by": "tester", "reason": "tube broke"}}, tube("Y")]),
    ("compare.planned", [tube("X"), {"id": "Y", "item": "girder", "method": "extract-chloride-tube", "location": "L1"}]),
]


@pytest.mark.parametrize(("code", "rows"), NEVER, ids=[code for code, _ in NEVER])
def test_not_comparable_says_why(code, rows):
    patch = job()["test"][0] | {"id": "Y"}
    rows = [patch if row == {"id": "Y"} else row for row in rows]
    for a, b in (("X", "Y"), ("Y", "X")):
        found = compare(with_rows(*rows), a, b)
        assert found["differ"] == "not-comparable"
        assert found["reasons"][0]["code"] == code
        assert found["why"].startswith(found["reasons"][0]["message"])
        assert found["steps"] == []


def test_two_methods_for_chloride_compare_in_one_step_that_is_not_split():
    """12 mg/L in 10 mL from 10 cm2 is 12.0 ug/cm2; the titration finds 0.35 mg in 50 mL of 100 mL from 25 cm2: 28 ug/cm2."""
    titration = {
        "washed_area": "25 cm2", "wash_volume": "100 mL", "titrant": "silver-nitrate", "titrant_concentration": "0.0141 mol/L",
        "titrant_volume": "0.85 mL", "titrant_blank": "0.15 mL", "aliquot_volume": "50 mL",
    }  # fmt: skip
    wash = tube("Y", "wash-chloride-titration") | {"facts": titration}
    found = compare(with_rows(tube("X"), wash), "X", "Y")
    assert [(row["change"], row["kind"]) for row in found["steps"]] == [("method", "method")]
    assert found["a"]["value"] == pytest.approx(12.0, rel=1e-12)
    assert found["b"]["value"] == pytest.approx(27.99, abs=0.005)
    assert found["differ"] == "yes"


@pytest.mark.parametrize(
    ("readings", "differ"), [(("<1 mg/L", "12 mg/L"), "yes"), (("<1 mg/L", "<2 mg/L"), "not-shown"), ((">60 mg/L", "61 mg/L"), "not-shown"), (("<1 mg/L", ">60 mg/L"), "yes")]
)  # fmt: skip
def test_bound_parts_two_only_beyond_its_reach(readings, differ):
    found = compare(with_rows(tube("X", reading=readings[0]), tube("Y", reading=readings[1])), "X", "Y")
    assert found["differ"] == differ
    assert found["steps"] == []
    assert readings[0][0] in found["remaining"]["shown"]
    bound_lines = [line for line in lines(found) if "that is <" in line or "that is >" in line]
    assert bound_lines
    assert not any("±" in line for line in bound_lines)


def test_bound_lost_in_its_blank_reaches_to_the_critical_value():
    """1.0 less a blank of 1.2 uS/cm is below nothing; 1.645·√2·u(blank) is 0.3 mg/m², u = 0.1/√12 uS/cm, 4 mg/m² for each; 8.8 uS/cm less 1.2 are 30.4."""
    blank = {"criterion__blank_rule": "full-kit", "test__blank": "B1"}
    found = compare(pair(facts={"reading": ["8.8 uS/cm"]}, base=blank | {"facts__reading": ["<1.0 uS/cm"]}), "T1", "T2")
    assert found["a"]["shown"] == "<\u00a00.3\u00a0mg/m²"
    assert found["remaining"]["shown"] == "<\u00a00.3 \N{RIGHTWARDS ARROW} 30.4\u00a0mg/m²"
    assert found["remaining"]["shown_difference"] == "at least 30.1\u00a0mg/m²"


# What no formula holds


def test_distance_time_stage_and_what_was_done_are_named():
    """Legs of 0.3 m and 0.4 m: 500 mm apart."""
    document = pair(stage="after-washing", read_at="2026-03-04T11:26:00+00:00", facts={"cycles": 3, "dwell": "5 min"}, base={"criterion__stage": None})
    document["location"][0].update(x="0 m", y="0 m")
    document["location"][1].update(x="0.3 m", y="0.4 m")
    notes = {note["code"]: note for note in compare(document, "T1", "T2")["remaining"]["may_be"]}
    assert notes["compare.place_apart"]["params"]["distance"] == "500\u00a0mm"
    assert notes["compare.time"]["params"] == {"apart": "2\u00a0h 10\u00a0min", "later": "T2"}
    assert "after blasting" in notes["compare.stage"]["message"]
    assert "Time on the steel 10\u00a0min and 5\u00a0min" in notes["compare.procedure"]["message"]
    assert "injected again 6 and 3" in notes["compare.procedure"]["message"]


def test_second_test_on_one_spot_is_named():
    document = pair(location="L1")
    assert "compare.same_place" in [note["code"] for note in compare(document, "T1", "T2")["remaining"]["may_be"]]


def test_unknown_test_is_refused():
    with pytest.raises(InputError) as refused:
        compare(pair(), "T1", "T9")
    assert (refused.value.code, refused.value.place) == ("input.unknown_reference", "B")


# The example


def test_two_honest_inspectors_read_five_fold_apart_and_agree():
    found = compare(load(EXAMPLE), "D1", "D2")
    assert (found["a"]["shown"], found["b"]["shown"]) == ("32.2\u00a0mg/m²", "31.8\u00a0mg/m²")
    assert found["differ"] == "not-shown"
    assert [row["shown_to"] for row in found["steps"]] == ["160.8\u00a0mg/m²", "164.4\u00a0mg/m²", "31.8\u00a0mg/m²"]


def test_sentences_of_the_tutorial_hold_the_numbers_of_the_program():
    """What the page says between its outputs; 200 mg/m2 in 15 mL, written as 3 mL, is 40 (exact)."""
    page = " ".join((EXAMPLE.parents[1] / "docs" / "tutorial" / "01-why-does-your-number-differ-from-mine.md").read_text("utf-8").split())
    found = compare(load(EXAMPLE), "D1", "D2")
    numbers = {
        key: row["shown"].split("\u00a0")[0] for key, row in (("D1", found["a"]), ("D2", found["b"]), *((row["test"] + "*", row) for row in found["what_if"]))
    }
    assert f"less a blank of 1.2 is {numbers['D1']} mg/m²; with 15 mL the same reading is {numbers['D1*']}." in page
    assert f"his {numbers['D2']} mg/m² would have become {numbers['D2*']}, a fifth" in page
    assert f"On one basis they are {found['remaining']['shown_difference'].lstrip(chr(0x2212)).replace(chr(0xA0), ' ')} apart" in page
    assert "Steel at 200 mg/m² would have read 40" in page
    thin = compare(pair(base={"facts__solution_volume": "15 mL", "facts__reading": ["33.3333333333333 uS/cm"]}), "T1", "T2")
    assert thin["a"]["value"] == pytest.approx(200.0, rel=1e-12)
    assert thin["what_if"][0]["value"] == pytest.approx(40.0, rel=1e-12)


def test_text_fits_a_terminal_and_numbers_are_finite():
    for document, a, b in ((load(EXAMPLE), "D1", "D2"), (two_items(), "T1", "T2"), (with_rows(tube("X"), tube("Y", reading="<1 mg/L")), "X", "Y")):
        found = compare(document, a, b)
        json.dumps(found, allow_nan=False)
        assert max(map(len, lines(found))) <= 80
