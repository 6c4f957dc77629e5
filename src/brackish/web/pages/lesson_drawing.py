# SPDX-License-Identifier: MIT
"""Drawings of a lesson: a line for each row, the glass with its water, the ends of the control. `lesson.js` moves the mark."""

from __future__ import annotations

from typing import Any

from django.utils.safestring import SafeString

from brackish.web.pages.lesson_models import Row
from brackish.web.pages.markup import joined, markup

LEVEL, GLASS, BOTTOM = 16, 52.0, 54.0


def row_line(row: Row, line: dict[str, Any], *, first: bool, last: bool) -> SafeString:
    """One row's place on the common line; the limit is named on the first, the numerals stand on the last."""
    parts = [markup('<line class="line" x1="0" x2="100%" y1="{0}" y2="{0}"/>', LEVEL)]
    parts += [_upright("tick-fine", at, LEVEL, 22) for at in line["fine"]]
    parts += [_upright("tick", one["at"], LEVEL, 27) for one in line["numerals"]]
    if last:
        parts += [markup('<text x="{}%" y="46" text-anchor="{}">{}</text>', one["at"], _anchor(one["at"]), one["label"]) for one in line["numerals"]]
    if line["limit"] is not None:
        parts.append(_upright("limit", line["limit"], 1, 31))
    mark = '<g class="is-{0}" data-group><line class="span" data-reach x1="0" x2="{1}%" y1="16" y2="16"/><svg data-dot x="{1}%" y="16" overflow="visible"><use href="#m-{0}" x="-11" y="-11" width="22" height="22"/></svg></g>'
    parts.append(markup(mark, row.kind, row.at))
    if first and line["limit"] is not None:
        parts.append(markup('<text class="limit-text" x="{}%" y="-8" text-anchor="middle">{}</text>', line["limit"], line["limit_text"]))
    return markup('<svg class="ruler" height="{}" aria-hidden="true">{}</svg>', 56 if last else 34, joined(parts))


def vial(full: float) -> SafeString:
    """A glass with so much water in it, 0 to 1."""
    height = round(GLASS * full, 2)
    water = '<rect class="water" x="3" width="30" y="{0}" height="{1}"/><line class="level" x1="2" x2="34" y1="{0}" y2="{0}"/>'
    glass = markup(water, round(BOTTOM - height, 2), height)
    return markup('<svg class="vial" viewBox="0 0 36 56" aria-hidden="true">{}<path class="glass" d="M2 1V54H34V1"/></svg>', glass)


def ends(numbers: list[float]) -> SafeString:
    """The numerals under the control."""
    step = 100 / (len(numbers) - 1)
    texts = (markup('<text x="{}%" y="14" text-anchor="middle">{}</text>', index * step, f"{value:g}") for index, value in enumerate(numbers))
    return markup('<svg aria-hidden="true">{}</svg>', joined(texts))


def _upright(kind: str, at: float, top: int, bottom: int) -> SafeString:
    return markup('<line class="{0}" x1="{1}%" x2="{1}%" y1="{2}" y2="{3}"/>', kind, at, top, bottom)


def _anchor(at: float) -> str:
    return "start" if at < 2 else "end" if at > 98 else "middle"
