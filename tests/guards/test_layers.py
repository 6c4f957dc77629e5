# SPDX-License-Identifier: MIT
"""Imports point left only, and judging a job loads nothing heavy."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.guards.source import CORE, PACKAGE, ROOT, modules, part_of, rank


def imported(text: str, path: Path) -> Iterator[tuple[int, str]]:
    """Line and full name of everything a file imports, at the top or inside a function."""
    package = ["brackish", *path.relative_to(PACKAGE).parent.parts]
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = package[: len(package) - node.level + 1] if node.level else []
            yield from ((node.lineno, ".".join([*base, *filter(None, [node.module]), alias.name])) for alias in node.names)


def layer_faults(text: str, path: Path) -> list[str]:
    faults = []
    for line, name in imported(text, path):
        top, *rest = name.split(".")
        if top == "brackish" and rest and (PACKAGE / rest[0]).with_suffix(".py").exists() | (PACKAGE / rest[0]).is_dir():
            if rank(rest[0]) > rank(part_of(path)):
                faults.append(f"{path.relative_to(ROOT)}:{line} imports {name}, which stands to its right")
        elif top == "brackish" and rank(part_of(path)) < rank("__init__") - 1:
            faults.append(f"{path.relative_to(ROOT)}:{line} imports {name} from the package's front, which stands to its right")
        elif top not in sys.stdlib_module_names | {"brackish"} and part_of(path) in CORE:
            faults.append(f"{path.relative_to(ROOT)}:{line} imports {name}; the core uses the standard library only")
    return faults


def test_imports_point_left():
    assert [fault for path in modules() for fault in layer_faults(path.read_text(), path)] == []


@pytest.mark.parametrize(
    ("file", "text"),
    [
        ("science/planted.py", "from brackish.judge import main"),
        ("science/planted.py", "from brackish import judge"),
        ("science/planted.py", "from ..judge import main"),
        ("judge/planted.py", "def f():\n    import brackish.report"),
        ("judge/planted.py", "from brackish import evaluate"),
        ("library/planted.py", "import numpy as np"),
        ("record/planted.py", "import brackish.cli.main"),
    ],
)
def test_imports_that_point_right_are_caught(file, text):
    assert len(layer_faults(text, PACKAGE / file)) == 1


@pytest.mark.parametrize("text", ["from brackish.science import amounts", "from brackish import errors", "from . import wording", "import json"])
def test_imports_that_point_left_are_left_alone(text):
    assert layer_faults(text, PACKAGE / "judge" / "planted.py") == []


HEAVY = ("django", "ninja", "numpy", "scipy", "typst", "pypdf", "segno", "cryptography", "PIL")
JUDGE_A_JOB = f"""
import brackish, sys
brackish.evaluate({{"format": "brackish-job/1", "job": {{"id": "0b0e6a52-6d0e-4b57-9d5e-6f2f4f0f7a11", "title": "Cold start"}}}})
PLANTED
print(*sorted(set({HEAVY!r}) & set(sys.modules)))
"""


@pytest.mark.parametrize(("planted", "loaded"), [("", ""), ("import numpy", "numpy")])
def test_judging_a_job_loads_nothing_heavy(planted, loaded):
    code = JUDGE_A_JOB.replace("PLANTED", planted)
    run = subprocess.run([sys.executable, "-c", code], env={"PYTHONPATH": str(ROOT / "src")}, capture_output=True, text=True)
    assert (run.stdout.strip(), run.stderr) == (loaded, "")
