# SPDX-License-Identifier: MIT
"""Filters of every template, in `FILTERS` at the foot.

{{ mark|verdict }}               word, shape and colour; `mark` is a table with `kind` and `word`
{{ "warning"|mark }}             a mark of the sprite
{{ drawn|strip(spoken) }}        markup of `drawing.py`: strip, ruler, slots
{{ result.shown|amount }}        a computed number: 29.4 with its unit, smaller
{{ runs|runs }}                  a text of `report/words.py`: words, written and computed numbers
{{ "28 uS/cm"|fact }}            a number that a person wrote, on its line
{{ time|when }}                  4 March 2026, 09:05
{{ code|lesson }}                the lesson that explains a finding; empty where none does
"""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

from django.template.defaultfilters import filesizeformat
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from brackish import quantities
from brackish.judge import moments
from brackish.report import words
from brackish.web.pages import drawing
from brackish.web.pages.lesson_of import lesson_of
from brackish.web.pages.markup import joined, markup


def mark(kind: str) -> SafeString:
    """A mark of the sprite, silent."""
    return markup('<svg class="mark" viewBox="0 0 24 24" aria-hidden="true"><use href="#m-{}" width="24" height="24"/></svg>', kind)


def verdict(said: dict[str, Any], size: str = "") -> SafeString:
    """A verdict: the one way in which it is shown."""
    return _verdict(said["kind"], verdict_word(said), large=size == "large")


def _verdict(kind: str, word: str, *, large: bool) -> SafeString:
    return markup('<span class="verdict{} is-{}">{} {}</span>\n', " verdict-large" if large else "", kind, mark(kind), word)


VERDICT_WORDS = {
    "pass": gettext_lazy("Pass"),
    "fail": gettext_lazy("Fail"),
    "inconclusive": gettext_lazy("Inconclusive"),
    "withheld": gettext_lazy("Withheld"),
    "void": gettext_lazy("Void"),
    "accepted": gettext_lazy("Accepted by agreed rule"),
}


def verdict_word(said: dict[str, Any]) -> str:
    """The word of a verdict in the reader's language."""
    return _("Not yet") if said.get("word") == "Not yet" else str(VERDICT_WORDS.get(said["kind"], said.get("word", "")))


def amount(shown: str) -> SafeString:
    """A `shown` text: the number, then its unit smaller."""
    number, unit = words.split(str(shown or ""))
    return _number(number, unit)


def fact(text: object) -> SafeString:
    """What a person wrote."""
    return runs(words.written(text))


def runs(said: list[Any]) -> SafeString:
    """A text of runs (see `report/words.py`)."""
    return joined(_run(run) for run in said)


def _run(run: Any) -> SafeString | str:
    if isinstance(run, str):
        return run
    if "bold" in run:
        return markup("<b>{}</b>", run["bold"])
    if "quiet" in run:
        return markup('<span class="quiet">{}</span>', run["quiet"])
    number = _number(run["number"], run.get("unit", ""))
    return markup('<span class="fact">{}</span>', number) if run.get("written") else number


def _number(number: str, unit: str) -> SafeString:
    return markup('<span class="nb">{}<span class="unit">{}</span></span>', number, unit) if unit else markup("{}", number)


def when(text: str) -> str:
    """A time as it was written, for people."""
    return moments.when(str(text))


def clock(text: str) -> str:
    """The time of day of a time, or its day where it has none."""
    day, _comma, time = moments.when(str(text)).partition(", ")
    return time or day


def day(text: str) -> str:
    return words.day_of(str(text))


def typed(text: str) -> str:
    """An amount of the contract as it is printed: 50 mg/m²."""
    return words.typed_amount(str(text))


def named(key: str) -> str:
    """A key of a document as words."""
    return words.name_of(str(key))


def as_json(value: object) -> str:
    """A value for an attribute that a script reads."""
    return json.dumps(value, ensure_ascii=False)


def verdict_of(kind: str) -> SafeString:
    """A large mark of a kind alone: void."""
    return _verdict(kind, verdict_word({"kind": kind}), large=True)


def unit(text: str) -> str:
    """A unit as it is printed: uS/cm as µS/cm."""
    return quantities.shown_unit(text)


def typing(value: object) -> str:
    """A stored value as a person would type it again; lists with semicolons."""
    return "; ".join(str(part) for part in value) if isinstance(value, list) else str(value)


def kind(value: object) -> str:
    """How a field gives its value back (`record.js`)."""
    return "list" if isinstance(value, list) else "integer" if isinstance(value, int) else "text"


def first_sentence(text: str) -> str:
    """The sentence of a message that says what is so."""
    first, stop, _rest = text.partition(". ")
    return first + stop.strip()


def further_sentences(text: str) -> str:
    """What a message says to do about it."""
    return text.partition(". ")[2]


FILTERS: dict[str, Callable[..., object]] = {
    "amount": amount,
    "capfirst": words.capital,
    "clock": clock,
    "day": day,
    "fact": fact,
    "filesizeformat": filesizeformat,
    "first_sentence": first_sentence,
    "further_sentences": further_sentences,
    "json": as_json,
    "kind": kind,
    "lesson": lesson_of,
    "mark": mark,
    "named": named,
    "ruler": drawing.ruler,
    "runs": runs,
    "slots": drawing.slots,
    "strip": drawing.strip,
    "typed": typed,
    "typing": typing,
    "unit": unit,
    "verdict": verdict,
    "verdict_of": verdict_of,
    "when": when,
}
