# SPDX-License-Identifier: MIT
"""Drawings as SVG: ruler, strip, slots, the plot of one result. One function each; nothing is computed here.

Positions come from `report/figures.py` in percent of the width, so that one drawing fits every width;
texts keep their size. Each drawing has a spoken title, or is silent where the words stand beside it.
Look: `static/brackish/components.css`; marks and hatch: `parts/sprite.html`, once a page.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.utils.safestring import SafeString, mark_safe

from brackish.web.pages.markup import joined, markup

Drawing = dict[str, Any]

NOTHING = mark_safe("")
HERO, LENS = 72, 20  # where the line lies, in px from the top, alone and as the overview above a close-up
MARK = {"fail": 16.2, "inconclusive": 18.4, "plain": 15.0}  # the shapes look alike in size
EDGE_NEEDS = 30.0  # percent of a phone's width that the words of an edge take
LEFTMOST, RIGHTMOST = 8.0, 92.0  # a label stands inside the drawing out there


def ruler(drawing: Drawing) -> SafeString:
    """One result with limit, guard band and interval, and a close-up where the interval is too small to see."""
    if "closeup" not in drawing:
        return _svg("ruler", 166 if "limit" in drawing else 122, drawing["alt"], _full(drawing, drawing, HERO))
    low, high = drawing["lens"]
    top = [
        markup('<rect class="lens-fill" x="{}%" width="{}%" y="6" height="28"/>', low, _n(high - low)),
        _axis(drawing, LENS, numerals=48),
        _upright("limit", drawing["limit"], 6, 34) if "limit" in drawing else NOTHING,
        _group(drawing["kind"], _mark(drawing["kind"], drawing["at"], LENS, scale=0.9)),
        *(_upright("lens", edge, 6, 34) for edge in (low, high)),
        markup('<line class="lens" x1="{}%" x2="0%" y1="34" y2="64"/><line class="lens" x1="{}%" x2="100%" y1="34" y2="64"/>', low, high),
    ]
    return _svg("ruler", 230, drawing["alt"], joined([*top, _full(drawing, drawing["closeup"], HERO + 64)]))


def strip(drawing: Drawing, *, spoken: str) -> SafeString:
    """The results of one item on one limit line, without bands: each has its own."""
    ends = [_upright("line", at, 9, 15) for at in (0, 100)]
    limit = [_upright("limit", drawing["limit"], 2, 22)] if "limit" in drawing else []
    marks = [_group(one["kind"], _mark(one["kind"], one["at"], 12, scale=0.88)) for one in drawing["marks"]]
    return _svg("ruler-strip", 24, spoken, joined([_level("line", 0, 100, 12), *ends, *limit, *marks]))


def slots(kinds: Sequence[str], *, still_open: int = 0) -> SafeString:
    """Tests done, running and still to be written; silent, because the count stands beside it in words."""
    done = (markup('<li class="is-{}">{}</li>', kind, _small_mark(kind)) if kind != "running" else mark_safe('<li class="running"></li>') for kind in kinds)
    rest = mark_safe('<li class="open"></li>' * min(still_open, 60))
    return markup('<ol class="slots" aria-hidden="true">{}{}</ol>', joined(done), rest)


def plot(*, kind: str, at: float | None, span: Sequence[float] = (), limit: float | None = None, also: Sequence[float] = ()) -> SafeString:
    """One result in a list: its place and interval on the limit line that runs through all of them."""
    parts = [mark_safe('<line class="line" x1="0" x2="100%" y1="50%" y2="50%"/>')]
    if limit is not None:
        parts.append(markup('<line class="limit" x1="{0}%" x2="{0}%" y1="-1" y2="101%"/>', limit))
    drawn = [markup('<line class="span" x1="{}%" x2="{}%" y1="50%" y2="50%"/>', *span)] if span else []
    drawn += [_mark_at_middle(kind, place) for place in ([at] if at is not None else [*also])]
    return markup('<svg aria-hidden="true">{}</svg>', joined([*parts, _group(kind, joined(drawn))] if drawn else parts))


def plot_head(*, ends: Sequence[str], limit: float | None = None, limit_text: str = "") -> SafeString:
    """The head of a list of plots: where the scale begins and ends, and the limit."""
    low, high = ends
    parts = [markup('<text x="0%" y="100%" dy="-8">{}</text>', low)]
    if limit is not None:
        parts.append(markup('<text class="limit-text" x="{}%" y="100%" dy="-8" text-anchor="{}">{}</text>', limit, _anchor(limit), limit_text))
    if limit is None or limit < RIGHTMOST - 14:
        parts.append(markup('<text x="100%" y="100%" dy="-8" text-anchor="end">{}</text>', high))
    return markup('<svg aria-hidden="true">{}</svg>', joined(parts))


def bar(*, length: float, assumed: bool) -> SafeString:
    """The part of one input in the whole uncertainty, percent of the largest."""
    return markup('<svg aria-hidden="true"><rect{} x="0" y="1" height="13" width="{}%"/></svg>', mark_safe(' class="is-assumed"') if assumed else "", length)


def empty_scale() -> SafeString:
    """The line on which nothing stands yet."""
    ticks = (_upright("tick", at, 20, 32 if at % 50 == 0 else 27) for at in range(0, 101, 10))
    return markup('<svg aria-hidden="true">{}{}</svg>', _level("line", 0, 100, 20), joined(ticks))


def _full(drawing: Drawing, parts: Drawing, y: int) -> SafeString:
    """The line at height `y` with everything on it: band and axis first, the result last, above them."""
    pieces: list[SafeString] = []
    if "band" in parts:
        low, high = parts["band"]
        pieces.append(markup('<rect class="band" x="{}%" width="{}%" y="{}" height="34"/>', low, _n(high - low), y - 17))
        pieces += [_upright("band-edge", edge, y - 17, y + 17) for edge in (low, high)]
    pieces.append(_axis(parts, y, numerals=y + 40))
    if "limit" in parts:
        pieces.append(_upright("limit", parts["limit"], y - 24, y + 54))
    if "band" in parts:
        pieces += _edge_words(parts, drawing["edges"], y + 62)
    if "limit" in parts:
        words = '<text class="limit-text" x="{}%" y="{}" text-anchor="{}">{}</text>'
        pieces.append(markup(words, parts["limit"], y + 86, _anchor(parts["limit"]), drawing["limit_text"]))
    return joined([*pieces, _group(drawing["kind"], _result(drawing, parts, y))])


def _result(drawing: Drawing, parts: Drawing, y: int) -> SafeString:
    """The value on its pole with its flag, its interval on the line."""
    at = parts["at"]
    pieces = [_upright("pole", at, y - 62, y)]
    if "span" in parts:
        low, high = parts["span"]
        pieces += [_level("halo", low, high, y), _level("span", low, high, y), *(_upright("cap", end, y - 11, y + 11) for end in (low, high))]
    if "arrow" in parts:
        pieces.append(_level("below", parts["arrow"][0], parts["arrow"][1], y))
    pieces.append(_mark(drawing["kind"], at, y))
    dx, anchor = (9, "start") if parts["flag"] == "right" else (-9, "end")
    value = '<text class="value" x="{}%" y="{}" dx="{}" text-anchor="{}">{} <tspan>{}</tspan></text>'
    pieces.append(markup(value, at, y - 46, dx, anchor, drawing["number"], drawing["rest"]))
    if drawing.get("sub"):
        pieces.append(markup('<text class="sub" x="{}%" y="{}" dx="{}" text-anchor="{}">{}</text>', at, y - 27, dx, anchor, drawing["sub"]))
    return joined(pieces)


def _edge_words(parts: Drawing, edges: Sequence[str], y: int) -> list[SafeString]:
    """What the edges of the band mean: each outside its edge, or both on the side where there is room."""
    low, high = parts["band"]
    words = [(low, *_beside(low, high - low, "end"), edges[0]), (high, *_beside(high, high - low, "start"), edges[1])]
    if parts["words"] != "apart":
        both = ", ".join(edge for edge in edges if edge)
        words = [(high, 4, "start", both)] if parts["words"] == "right" else [(low, -4, "end", both)]
    return [markup('<text x="{}%" dx="{}" y="{}" text-anchor="{}">{}</text>', at, dx, y, anchor, text) for at, dx, anchor, text in words if text]


def _beside(edge: float, band: float, side: str) -> tuple[int, str]:
    """Outside its edge, or under it where a phone has no room for the words there."""
    tight = edge < EDGE_NEEDS if side == "end" else edge > 100 - EDGE_NEEDS
    return (0, "middle") if tight and band > EDGE_NEEDS / 2 else (-4 if side == "end" else 4, side)


def _axis(parts: Drawing, y: int, *, numerals: int) -> SafeString:
    ticks = [_upright("tick-fine", at, y, y + 6) for at in parts["fine"]]
    for one in parts["numerals"]:
        at = one["at"]
        anchor = "start" if at < 2 else "end" if at > 98 else "middle"
        ticks.append(_upright("tick", at, y, y + 11))
        ticks.append(markup('<text x="{}%" y="{}" text-anchor="{}">{}</text>', at, numerals, anchor, one["label"]))
    return joined([_level("line", 0, 100, y), *ticks])


def _svg(kind: str, height: int, spoken: str, inside: SafeString) -> SafeString:
    return markup('<svg class="{}" height="{}" role="img"><title>{}</title>{}</svg>', kind, height, spoken, inside)


def _group(kind: str, inside: SafeString) -> SafeString:
    return markup('<g class="is-{}">{}</g>', kind, inside)


def _mark(kind: str, at: float, y: int, *, scale: float = 1.0) -> SafeString:
    size = _n(MARK.get(kind, 16.3) * scale)
    use = '<svg x="{}%" y="{}" overflow="visible" class="at"><use href="#m-{}" x="{}" y="{}" width="{}" height="{}"/></svg>'
    return markup(use, at, y, kind, _n(-size / 2), _n(-size / 2), size, size)


def _mark_at_middle(kind: str, at: float) -> SafeString:
    use = '<svg x="{}%" y="50%" overflow="visible"><use href="#m-{}" x="-7.2" y="-7.2" width="14.4" height="14.4"/></svg>'
    return markup(use, at, kind)


def _small_mark(kind: str) -> SafeString:
    return markup('<svg class="mark" viewBox="0 0 24 24" aria-hidden="true"><use href="#m-{}" width="24" height="24"/></svg>', kind)


def _upright(kind: str, at: float, top: int, bottom: int) -> SafeString:
    return markup('<line class="{0}" x1="{1}%" x2="{1}%" y1="{2}" y2="{3}"/>', kind, at, top, bottom)


def _level(kind: str, start: float, end: float, y: int) -> SafeString:
    return markup('<line class="{0}" x1="{1}%" x2="{2}%" y1="{3}" y2="{3}"/>', kind, start, end, y)


def _anchor(at: float) -> str:
    return "start" if at < LEFTMOST else "end" if at > RIGHTMOST else "middle"


def _n(number: float) -> float:
    return round(number, 3)
