# SPDX-License-Identifier: MIT
"""What the reader hands back: requirements, traps, questions and what it could not read.

Offsets are characters of the text as it was pasted. A field the text does not give is absent.
"""

from __future__ import annotations

from dataclasses import dataclass, field

FORMAT = "brackish-clause/1"
Span = tuple[int, int]


@dataclass
class Requirement:
    """A requirement as criterion fields, each with the span of the words it came from."""

    fields: dict[str, object] = field(default_factory=dict)
    spans: dict[str, Span] = field(default_factory=dict)
    span: Span = (0, 0)

    def get(self, name: str) -> str:
        value = self.fields.get(name, "")
        return value if isinstance(value, str) else ""

    @property
    def source(self) -> dict[str, str]:
        """The paper, edition and clause that the text names for this limit."""
        value = self.fields.get("source", {})
        return value if isinstance(value, dict) else {}

    def to_dict(self) -> dict[str, object]:
        return {**self.fields, "span": list(self.span), "spans": {name: list(span) for name, span in self.spans.items()}}


@dataclass(frozen=True)
class Trap:
    """Something in the text, or missing from it, that would change the verdict or start a dispute."""

    code: str
    span: Span
    params: dict[str, object]
    message: str

    def to_dict(self) -> dict[str, object]:
        return {"code": self.code, "span": list(self.span), "params": self.params, "message": self.message}


@dataclass(frozen=True)
class Question:
    """A question that can be sent as it stands."""

    code: str
    text: str

    def to_dict(self) -> dict[str, object]:
        return {"code": self.code, "text": self.text}


@dataclass(frozen=True)
class ClauseReading:
    """All that was read out of one text."""

    text: str
    requirements: tuple[Requirement, ...]
    traps: tuple[Trap, ...]
    questions: tuple[Question, ...]
    not_understood: tuple[Span, ...]
    truncated: bool = False  # the text was so long that its end was not read in full

    def to_dict(self) -> dict[str, object]:
        return {
            "format": FORMAT,
            "requirements": [one.to_dict() for one in self.requirements],
            "traps": [one.to_dict() for one in self.traps],
            "questions": [one.to_dict() for one in self.questions],
            "not_understood": [{"span": list(span)} for span in self.not_understood],
        }
