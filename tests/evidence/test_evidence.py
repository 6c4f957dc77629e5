# SPDX-License-Identifier: MIT
"""Runs every outside value of `tests/evidence/*.toml` against the function it names; `cases.py` explains the format."""

from __future__ import annotations

import importlib
import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from brackish.errors import BrackishError
from brackish.science import elementary
from brackish.science.uncertainty import Input
from tests.evidence.cases import KINDS, Case, all_cases

CASES = all_cases()
FUNCTIONS = {"log": elementary.log, "exp": elementary.exp, "sqrt": math.sqrt, "sin": math.sin, "cos": math.cos}  # in the formula of a case


def function_of(name: str) -> Callable[..., Any]:
    module, _, function = name.rpartition(".")
    return getattr(importlib.import_module("tests.evidence.chains" if module == "chains" else f"brackish.science.{module}"), function)


def arguments(case: Case) -> tuple[list[Any], dict[str, Any]]:
    """The inputs as the function takes them; those of `elementary` go by position, those of `propagate` need a model."""
    inputs = dict(case.inputs)
    if case.function.startswith("elementary."):
        return list(inputs.values()), {}
    if case.function == "uncertainty.propagate":
        inputs["model"] = model_of(inputs["model"])
        inputs["inputs"] = {name: Input(**given) for name, given in inputs["inputs"].items()}
        inputs["correlations"] = {tuple(pair.split("/")): r for pair, r in inputs.get("correlations", {}).items()}
    return [], inputs


def model_of(formula: str) -> Callable[..., float]:
    """A formula written in a case, such as "mass / volume", as a function of its names."""
    code = compile(formula, "<formula of a case>", "eval")
    return lambda **values: eval(code, {"__builtins__": {}, **FUNCTIONS}, values)


def part(result: Any, path: str) -> Any:
    for step in path.split(".") if path else ():
        result = result[int(step)] if step.isdigit() else result[step] if isinstance(result, dict) else getattr(result, step)
    return result


def compare(case: Case) -> None:
    positional, named = arguments(case)
    if case.raises:
        with pytest.raises(BrackishError) as caught:
            function_of(case.function)(*positional, **named)
        assert caught.value.code == case.raises
        assert caught.value.message
        return
    found = part(function_of(case.function)(*positional, **named), case.result)
    if case.expected is None:
        assert str(found) == case.printed
    else:
        assert abs(found - case.expected) <= case.allowed * (1.0 + 1e-9), f"{found!r}, printed {case.printed}, off by {found - case.expected:.3g}"


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_function_gives_the_outside_value(case):
    compare(case)


def test_every_case_says_where_its_value_comes_from():
    for case in CASES:
        assert case.kind in KINDS, case.name
        assert case.source, case.name
        assert case.place, case.name
        assert bool(case.printed) != bool(case.raises), case.name
        assert bool(case.because) == (case.tolerance is not None or case.accuracy is not None), case.name
        assert case.kind != "other-program" or any(character.isdigit() for character in case.source), f"{case.name}: a program is named with its version"


PLANTED = Case(file="planted", function="elementary.exp", kind="exact", source="definition", place="e", inputs={"x": 1.0}, printed="2.718282")


@pytest.mark.parametrize(
    "wrong",
    [{"printed": "2.718283"}, {"printed": "2.71829"}, {"inputs": {"x": 1.000001}}, {"printed": "", "raises": "science.out_of_range"}, {"printed": "pass"}],
)
def test_wrong_value_is_caught(wrong):
    compare(PLANTED)
    with pytest.raises((AssertionError, pytest.fail.Exception)):
        compare(replace(PLANTED, **wrong))


def test_tolerance_is_half_a_unit_of_the_last_printed_digit():
    assert [replace(PLANTED, printed=printed).allowed for printed in ("2.7183", "32", "1.76e-6", "5e3", "-0.50")] == [0.00005, 0.5, 0.5e-8, 500.0, 0.005]
