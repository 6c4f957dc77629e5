# SPDX-License-Identifier: MIT
"""A reading as text in 80 columns: the clause with marks under its words, notes, questions to copy.

Under a line of the clause, dots mark what was understood and a row of = with a number marks a trap;
what is missing has no words and stands under its own heading.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterator

from brackish.prepare.clause.reading import ClauseReading, Requirement, Trap
from brackish.quantities import QUANTITIES, shown_unit

WIDTH = 80
_WORDS = re.compile(r"\S+")
_SENTENCE_WIDE = frozenset(
    (
        "clause.count_or_place_missing",
        "clause.failure_action_missing",
        "clause.stage_missing",
        "clause.blank_rule_missing",
        "clause.reference_temperature_missing",
    )
)

_FIELDS = {
    "applies_to": "applies to", "condition": "condition", "service": "service", "quantity": "quantity", "species": "species", "sense": "sense", "limit": "limit",
    "limit_lower": "lower end of the range", "limit_restated": "also given as", "limit_mean": "limit of the mean", "judged": "judged", "decision_rule": "decision rule", "guard_band": "guard band",
    "level": "level", "uncertainty": "uncertainty", "on_inconclusive": "when inconclusive", "reference_temperature": "refers to", "methods": "methods", "solution_volume": "volume of solution",
    "area": "area", "dwell": "dwell", "cycles": "cycles", "extraction_liquid": "liquid", "blank_rule": "blank", "count": "how many", "placement": "where", "stage": "stage",
    "test_within": "coated within", "test_within_of": "counted from", "test_within_words": "coated", "on_failure": "if one fails", "source": "stands in",
}  # fmt: skip
_WANTED = {
    "steel": ("quantity", "sense", "limit", "judged", "decision_rule", "count", "placement", "stage", "on_failure"),
    "abrasive": ("quantity", "sense", "limit", "count", "on_failure"),
}


def render(reading: ClauseReading) -> str:
    """The reading for people, lines of at most 80 columns."""
    if not reading.text.strip():
        return "The text is empty. Paste the words of the clause.\n"
    out: list[str] = []
    out += _heading("The clause", "… understood   = trap with its number")
    out += _marked(reading)
    out += _notes(reading)
    out += _understood(reading)
    out += _questions(reading)
    out += _unread(reading)
    return "\n".join(out) + "\n"


def _heading(title: str, remark: str = "") -> list[str]:
    line = f"{title}  ({remark})" if remark else title
    return ["", line, "─" * len(line)] if remark else ["", title, "─" * len(title)]


def _marked(reading: ClauseReading) -> Iterator[str]:
    text = "".join(character if character.isprintable() or character in "\n\t" else "\N{REPLACEMENT CHARACTER}" for character in reading.text).replace(
        "\t", " "
    )
    seen = [span for requirement in reading.requirements for name, span in requirement.spans.items() if span[1] - span[0] < 400]
    marks = [(trap.span, str(number)) for number, trap in enumerate(reading.traps, start=1) if trap.code not in _SENTENCE_WIDE]
    for start, end in _lines(text):
        line = text[start:end]
        yield line.rstrip()
        row = [" "] * (end - start + 8)
        for a, b in seen:
            for at in range(max(a, start), min(b, end)):
                row[at - start] = "."
        _trap_marks(row, marks, start, end)
        under = "".join(row).rstrip()[:WIDTH]
        if under:
            yield under


def _trap_marks(row: list[str], marks: list[tuple[tuple[int, int], str]], start: int, end: int) -> None:
    """= under the words of each trap, its number at the end; numbers of one place stand beside each other."""
    ends: dict[int, list[str]] = {}
    for (a, b), number in marks:
        for at in range(max(a, start), min(b, end)):
            row[at - start] = "="
        if start < b <= end:
            ends.setdefault(b - start, []).append(number)
    for at, numbers in ends.items():
        label = " ".join(numbers)
        first = max(0, min(at - len(label), len(row) - len(label)))
        row[first : first + len(label)] = label


def _lines(text: str) -> Iterator[tuple[int, int]]:
    """Start and end of each printed line: the pasted lines, long ones wrapped at a space."""
    begin = 0
    for part in text.split("\n"):
        yield from _wrapped(text, begin, begin + len(part))
        begin += len(part) + 1


def _wrapped(text: str, begin: int, end: int) -> Iterator[tuple[int, int]]:
    line = begin
    last = begin
    for word in _WORDS.finditer(text, begin, end):
        if word.end() - line > WIDTH and last > line:
            yield line, last
            line = word.start()
        while word.end() - line > WIDTH:
            yield line, line + WIDTH
            line += WIDTH
        last = word.end()
    if last > line:
        yield line, last


def _notes(reading: ClauseReading) -> Iterator[str]:
    if not reading.traps:
        if reading.requirements:
            yield from ["", "No trap was found in this clause."]
        return
    there = [(n, trap) for n, trap in enumerate(reading.traps, start=1) if trap.code not in _SENTENCE_WIDE]
    missing = [(n, trap) for n, trap in enumerate(reading.traps, start=1) if trap.code in _SENTENCE_WIDE]
    for title, group in (("Traps in the text", there), ("Missing from the text", missing)):
        if group:
            yield from _heading(title)
            for number, trap in group:
                yield from _note(number, trap)


def _note(number: int, trap: Trap) -> list[str]:
    return [f"{number:2}  {trap.code}", *_indented(trap.message)]


def _indented(text: str, indent: str = "    ") -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=indent, subsequent_indent=indent, break_long_words=True) or [indent]


def _understood(reading: ClauseReading) -> Iterator[str]:
    if not reading.requirements:
        yield from ["", "No limit on salt was found in this text."]
        return
    for number, requirement in enumerate(reading.requirements, start=1):
        title = "Understood" if len(reading.requirements) == 1 else f"Understood, {number} of {len(reading.requirements)}"
        yield from _heading(title)
        yield from _fields(requirement)


def _fields(requirement: Requirement) -> Iterator[str]:
    for name, label in _FIELDS.items():
        if name in requirement.fields:
            value = _value(name, requirement.fields[name])
            first, *rest = textwrap.wrap(" ".join(value.split()), WIDTH - 24) or [""]
            yield f"{label:<22}  {first}"
            yield from (" " * 24 + line for line in rest)
        elif name in _WANTED.get(requirement.get("applies_to"), ("quantity", "sense", "limit")):
            yield f"{label:<22}  not found"


def _value(name: str, value: object) -> str:
    if name == "quantity" and value in QUANTITIES:
        return f"{QUANTITIES[str(value)].words} ({value})"
    if isinstance(value, dict):
        return ", ".join(f"{key} {word}" if key != "document" else word for key, word in value.items())
    if isinstance(value, list):
        return ", ".join(map(str, value))
    text = str(value)
    digits, _, unit = text.partition(" ")
    return f"{digits} {shown_unit(unit)}" if name.startswith(("limit", "area", "reference")) and unit else text


def _questions(reading: ClauseReading) -> Iterator[str]:
    if not reading.questions:
        return
    yield from _heading("Questions to send before work")
    for number, question in enumerate(reading.questions, start=1):
        yield from textwrap.wrap(question.text, WIDTH, initial_indent=f"{number:2}. ", subsequent_indent="    ")


def _unread(reading: ClauseReading) -> Iterator[str]:
    if reading.not_understood:
        yield from _heading("Not understood: read these yourself")
        for start, end in reading.not_understood[:40]:
            yield from _indented("– " + " ".join(reading.text[start:end].split())[:400], "  ")
        if len(reading.not_understood) > 40:
            yield f"  and {len(reading.not_understood) - 40} more"
    if reading.truncated:
        yield from [
            "",
            *textwrap.wrap("The text is longer than is read in full; its later sentences were not read. Paste the clauses about salt alone.", WIDTH),
        ]
