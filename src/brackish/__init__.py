# SPDX-License-Identifier: MIT
"""brackish: from the words of a contract to a judged, explained and sealed salt test.

Public names: `evaluate` judges a job, `read_clause` reads requirement text. Where to read next:
`judge/main.py`, the index of how a job is judged.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from brackish.errors import BrackishError, InputError, InputFaults
from brackish.judge.main import evaluate
from brackish.judge.outcome import Outcome

if TYPE_CHECKING:
    from brackish.prepare.clause import ClauseReading

__version__ = "0.1.0"
__all__ = ["BrackishError", "InputError", "InputFaults", "Outcome", "evaluate", "read_clause"]


def read_clause(text: str, /) -> ClauseReading:
    """What a requirement text asks for, its traps and the questions that settle them.

    The reader is loaded on first use: judging a job does not need it.
    """
    from brackish.prepare.clause import read

    return read(text)
