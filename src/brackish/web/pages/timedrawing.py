# SPDX-License-Identifier: MIT
"""Drawings of time as SVG: the glass whose water falls, the cup of a small timer, lanes along an hour, months to an expiry.

Positions are percentages of what is drawn, so that one drawing fits every width. The water of `level` and `cup`
and the line of the present are moved by `static/brackish/timer.js` as time goes on; everything else stands still.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cached_property

from django.utils.formats import date_format
from django.utils.safestring import SafeString, mark_safe

from brackish.web.pages.markup import joined, markup

TOP, BOTTOM = 4.0, 96.0  # where the glass begins and ends, percent of its height
EVERY = (1, 2, 5, 10, 15, 30, 60)  # minutes between numerals


def level(*, minutes: float, left: float, pumps: Sequence[float] = (), done: int = 0) -> SafeString:
    """The glass of one timed step: minutes on its side, water to the minutes left, a dot for each pump."""
    whole = max(minutes, 0.1)
    numerals = next((every for every in EVERY if whole / every <= 6), 60)
    fine = numerals / 2 if numerals > 1 else 0.5
    parts = [_water(_height(left, whole))]
    for number in range(int(whole / fine) + 1):
        at = _height(number * fine, whole)
        if (number * fine) % numerals == 0:
            parts.append(markup('<line class="tick" x1="36" x2="54" y1="{0}%" y2="{0}%"/>', at))
            parts.append(markup('<text x="26" y="{}%" dy="4.5" text-anchor="end">{}</text>', at, int(number * fine)))
        else:
            parts.append(markup('<line class="tick-fine" x1="36" x2="46" y1="{0}%" y2="{0}%"/>', at))
    parts.append(markup('<line class="glass" x1="36" x2="36" y1="{0}%" y2="{1}%"/><line class="glass" x1="76" x2="76" y1="{0}%" y2="{1}%"/>', TOP, BOTTOM))
    parts.append(markup('<line class="glass" x1="35" x2="77" y1="{0}%" y2="{0}%"/>', BOTTOM))
    parts.append(markup('<line class="level" data-level x1="36" x2="76" y1="{0}%" y2="{0}%"/>', _height(left, whole)))
    for number, seconds in enumerate(pumps):
        kind = "pump-done" if number < done else "pump"
        parts.append(markup('<circle class="{}" data-pump cx="92" cy="{}%" r="5"/>', kind, _height(whole - seconds / 60.0, whole)))
    return markup('<svg aria-hidden="true">{}</svg>', joined(parts))


def _water(top: float) -> SafeString:
    inside = markup('<rect class="water" data-water x="0" width="40" y="{}%" height="{}%"/>', top, _n(BOTTOM - top))
    return markup('<svg x="36" width="40" height="100%" overflow="hidden">{}</svg>', inside)


def _height(left: float, whole: float) -> float:
    """Where the water stands with so many minutes left, percent from the top."""
    return _n(BOTTOM - (BOTTOM - TOP) * min(1.0, max(0.0, left / whole)))


def cup(*, share: float) -> SafeString:
    """The small glass of a timer in a list; `share` of its time is left."""
    top = _n(51 * (1 - min(1.0, max(0.0, share))))
    return markup(
        '<svg class="timer-level" viewBox="0 0 20 52" aria-hidden="true"><rect class="air" x="1" y="0" width="18" height="51"/>'
        '<rect class="water" data-cup x="1" width="18" y="{0}" height="{1}"/><line class="level" data-cup-level x1="0" x2="20" y1="{0}" y2="{0}"/>'
        '<path class="glass" d="M1 0V51H19V0"/></svg>',
        top,
        _n(51 - top),
    )


@dataclass(frozen=True)
class Bar:
    """What fills a stretch of a lane."""

    kind: str  # hands | wait | past
    begin: datetime
    end: datetime
    text: str
    pumps: tuple[datetime, ...] = ()


@dataclass(frozen=True)
class Lane:
    """One person, or one cell or flask."""

    name: str
    short: str
    bars: tuple[Bar, ...]
    person: bool

    @cached_property
    def tracks(self) -> list[int]:
        """Each bar's place beside those of its time: somebody may be wanted in two places at once."""
        ends: list[datetime] = []
        places = []
        for bar in self.bars:
            place = next((number for number, end in enumerate(ends) if end <= bar.begin), len(ends))
            ends[place : place + 1] = [bar.end]
            places.append(place)
        return places

    @property
    def breadth(self) -> int:
        return max(self.tracks, default=0) + 1


@dataclass(frozen=True)
class Hours:
    """The stretch of time that is drawn."""

    begin: datetime
    end: datetime

    def at(self, moment: datetime) -> float:
        share = (moment - self.begin) / (self.end - self.begin)
        return _n(100 * min(1.0, max(0.0, share)))

    @property
    def minutes(self) -> float:
        return (self.end - self.begin) / timedelta(minutes=1)

    def every(self, minutes: float) -> list[datetime]:
        return [self.begin + timedelta(minutes=minutes * number) for number in range(int(self.minutes / minutes) + 1)]

    @property
    def numeral(self) -> int:
        """Minutes between the numerals."""
        return next((every for every in (5, 10, 20, 30, 60, 120, 240) if self.minutes / every <= 8), 480)


LETTER = 9.0  # px, of a bold letter where letters are wide
THIN = 9.0  # px, of a bar in which no letter can stand
LEAST_ACROSS, LEAST_TALL = 700, 288  # px that a drawing is given: beside the names on a small desk, in a window of 320 px
ROW, BAR, HEAD, GAP = 44, 26, 44, 16  # px


def lanes(*, of: Sequence[Lane], hours: Hours, now: datetime) -> SafeString:
    """Across: time runs to the right. The names of the lanes stand beside it in the page."""
    rows: list[tuple[Lane, int]] = []
    y, before = HEAD, True
    for lane in of:
        y += GAP if before and not lane.person and rows else 0
        before = lane.person
        rows.append((lane, y))
        y += ROW
    parts = [markup('<line class="grid" x1="0" x2="100%" y1="{0}" y2="{0}"/>', top + ROW) for _, top in rows]
    for moment in hours.every(hours.numeral):
        at = hours.at(moment)
        anchor, dx = ("start", 4) if at < 3 else ("end", -4) if at > 97 else ("middle", 0)
        parts.append(markup('<line class="grid" x1="{0}%" x2="{0}%" y1="34" y2="{1}"/><line class="tick" x1="{0}%" x2="{0}%" y1="24" y2="34"/>', at, y))
        parts.append(
            markup('<text class="hour" x="{}%" y="18" dx="{}" text-anchor="{}" data-at="{}">{}</text>', at, dx, anchor, moment.isoformat(), _clock(moment))
        )
    for moment in hours.every(hours.numeral / 5):
        parts.append(markup('<line class="tick" x1="{0}%" x2="{0}%" y1="30" y2="34"/>', hours.at(moment)))
    for lane, top in rows:
        high = BAR if lane.breadth == 1 else (ROW - 8) / lane.breadth
        parts += [_across(bar, top + (ROW - high * lane.breadth) / 2 + high * track, high, hours) for bar, track in zip(lane.bars, lane.tracks, strict=True)]
    parts.append(_now_across(hours.at(now), y, now))
    return markup('<svg class="lanes-plot" height="{}" aria-hidden="true">{}</svg>', y, joined(parts))


def _across(bar: Bar, y: float, high: float, hours: Hours) -> SafeString:
    left, right = hours.at(bar.begin), hours.at(bar.end)
    parts = [markup('<rect class="{}" x="{}%" width="{}%" y="{}" height="{}"/>', bar.kind, left, _n(max(0.4, right - left)), _n(y), _n(high))]
    if bar.kind == "wait":
        parts.append(markup('<line class="wait-top" x1="{0}%" x2="{1}%" y1="{2}" y2="{2}"/>', left, right, y))
        parts += [markup('<line class="pump" x1="{0}%" x2="{0}%" y1="{1}" y2="{2}"/>', hours.at(pump), y - 7, y) for pump in bar.pumps]
    if (right - left) * LEAST_ACROSS / 100 > _long(bar.text) + 5 and high > THIN:
        kind = f"{bar.kind}-text" if bar.kind != "wait" else ""
        parts.append(markup('<text class="{}" x="{}%" dx="4" y="{}">{}</text>', kind, left, _n(y + high / 2 + 4.5), bar.text))
    return joined(parts)


def _now_across(at: float, height: int, now: datetime) -> SafeString:
    flag = '<svg x="{0}%" y="3" overflow="visible" data-now-flag><rect class="now-flag" x="-24" y="0" width="48" height="22"/><text class="now-flag-text" x="0" y="16" text-anchor="middle" data-now-text data-at="{2}">{3}</text></svg>'
    return markup('<line class="now-line" data-now-line x1="{0}%" x2="{0}%" y1="22" y2="{1}"/>' + flag, at, height, now.isoformat(), _clock(now))


PER_MINUTE, LEAST, MOST = 10.0, 260, 900  # px
EDGE = 15.0  # percent: where the hours end and the lanes begin


def lanes_tall(*, of: Sequence[Lane], hours: Hours, now: datetime) -> SafeString:
    """Downwards, for little width: time runs down, a column for each lane. What a column is too narrow for is written upwards."""
    weights = [min(lane.breadth, 2) + 0.5 * lane.person for lane in of]
    width = (100 - EDGE) / (sum(weights) or 1.0)
    upright = any(_long(lane.short) > _px(width * weight) for lane, weight in zip(of, weights, strict=True))
    foot = max((_long(lane.short) for lane in of), default=0) + 16 if upright else 38
    height = min(MOST, max(LEAST, hours.minutes * PER_MINUTE))

    def y(moment: datetime) -> float:
        return _n(foot + height * hours.at(moment) / 100)

    parts, left = [markup('<line class="edge" x1="{0}%" x2="{0}%" y1="{1}" y2="{2}"/>', EDGE, foot, foot + height)], EDGE
    for moment in hours.every(hours.numeral):
        parts.append(markup('<line class="grid" x1="{0}%" x2="100%" y1="{1}" y2="{1}"/>', EDGE, y(moment)))
        parts.append(markup('<text class="hour" x="0" y="{}" dy="4" data-at="{}">{}</text>', y(moment), moment.isoformat(), _clock(moment)))
    for lane, weight in zip(of, weights, strict=True):
        column = _n(width * weight)
        parts.append(_lettered("head-text", lane.short, _n(left + column * 0.46), foot - 12, upright=upright, anchor="start" if upright else "middle"))
        wide = column * 0.8 / lane.breadth
        for bar, track in zip(lane.bars, lane.tracks, strict=True):
            parts.append(_down(bar, _n(left + column * 0.06 + wide * track), _n(wide), y(bar.begin), y(bar.end), [y(pump) for pump in bar.pumps]))
        left = _n(left + column)
    parts.append(markup('<line class="now-line" data-now-down x1="{0}%" x2="100%" y1="{1}" y2="{1}"/>', EDGE - 2, y(now)))
    flag = '<svg y="{0}" overflow="visible" data-now-flag-down><rect class="now-flag" x="0" y="-11" width="44" height="22"/><text class="now-flag-text" x="22" y="4.5" text-anchor="middle" data-now-text data-at="{1}">{2}</text></svg>'
    parts.append(markup(flag, y(now), now.isoformat(), _clock(now)))
    return markup(
        '<svg class="lanes-plot" height="{}" data-top="{}" data-height="{}" aria-hidden="true">{}</svg>',
        _n(foot + height + 10),
        foot,
        _n(height),
        joined(parts),
    )


def _down(bar: Bar, x: float, width: float, top: float, bottom: float, pumps: list[float]) -> SafeString:
    parts = [markup('<rect class="{}" x="{}%" width="{}%" y="{}" height="{}"/>', bar.kind, x, width, top, _n(max(2.0, bottom - top)))]
    if bar.kind == "wait":
        parts.append(markup('<line class="wait-top" x1="{0}%" x2="{1}%" y1="{2}" y2="{2}"/>', x, _n(x + width), top))
        parts += [markup('<line class="pump" x1="{0}%" x2="{1}%" y1="{2}" y2="{2}"/>', _n(x + width), _n(x + width * 1.18), pump) for pump in pumps]
    upright = _long(bar.text) > _px(width)
    if bottom - top > (_long(bar.text) if upright else 15) and _px(width) > THIN:
        middle = (top + bottom) / 2 if upright else min((top + bottom) / 2, top + 14)
        parts.append(_lettered(f"{bar.kind}-text" if bar.kind != "wait" else "", bar.text, _n(x + width / 2), _n(middle), upright=upright))
    return joined(parts)


def _lettered(kind: str, text: str, x: float, y: float, *, upright: bool, anchor: str = "middle") -> SafeString:
    """A text about a point; upright it runs upwards from there or about it."""
    turned = mark_safe(' transform="rotate(-90)"') if upright else ""
    words = '<svg x="{}%" y="{}" overflow="visible"><text class="{}"{} dy="4" text-anchor="{}">{}</text></svg>'
    return markup(words, x, y, kind, turned, anchor, text)


def _long(text: str) -> float:
    return LETTER * len(text)


def _px(percent: float) -> float:
    return LEAST_TALL * percent / 100


@dataclass(frozen=True)
class Expiry:
    """Something that runs out on a day."""

    name: str
    day: date
    kind: str  # fail | ink


def months(*, of: Sequence[Expiry], today: date) -> SafeString:
    """What runs out in the next twelve months, on one line; silent, for the table under it says it all."""
    end = today.replace(day=1) + timedelta(days=396)
    span = (end.replace(day=1) - today.replace(day=1)).days

    def at(day: date) -> float:
        return _n(100 * min(span, max(0, (day - today.replace(day=1)).days)) / span)

    parts = [mark_safe('<line class="line" x1="0" x2="100%" y1="108" y2="108"/>')]
    month = today.replace(day=1)
    for number in range(13):
        parts.append(markup('<line class="tick" x1="{0}%" x2="{0}%" y1="108" y2="117"/>', at(month)))
        if number % 2 == 0 and number < 12:
            anchor = "start" if number == 0 else "middle"
            kind = "even" if number % 4 else ""
            parts.append(markup('<text class="{}" x="{}%" y="136" text-anchor="{}">{}</text>', kind, at(month), anchor, date_format(month, "M")))
        month = (month + timedelta(days=32)).replace(day=1)
    shown = [expiry for expiry in of if (expiry.day - today).days < span][:4]
    for row, expiry in enumerate(shown):
        x, top = at(expiry.day), 4 + 22 * row
        anchor, dx = ("start", 7) if x < 55 else ("end", -7)
        pin = '<g class="is-{0}"><line class="pin" x1="{1}%" x2="{1}%" y1="{2}" y2="108"/><text class="pin-text" x="{1}%" y="{3}" dx="{4}" text-anchor="{5}">{6} <tspan class="pin-note">{7}</tspan></text></g>'
        parts.append(markup(pin, expiry.kind, x, top, top + 12, dx, anchor, expiry.name, date_format(expiry.day, "j M")))
    return markup('<svg class="months" height="142" aria-hidden="true">{}</svg>', joined(parts))


def deviation(*, found: float, allowed: float, value: str, most: str, kind: str, spoken: str) -> SafeString:
    """A meter's deviation between its limits of error, both relative; the texts say the numbers."""
    edge = 2 * allowed if abs(found) <= 2 * allowed else 1.25 * abs(found)

    def at(share: float) -> float:
        return _n(50 + 50 * share / edge)

    parts = [mark_safe('<line class="line" x1="0" x2="100%" y1="72" y2="72"/>')]
    parts += [
        markup('<line class="{0}" x1="{1}%" x2="{1}%" y1="72" y2="{2}"/>', kind_, x, y)
        for kind_, x, y in [("tick", 0, 83), ("tick", 50, 83), ("tick", 100, 83)]
    ]
    apart = at(allowed) - at(-allowed) > 30  # room for three labels
    number = most.lstrip("±\u202f")
    for sign, share in (("\u2212", -allowed), ("+", allowed)):
        parts.append(markup('<line class="limit" x1="{0}%" x2="{0}%" y1="48" y2="94"/>', at(share)))
        if apart:
            parts.append(markup('<text class="limit-text" x="{}%" y="112" text-anchor="middle">{}{}</text>', at(share), sign, number))
    parts.append(markup('<text class="{}" x="50%" y="112" text-anchor="middle">{}</text>', "" if apart else "limit-text", "0" if apart else most))
    x = at(found)
    dx, anchor = (9, "start") if x < 55 else (-9, "end")
    mark = '<svg x="{0}%" y="72" overflow="visible" class="at"><use href="#m-{1}" x="-8.15" y="-8.15" width="16.3" height="16.3"/></svg>'
    parts.append(markup('<g class="is-{1}"><line class="pole" x1="{0}%" x2="{0}%" y1="10" y2="72"/>' + mark, x, kind))
    parts.append(markup('<text class="value" x="{}%" y="26" dx="{}" text-anchor="{}">{}</text></g>', x, dx, anchor, value))
    return markup('<svg class="ruler" height="122" role="img"><title>{}</title>{}</svg>', spoken, joined(parts))


def _clock(moment: datetime) -> str:
    return f"{moment:%H:%M}"


def _n(number: float) -> float:
    return round(number, 3)
