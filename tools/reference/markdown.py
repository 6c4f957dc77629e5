# SPDX-License-Identifier: MIT
"""The little Markdown that the pages need."""

from __future__ import annotations

from collections.abc import Iterable, Iterator


def table(head: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> Iterator[str]:
    """The lines of a table; bars and line breaks in a cell do no harm."""
    yield _row(head)
    yield "|" + "---|" * len(head)
    yield from map(_row, rows)


def _row(cells: tuple[str, ...]) -> str:
    return "| " + " | ".join(cell.replace("|", "\\|").replace("\n", " ") for cell in cells) + " |"


def bullets(texts: Iterable[str]) -> list[str]:
    return [f"- {text}" for text in texts]
