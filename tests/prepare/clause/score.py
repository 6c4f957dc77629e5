# SPDX-License-Identifier: MIT
"""Precision and recall of the clause reader on a labelled file: limits, units, targets, quantities, each trap.

    python tests/prepare/clause/score.py tests/clauses/tuning.toml [--misses]

A limit counts as found when a requirement with the same number and unit stands in the answer; unit,
target, quantity and sense are counted over the limits found by number. A trap that the labeller calls
debatable counts neither way.
"""

from __future__ import annotations

import sys
import tomllib
from collections import Counter
from fractions import Fraction
from pathlib import Path

from brackish.prepare.clause import read

FIELDS = ("applies_to", "quantity", "sense")
MORE = (
    "judged",
    "decision_rule",
    "guard_band",
    "level",
    "reference_temperature",
    "solution_volume",
    "area",
    "count",
    "stage",
    "test_within",
    "blank_rule",
    "service",
    "condition",
    "on_inconclusive",
    "limit_mean",
    "limit_restated",
)


def number(limit: str) -> Fraction:
    return Fraction(limit.split()[0])


def unit(limit: str) -> str:
    return limit.split(None, 1)[1]


class Score:
    """Counts of right, false and missed answers by name."""

    def __init__(self) -> None:
        self.right: Counter[str] = Counter()
        self.false: Counter[str] = Counter()
        self.missed: Counter[str] = Counter()
        self.notes: list[str] = []

    def row(self, name: str) -> str:
        right, false, missed = self.right[name], self.false[name], self.missed[name]
        precision = f"{100 * right / (right + false):5.0f} %" if right + false else "      –"
        recall = f"{100 * right / (right + missed):5.0f} %" if right + missed else "      –"
        return f"| {name:<46} | {right:5} | {false:5} | {missed:6} | {precision} | {recall} |"

    def set(self, name: str, wanted: set, given: set, where: str) -> None:
        self.right[name] += len(wanted & given)
        self.false[name] += len(given - wanted)
        self.missed[name] += len(wanted - given)
        self.notes += [f"{where}: false {one}" for one in sorted(map(str, given - wanted))]
        self.notes += [f"{where}: missed {one}" for one in sorted(map(str, wanted - given))]


def score(path: Path) -> Score:
    total = Score()
    for clause in tomllib.loads(path.read_text(encoding="utf-8"))["clause"]:
        reading = read(clause["text"]).to_dict()
        given = {trap["code"] for trap in reading["traps"]}
        debatable = set(clause.get("debatable", []))
        for code in sorted((given | set(clause["traps"])) - debatable):
            total.set(code, {code} & set(clause["traps"]), {code} & given, clause["id"])
        _limits(total, clause, reading)
        wanted = bool(clause["questions_expected"])
        total.set("questions expected", {1} if wanted else set(), {1} if reading["questions"] else set(), clause["id"])
        spans = [clause["text"][a["span"][0] : a["span"][1]] for a in reading["not_understood"]]
        for words in clause.get("not_understood", []):
            total.set("not understood", {words}, {words} if any(words in span or span in words for span in spans) else set(), clause["id"])
    return total


def _limits(total: Score, clause: dict, reading: dict) -> None:
    open_ = list(reading["requirements"])
    for wanted in clause.get("requirement", []):
        found = _partner(wanted, open_)
        if found is None:
            total.missed["requirement"] += 1
            total.notes.append(f"{clause['id']}: missed requirement {wanted.get('limit', wanted['quote'])}")
            if "limit" in wanted:
                total.missed["limit (number and unit)"] += 1
                total.missed["limit, unit, target and quantity all right"] += 1
            continue
        open_.remove(found)
        total.right["requirement"] += 1
        if "limit" in wanted:
            same = found.get("limit") == wanted["limit"] or (number(found["limit"]), unit(found["limit"])) == (number(wanted["limit"]), unit(wanted["limit"]))
            whole = same and found["applies_to"] == wanted["applies_to"] and found.get("quantity") == wanted.get("quantity")
            total.set("limit (number and unit)", {wanted["limit"]}, {wanted["limit"]} if same else {found["limit"]}, clause["id"])
            total.right["limit, unit, target and quantity all right"] += whole
            total.missed["limit, unit, target and quantity all right"] += not whole
            total.false["limit, unit, target and quantity all right"] += not whole
        for field in FIELDS + MORE:
            a, b = wanted.get(field), found.get(field)
            total.set(field, {a} - {None}, {b} - {None}, f"{clause['id']} {field} ({wanted.get('limit', '')})")
        for field in ("placement", "on_failure"):
            total.set(f"{field} found", {field} if field in wanted else set(), {field} if field in found else set(), clause["id"])
        total.set("methods", set(wanted.get("methods", [])), set(found.get("methods", [])), f"{clause['id']} methods")
    for extra in open_:
        total.false["requirement"] += 1
        total.notes.append(f"{clause['id']}: false requirement {extra.get('limit', extra.get('applies_to'))}")
        if "limit" in extra:
            total.false["limit (number and unit)"] += 1
            total.false["limit, unit, target and quantity all right"] += 1


def _partner(wanted: dict, candidates: list[dict]) -> dict | None:
    if "limit" not in wanted:
        return next((one for one in candidates if "limit" not in one and one["applies_to"] == wanted["applies_to"]), None)
    same = [one for one in candidates if "limit" in one and number(one["limit"]) == number(wanted["limit"])]
    return next((one for one in same if one["applies_to"] == wanted["applies_to"] and unit(one["limit"]) == unit(wanted["limit"])), same[0] if same else None)


def main() -> None:
    total = score(Path(sys.argv[1]))
    names = [
        "requirement",
        "limit (number and unit)",
        "limit, unit, target and quantity all right",
        *FIELDS,
        *MORE,
        "methods",
        "placement found",
        "on_failure found",
        "questions expected",
        "not understood",
    ]
    traps = sorted({name for counter in (total.right, total.false, total.missed) for name in counter if name.startswith("clause.")})
    print(f"| {'what':<46} | right | false | missed | precision | recall |")
    print("|---|---|---|---|---|---|")
    for name in names + traps:
        print(total.row(name))
    for counter in (total.right, total.false, total.missed):
        counter["all traps"] = sum(counter[name] for name in traps)
    print(total.row("all traps"))
    if "--misses" in sys.argv:
        print("\n".join(total.notes))


if __name__ == "__main__":
    main()
