# SPDX-License-Identifier: MIT
"""Which characters the report's fonts can set, and what stands in place of the others.

A person may write in any script; the package carries Latin, Greek, Cyrillic and Thai. A character
without a glyph must not print as an empty box, nor stop the report: its code stands in its place,
and the report lists it. The text itself is whole in the attached job file.
"""

from __future__ import annotations

import re
import struct
import unicodedata
from collections.abc import Iterator
from functools import cache
from pathlib import Path

FONTS = Path(__file__).parent / "fonts"
_NAMED = 3  # a longer run is named by its first character and its length
_LONG_WORD = re.compile("[^\\s\u0e00-\u0e7f]{40}")  # may be broken, or it would run over the edge; Thai is broken by its words
_JOINERS = frozenset("\u200b\u200c\u200d\u00ad\n")  # say how to break or join, print nothing


@cache
def settable(folders: tuple[Path, ...] = (FONTS,)) -> frozenset[int]:
    """The code points for which some font in these folders has a glyph."""
    files = [file for folder in folders for file in sorted(folder.iterdir()) if file.suffix.lower() in (".ttf", ".otf")]
    return frozenset(point for file in files for point in _code_points(file.read_bytes()))


def _code_points(font: bytes) -> Iterator[int]:
    """What the character map of a font covers (OpenType, table `cmap`, formats 4 and 12)."""
    for index in range(struct.unpack_from(">H", font, 4)[0]):
        tag, _, start, _ = struct.unpack_from(">4sIII", font, 12 + 16 * index)
        if tag == b"cmap":
            for record in range(struct.unpack_from(">H", font, start + 2)[0]):
                table = start + struct.unpack_from(">I", font, start + 8 + 8 * record)[0]
                yield from _subtable(font, table)


def _subtable(font: bytes, table: int) -> Iterator[int]:
    form = struct.unpack_from(">H", font, table)[0]
    if form == 12:
        for group in range(struct.unpack_from(">I", font, table + 12)[0]):
            first, last, _ = struct.unpack_from(">III", font, table + 16 + 12 * group)
            yield from range(first, last + 1)
    elif form == 4:
        count = struct.unpack_from(">H", font, table + 6)[0] // 2
        ends = struct.unpack_from(f">{count}H", font, table + 14)
        starts = struct.unpack_from(f">{count}H", font, table + 16 + 2 * count)
        for first, last in zip(starts, ends, strict=True):
            yield from range(first, min(last, 0xFFFE) + 1)


class Typesetter:
    """Turns texts into texts that can be set, and remembers what could not."""

    def __init__(self, covered: frozenset[int]) -> None:
        self._covered = covered
        self._done: dict[str, str] = {}  # most texts of a long report come again and again
        self.missing: set[str] = set()

    def text(self, written: str) -> str:
        """The text with the code of each character that has no glyph in its place."""
        if written not in self._done:
            self._done[written] = self._set(written)
        return self._done[written]

    def _set(self, written: str) -> str:
        written = written.replace("seal-sha256-", "seal sha256 ")  # nothing a person wrote may look like the seal
        written = _LONG_WORD.sub(lambda match: match[0] + "\u200b", written)
        if written.isascii() and written.isprintable():
            return written
        written = unicodedata.normalize("NFC", written.replace("\r\n", "\n").replace("\t", " "))
        return "".join(run if can else self._named(run) for can, run in self._runs(written))

    def _runs(self, written: str) -> Iterator[tuple[bool, str]]:
        start = 0
        for index in range(1, len(written) + 1):
            if index == len(written) or self._can(written[index]) != self._can(written[start]):
                yield self._can(written[start]), written[start:index]
                start = index

    def _can(self, character: str) -> bool:
        # Controls, private and unassigned characters, and overrides of direction are shown, not obeyed.
        return character in _JOINERS or (ord(character) in self._covered and unicodedata.category(character)[0] != "C")

    def _named(self, run: str) -> str:
        self.missing.update(run)
        if len(run) <= _NAMED:
            return "".join(f"[U+{ord(character):04X}]" for character in run)
        return f"[U+{ord(run[0]):04X} and {len(run) - 1} more characters]"

    def everywhere(self, value: object) -> object:
        """The same for every text within lists and tables."""
        if isinstance(value, str):
            return self.text(value)
        if isinstance(value, list):
            return [self.everywhere(part) for part in value]
        if isinstance(value, dict):
            return {key: self.everywhere(part) for key, part in value.items()}
        return value

    def missing_named(self) -> list[str]:
        """Each character that could not be set: its code and its Unicode name."""
        return [f"U+{ord(character):04X} {unicodedata.name(character, 'without a name')}" for character in sorted(self.missing)]
