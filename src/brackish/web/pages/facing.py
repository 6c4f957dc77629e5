# SPDX-License-Identifier: MIT
"""Two results on facing scales with one limit between them: the flag of the first flies above, of the second below."""

from __future__ import annotations

from typing import Any

from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from brackish.judge.wording import kind_of
from brackish.report import figures
from brackish.report.case import Case
from brackish.report.words import VERDICT_WORDS, plus_minus, split
from brackish.web.pages.drawing import MARK, _anchor, _group, _level, _n, _svg, _upright
from brackish.web.pages.markup import joined, markup

Drawing = dict[str, Any]
UPPER, LOWER, NUMERALS, HEIGHT = 70, 118, 99, 188  # px from the top
HEADROOM = 62
FLAG_ROOM = 42.0  # percent: further right, a flag that flew to the right would reach the limit


def side_of(case: Case, test: str, criterion: str | None, *, sub: str) -> Drawing | None:
    """One test under one requirement as a side of the drawing; nothing where it has no result."""
    judged = case.judged.get(test, {})
    verdict = next((one for one in judged.get("verdicts", []) if one["criterion"] == criterion), None)
    result = case.result_judged(judged, verdict) if verdict else None
    if verdict is None or result is None:
        return None
    number, unit = split(result["shown"])
    return {
        "value": result["value"],
        "expanded": result["expanded_uncertainty"] if plus_minus(result) else None,
        "bound": result.get("bound", ""),
        "kind": kind_of(verdict),
        "number": number,
        "rest": f"{plus_minus(result)} {unit}".strip(),
        "sub": sub,
        "spoken": f"{sub}: {result['shown']} {plus_minus(result)}".strip(),
        "limit": verdict.get("limit"),
        "limit_text": _("limit %s") % split(verdict["shown_limit"])[0] if "shown_limit" in verdict else "",
        "mark": {"kind": kind_of(verdict), "word": VERDICT_WORDS[kind_of(verdict)]},
    }


def against_limit(sides: list[Drawing]) -> SafeString:
    """Two sides and the limit of the first."""
    limit_text = sides[0]["limit_text"]
    spoken = "; ".join([*(side["spoken"] for side in sides), *([limit_text] if limit_text else [])])
    return facing(sides, limit=sides[0]["limit"], limit_text=limit_text, spoken=spoken)


def facing(sides: list[Drawing], *, limit: float | None, limit_text: str, spoken: str) -> SafeString:
    """Each side: value, expanded (or None), bound, kind, number, rest, sub."""
    spans = [_ends(side) for side in sides]
    scale = figures.common_scale(values=[end for side, span in zip(sides, spans, strict=True) for end in (side["value"], *span)], limit=limit)
    pieces = [_axis(scale, UPPER, 1), _axis(scale, LOWER, -1), *_numerals(scale, limit)]
    if limit is not None:
        at = scale.at(limit)
        pieces += [_upright("limit", at, 50, UPPER + 13), _upright("limit", at, LOWER - 13, 138)]
        pieces.append(markup('<text class="limit-text" x="{}%" y="{}" text-anchor="{}">{}</text>', at, NUMERALS, _anchor(at), limit_text))
    for side, span, y, way in zip(sides, spans, (UPPER, LOWER), (-1, 1), strict=True):
        pieces.append(_group(side["kind"], _flag(side, scale, span, y, way, limit)))
    return _svg("ruler", HEIGHT, spoken, joined(pieces))


def _ends(side: Drawing) -> list[float]:
    return [] if side["bound"] or side["expanded"] is None else [side["value"] - side["expanded"], side["value"] + side["expanded"]]


def _axis(scale: figures.Scale, y: int, way: int) -> SafeString:
    ticks = [_upright("tick", one["at"], y, y + 11 * way) for one in scale.numerals()] + [_upright("tick-fine", at, y, y + 6 * way) for at in scale.fine()]
    return joined([_level("line", 0, 100, y), *ticks])


def _numerals(scale: figures.Scale, limit: float | None) -> list[SafeString]:
    """The numerals between the two lines; one gives way to the limit."""
    kept = [one for one in scale.numerals() if limit is None or abs(one["at"] - scale.at(limit)) > 12]
    return [
        markup(
            '<text x="{}%" y="{}" text-anchor="{}">{}</text>',
            one["at"],
            NUMERALS,
            "start" if one["at"] < 2 else "end" if one["at"] > 98 else "middle",
            one["label"],
        )
        for one in kept
    ]


def _flag(side: Drawing, scale: figures.Scale, span: list[float], y: int, way: int, limit: float | None) -> SafeString:
    """The pole, the interval and the mark; the words fly away from the limit."""
    at = scale.at(side["value"])
    left = at > (FLAG_ROOM if limit is not None and side["value"] < limit else figures.FLAG_TURNS)
    dx, anchor = (-9, "end") if left else (9, "start")
    pieces = [_upright("pole", at, y, y + HEADROOM * way)]
    if span:
        low, high = (scale.at(end) for end in span)
        pieces += [_level("halo", low, high, y), _level("span", low, high, y), *(_upright("cap", end, y - 11, y + 11) for end in (low, high))]
    size = _n(MARK.get(side["kind"], 16.3))
    use = '<svg x="{}%" y="{}" overflow="visible" class="at"><use href="#m-{}" x="{}" y="{}" width="{}" height="{}"/></svg>'
    pieces.append(markup(use, at, y, side["kind"], _n(-size / 2), _n(-size / 2), size, size))
    value_y, sub_y = (y - 46, y - 27) if way < 0 else (y + 42, y + 62)
    text = '<text class="{}" x="{}%" y="{}" dx="{}" text-anchor="{}">{} <tspan>{}</tspan></text>'
    pieces.append(markup(text, "value", at, value_y, dx, anchor, side["number"], side["rest"]))
    pieces.append(markup('<text class="sub" x="{}%" y="{}" dx="{}" text-anchor="{}">{}</text>', at, sub_y, dx, anchor, side["sub"]))
    return joined(pieces)
