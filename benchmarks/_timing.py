# SPDX-License-Identifier: MIT
"""How a benchmark measures: whole processes, the best of several, beside a known one."""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]


def seconds(command: Sequence[str], *, repeats: int = 7) -> float:
    """The shortest of several runs; the shortest is the one the rest of the machine disturbed least."""
    best = float("inf")
    for _ in range(repeats):
        started = time.perf_counter()
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL, cwd=ROOT)
        best = min(best, time.perf_counter() - started)
    return best


def python(code: str, *arguments: str, repeats: int = 7) -> float:
    return seconds([sys.executable, "-c", code, *arguments], repeats=repeats)


def row(what: str, taken: float, *, beside: float, than: str, target: float | None = None) -> bool:
    """Print one line; whether the target was met."""
    met = target is None or taken <= target
    asked = "" if target is None else f"   asked: under {target:g} s{'' if met else '   NOT MET'}"
    print(f"{what:<44} {taken:8.3f} s   {taken / beside:7.1f} x {than}{asked}", flush=True)
    return met
