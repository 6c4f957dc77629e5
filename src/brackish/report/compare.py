# SPDX-License-Identifier: MIT
"""The page that says why two results differ: one for each dispute, and for each second tester's pair.

Which tests stand beside each other follows from the job: a test of purpose `dispute` or `pair` is
held against the first other test of its location, else of its item.
"""

from __future__ import annotations

from brackish.errors import BrackishError
from brackish.judge import compare
from brackish.judge.moments import when
from brackish.report.figures import common_scale
from brackish.report.words import Document, Runs, pair, split

CALLED_FOR = ("dispute", "pair")
KINDS = {"yes": "fail", "not-shown": "plain", "not-comparable": "withheld"}


def compared(job: Document) -> list[Document]:
    """The texts of a page for every pair of tests that the job calls to compare."""
    pages = []
    for one, other in pairs_of(job):
        try:
            pages.append(_page(compare.compare(job, one, other)))
        except BrackishError:  # a job that was judged by another program; its tests stand without this page
            continue
    return pages


def pairs_of(job: Document) -> list[tuple[str, str]]:
    """The ids of the tests to hold against each other, the earlier first."""
    tests = job.get("test", [])
    found = []
    for test in tests:
        if test.get("purpose") in CALLED_FOR:
            others = [each for each in tests if each["item"] == test["item"] and each.get("purpose") not in CALLED_FOR and not each.get("void")]
            same_place = [each for each in others if each.get("location") and each.get("location") == test.get("location")]
            beside = (same_place or others)[:1]
            found += [(each["id"], test["id"]) for each in beside]
    return found


def _page(found: Document) -> Document:
    steps = found["steps"]
    scale = common_scale(values=[value for step in steps for value in (step["from"], step["to"])], limit=None) if steps else None
    remaining = found.get("remaining") or {}
    return {
        "title": f"{found['a']['test']} and {found['b']['test']}",
        "kind": KINDS[found["differ"]],
        "headline": found["headline"].rstrip("."),
        "why": found["why"],
        "sides": [_side(found["a"]), _side(found["b"])],
        "basis": found["basis"]["shown"] if "basis" in found else "",
        "unit": split(steps[0]["shown_to"])[1] if steps else "",
        "start": split(steps[0]["shown_from"])[0] if steps else "",
        "steps": [
            {"sentence": step["sentence"], "to": split(step["shown_to"])[0], "bar": sorted((scale.at(step["from"]), scale.at(step["to"])))}
            for step in steps
            if scale
        ],
        "left": f"{remaining['shown']}, a difference of {remaining['shown_difference']}, {remaining['shown_uncertainty']} (95 %)"
        if "shown_uncertainty" in remaining
        else "",
        "may_be": [note["message"] for note in remaining.get("may_be", [])],
        "what_if": [row["sentence"] for row in found.get("what_if", [])],
    }


def _side(side: Document) -> Document:
    rows: list[tuple[str, Runs]] = [
        (label, [text]) for label, text in (("Who", side.get("tester", "")), ("Where", side.get("place", "")), ("When", when(side.get("at", "")))) if text
    ]
    if "read" in side:
        number, unit = split(side["read"])
        rows.append(("Read", [{"number": number, "unit": unit, "written": True}]))
    if "shown" in side:
        number, unit = split(side["shown"])
        sure = f" {side['shown_uncertainty']}" if "shown_uncertainty" in side and "bound" not in side else ""
        rows.append(("Result", [{"number": number, "unit": unit}, f"{sure}, {side['words']}"]))
    return {"name": side["test"], "rows": [pair(label, runs) | {"long": False} for label, runs in rows]}
