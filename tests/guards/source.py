# SPDX-License-Identifier: MIT
"""The project's own files, as the guards read them."""

from __future__ import annotations

import subprocess
from collections.abc import Iterator
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "src" / "brackish"

# Imports point left only (`docs/map.md`); equals may use each other.
LAYERS = (("errors", "quantities"), ("science",), ("library",), ("record",), ("judge",), ("prepare", "studies"), ("report",), ("cli", "web"))
CORE = ("errors", "quantities", "science", "library", "record", "judge")  # pure, the same bytes everywhere


def rank(part: str) -> int:
    """The place of a top-level module or package among the layers; the package's own front stands last."""
    return next((index for index, names in enumerate(LAYERS) if part in names), len(LAYERS))


def modules(*parts: str) -> Iterator[Path]:
    """The Python files of these top-level modules and packages, or of all."""
    for path in sorted(PACKAGE.rglob("*.py")):
        if not parts or part_of(path) in parts:
            yield path


def part_of(path: Path) -> str:
    """The layer's name for a file: `science` for science/amounts.py, `errors` for errors.py."""
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


@cache
def project_files() -> tuple[Path, ...]:
    """What git holds or would hold; without git (an unpacked archive), everything that is not built."""
    listed = subprocess.run(["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"], cwd=ROOT, capture_output=True, text=True)
    if listed.returncode == 0:
        paths = [ROOT / name for name in listed.stdout.split("\0") if name]
    else:
        paths = [path for path in ROOT.rglob("*") if not any(part.startswith(".venv") or part == "__pycache__" for part in path.parts)]
    return tuple(sorted(path for path in paths if path.is_file()))


def text_of(path: Path) -> str | None:
    """A file's text, or None where it is a picture or a font."""
    try:
        return path.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        return None
