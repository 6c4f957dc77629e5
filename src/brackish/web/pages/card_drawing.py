# SPDX-License-Identifier: MIT
"""The line of the meter on a limits card: the blank, how far it may show, the limit, and the band of doubt."""

from __future__ import annotations

from typing import Any

from django.utils.safestring import SafeString

from brackish.report import figures
from brackish.web.pages import drawing
from brackish.web.pages.markup import joined, markup

LINE, HEIGHT = 100, 198
TURN = 50.0  # words fly to the side where there is room


def meter_line(*, blank: float, passes: float, limit: float, fails: float, words: dict[str, str], spoken: str, kind: str) -> SafeString:
    """Readings on one line; all values in the unit of the meter, texts as they are shown."""
    scale = figures.common_scale(values=[blank, passes, fails], limit=limit)
    at = {"blank": scale.at(blank), "passes": scale.at(passes), "limit": scale.at(limit), "fails": scale.at(fails)}
    parts: list[SafeString] = []
    low, high = min(at["passes"], at["limit"]), max(at["fails"], at["limit"])
    if high > low:
        parts.append(markup('<rect class="band" x="{}%" width="{}%" y="83" height="34"/>', low, round(high - low, 3)))
        parts += [_upright("band-edge", edge, 83, 117) for edge in (low, high)]
    numerals = [one for one in scale.numerals() if abs(one["at"] - at["limit"]) > 4]
    parts.append(_axis(scale, numerals))
    parts.append(_upright("limit", at["limit"], 76, 154))
    parts += _edge_words(low, high, words)
    parts.append(_text("limit-text", at["limit"], 190, 0, _anchor(at["limit"]), words["limit"]))
    if words["blank"]:
        parts.append(_flag("ink", at["blank"], at["blank"], 4, 20, words["blank"], words["blank_is"]))
    parts.append(_flag(kind, at["blank"], at["passes"], 46, 62, words["passes"], words["passes_is"]))
    return markup('<svg class="ruler" height="{}" role="img"><title>{}</title>{}</svg>', HEIGHT, spoken, joined(parts))


def _edge_words(low: float, high: float, words: dict[str, str]) -> list[SafeString]:
    """What the edges of the band mean, each outside its edge; on one line, so that they cannot meet the limit's own word."""
    made = []
    if words.get("low"):
        made.append(_text("", low, 164, -4, "end", words["low"]))
    if words.get("high"):
        made.append(_text("", high, 164, 4, "start", words["high"]))
    return made


def _flag(kind: str, start: float, at: float, top: int, y: int, value: str, means: str) -> SafeString:
    side, dx = ("end", -9) if at > TURN else ("start", 9)
    span = markup('<line class="span" x1="{}%" x2="{}%" y1="{}" y2="{}"/>', start, at, LINE, LINE) if at > start else drawing.NOTHING
    text = '<text class="value" x="{}%" y="{}" dx="{}" text-anchor="{}">{} <tspan>{}</tspan></text>'
    return markup('<g class="is-{}">{}{}{}</g>', kind, span, _upright("pole", at, top, LINE), markup(text, at, y, dx, side, value, means))


def _axis(scale: figures.Scale, numerals: list[dict[str, Any]]) -> SafeString:
    parts = [markup('<line class="line" x1="0%" x2="100%" y1="{}" y2="{}"/>', LINE, LINE)]
    parts += [_upright("tick-fine", at, LINE, LINE + 6) for at in scale.fine()]
    parts += [_upright("tick", one["at"], LINE, LINE + 11) for one in scale.numerals()]
    parts += [_text("", one["at"], LINE + 40, 0, "start" if one["at"] < 2 else "end" if one["at"] > 98 else "middle", one["label"]) for one in numerals]
    return joined(parts)


def _text(kind: str, at: float, y: int, dx: int, anchor: str, words: str) -> SafeString:
    return markup('<text class="{}" x="{}%" y="{}" dx="{}" text-anchor="{}">{}</text>', kind, at, y, dx, anchor, words)


def _upright(kind: str, at: float, top: int, bottom: int) -> SafeString:
    return markup('<line class="{0}" x1="{1}%" x2="{1}%" y1="{2}" y2="{3}"/>', kind, at, top, bottom)


def _anchor(at: float) -> str:
    return "start" if at < drawing.LEFTMOST else "end" if at > drawing.RIGHTMOST else "middle"
