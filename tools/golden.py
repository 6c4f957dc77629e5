# SPDX-License-Identifier: MIT
"""The committed outcomes of the example jobs, and the same again from every Python found.

    .venv/bin/python tools/golden.py            compare tests/golden/ with every Python found here
    .venv/bin/python tools/golden.py --accept   write tests/golden/ anew, where that is honest

A result that changes under an unchanged method version is not accepted: raise the version and say in
CHANGELOG.md what changed. Where nothing was released yet, delete the golden file first.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
GOLDEN = ROOT / "tests" / "golden"
VERSIONS = ("3.11", "3.12", "3.13", "3.14")

# Runs in each Python with nothing installed: the core needs the standard library only.
EVALUATE = """
import sys, pathlib
import brackish
from brackish.errors import BrackishError
from brackish.record.canonical import canonical_bytes
for path in map(pathlib.Path, sys.argv[2:]):
    try:
        outcome = brackish.evaluate(path).to_bytes()
    except BrackishError as error:
        outcome = canonical_bytes({"errors": [fault.to_dict() for fault in getattr(error, "faults", [error])]})
    (pathlib.Path(sys.argv[1]) / (path.stem + ".json")).write_bytes(outcome)
"""


def examples() -> list[Path]:
    """Named from the project's folder, so that a message about one is the same on every machine."""
    return sorted(path.relative_to(ROOT) for pattern in ("*.toml", "*.json") for path in (ROOT / "examples").glob(pattern))


def pythons() -> dict[str, Path]:
    """Version to interpreter, for every version of `VERSIONS` on PATH or under ~/.pyenv."""
    found: dict[str, Path] = {f"{sys.version_info.major}.{sys.version_info.minor}": Path(sys.executable)}
    folders = [Path(folder) for folder in os.environ.get("PATH", "").split(os.pathsep)]
    folders += sorted(path / "bin" for path in (Path.home() / ".pyenv" / "versions").glob("*"))
    for version in VERSIONS:
        for python in (folder / f"python{version}" for folder in folders):
            if version not in found and python.is_file() and _runs(python, version):
                found[version] = python
    return {version: found[version] for version in VERSIONS if version in found}


def _runs(python: Path, version: str) -> bool:
    """Whether it starts and is what its name says; a shim may be neither."""
    probe = [str(python), "-c", "import sys; print('%d.%d' % sys.version_info[:2])"]
    try:
        return subprocess.run(probe, capture_output=True, text=True, timeout=20).stdout.strip() == version
    except (OSError, subprocess.TimeoutExpired):
        return False


def outcomes(python: Path, jobs: list[Path]) -> dict[str, bytes]:
    """What this Python makes of each job: golden file name to bytes."""
    with tempfile.TemporaryDirectory() as folder:
        run = subprocess.run(
            [str(python), "-I", "-c", f"import sys; sys.path.insert(0, {str(ROOT / 'src')!r})\n{EVALUATE}", folder, *map(str, jobs)],
            cwd=ROOT,
            capture_output=True,
            text=True,
        )
        if run.returncode:
            raise RuntimeError(f"{python} could not judge the examples:\n{run.stderr}")
        return {path.name: path.read_bytes() for path in Path(folder).iterdir()}


def changed_results(old: bytes, new: bytes) -> list[str]:
    """Results whose value changed although the version of their method and of the engine did not."""
    before, after = (_results(json.loads(text)) for text in (old, new))
    return [f"{key}: {before[key]} -> {after[key]}" for key in before.keys() & after.keys() if before[key] != after[key]]


def _results(outcome: dict[str, Any]) -> dict[str, float]:
    return {
        f"{outcome['engine']} {test['id']} {test['method']} {test.get('method_version')} {result['quantity']} {result.get('basis')}": result["value"]
        for test in outcome.get("tests", [])
        for result in test.get("results", [])
    }


def accept() -> int:
    status = 0
    for name, new in outcomes(Path(sys.executable), examples()).items():
        file = GOLDEN / name
        held_back = changed_results(file.read_bytes(), new) if file.exists() else []
        if held_back:
            status = 1
            print(f"{name} kept: results changed under an unchanged version; see the top of tools/golden.py.", *held_back, sep="\n  ")
        elif not file.exists() or file.read_bytes() != new:
            file.write_bytes(new)
            print(f"{name} written")
    return status


def compare() -> int:
    found = pythons()
    status = 0
    for version, python in found.items():
        made = outcomes(python, examples())
        differing = sorted(name for name in made if not (GOLDEN / name).exists() or (GOLDEN / name).read_bytes() != made[name])
        status = status or bool(differing)
        print(f"Python {version}: {len(made)} outcomes, " + (f"other bytes in {', '.join(differing)}" if differing else "the same bytes as tests/golden/"))
    print("Not on this machine: " + (", ".join(version for version in VERSIONS if version not in found) or "none"))
    return status


if __name__ == "__main__":
    raise SystemExit(accept() if sys.argv[1:] == ["--accept"] else compare())
