# SPDX-License-Identifier: MIT
"""Writes docs/reference/ from code and library, so that a reference page cannot say something else.

    python3 dev.py docs            write the pages and print the evidence table
    python3 dev.py docs --check    say which pages are not what the code says

A page is one entry of `pages()`: a function that returns its text, in `tools/reference/`.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path

from brackish import library as trade
from tools.reference import code, evidence, library

ROOT = Path(__file__).resolve().parents[1]
REFERENCE = ROOT / "docs" / "reference"
MADE = "<!-- Made by `python3 dev.py docs`; change the code, not this page. -->\n\n"


def pages() -> dict[str, Callable[[], str]]:
    """File name under docs/reference/ -> the function that writes it."""
    return {
        "README.md": index_page,
        "commands.md": code.commands_page,
        "job-file.md": code.job_page,
        "units.md": code.units_page,
        "methods.md": library.methods_page,
        **{f"methods/{id}.md": partial(library.method_page, id) for id in trade.method_ids()},
        "requirements.md": library.requirements_page,
        "counts.md": library.counts_page,
        "assumptions.md": library.assumptions_page,
        "findings.md": code.findings_page,
        "errors.md": code.errors_page,
        "science.md": code.science_page,
        "evidence.md": evidence.evidence_page,
        "sources.md": library.sources_page,
    }


def index_page() -> str:
    """The list of the other pages."""
    made = {name: make for name, make in pages().items() if "/" not in name and name != "README.md"}
    return "\n".join(["# Reference\n", *(f"- [{name.removesuffix('.md').replace('-', ' ')}]({name}): {_purpose(make)}" for name, make in made.items()), ""])


def _purpose(make: Callable[[], str]) -> str:
    words = (make.__doc__ or "").split("\n")[0].rstrip(".")
    return words[:1].lower() + words[1:]


def text_of(make: Callable[[], str]) -> str:
    return MADE + make().rstrip("\n") + "\n"


def main(arguments: list[str]) -> int:
    status = 0
    for name, make in pages().items():
        file, text = REFERENCE / name, text_of(make)
        if file.exists() and file.read_text(encoding="utf-8") == text:
            continue
        if arguments == ["--check"]:
            status = 1
            print(f"docs/reference/{name} is not what the code says; run `python3 dev.py docs`.")
        else:
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_text(text, encoding="utf-8")
            print(f"docs/reference/{name} written", file=sys.stderr)
    if arguments != ["--check"]:
        print(evidence.printed())
    return status


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
