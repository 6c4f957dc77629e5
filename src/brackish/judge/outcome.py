# SPDX-License-Identifier: MIT
"""What `evaluate` returns: results, findings, verdicts and reasons, and their one JSON shape.

Numbers here are in the unit each quantity is shown in; beside every number a person sees stands a
`shown` text, so that pages, PDF and terminal format nothing and decide nothing.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field
from typing import Any

from brackish.judge.wording import message
from brackish.record.canonical import canonical_bytes

FORMAT = "brackish-outcome/1"
ENGINE = "0.1.0"  # changes with every change of a result
VERDICTS = ("fail", "withheld", "inconclusive", "pass")  # worst first


@dataclass(frozen=True, kw_only=True)
class Note:
    """A reason or finding: a code and parameters; the sentence is made in `wording.py`."""

    code: str
    params: dict[str, Any] = field(default_factory=dict)

    def to_dict(self) -> dict[str, Any]:
        return {"code": self.code, "params": self.params, "message": message(self.code, self.params)}


@dataclass(frozen=True, kw_only=True)
class Finding(Note):
    """Computed, with a reservation that travels in outcome, record and PDF."""

    severity: str = "note"  # note | warning | void

    def to_dict(self) -> dict[str, Any]:
        return {"severity": self.severity, **super().to_dict()}


def unique(notes: list[Any]) -> list[dict[str, Any]]:
    """Notes as dictionaries, each once, sorted by code, then by what they say."""
    by_code: dict[str, list[dict[str, Any]]] = {}
    for note in notes:
        by_code.setdefault(note.code, []).append(note.to_dict())
    return [row for code in sorted(by_code) for row in _each_once(by_code[code])]


def _each_once(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    if len(rows) == 1:
        return rows
    by_words = {canonical_bytes(row): row for row in rows}
    return [by_words[words] for words in sorted(by_words)]


def worst(verdicts: list[str]) -> str:
    """The worst of several verdicts: fail, withheld, inconclusive, pass."""
    return min(verdicts, key=VERDICTS.index)


class Outcome:
    """The whole judgement of a job; equal jobs give equal bytes on every interpreter."""

    def __init__(self, document: dict[str, Any]) -> None:
        self._document = document

    @property
    def verdict(self) -> str:
        return self._document["job"]["verdict"]

    def to_dict(self) -> dict[str, Any]:
        """The outcome as plain tables and lists (`brackish-outcome/1`)."""
        return self._document

    def to_bytes(self) -> bytes:
        """The outcome's canonical JSON."""
        return canonical_bytes(self._document)

    @property
    def hash(self) -> str:
        return "sha256:" + hashlib.sha256(self.to_bytes()).hexdigest()
