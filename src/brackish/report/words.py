# SPDX-License-Identifier: MIT
"""Pieces of text for the pages: written facts, shown numbers, times, verdict marks.

A text on a page is a list of runs, so that the pages can set each in its own hand:

    "plain"                                      words
    {"bold": "Not all."}                         words that answer
    {"quiet": "lot "}                            words that name what follows
    {"number": "9.1", "unit": "µS/cm", "written": True}   stands on a line: a person wrote it
    {"number": "29.4", "unit": "mg/m²"}          computed

Nothing is computed here: numbers are the outcome's `shown` texts, or digits as they were typed.
"""

from __future__ import annotations

import re
import unicodedata
from datetime import UTC, datetime
from typing import Any

from brackish import quantities
from brackish.judge import wording
from brackish.judge.moments import TIME, when

Document = dict[str, Any]
Run = str | Document
Runs = list[Run]

NO_BREAK = "\u00a0"
VERDICT_WORDS = wording.VERDICT_WORDS | {"void": "Void"}
RULE_WORDS = {
    "simple-acceptance": "Simple acceptance: at the limit or better passes, whatever the uncertainty.",
    "guarded-acceptance": "Guarded acceptance: what clears the limit by the guard band passes, all else fails.",
    "guarded-rejection": "Guarded rejection: only what is past the limit by more than the guard band fails.",
    "three-way": "Three-way rule: clear of the limit by the guard band passes, past it by the guard band fails, between is inconclusive.",
}
SENSE_WORDS = {"at-most": "at most", "below": "below", "at-least": "at least"}
JUDGED_WORDS = {"each": "each result", "mean": "the mean", "each-and-mean": "each result"}  # its mean has a limit of its own
HALF_WIDTH = 46  # characters of label and text beside each other
_AMOUNT = re.compile(r"([<>]?\s*[+-]?[\d.]+(?:[eE][+-]?\d+)?)\s+(\S+)")


_SPELT = {"pre-check": "Pre-check", "nacl": "NaCl", "ph": "pH", "test_within": "Coat within"}  # what no rule makes of the key


def name_of(key: str) -> str:
    """A key of a document as words: `volume_injected` to `Volume injected`."""
    return _SPELT.get(key) or key.replace("_", " ").replace("-", " ").capitalize()


def label(key: str) -> Document:
    """The name of a field before what stands in it."""
    return {"quiet": f"{name_of(key).lower()} "}


def file_name(document: Document, ending: str) -> str:
    """A name by which a file of a job is found again: number and title in safe characters, the job's id where they have none."""
    about: Document = document["job"] if isinstance(document.get("job"), dict) else {}
    plain = unicodedata.normalize("NFKD", f"{about.get('number', '')} {about.get('title', '')}").encode("ascii", "ignore").decode()
    named = re.sub(r"[^A-Za-z0-9]+", "-", plain)[:60].strip("-")
    return f"{named or re.sub(r'[^A-Za-z0-9-]+', '-', str(about.get('id', 'job')))}.{ending}"


def capital(text: str) -> str:
    """The text with a capital first letter, the rest untouched; one that begins like pH or mS stays as it is."""
    return text if text[1:2].isupper() else text[:1].upper() + text[1:]


def day_of(text: str) -> str:
    """The day of a time."""
    return when(text).split(", ")[0]


def offsets(document: object) -> set[str]:
    """The offsets from UTC of all times in a document."""
    return {match[5].replace("Z", "+00:00") for text in _texts(document) if (match := TIME.fullmatch(text)) and match[5]}


def latest_time(document: object) -> datetime | None:
    """The latest full time in a document: the date of its report, which never looks at a clock."""
    moments = []
    for text in _texts(document):
        if (match := TIME.fullmatch(text)) and match[5]:
            try:
                moments.append(datetime.fromisoformat(text.replace("Z", "+00:00")).astimezone(UTC))
            except (ValueError, OverflowError):
                continue
    return max(moments, default=None)


def under_title(about: dict[str, Any]) -> str:
    """The line under the title of a report: where, for whom, by whom."""
    parts = [about.get("site", ""), *(f"{role.capitalize()}: {about[role]}" for role in ("owner", "contractor") if about.get(role))]
    return ". ".join(part for part in parts if part)


def _texts(value: object) -> list[str]:
    if isinstance(value, str):
        return [value]
    parts = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    return [text for part in parts for text in _texts(part)]


def written(value: object) -> Runs:
    """What a person wrote: a number stands on its line, digits as typed, the unit as it is printed."""
    if isinstance(value, bool):
        return ["yes" if value else "no"]
    if isinstance(value, int):
        return [{"number": str(value), "unit": "", "written": True}]
    if isinstance(value, list):
        return joined([written(part) for part in value])
    if isinstance(value, dict):
        return joined([[label(key), *written(part)] for key, part in value.items()])
    text = str(value)
    if match := _AMOUNT.fullmatch(text):
        return [{"number": match[1], "unit": quantities.shown_unit(match[2]), "written": True}]
    return [when(text)]


def pair(label: str, runs: Runs) -> Document:
    """A label and what stands beside it; `long` where both do not fit in half a page's width."""
    return {"label": label, "runs": runs, "long": len(label) + sum(map(_length, runs)) > HALF_WIDTH}


def _length(run: Run) -> int:
    return len(run) if isinstance(run, str) else sum(len(run.get(part, "")) for part in ("bold", "quiet", "number", "unit"))


def joined(parts: list[Runs], between: str = ", ") -> Runs:
    """Several texts as one."""
    return [run for index, part in enumerate(parts) for run in ([between, *part] if index else part)]


def split(shown: str) -> tuple[str, str]:
    """A `shown` text as its number and its unit; a sign of a bound or ± stays with the number."""
    number, space, unit = shown.rpartition(NO_BREAK)
    return (number, unit) if space else (unit, "")


def computed(shown: str) -> Document:
    """A `shown` text as a run."""
    number, unit = split(shown)
    return {"number": number, "unit": unit}


def typed_amount(text: str) -> str:
    """An amount of a contract as it is printed: `50 mg/m2` to `50 mg/m²`."""
    if match := _AMOUNT.fullmatch(text):
        return f"{match[1]}\u00a0{quantities.shown_unit(match[2])}"
    return text


def plus_minus(result: Document) -> str:
    """The expanded uncertainty of a result without its unit, which stands beside it."""
    return split(result["shown_uncertainty"])[0] if "shown_uncertainty" in result and not result.get("bound") else ""


def reasons_of(verdict: Document) -> list[str]:
    """The reasons of a verdict, as sentences."""
    return [reason["message"] for reason in verdict.get("reasons", [])]
