# SPDX-License-Identifier: MIT
"""What holds for every job: other units, other order, higher readings."""

from __future__ import annotations

import copy
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brackish.quantities import DIMENSIONS
from tests.examples import examples
from tests.judge.jobs import job, with_tests
from tests.judge.reading import outcome, row_of, verdict

quick = examples(40)
RULES = ("simple-acceptance", "guarded-acceptance", "guarded-rejection", "three-way")
QUANTITIES = ("nacl_equivalent_per_area", "mixed_salt_per_area")
ORDER = ("pass", "inconclusive", "fail")

tenths = st.integers(min_value=0, max_value=2000).map(lambda n: f"{n // 10}.{n % 10}")


def decimal(value: Fraction) -> str:
    """An exact decimal text of a fraction that has one."""
    digits = 0
    while (value * 10**digits).denominator != 1:
        digits += 1
    whole = abs(int(value * 10**digits))
    text = str(whole).rjust(digits + 1, "0")
    return ("-" if value < 0 else "") + (f"{text[:-digits]}.{text[-digits:]}" if digits else text)


def has_decimal(value: Fraction) -> bool:
    rest = value.denominator
    for prime in (2, 5):
        while rest % prime == 0:
            rest //= prime
    return rest == 1


def retyped(text: str, dimension: str, unit: str) -> str:
    number, old = text.split(" ")
    units, offsets = DIMENSIONS[dimension].units, DIMENSIONS[dimension].offsets or {}
    value = (Fraction(number) * units[old] + offsets.get(old, 0) - offsets.get(unit, 0)) / units[unit]
    return f"{decimal(value)} {unit}" if has_decimal(value) else text


FIELDS = {  # where a quantity stands in the example job -> its dimension
    ("criterion", "limit"): "amount_per_area", ("criterion", "reference_temperature"): "temperature", ("equipment", "resolution"): "conductivity",
    ("equipment", "temperature_coefficient"): "temperature_coefficient", ("equipment", "reference_temperature"): "temperature", ("item", "area"): "area",
    ("blank", "solution_volume"): "volume", ("blank", "reading"): "conductivity", ("blank", "temperature"): "temperature",
    ("facts", "compartment_area"): "area", ("facts", "volume_injected"): "volume", ("facts", "solution_volume"): "volume", ("facts", "reading"): "conductivity",
    ("facts", "temperature"): "temperature",
}  # fmt: skip


@quick
@given(data=st.data(), reading=tenths, temperature=st.integers(min_value=10, max_value=40), rule=st.sampled_from(RULES), quantity=st.sampled_from(QUANTITIES))
def test_job_in_other_units_has_the_same_outcome(data, reading, temperature, rule, quantity):
    typed = job(facts__reading=[f"{reading} uS/cm"], facts__temperature=f"{temperature}.0 degC", criterion__decision_rule=rule, criterion__quantity=quantity)
    changes: dict[str, Any] = {}
    for (table, key), dimension in FIELDS.items():
        target = {"criterion": typed["specification"][0]["criterion"], "facts": [typed["test"][0]["facts"]]}.get(table) or typed[table]
        unit = data.draw(st.sampled_from(sorted(DIMENSIONS[dimension].units)), label=f"{table}.{key}")
        value = target[0][key]
        changes[f"{table}__{key}"] = [retyped(text, dimension, unit) for text in value] if isinstance(value, list) else retyped(value, dimension, unit)
    other = job(**{"criterion__decision_rule": rule, "criterion__quantity": quantity, **changes})
    assert numbers(outcome(other)) == numbers(outcome(typed))


def numbers(found: dict[str, Any]) -> dict[str, Any]:
    """All that was computed and decided; texts that quote what was typed are left out."""
    tests = [
        {
            "state": test["state"],
            "results": [{key: value for key, value in result.items() if key != "steps"} for result in test["results"]],
            "verdicts": [{key: value for key, value in verdict.items() if key != "reasons"} for verdict in test["verdicts"]],
            "findings": [finding["code"] for finding in test["findings"]],
        }
        for test in found["tests"]
    ]
    return {"tests": tests, "items": found["items"], "verdict": found["job"]["verdict"]}


@quick
@pytest.mark.slow
@given(order=st.permutations(range(4)), data=st.data())
def test_order_of_other_tables_changes_no_test(order, data):
    document = with_tests(
        job(criterion__count="4 per item"), *({"id": f"T{n}", "location": f"L{n}", "facts": {"reading": [f"{n}.5 uS/cm"]}} for n in range(2, 5))
    )
    document["person"] = [{"id": f"p{n}", "name": f"Person {n}"} for n in range(3)]
    document["equipment"] += [{"id": "flask", "kind": "flask", "accuracy": "0.05 mL"}, {"id": "balance", "kind": "balance"}]
    turned = copy.deepcopy(document)
    turned["test"] = [turned["test"][index] for index in order]
    for table in ("person", "equipment", "location"):
        turned[table] = data.draw(st.permutations(turned[table]), label=table)
    for id in ("T1", "T2", "T3", "T4"):
        assert row_of(turned, id) == row_of(document, id)
    assert outcome(turned)["job"]["verdict"] == outcome(document)["job"]["verdict"]


@quick
@given(readings=st.tuples(tenths, tenths), rule=st.sampled_from(RULES), quantity=st.sampled_from(QUANTITIES), kind=st.sampled_from(["full-kit", "water"]))
def test_higher_reading_never_turns_a_fail_into_a_pass(readings, rule, quantity, kind):
    lower, higher = sorted(readings, key=float)
    changes = {"criterion__decision_rule": rule, "criterion__quantity": quantity, "blank__kind": kind, "criterion__blank_rule": kind}
    one, other = (verdict(job(facts__reading=[f"{reading} uS/cm"], **changes))["verdict"] for reading in (lower, higher))
    assert ORDER.index(one) <= ORDER.index(other)


@quick
@given(reading=tenths, blank=tenths)
def test_result_is_the_difference_in_proportion_whatever_its_sign(reading, blank):
    found = row_of(job(criterion__quantity="mixed_salt_per_area", facts__reading=[f"{reading} uS/cm"], blank__reading=[f"{blank} uS/cm"]))["results"][0]
    assert found["value"] == pytest.approx(4.0 * (float(reading) - float(blank)), abs=1e-9)


@pytest.mark.parametrize("name", ["solution_volume", "compartment_area"])
def test_volume_and_area_act_in_proportion(name):
    unit = "mL" if name == "solution_volume" else "mm2"
    fields = {f"facts__{name}": f"{20 if unit == 'mL' else 2500} {unit}"} | ({"blank__solution_volume": "20 mL"} if unit == "mL" else {})
    factor = row_of(job(**fields))["results"][0]["value"] / row_of(job())["results"][0]["value"]
    assert factor == pytest.approx(2.0 if unit == "mL" else 0.5)
