# SPDX-License-Identifier: MIT
"""What method and requirement files may hold.

A rule is one of seven named kinds. Its `value` names a fact of the method, a fact of the blank
(`blank.reading`), or a term computed by a named function of `judge/terms.py`; its `limit` is a text
with a unit, or `criterion.<field>` for what the contract agreed. When the value is absent the rule
says nothing (a missing fact has its own finding).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from brackish.library.frozen import Frozen

RULE_KINDS = ("required", "at_most", "at_least", "between", "one_of", "agreed_by", "not_after")
SEVERITIES = ("note", "warning", "void")


class Source(Frozen):
    """A text somebody opened, or a memory, and how far it can be trusted."""

    key: str
    title: str
    seen: str  # "read" | "in part" | "quoted elsewhere" | "recalled" | "common practice, no source" | "own"
    note: str = ""


class Standard(Frozen):
    """A standard that the method follows, and for which part of the work."""

    document: str
    part: str
    editions: tuple[str, ...] = ()
    note: str = ""


class Fact(Frozen):
    """One thing to write down: a quantity with its dimension, or a count, flag, choice, text."""

    name: str
    label: str
    kind: str = "quantity"  # quantity | count | flag | choice | text | ph
    dimension: str | tuple[str, ...] = ""
    unit: str = ""  # the unit printed on the sheet and offered by the run
    choices: tuple[str, ...] = ()
    required: bool = False
    repeats: bool = False  # a list: repeats on one solution
    bounds: bool = False  # may be "<" or ">"
    positive: bool = False
    per: str = "test"  # test | determination
    help: str = ""


class Step(Frozen):
    """One step of the work, with its time and what is written down in it."""

    name: str
    title: str  # the fewest words that say what is done
    text: str
    minutes: str  # a text of a decimal number, so that no float enters a file
    attended: bool = True
    resource: str = ""
    facts: tuple[str, ...] = ()
    voids: str = ""
    until: str = ""  # the fact or criterion field that replaces `minutes` when agreed


class Rule(Frozen):
    """A named check with its parameters: gives one finding code and severity."""

    code: str
    kind: str
    severity: str
    value: str
    limit: str = ""
    lowest: str = ""
    highest: str = ""
    allowed: tuple[str | bool, ...] = ()
    source: str = ""
    checked: bool = True
    note: str = ""


class Caution(Frozen):
    """A hazard, shown before the first step."""

    text: str
    source: str = ""


class MethodUncertainty(Frozen):
    """A published figure for a single result, and where it holds."""

    expanded: str
    coverage_factor: str
    lowest: str
    highest: str
    quantities: tuple[str, ...]
    source: str
    note: str = ""


class Method(Frozen):
    """A test method: what people read, and the names of the formula and quantities."""

    format: str
    id: str
    version: str
    title: str
    short: str
    applies_to: str  # steel | abrasive | water
    measures: str
    model: str
    gives: tuple[str, ...]
    measured: tuple[str, ...]
    corrections: tuple[str, ...] = ()  # what is taken off a reading: "blank"
    determinations: int = 1
    retests: str = ""
    report: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    bad_input: tuple[str, ...] = ()
    standards: tuple[Standard, ...] = ()
    facts: tuple[Fact, ...] = ()
    steps: tuple[Step, ...] = ()
    rules: tuple[Rule, ...] = ()
    cautions: tuple[Caution, ...] = ()
    published_uncertainty: MethodUncertainty | None = None
    agreement: Mapping[str, str]

    def fact(self, name: str, /) -> Fact | None:
        return next((fact for fact in self.facts if fact.name == name), None)


class Requirement(Frozen):
    """A limit somebody published (or is said to ask), as criterion fields."""

    format: str
    id: str
    title: str
    species: str  # what is counted: all salts as NaCl, chloride ion, …
    basis: str
    criterion: Mapping[str, Any]
    sources: tuple[str, ...]
    checked: bool
    confuse: str = ""  # what people confuse it with


class CountRule(Frozen):
    """How many tests, by each unit system of the rule, and where."""

    id: str
    title: str
    rule: str
    source: str
    checked: bool = True
    placement: str = ""
    governs: str = ""


class Assumption(Frozen):
    """A figure used when nothing is given."""

    key: str
    label: str
    value: str
    source: str
    note: str = ""
