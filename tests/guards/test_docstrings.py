# SPDX-License-Identifier: MIT
"""The fields of the science docstrings are true: parameters, units, source keys.

The template stands in CONTRIBUTING.md. A docstring that lists another parameter, another order or an
unknown unit is how two factors get swapped without anyone noticing.
"""

from __future__ import annotations

import ast
import re
import tomllib

import pytest

from brackish.quantities import DIMENSIONS
from tests.guards.source import PACKAGE, ROOT, modules

# Units that pass between science functions only; nobody types or reads them.
SCIENCE_UNITS = {"S*cm2/mol", "g/mol", "Pa", "hPa", "mPa*s", "K"}
UNITS = {unit for dimension in DIMENSIONS.values() for unit in dimension.units} | SCIENCE_UNITS
SECTION = re.compile(r"^(\w+)\n-+\n", re.MULTILINE)
PARAMETER = re.compile(r"^(\w+(?:, \w+)*) : ", re.MULTILINE)
UNIT = re.compile(r"^(?:\w+(?:, \w+)* : )?[^\s\[][^\[\n]*\[([^\]\n]+)\]$", re.MULTILINE)


def source_keys() -> set[str]:
    return set(tomllib.loads((PACKAGE / "library" / "sources.toml").read_text()))


def sections(docstring: str) -> dict[str, str]:
    """The text under each heading of a docstring; what stands before the first under ""."""
    _, *parts = ["", *SECTION.split(docstring)]
    return {"": parts[0], **dict(zip(parts[1::2], parts[2::2], strict=True))}


def docstring_faults(function: ast.FunctionDef, sources: set[str]) -> list[str]:
    found = sections(ast.get_docstring(function) or "")
    arguments = [argument.arg for argument in (*function.args.posonlyargs, *function.args.args, *function.args.kwonlyargs)]
    faults = [] if found[""].strip() else ["no sentence that says what is returned"]
    if "Parameters" in found or "Source" in found:
        listed = [name for names in PARAMETER.findall(found.get("Parameters", "")) for name in names.split(", ")]
        if listed != arguments:
            faults.append(f"lists {listed}, takes {arguments}")
    faults += [
        f"unit [{unit}] is not in quantities.py" for part in ("Parameters", "Returns") for unit in UNIT.findall(found.get(part, "")) if unit not in UNITS
    ]
    if "Source" in found and (key := found["Source"].split()[0].rstrip(":,;")) not in sources:
        faults.append(f"source {key!r} is not in library/sources.toml")
    if len(function.args.args) > 1:
        faults.append("takes several parameters by position, so they can be swapped")
    return faults


def public_functions(text: str) -> list[ast.FunctionDef]:
    return [node for node in ast.parse(text).body if isinstance(node, ast.FunctionDef) and not node.name.startswith("_")]


def test_science_docstrings_are_true():
    sources = source_keys()
    found = {
        f"{path.relative_to(ROOT)} {function.name}": faults
        for path in modules("science")
        for function in public_functions(path.read_text())
        if (faults := docstring_faults(function, sources))
    }
    assert found == {}


GOOD = '''
def surface_amount(*, constant: float, volume: float) -> float:
    """The amount of salt.

    Parameters
    ----------
    constant : scalar [kg/m2/S]
        Five.
    volume : scalar [mL]
        All of it.

    Returns
    -------
    scalar [mg/m2]
        May be negative.

    Source
    ------
    iso-8502-9 formula

    """
'''


def test_true_docstring_is_left_alone():
    assert [docstring_faults(function, {"iso-8502-9"}) for function in public_functions(GOOD)] == [[]]


@pytest.mark.parametrize(
    ("right", "wrong"),
    [
        ("constant: float, volume: float", "volume: float, constant: float"),
        ("volume : scalar", "volumes : scalar"),
        ("[mL]", "[ml]"),
        ("[mg/m2]", "[mg/cm]"),
        ("iso-8502-9 formula", "iso-8502-99 formula"),
        ("The amount of salt.", ""),
        ("(*, ", "("),
    ],
)
def test_untrue_docstring_is_caught(right, wrong):
    assert right in GOOD
    assert len([fault for function in public_functions(GOOD.replace(right, wrong)) for fault in docstring_faults(function, {"iso-8502-9"})]) == 1
