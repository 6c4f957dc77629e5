# SPDX-License-Identifier: MIT
"""The core computes with operations that give the same bits on every Python, and asks no clock or chance.

`sum` changed in CPython 3.12; `**`, `math.exp`, `math.log`, `erf` and `statistics` use the platform's C
library, which differs between machines and in the browser. `science/elementary.py` has what is needed.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator

import pytest

from tests.guards.source import CORE, ROOT, modules

EXACT_MATH = {"sqrt", "fsum", "floor", "frexp", "ldexp", "isfinite", "inf"}
IMPURE_MODULES = {"cmath", "locale", "logging", "os", "random", "secrets", "statistics", "threading", "time"}
CLOCKS_AND_CHANCE = {"now", "utcnow", "today", "uuid1", "uuid4"}
INEXACT_CALLS = {"sum", "pow", "hash"}  # hash: texts hash differently in each process


def arithmetic_faults(text: str) -> list[str]:
    return [f"line {line}: {what}" for node in ast.walk(ast.parse(text)) for line, what in _faults_of(node)]


def _faults_of(node: ast.AST) -> Iterator[tuple[int, str]]:
    match node:
        case ast.Call(func=ast.Name(id=name)) if name in INEXACT_CALLS:
            yield node.lineno, f"{name}()"
        case ast.Attribute(value=ast.Name(id="math"), attr=name) if name not in EXACT_MATH:
            yield node.lineno, f"math.{name}"
        case ast.Attribute(attr=name) if name in CLOCKS_AND_CHANCE:
            yield node.lineno, f".{name}"
        case ast.ImportFrom(module="math", names=names):
            yield from ((node.lineno, f"math.{alias.name}") for alias in names if alias.name not in EXACT_MATH)
        case ast.Import(names=names):
            yield from ((node.lineno, alias.name) for alias in names if alias.name.split(".")[0] in IMPURE_MODULES)
            yield from ((node.lineno, "math under another name") for alias in names if alias.name == "math" and alias.asname)
        case ast.ImportFrom(module=str(name)) if name.split(".")[0] in IMPURE_MODULES:
            yield node.lineno, name
        case ast.BinOp(op=ast.Pow(), left=base, right=exponent) if not (_is_whole(base) and _is_whole(exponent)):
            yield node.lineno, "** on something other than two whole numbers written out"
        case ast.AugAssign(op=ast.Pow()):
            yield node.lineno, "**="


def _is_whole(node: ast.expr) -> bool:
    return isinstance(node, ast.Constant) and type(node.value) is int


def test_core_uses_exact_arithmetic_only():
    faults = {str(path.relative_to(ROOT)): arithmetic_faults(path.read_text()) for path in modules(*CORE)}
    assert {file: found for file, found in faults.items() if found} == {}


@pytest.mark.parametrize(
    "planted",
    [
        "total = sum(values)",
        "y = x ** 2",
        "y = 10 ** n",
        "y = 2 ** -1",
        "x **= 2",
        "y = pow(x, 2)",
        "import math\ny = math.exp(x)",
        "from math import log",
        "import math as m",
        "import statistics",
        "from random import random",
        "from time import time",
        "import os",
        "at = datetime.now()",
        "import numpy.random, time",
        "order = hash(name)",
    ],
)
def test_inexact_arithmetic_is_caught(planted):
    assert len(arithmetic_faults(planted)) == 1


def test_exact_arithmetic_is_left_alone():
    assert arithmetic_faults("import math\ny = math.sqrt(math.fsum(v)) * x + 10**6 - round(x, 3)\ndef power(*, x: float, **more): ...") == []
