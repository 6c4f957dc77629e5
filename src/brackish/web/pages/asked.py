# SPDX-License-Identifier: MIT
"""What a contract asks, in plain words: one entry a criterion. Nothing is filled in: what is not agreed says so."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _

from brackish.judge.moments import when
from brackish.quantities import QUANTITIES
from brackish.report.words import RULE_WORDS, typed_amount

Document = dict[str, Any]


def asked(case: Any) -> list[Document]:
    """Each criterion: where it stands, the sentence in three parts (the middle one loud), and what belongs to it."""
    return [_entry(spec, criterion) for spec, criterion in case.criteria.values()]


def _entry(spec: Document, criterion: Document) -> Document:
    clause = criterion.get("source", {}).get("clause")
    return {
        "id": criterion["id"],
        "where": str(spec.get("title") or spec["id"]) + (_(", clause %s") % clause if clause else ""),
        "before": _before(criterion),
        "must": _must(criterion),
        "after": _after(criterion),
        "more": " ".join(part for part in (_rule(criterion), _counted(criterion), _agreed(criterion), _if_not(criterion)) if part),
    }


def _before(criterion: Document) -> str:
    things = {
        "steel": _("Steel must be tested"),
        "abrasive": _("Abrasive must be tested"),
        "extraction-water": _("The water for the tests must be tested"),
        "washing-water": _("The water for washing must be tested"),
    }
    stages = {
        "incoming": _("when it arrives"),
        "before-blasting": _("before blasting"),
        "after-washing": _("after washing"),
        "after-blasting": _("after blasting and before the first coat"),
        "between-coats": _("between coats"),
    }
    return " ".join(part for part in (things.get(criterion.get("applies_to", ""), ""), stages.get(criterion.get("stage", ""), "")) if part) + "."


def _must(criterion: Document) -> str:
    if "limit" not in criterion:
        return _("No limit is agreed.")
    words = {
        "at-most": _("must be at most %s"),
        "below": _("must be below %s"),
        "at-least": _("must be at least %s"),
    }
    limit = words.get(criterion.get("sense", ""), _("is to be compared with %s")) % typed_amount(str(criterion["limit"]))
    if criterion.get("judged") == "mean":
        return _("The mean %s") % limit
    if criterion.get("judged") == "each-and-mean" and "limit_mean" in criterion:
        return _("Each result %(limit)s, and the mean %(mean)s") % {
            "limit": limit,
            "mean": words.get(criterion.get("sense", ""), "%s") % typed_amount(str(criterion["limit_mean"])),
        }
    return _("Each result %s") % limit


def _after(criterion: Document) -> str:
    quantity = criterion.get("quantity", "")
    if quantity not in QUANTITIES:
        return _(", but of which quantity is not agreed.")
    at = f" {_('at %s') % typed_amount(criterion['reference_temperature'])}" if "reference_temperature" in criterion else ""
    return _(", as %(what)s%(at)s.") % {"what": QUANTITIES[quantity].words, "at": at}


def _rule(criterion: Document) -> str:
    return RULE_WORDS.get(criterion.get("decision_rule", ""), _("No decision rule is agreed, so no verdict can be given."))


def _counted(criterion: Document) -> str:
    if "count" not in criterion:
        return _("How many is not agreed.")
    rule = str(criterion["count"])
    return _("How many: %s.") % (rule if any(each.isdigit() for each in rule) else rule.replace("-", " "))


def _agreed(criterion: Document) -> str:
    agreed = criterion.get("agreed")
    if not agreed:
        return ""
    by = agreed.get("by", "")
    by = by if isinstance(by, str) else ", ".join(by)
    parts = [_("Agreed"), _("on %s") % when(str(agreed["at"])) if agreed.get("at") else "", _("by %s") % by if by else ""]
    return " ".join(part for part in parts if part) + "."


def _if_not(criterion: Document) -> str:
    return _("If it is not met: %s.") % str(criterion["on_failure"]).rstrip(".") if criterion.get("on_failure") else ""
