# SPDX-License-Identifier: MIT
"""Every code that is raised has words, and is given the parameters its words speak of."""

from __future__ import annotations

import ast
from string import Formatter

import pytest

from brackish import errors
from tests.guards.source import ROOT, modules

KINDS = {name for name, kind in vars(errors).items() if isinstance(kind, type) and issubclass(kind, errors.BrackishError)}


def code_faults(text: str) -> list[str]:
    faults = []
    for node in ast.walk(ast.parse(text)):
        if not (isinstance(node, ast.Call) and _name(node.func) in KINDS and node.args and isinstance(node.args[0], ast.Constant)):
            continue
        code = node.args[0].value
        given = {keyword.arg for keyword in node.keywords}
        if code not in errors.WORDS:
            faults.append(f"line {node.lineno}: {code!r} has no words in errors.py")
        elif None not in given and (missing := _fields(errors.WORDS[code]) - given):
            faults.append(f"line {node.lineno}: {code!r} is raised without {sorted(missing)}")
    return faults


def _name(function: ast.expr) -> str:
    return function.attr if isinstance(function, ast.Attribute) else getattr(function, "id", "")


def _fields(words: str) -> set[str]:
    return {field for _, field, _, _ in Formatter().parse(words) if field}


def test_raised_codes_have_words_and_parameters():
    found = {str(path.relative_to(ROOT)): code_faults(path.read_text()) for path in modules()}
    assert {name: faults for name, faults in found.items() if faults} == {}


@pytest.mark.parametrize("planted", ['raise InputError("input.no_such_code")', 'raise errors.InputError("quantity.empty", place="x")'])
def test_code_without_words_or_parameters_is_caught(planted):
    assert len(code_faults(planted)) == 1


def test_code_with_words_and_parameters_is_left_alone():
    assert code_faults('raise InputError("quantity.empty", example=x, place="y")') == []
