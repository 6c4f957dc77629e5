# SPDX-License-Identifier: MIT
"""Every code a judgement can give has its sentence, and the parameters that its sentence speaks of."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from string import Formatter

import pytest

from brackish import library
from brackish.judge.rules import KINDS
from brackish.judge.wording import MESSAGES
from tests.guards.source import ROOT, modules

CALLS = {"Finding": "code", "Note": "code", "note": None, "_finding": None}

# What each kind of rule tells about what it found (judge/rules.py).
RULE_PARAMS = {
    "required": {"fact"},
    "at_most": {"fact", "given", "allowed"},
    "at_least": {"fact", "given", "allowed"},
    "between": {"fact", "given", "lowest", "highest"},
    "one_of": {"fact", "given", "allowed"},
    "agreed_by": {"fact"},
    "not_after": {"fact", "given", "allowed"},
}


def spoken(code: str) -> set[str]:
    return {field for _, field, _, _ in Formatter().parse(MESSAGES[code]) if field}


def raised(text: str) -> Iterator[tuple[int, str, set[str] | None]]:
    """Line, code and parameters of every finding or reason written out in a file; None where parameters are gathered elsewhere."""
    for node in ast.walk(ast.parse(text)):
        if not isinstance(node, ast.Call) or (name := getattr(node.func, "attr", getattr(node.func, "id", ""))) not in CALLS:
            continue
        named = {keyword.arg: keyword.value for keyword in node.keywords}
        code = named.get("code") if CALLS[name] else (node.args[0] if node.args else None)
        if not isinstance(code, ast.Constant):
            continue
        params = named.get("params")
        if CALLS[name] and isinstance(params, ast.Dict) and all(isinstance(key, ast.Constant) for key in params.keys):
            yield node.lineno, code.value, {key.value for key in params.keys if isinstance(key, ast.Constant)}
        elif CALLS[name]:
            yield node.lineno, code.value, None if params is not None else set()
        else:
            yield node.lineno, code.value, None if None in named else {key for key in named if key}


def faults(text: str) -> list[str]:
    found = []
    for line, code, given in raised(text):
        if code not in MESSAGES:
            found.append(f"line {line}: {code!r} has no sentence in judge/wording.py")
        elif given is not None and (missing := spoken(code) - given):
            found.append(f"line {line}: {code!r} is given without {sorted(missing)}")
    return found


def test_findings_and_reasons_have_sentences_and_parameters():
    found = {str(path.relative_to(ROOT)): faults(path.read_text()) for path in modules("judge")}
    assert {name: rows for name, rows in found.items() if rows} == {}


@pytest.mark.parametrize(
    "field", ["quantity", "sense", "limit", "limit_mean", "judged", "decision_rule", "guard_band", "level", "uncertainty", "blank_rule", "extraction_liquid"]
)
def test_missing_fields_have_sentences(field):
    assert spoken(f"criterion.{field}_missing") <= {"criterion", "used"}


@pytest.mark.parametrize("kind", ["temperature", "science"])
def test_values_outside_the_science_have_sentences(kind):
    assert spoken(f"range.{kind}") <= {"name", "value", "unit", "lowest", "highest"}


@pytest.mark.parametrize("method", library.method_ids())
def test_rules_of_method_files_have_sentences_and_parameters(method):
    rules = library.method(method).rules
    assert {rule.code for rule in rules} <= MESSAGES.keys()
    assert {rule.code: spoken(rule.code) - RULE_PARAMS[rule.kind] for rule in rules if spoken(rule.code) - RULE_PARAMS[rule.kind]} == {}


def test_kinds_of_rules_are_those_known_here():
    assert RULE_PARAMS.keys() == KINDS.keys()


@pytest.mark.parametrize("planted", ['Finding(code="no.such_code")', 'kit.note("loss.recovered_short")', 'Note(code="fact.missing", params={"x": 1})'])
def test_code_without_sentence_or_parameters_is_caught(planted):
    assert len(faults(planted)) == 1
