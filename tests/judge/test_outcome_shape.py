# SPDX-License-Identifier: MIT
"""The outcome as the contract draws it, for jobs of every kind in the examples and in these tests."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

import brackish
from brackish.errors import BrackishError
from brackish.record.document import load
from tests.judge.jobs import job, with_tests
from tests.judge.reading import outcome
from tests.judge.test_mean import READINGS, mean_job
from tests.judge.test_methods_judged import by_mass, by_volume, tube, wash

EXAMPLES = Path(__file__).parents[2] / "examples"


def example_jobs() -> Iterator[tuple[str, dict[str, Any]]]:
    for path in sorted(EXAMPLES.glob("*.toml")):
        try:
            document = load(path)
            brackish.evaluate(document)
        except BrackishError:
            continue
        yield path.stem, document


JOBS = {
    "plain": job(),
    "bare": job(test__equipment=[], test__blank=None, facts__temperature=None, criterion__limit=None, criterion__decision_rule=None),
    "bound": job(facts__reading=["<9 uS/cm"]),
    "own": job(test__uncertainty={"reading": {"standard_uncertainty": "0.4 uS/cm", "degrees_of_freedom": 2}}),
    "mean": mean_job(*READINGS),
    "mean-fail": mean_job(*READINGS, criterion__stage=None, criterion__uncertainty="method"),
    "sleeve": tube("<1 mg/L"),
    "wash": wash("mercury-nitrate"),
    "by-mass": by_mass("98 uS/cm", "140 uS/cm"),
    "by-volume": by_volume("200 uS/cm"),
    "void": job(facts__liquid_lost=True),
    "incomplete": with_tests(job(facts__solution_volume=None), {"id": "T2", "location": "L1", "round": 2}),
    "no-criteria": job() | {"specification": []},
    "zero-uncertainty": job(criterion__quantity="extract_conductivity", criterion__limit="9 uS/cm", test__uncertainty={
        name: {"standard_uncertainty": f"0 {unit}"} for name, unit in (("reading", "uS/cm"), ("blank", "uS/cm"), ("temperature", "K"), ("blank_temperature", "K"),
                                                                       ("temperature_coefficient", "1/K"), ("meter_gain", "%"))}),
} | dict(example_jobs())  # fmt: skip


def leaves(value: Any, place: str = "") -> Iterator[tuple[str, Any]]:
    if isinstance(value, dict):
        for key, inner in value.items():
            assert isinstance(key, str)
            yield from leaves(inner, f"{place}.{key}")
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield from leaves(inner, f"{place}[{index}]")
    else:
        yield place, value


every_job = pytest.mark.parametrize("document", JOBS.values(), ids=JOBS)


@every_job
def test_values_are_plain_and_numbers_finite(document):
    for place, value in leaves(outcome(document)):
        assert value is None or type(value) in (str, bool, int, float), place
        assert not isinstance(value, float) or math.isfinite(value), place


@every_job
def test_null_stands_only_in_degrees_of_freedom(document):
    assert {place.rsplit(".", 1)[-1] for place, value in leaves(outcome(document)) if value is None} <= {"degrees_of_freedom"}


@every_job
def test_outcome_survives_json(document):
    assert json.loads(json.dumps(outcome(document), allow_nan=False)) == outcome(document)


@every_job
def test_same_bytes_twice_and_keys_sorted(document):
    one, two = brackish.evaluate(document).to_bytes(), brackish.evaluate(json.loads(json.dumps(document))).to_bytes()
    assert one == two
    assert json.dumps(json.loads(one), sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode() == one


@every_job
def test_every_message_is_whole(document):
    for place, value in leaves(outcome(document)):
        if place.endswith(".message"):
            assert value, place
            assert "[" not in value, f"{place}: {value}"
            assert "{" not in value, f"{place}: {value}"


@every_job
def test_reasons_and_findings_are_sorted_by_code(document):
    found = outcome(document)
    rows = [found["job"], *found["tests"], *(verdict for row in (*found["tests"], *found["items"]) for verdict in row["verdicts"])]
    for row in rows:
        for notes in (row.get("reasons", []), row.get("findings", [])):
            assert [note["code"] for note in notes] == sorted(note["code"] for note in notes)


@every_job
def test_withheld_has_a_reason_and_the_rest_has_none(document):
    found = outcome(document)
    for verdict in (verdict for row in (*found["tests"], *found["items"]) for verdict in row["verdicts"]):
        assert bool(verdict["reasons"]) == (verdict["verdict"] == "withheld") or verdict["verdict"] == "fail", verdict


@every_job
def test_job_verdict_is_the_worst_of_the_items(document):
    found = outcome(document)
    verdicts = [verdict["verdict"] for row in found["items"] for verdict in row["verdicts"]]
    assert found["job"]["verdict"] == min(verdicts, key=("fail", "withheld", "inconclusive", "pass").index, default="withheld")
    assert len(found["job"]["summary"]) == 2


RESULT = {
    "quantity",
    "value",
    "unit",
    "shown",
    "standard_uncertainty",
    "degrees_of_freedom",
    "coverage_factor",
    "expanded_uncertainty",
    "level",
    "basis",
    "budget",
    "steps",
}
VERDICT = {
    "criterion",
    "verdict",
    "comparison",
    "decision_rule",
    "limit",
    "value",
    "unit",
    "guard_band",
    "probability_over_limit",
    "shown",
    "reasons",
    "reference_temperature",
}


def test_outcome_has_the_keys_of_the_contract():
    found = outcome(job())
    test, item = found["tests"][0], found["items"][0]
    assert {"format", "engine", "job_hash", "tests", "items", "job"} <= found.keys()
    assert {"id", "item", "method", "state", "results", "findings", "verdicts", "method_version"} <= test.keys()
    assert RESULT | {"detected"} <= test["results"][0].keys()
    assert {"input", "value", "unit", "standard_uncertainty", "sensitivity", "contribution", "provenance"} <= test["results"][0]["budget"][0].keys()
    assert {"text", "formula", "value", "unit", "shown"} <= test["results"][0]["steps"][0].keys()
    assert {"reference_temperature", "temperature_model", "uncertainty"} <= test["results"][0]["basis"].keys()
    assert test["verdicts"][0].keys() >= VERDICT
    assert {"code", "severity", "params", "message"} <= test["findings"][0].keys()
    assert {"criterion", "verdict", "counted", "required", "reasons"} <= item["verdicts"][0].keys()
    assert {"verdict", "findings", "reasons", "summary"} <= found["job"].keys()


def test_provenance_is_one_of_five_words():
    used = {line["provenance"] for document in JOBS.values() for test in outcome(document)["tests"] for result in test["results"] for line in result["budget"]}
    assert used <= {"measured", "certificate", "declared", "published", "assumed"}


def test_contributions_add_up_to_the_uncertainty():
    """Squares add, save sample and blank temperature, which one thermometer reads: they add with their signs first."""
    row = outcome(job())["tests"][0]["results"][0]
    signed = {line["input"]: line["sensitivity"] * line["standard_uncertainty"] for line in row["budget"]}
    signed["temperature"] += signed.pop("blank_temperature")
    assert math.sqrt(sum(value**2 for value in signed.values())) == pytest.approx(row["standard_uncertainty"], rel=1e-12)


def test_job_hash_covers_keys_of_ones_own():
    assert outcome(job())["job_hash"] != outcome(job() | {"x-mine": "note"})["job_hash"]
