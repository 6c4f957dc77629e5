# SPDX-License-Identifier: MIT
"""How many tests a rule asks for, with the working in words, and how many of them a job has done.

The counting itself is `library/counting.py`. Two unit systems in one rule often ask for different
numbers: both are shown, and the larger is taken unless the contract says which one governs.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from math import fsum
from typing import Any

from brackish import library
from brackish.errors import InputError
from brackish.judge import sampling
from brackish.judge.main import evaluate
from brackish.library import counting
from brackish.library.counting import Rule, Tier
from brackish.quantities import DIMENSIONS, shown_unit
from brackish.record.document import read_job
from brackish.record.fields import as_quantity
from brackish.record.job import Item
from brackish.record.specification import Criterion

UNITS = {"metric": "m2", "foot": "ft2"}


def by_rule(*, rule: str, area: str, governs: str = "") -> dict[str, Any]:
    """Tests that a rule (library name or text) asks for on one area, by unit system, with the working and what they could show."""
    read, named = counting.read_rule(rule), library.count_rules().get(rule)
    quantity = as_quantity(area, "area", positive=True)
    asked = _asked(read, quantity.exact, governs or (named.governs if named else ""))
    return {"rule": read.text, **asked, "sampling": sampling.of_passes(asked["tests"], done=False)}


def _asked(rule: Rule, area: Fraction | None, governs: str) -> dict[str, Any]:
    by_system = counting.tests_by_system(rule=rule, area=area)
    if rule.by_area and governs and governs not in {tier.system for tier in rule.tiers}:
        raise InputError("counts.governs", place="governs", given=repr(rule.text), governs=governs)
    return {
        "tests": counting.required(rule=rule, area=area, governs=governs),
        "by_unit_system": {name: number for name, number in by_system.items() if name in UNITS},
        "working": _working(rule, area, by_system, governs),
    }


def _working(rule: Rule, area: Fraction | None, by_system: Mapping[str, int], governs: str) -> str:
    if rule.per_item is not None:
        return f"{rule.per_item} for each item, whatever its area"
    if area is None:
        return ""
    parts = [_in_words(tier, area) + (f", but at least {rule.least}" if tier.tests(area) < rule.least else "") for tier in rule.tiers]
    if len(parts) == 1:
        return parts[0]
    sides = "; ".join(f"{tier.system}: {words}" for tier, words in zip(rule.tiers, parts, strict=True))
    if len(set(by_system.values())) == 1:
        return f"{sides}; both ask for the same"
    return f"{sides}; {governs} governs" if governs else f"{sides}; the larger counts, as none was said to govern"


def _in_words(tier: Tier, area: Fraction) -> str:
    """Such as "3 for the first 100 m², then 1 for each 200 m² or part of the further 200 m²: 3 + 1 = 4"."""
    tests, unit = tier.tests(area), UNITS[tier.system]
    each = f"{tier.each} for each {_shown(tier.each_area, unit)} or part"
    if not tier.first:
        return f"{each} of {_shown(area, unit)}: {_times(tier.each, tests)}{tests}"
    first = f"{tier.first} for the first {_shown(tier.first_area, unit)}"
    if area <= tier.first_area:
        return f"{first}, and {_shown(area, unit)} is no more than that: {tests}"
    further = tests - tier.first
    product = f"{further // tier.each} × {tier.each}" if tier.each > 1 else f"{further}"
    return f"{first}, then {each} of the further {_shown(area - tier.first_area, unit)}: {tier.first} + {product} = {tests}"


def _times(each: int, tests: int) -> str:
    return f"{tests // each} × {each} = " if each > 1 else ""


def _shown(area: Fraction, unit: str) -> str:
    """An area in m² or ft² with at most one decimal, never rounded to nothing."""
    value = area / DIMENSIONS["area"].units[unit]
    text = f"{float(value):.1f}" if value >= 1 else f"{float(value):.3g}"
    return f"{text.removesuffix('.0')}\u00a0{shown_unit(unit)}"


def of_job(document: Mapping[str, Any]) -> dict[str, Any]:
    """For every item and criterion of a job: tests done, required and still open, and what those done show about the rest."""
    job, outcome = read_job(document), evaluate(document).to_dict()
    criteria, items = {each.id: each for each in job.criteria}, {each.id: each for each in job.item}
    judged = {test["id"]: test for test in outcome["tests"]}
    rows = [
        _row(items[item["id"]], criteria[verdict["criterion"]], verdict) | _sampling(verdict, judged, criteria[verdict["criterion"]].sense)
        for item in outcome["items"]
        for verdict in item["verdicts"]
    ]
    return {"items": rows, "open": sum(row.get("open", 0) for row in rows)}


def _row(item: Item, criterion: Criterion, verdict: Mapping[str, Any]) -> dict[str, Any]:
    row: dict[str, Any] = {"item": item.id, "criterion": criterion.id, "done": verdict["counted"], "by": verdict["by"]}
    reasons = [reason["message"] for reason in verdict["reasons"] if reason["code"].startswith("count.") and reason["code"] != "count.missing"]
    row |= {"reason": reasons[0]} if reasons else {}
    if criterion.count is None:
        return row
    row["rule"] = criterion.count.text
    if "required" not in verdict:
        return row
    asked = _asked(criterion.count, item.area.exact if item.area else None, criterion.governs)
    return (
        row | {"required": verdict["required"], "open": max(0, verdict["required"] - row["done"])} | {key: asked[key] for key in ("by_unit_system", "working")}
    )


def _sampling(verdict: Mapping[str, Any], judged: Mapping[str, Any], sense: str) -> dict[str, Any]:
    """What the passes show, and how far the results reach by their own scatter, one a place.

    A bound or a missing result says nothing of that, nor do places that passed in a later round only, nor a limit from below.
    """
    found = {"sampling": verdict["sampling"]} if "sampling" in verdict else {}
    earlier = [_own(judged[test], verdict["criterion"]).get("verdict") for spot in verdict["spots"] for test in spot["earlier"]]
    if verdict["by"] != "location" or sense == "at-least" or "fail" in earlier or "inconclusive" in earlier:
        return found
    places = [[_own(judged[test], verdict["criterion"]) for test in spot["tests"]] for spot in verdict["spots"]]
    own = [each for place in places for each in place]
    if not own or any("value" not in each or each.get("bound") for each in own):
        return found
    reach = sampling.of_results([fsum(each["value"] for each in place) / len(place) for place in places], own[0]["quantity"])
    return found | ({"reach": reach} if reach else {})


def _own(test: Mapping[str, Any], criterion: str) -> Mapping[str, Any]:
    return next((each for each in test["verdicts"] if each["criterion"] == criterion), {})
