# SPDX-License-Identifier: MIT
"""From failure to release as text: what failed, what was done since, what still blocks."""

from __future__ import annotations

from typing import Any

from brackish.cli.text import wrapped
from brackish.judge.wording import VERDICT_WORDS


def lines(release: dict[str, Any]) -> list[str]:
    """The release of a job for people, in 80 columns; the last line is the answer."""
    text = ["FROM FAILURE TO RELEASE", ""]
    for place in release["places"]:
        text += [*_place(place), ""]
    return [*text, *wrapped(release["line"])]


def _place(place: dict[str, Any]) -> list[str]:
    text = wrapped(f"{place['item_name']}: {place['name']} ({place['criterion']})", f"{place['place']:<5} ")
    for test in place["tests"]:
        said = VERDICT_WORDS[test["verdict"]].lower()
        value = f": {test['shown']} {test['shown_uncertainty']}, {said}" if "shown" in test else f": {said}"
        text += wrapped(f"{test['test']}, round {test['round']}{value}", "      ", hanging=" " * 8)
    paper, cleaned = place.get("nonconformance"), place.get("reclean")
    if paper:
        text += _line("Paper", f"{paper['id'] or 'without number'}, raised by {paper['raised_by'] or 'nobody named'}")
        text += _line("Cause", paper["cause"] or "not written") + (_line("Done", paper["disposition"]) if paper["disposition"] else [])
    if cleaned:
        text += _line("Cleaned", ", ".join(part for part in (cleaned["method"], cleaned.get("finished_at", "").replace("T", " ")[:16]) if part))
    text += _line("Area", place["quarantine"]["message"])
    if "neighbours" in place:
        near = ", ".join(f"{row['location']}{' ' + row['distance'] if 'distance' in row else ''} ({_state(row)})" for row in place["neighbours"]["places"])
        text += _line("Beside", f"{place['neighbours']['message']} {near}".rstrip())
    if "released_by" in place:
        text += _line("Closed", f"by {place['released_by']['who']}, {place['released_by'].get('at', 'no time written').replace('T', ' ')[:16]}")
    text += [line for index, block in enumerate(place["blocks"], start=1) for line in _line(f"Blocks {index}", block["message"])]
    return text + wrapped(place["line"], "      ", hanging=" " * 6)


def _state(row: dict[str, Any]) -> str:
    return f"{row['test']} {row['verdict']}" if "test" in row else "not tested again"


def _line(label: str, message: str) -> list[str]:
    return wrapped(message, f"      {label:<9} ")
