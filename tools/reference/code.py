# SPDX-License-Identifier: MIT
"""Reference pages made from the code: science, units, codes, job file, commands."""

from __future__ import annotations

import contextlib
import dataclasses
import importlib
import inspect
import io
import os
import pkgutil
from collections.abc import Iterator
from types import FunctionType, ModuleType
from typing import Any

from tools.reference.markdown import table


def science_modules() -> Iterator[tuple[str, ModuleType, list[FunctionType]]]:
    """Every topic of science with its public functions, in the order they stand."""
    import brackish.science as science

    for info in pkgutil.iter_modules(science.__path__):
        module = importlib.import_module(f"brackish.science.{info.name}")
        functions = [value for name, value in vars(module).items() if _is_public_function(name, value, module.__name__)]
        if functions:
            yield info.name, module, functions


def _is_public_function(name: str, value: object, module: str) -> bool:
    """Also one that keeps its answers (`lru_cache`), seen by what it wraps."""
    return isinstance(inspect.unwrap(value), FunctionType) and getattr(value, "__module__", "") == module and not name.startswith("_")  # type: ignore[arg-type]


def science_page() -> str:
    """Every public function of science with its docstring, topic by topic."""
    lines = [
        "# Science\n",
        "Formulas, one topic a module. Parameters are given by name; units are those in brackets.",
        "What each agrees with: [evidence](evidence.md).\n",
    ]
    for name, module, functions in science_modules():
        lines += [f"## {name}\n", _paragraph(module), *map(_entry, functions)]
    return "\n".join(lines)


def _paragraph(documented: object) -> str:
    return (inspect.getdoc(documented) or "").split("\n\n")[0] + "\n"


def _entry(function: FunctionType) -> str:
    signature = str(inspect.signature(function)).replace("'", "")
    return f"### {function.__name__}\n\n```text\n{function.__name__}{signature}\n\n{inspect.getdoc(function)}\n```\n"


def units_page() -> str:
    """Every dimension with its units, and every quantity with its meaning."""
    from brackish.quantities import DIMENSIONS, IMPOSSIBLE_UNITS, QUANTITIES, shown_unit

    return "\n".join([
        "# Units and quantities\n",
        "Each dimension has one unit inside the program, the first of its row.\n",
        *table(("dimension", "units", "as in"), ((each.name, ", ".join(each.units), f"`{each.example}`") for each in DIMENSIONS.values())),
        "\n## Quantities\n\nTwo quantities compare only when their names are equal.\n",
        *table(("quantity", "shown in", "means"), ((f"`{name}`", shown_unit(kind.shown_unit), kind.words) for name, kind in QUANTITIES.items())),
        "\n## Units that measure nothing here\n",
        *table(("unit", "why"), ((f"`{unit}`", why) for unit, why in IMPOSSIBLE_UNITS.items())),
    ])  # fmt: skip


def errors_page() -> str:
    """Every error code with its words."""
    from brackish.errors import WORDS

    head = [
        "# Error codes\n",
        "An error means that something cannot be read or computed. A code is never given another meaning. Words in braces are the parameters.\n",
    ]
    return "\n".join([*head, *table(("code", "words"), ((f"`{code}`", words) for code, words in sorted(WORDS.items())))])


def findings_page() -> str:
    """Every code of a finding or reason with its sentence and the methods whose rules give it."""
    from brackish import library
    from brackish.judge.wording import MESSAGES

    rules: dict[str, list[str]] = {}
    for id in library.method_ids():
        for rule in library.method(id).rules:
            rules.setdefault(rule.code, []).append(f"{id} ({rule.severity})")
    rows = ((f"`{code}`", words, ", ".join(dict.fromkeys(rules.get(code, [])))) for code, words in sorted(MESSAGES.items()))
    head = "# Findings and reasons\n\nA finding travels with a result; a reason says why a verdict is withheld. Words in braces are the parameters.\n"
    return "\n".join([head, *table(("code", "words", "rule of"), rows)])


def job_page() -> str:
    """Every table of the job file with its fields, as `record/job.py` and `specification.py` read them."""
    from brackish.record.job import Job
    from brackish.record.specification import Criterion

    lines = ["# Job file\n", "`brackish-job/1`: JSON, or TOML of the same shape. Unknown keys are errors unless they begin with `x-`. * must be there.\n"]
    seen: list[type] = []
    for name, kind in _tables("", Job):
        if kind in seen:
            continue
        seen.append(kind)
        lines += (
            [f"## {f'`{name}`' if name else 'The file'}\n", (inspect.getdoc(kind) or "").split("\n\n")[0] + "\n"]
            if _says_something(kind)
            else [f"## `{name}`\n"]
        )
        lines += [*table(("field", "is", "absent"), map(_field_row, _fields(kind))), ""]
    assert Criterion in seen
    return "\n".join(lines)


def _says_something(kind: type) -> bool:
    return not (inspect.getdoc(kind) or "").startswith(f"{kind.__name__}(")


def _tables(name: str, kind: type) -> Iterator[tuple[str, type]]:
    yield name, kind
    for field in _fields(kind):
        if inner := field.metadata["kind"]:
            yield from _tables(f"{name}.{field.name}".lstrip("."), inner)


def _fields(kind: type) -> list[Any]:
    return [field for field in dataclasses.fields(kind) if "read" in field.metadata]


def _field_row(field: Any) -> tuple[str, str, str]:
    required = field.default is dataclasses.MISSING
    default = "" if required or field.default in ("", None, ()) else f"{field.default}"
    return f"`{field.name}`{' *' if required else ''}", field.metadata["says"], default


def commands_page() -> str:
    """What every command says with --help."""
    from brackish.cli.main import COMMANDS, main

    lines = [
        "# Commands\n",
        "Exit status: 0 done; 1 done, but not the pass that was required, or a difference was found; 2 the input cannot be used; 3 the program failed.\n",
    ]
    for name in COMMANDS:
        lines += [f"## {name}\n", "```text", _help(main, name), "```\n"]
    return "\n".join(lines)


def _help(main: Any, name: str) -> str:
    os.environ["COLUMNS"] = "80"  # as wide on every terminal
    with contextlib.redirect_stdout(io.StringIO()) as out, contextlib.suppress(SystemExit):
        main([name, "--help"])
    return out.getvalue().rstrip()
