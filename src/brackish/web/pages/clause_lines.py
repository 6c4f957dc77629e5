# SPDX-License-Identifier: MIT
"""A clause as it was pasted, line by line: which words were understood, which are traps, and the notes that hang under them.

The marks are those of the reader (`prepare/clause`): spans of the pasted text. What is missing has no
words of its own: the reader gives such a trap the whole sentence of its limit, and it stands at the end.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from brackish.prepare.clause import ClauseReading
from brackish.prepare.clause.reading import Span, Trap

LONGEST_MARK = 400  # a span as long as a paragraph marks nothing
_END = re.compile(r"(?<=[.;:!?])\s+(?=[A-Z(•–-])|\s*\n\s*")
_SENTENCE = re.compile(r"(?<=[.?])\s+")
_LARGE = re.compile(r"×|%|factor")


@dataclass(frozen=True)
class Note:
    """A trap as a note: its number, what is so, why it matters, how large it is."""

    number: int
    code: str
    head: str
    body: str
    size: str


@dataclass(frozen=True)
class Piece:
    """Words of the clause that have one mark: none, understood, or the traps of these numbers."""

    text: str
    seen: bool = False
    traps: tuple[int, ...] = ()


@dataclass(frozen=True)
class Line:
    """A sentence with the notes about its words."""

    pieces: tuple[Piece, ...]
    notes: tuple[Note, ...]


def lines_of(reading: ClauseReading) -> tuple[list[Line], list[Note]]:
    """The lines of the clause, and the notes about what is missing from it; numbers run through both."""
    sentences = {requirement.span for requirement in reading.requirements}
    there = [trap for trap in reading.traps if trap.span not in sentences]
    missing = [trap for trap in reading.traps if trap.span in sentences]
    numbered = list(enumerate(there, start=1))
    seen = [span for requirement in reading.requirements for span in requirement.spans.values() if span[1] - span[0] < LONGEST_MARK]
    lines = [_line(reading.text, span, numbered, seen) for span in _sentences(reading.text, [trap.span for trap in there])]
    return lines, [note_of(number, trap) for number, trap in enumerate(missing, start=len(there) + 1)]


def understood(reading: ClauseReading) -> int:
    """How many parts of the clause were understood."""
    return len({span for requirement in reading.requirements for span in requirement.spans.values()})


def note_of(number: int, trap: Trap) -> Note:
    """The message of a trap, set as a note: its first sentence on top, the size of the effect at the end."""
    head, *rest = _SENTENCE.split(trap.message, maxsplit=1)
    body, size = _size("".join(rest))
    return Note(number, trap.code, head, body, size)


def _size(text: str) -> tuple[str, str]:
    """The end of a message that says how large the effect is: what follows a colon, else the last sentence, if it is a factor or a share."""
    before, colon, after = text.rpartition(": ")
    if colon and len(_SENTENCE.split(after)) == 1:
        return f"{before}.", after.rstrip(".")
    sentences = _SENTENCE.split(text)
    if len(sentences) > 1 and _LARGE.search(sentences[-1]):
        return " ".join(sentences[:-1]), sentences[-1].rstrip(".")
    return text, ""


def _sentences(text: str, whole: list[Span]) -> Iterator[Span]:
    """Where each line begins and ends; the words of a trap are never cut."""
    begin = 0
    for stop in _END.finditer(text):
        if not any(start < stop.end() and stop.start() < end for start, end in whole):
            if text[begin : stop.start()].strip():
                yield begin, stop.start()
            begin = stop.end()
    if text[begin:].strip():
        yield begin, len(text)


def _line(text: str, span: Span, traps: list[tuple[int, Trap]], seen: list[Span]) -> Line:
    start, end = span
    mine = [(number, trap) for number, trap in traps if start <= trap.span[0] < end]
    joined = _joined([trap.span for _, trap in mine])
    cuts = {start, end} | {edge for part in joined for edge in part}
    cuts |= {edge for part in seen for edge in part if start < edge < end and not any(a <= edge <= b for a, b in joined)}
    pieces = []
    for a, b in pairwise(sorted(cuts)):
        here = tuple(number for number, trap in mine if trap.span[0] < b and a < trap.span[1])
        pieces.append(Piece(text[a:b], seen=not here and any(first <= a and b <= last for first, last in seen), traps=here))
    return Line(tuple(_merged(pieces)), tuple(note_of(number, trap) for number, trap in mine))


def _joined(spans: list[Span]) -> list[Span]:
    """Spans that overlap as one."""
    out: list[Span] = []
    for start, end in sorted(spans):
        if out and start < out[-1][1]:
            out[-1] = (out[-1][0], max(end, out[-1][1]))
        else:
            out.append((start, end))
    return out


def _merged(pieces: list[Piece]) -> list[Piece]:
    out: list[Piece] = []
    for piece in pieces:
        last: Any = out[-1] if out else None
        if last and (last.seen, last.traps) == (piece.seen, piece.traps):
            out[-1] = Piece(last.text + piece.text, last.seen, last.traps)
        else:
            out.append(piece)
    return out
