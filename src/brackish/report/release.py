# SPDX-License-Identifier: MIT
"""The page from failure to release: for each place or lot that failed, what was done and what still blocks."""

from __future__ import annotations

import re

from brackish.errors import BrackishError
from brackish.judge import release
from brackish.judge.moments import when
from brackish.judge.wording import VERDICT_WORDS, kind_of
from brackish.report.words import Document, Runs, pair, split


def released(job: Document, outcome: Document) -> Document | None:
    """The texts of the page, or None where nothing failed."""
    judged = [verdict for rows in (outcome["tests"], outcome["items"]) for row in rows for verdict in row["verdicts"]]
    if not any(verdict["verdict"] in ("fail", "inconclusive") for verdict in judged):
        return None  # the way back from a failure is worked out again only where there was one
    try:
        found = release.of_job(job)
    except BrackishError:  # a job that was judged by another program
        return None
    if not found["places"]:
        return None
    return {"released": found["released"], "line": amounts_in(found["line"]), "places": [_place(place) for place in found["places"]]}


def _place(place: Document) -> Document:
    return {
        "name": place["name"] or place["place"],
        "under": ", ".join(
            part for part in (place["item_name"], place["criterion"], f"limit {place['shown_limit']}" if "shown_limit" in place else "") if part
        ),
        "released": place["released"],
        "line": amounts_in(place["line"]),
        "tests": [_test(test) for test in place["tests"]],
        "rows": [pair(label, runs) for label, runs in _rows(place)],
        "blocks": [amounts_in(note["message"]) for note in place["blocks"]],
    }


def _test(test: Document) -> Document:
    number, unit = split(test.get("shown", ""))
    sure = split(test["shown_uncertainty"])[0] if "shown_uncertainty" in test and not number.startswith("<") else ""
    return {
        "id": test["test"],
        "round": str(test["round"]),
        "when": when(test.get("at", "")),
        "who": test.get("tester", ""),
        "number": number,
        "sure": sure,
        "unit": unit,
        "kind": kind_of(test) or "plain",
        "word": VERDICT_WORDS.get(kind_of(test), ""),
    }


def _rows(place: Document) -> list[tuple[str, Runs]]:
    paper, cleaned, by = place.get("nonconformance"), place.get("reclean"), place.get("released_by")
    rows: list[tuple[str, Runs]] = []
    if paper:
        rows.append(("Non-conformance", [_with_time(f"{paper['id']}, raised by {paper['raised_by']}", paper.get("raised_at", ""))]))
        rows += [(label, [paper[key]]) for label, key in (("Cause", "cause"), ("Done", "disposition")) if paper[key]]
    if cleaned:
        water = f", water: {cleaned['water']}" if cleaned["water"] else ""
        rows.append(("Cleaned again", [_with_time(cleaned["method"] + water, cleaned.get("finished_at", ""))]))
    rows.append(("Area", amounts_in(place["quarantine"]["message"])))
    if "neighbours" in place:
        beside = "; ".join(_neighbour(each) for each in place["neighbours"]["places"])
        rows.append(("Beside it", amounts_in(f"{place['neighbours']['message']} {beside}".strip())))
    if by:
        rows.append(("Released by", [_with_time(by["who"], by.get("at", ""))]))
    return rows


AMOUNT = re.compile(r"(\S+)\u00a0([a-zµ]+/[a-z]+²?)")


def amounts_in(text: str) -> Runs:
    """A sentence with its amounts as amounts: a unit never breaks from its number, nor at its stroke."""
    runs: Runs = []
    at = 0
    for found in AMOUNT.finditer(text):
        runs += [text[at : found.start()], {"number": found[1], "unit": found[2]}]
        at = found.end()
    return [*runs, text[at:]]


def _neighbour(each: Document) -> str:
    done = f"{each['test']} {each.get('shown', '')} {each.get('verdict', '')}".strip() if each["done"] else "not yet tested again"
    far = f", {each['distance']} away" if "distance" in each else ""
    return f"{each['name'] or each['location']}{far}: {done}"


def _with_time(text: str, at: str) -> str:
    return f"{text}, {when(at)}" if at else text
