# SPDX-License-Identifier: MIT
"""Pasted text made plain for the reader, with a map back to the characters that were pasted.

Contract text reaches us through PDF readers, e-mails and spreadsheets: µ is three different characters,
superscripts are lost, words break at the line end. Everything after this file reads the plain text;
everything shown to a person is cut from the original by `Plain.span`.
Next: `segments.py`, which splits the plain text into sentences and rows.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from dataclasses import dataclass
from itertools import accumulate

# One character or many, to what the reader knows. Letters with accents lose them.
_FOLD = {
    "µ": "u", "μ": "u", "²": "2", "³": "3", "¹": "1", "⁻": "-", "−": "-", "–": "-", "—": "-", "‐": "-", "‑": "-", "‒": "-", "≤": "<=", "≦": "<=", "⩽": "<=",
    "≥": ">=", "≧": ">=", "⩾": ">=", "＜": "<", "＞": ">", "·": ".", "⋅": ".", "∙": ".", "•": "\n- ", "▪": "\n- ", "◦": "\n- ", "●": "\n- ", "º": "°", "˚": "°",
    "℃": "°C", "℉": "°F", "‘": "'", "’": "'", "“": '"', "”": '"', "„": '"', "«": '"', "»": '"', "′": "'", "″": '"', "⁄": "/", "∕": "/", "½": ".5", "±": "±", "×": "x",
    "ø": "o", "Ø": "O", "æ": "ae", "Æ": "AE", "ß": "ss", "œ": "oe", "ł": "l", "đ": "d", "…": "...", "\r": "\n", "\f": "\n", "\v": "\n", "\u2028": "\n", "\u2029": "\n\n",
    "\u00ad": "", "\u200b": "", "\u200c": "", "\u200d": "", "\u2060": "", "\ufeff": "", "㎡": "m2", "㎠": "cm2", "㎎": "mg", "㎍": "ug", "㎖": "ml", "㎏": "kg", "％": "%",
    "√": "√", "Δ": "delta ", "γ": "gamma ",
}  # fmt: skip
_ACCENTED = dict({
        "a": "àáâãäåāă", "c": "çćč", "e": "èéêëēęě", "i": "ìíîïī", "n": "ñńň", "o": "òóôõöōő", "s": "śšş", "u": "ùúûüūůű", "y": "ýÿ", "z": "źżž",
    }.items())  # fmt: skip
_FOLD |= {letter: plain for plain, letters in _ACCENTED.items() for letter in letters}
_FOLD |= {letter.upper(): plain.upper() for plain, letters in _ACCENTED.items() for letter in letters}
_FOLD |= {chr(0xFF10 + digit): str(digit) for digit in range(10)} | {chr(0x2080 + digit): str(digit) for digit in range(10)}

# A line broken inside a word; a Windows line end; any one character that is not plain ASCII.
_ODD = re.compile(r"(?<=[A-Za-z])[-\u00ad\u2010]\r?\n[ \t]{0,20}(?=[a-z])|\r\n|[^\n\t\x20-\x7e]")


@dataclass(frozen=True)
class Plain:
    """Plain text in two cases of one length, and where each piece came from."""

    text: str
    low: str
    original_length: int
    _starts: tuple[int, ...]
    _pieces: tuple[tuple[int, int, int], ...]  # original start, original end, plain length

    def span(self, start: int, end: int) -> tuple[int, int]:
        """The original characters that plain characters start to end came from."""
        if end <= start:
            return self._origin(start), self._origin(start)
        return self._origin(start), self._origin(end - 1, last=True)

    def _origin(self, position: int, *, last: bool = False) -> int:
        index = bisect_right(self._starts, position) - 1
        if index < 0:
            return 0
        start, end, length = self._pieces[index]
        if end - start != length:  # a folded character maps as a whole
            return end if last else start
        return min(start + position - self._starts[index] + last, self.original_length)


def normalise(text: str) -> Plain:
    """The plain form of a pasted text."""
    out: list[str] = []
    pieces: list[tuple[int, int, int]] = []
    at = 0
    for match in _ODD.finditer(text):
        if match.start() > at:
            out.append(text[at : match.start()])
            pieces.append((at, match.start(), match.start() - at))
        folded = _folded(match.group())
        if folded:
            out.append(folded)
            pieces.append((match.start(), match.end(), len(folded)))
        at = match.end()
    if at < len(text):
        out.append(text[at:])
        pieces.append((at, len(text), len(text) - at))
    plain = "".join(out)
    starts = tuple(accumulate((length for _, _, length in pieces), initial=0))[:-1]
    return Plain(text=plain, low=_lower(plain), original_length=len(text), _starts=starts, _pieces=tuple(pieces))


def _folded(odd: str) -> str:
    if len(odd) > 1:
        return "\n" if odd == "\r\n" else ""
    known = _FOLD.get(odd)
    if known is not None:
        return known
    if odd.isspace() or not odd.isprintable():
        return " "
    return odd


def _lower(text: str) -> str:
    low = text.lower()
    return low if len(low) == len(text) else "".join(one if len(one.lower()) != 1 else one.lower() for one in text)
