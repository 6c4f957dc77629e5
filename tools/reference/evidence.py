# SPDX-License-Identifier: MIT
"""The evidence table: what each public function of science agrees with that nobody here wrote.

Cases are those of `tests/evidence/*.toml`. A case of several steps (`tests/evidence/chains.py`) counts
for each function that its steps call, in a column of its own.
"""

from __future__ import annotations

import ast
from collections import Counter
from functools import cache
from pathlib import Path

from tests.evidence.cases import FOLDER, KINDS, Case, all_cases
from tools.reference.code import science_modules
from tools.reference.markdown import table


@cache
def functions() -> tuple[str, ...]:
    """`topic.function` of every public function of science."""
    return tuple(f"{topic}.{function.__name__}" for topic, _, found in science_modules() for function in found)


def chains(path: Path = FOLDER / "chains.py") -> dict[str, set[str]]:
    """For each function of several steps, the functions of science that it calls, itself or through another."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    aliases = {alias.asname or alias.name: _name(node, alias) for node in tree.body if isinstance(node, ast.ImportFrom) for alias in node.names}
    bodies = {
        node.name: {_called(call, aliases) for call in ast.walk(node) if isinstance(call, ast.Call)} for node in tree.body if isinstance(node, ast.FunctionDef)
    }
    return {name: _reached(name, bodies, set()) & set(functions()) for name in bodies}


def _name(node: ast.ImportFrom, alias: ast.alias) -> str:
    """A topic, or `topic.function` where the function itself is imported."""
    return alias.name if node.module == "brackish.science" else f"{(node.module or '').rpartition('.')[2]}.{alias.name}"


def _called(call: ast.Call, aliases: dict[str, str]) -> str:
    if isinstance(call.func, ast.Attribute) and isinstance(call.func.value, ast.Name):
        return f"{aliases.get(call.func.value.id, '')}.{call.func.attr}"
    return aliases.get(call.func.id, call.func.id) if isinstance(call.func, ast.Name) else ""


def _reached(name: str, bodies: dict[str, set[str]], seen: set[str]) -> set[str]:
    seen.add(name)
    return bodies[name].union(*(_reached(inner, bodies, seen) for inner in bodies[name] & bodies.keys() - seen))


def counted() -> tuple[dict[str, Counter[str]], dict[str, int], list[Case]]:
    """Cases of each function by kind, its outside cases in several steps, and all cases."""
    by_kind: dict[str, Counter[str]] = {name: Counter() for name in functions()}
    in_steps: Counter[str] = Counter()
    steps, cases = chains(), all_cases()
    for case in cases:
        topic, _, function = case.function.rpartition(".")
        if topic == "chains":
            in_steps.update(steps[function] if case.counts else ())
        else:
            by_kind[case.function][case.kind] += 1
            by_kind[case.function]["outside"] += case.counts
    return by_kind, in_steps, cases


def without_outside() -> list[str]:
    """Functions of science that no outside value reaches, alone or in several steps."""
    by_kind, in_steps, _ = counted()
    return [name for name in functions() if not by_kind[name]["outside"] and not in_steps[name]]


def evidence_page() -> str:
    """The table, its sum, and the functions that have none."""
    by_kind, in_steps, cases = counted()
    rows = (
        (f"`{name}`", *(_number(by_kind[name][kind]) for kind in KINDS), _number(in_steps[name]), _number(by_kind[name]["outside"])) for name in functions()
    )
    bare = without_outside()
    return "\n".join([
        "# Evidence\n",
        f"{len(cases)} values, {sum(case.counts for case in cases)} of them from outside: published, exact, of another program, or recalled with a program beside it.",
        "In steps: outside values of several functions together. Comparisons that run another program live are in `tests/science/`.\n",
        *table(("function", *KINDS, "in steps", "outside"), rows),
        "\n## Without an outside value here\n",
        *([f"- `{name}`" for name in bare] or ["None."]),
        "",
    ])  # fmt: skip


def _number(value: int) -> str:
    return str(value) if value else ""


def printed() -> str:
    """The table for a terminal."""
    by_kind, in_steps, cases = counted()
    short = {"other-program": "program", "common-practice": "practice"}
    heads = [*(short.get(kind, kind) for kind in KINDS), "in steps", "outside"]
    lines = ["function".ljust(46) + " ".join(head.rjust(len(head)) for head in heads)]
    for name in functions():
        values = [*(by_kind[name][kind] for kind in KINDS), in_steps[name], by_kind[name]["outside"]]
        lines.append(name.ljust(46) + " ".join((str(value) if value else "·").rjust(len(head)) for value, head in zip(values, heads, strict=True)))
    lines.append(f"\n{len(cases)} values, {sum(case.counts for case in cases)} from outside. Without one: {', '.join(without_outside()) or 'none'}.")
    return "\n".join(lines)
