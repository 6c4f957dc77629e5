# SPDX-License-Identifier: MIT
"""Writes docs/reference/ from the code, so that a reference page cannot say something else.

    python3 dev.py docs            write the pages
    python3 dev.py docs --check    say which pages are not what the code says

A page is one entry of `PAGES`: a function that returns its text.
"""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import sys
import tomllib
from collections.abc import Callable
from pathlib import Path
from types import FunctionType

ROOT = Path(__file__).resolve().parents[1]
REFERENCE = ROOT / "docs" / "reference"
MADE = "<!-- Made by `python3 dev.py docs`; change the code, not this page. -->\n\n"


def science_page() -> str:
    """Every public function of science with its docstring, topic by topic."""
    import brackish.science as science

    lines = ["# Science\n", "Formulas, one topic a module. Parameters are given by name; units are those in brackets.\n"]
    for info in pkgutil.iter_modules(science.__path__):
        module = importlib.import_module(f"brackish.science.{info.name}")
        functions = [value for name, value in vars(module).items() if _is_public_function(name, value, module.__name__)]
        if functions:
            lines += [f"## {info.name}\n", _paragraph(module), *map(_entry, functions)]
    return "\n".join(lines)


def _is_public_function(name: str, value: object, module: str) -> bool:
    return isinstance(value, FunctionType) and value.__module__ == module and not name.startswith("_")


def _paragraph(documented: object) -> str:
    return (inspect.getdoc(documented) or "").split("\n\n")[0] + "\n"


def _entry(function: FunctionType) -> str:
    return f"### {function.__name__}\n\n```text\n{function.__name__}{_readable_signature(function)}\n\n{inspect.getdoc(function)}\n```\n"


def _readable_signature(function: FunctionType) -> str:
    return str(inspect.signature(function)).replace("'", "")


def units_page() -> str:
    """Every dimension with its units, and every quantity with its meaning."""
    from brackish.quantities import DIMENSIONS, QUANTITIES, shown_unit

    lines = [
        "# Units and quantities\n",
        "Each dimension has one unit inside the program, the first of its row.\n",
        "| dimension | units | as in |",
        "|---|---|---|",
    ]
    lines += [f"| {dimension.name} | {', '.join(dimension.units)} | `{dimension.example}` |" for dimension in DIMENSIONS.values()]
    lines += ["\nTwo quantities compare only when their names are equal.\n", "| quantity | shown in | means |", "|---|---|---|"]
    lines += [f"| `{name}` | {shown_unit(kind.shown_unit)} | {kind.words} |" for name, kind in QUANTITIES.items()]
    return "\n".join(lines) + "\n"


def errors_page() -> str:
    """Every error code with its words."""
    from brackish.errors import WORDS

    lines = ["# Error codes\n", "A code is never given another meaning. Words in braces are the parameters.\n", "| code | words |", "|---|---|"]
    return "\n".join([*lines, *(f"| `{code}` | {words} |".replace("\n", " ") for code, words in sorted(WORDS.items()))]) + "\n"


def sources_page() -> str:
    """Every source with what was seen of it."""
    sources = tomllib.loads((ROOT / "src/brackish/library/sources.toml").read_text(encoding="utf-8"))
    lines = [
        "# Sources\n",
        "What rests on a text that was not opened says so: check your copy of the standard.\n",
        "| key | text | seen | for |",
        "|---|---|---|---|",
    ]
    return "\n".join([*lines, *(f"| `{key}` | {each['title']} | {each['seen']} | {each.get('note', '')} |" for key, each in sources.items())]) + "\n"


PAGES: dict[str, Callable[[], str]] = {"science.md": science_page, "units.md": units_page, "errors.md": errors_page, "sources.md": sources_page}


def main(arguments: list[str]) -> int:
    REFERENCE.mkdir(parents=True, exist_ok=True)
    status = 0
    for name, make in PAGES.items():
        file, text = REFERENCE / name, MADE + make()
        if file.exists() and file.read_text(encoding="utf-8") == text:
            continue
        if arguments == ["--check"]:
            status = 1
            print(f"docs/reference/{name} is not what the code says; run `python3 dev.py docs`.")
        else:
            file.write_text(text, encoding="utf-8")
            print(f"docs/reference/{name} written")
    return status


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
