# SPDX-License-Identifier: MIT
"""Page one: what a customer asks, in the order it is asked.

Did the locations tested meet the clause? What was found, and where? By whose rule? How sure?
What next? Who signs?
"""

from __future__ import annotations

from typing import Any

from brackish.report import figures
from brackish.report.case import Case, Counted
from brackish.report.words import (
    JUDGED_WORDS,
    RULE_WORDS,
    SENSE_WORDS,
    VERDICT_WORDS,
    Runs,
    capital,
    chance,
    fingerprint,
    kind_of,
    name_of,
    plus_minus,
    reasons_of,
    typed_amount,
    when,
)

Document = dict[str, Any]

SIGNING_ROLES = ("tester", "inspector", "contractor", "owner")
ENDINGS = {
    "reject": "counts as not met",
    "retest": "test again",
    "refer": "refer to the parties named in the contract",
}


def front(case: Case) -> Document:
    """The texts and positions of page one."""
    return {
        "question": _question(case),
        "verdict": _job_mark(case),
        "say": _say(case),
        "tables": [table for criterion in case.criteria if (table := _table(case, criterion))],
        "also": _not_counted(case),
        "rules": [rule for criterion in case.criteria if (rule := _rule(case, criterion))],
        "sure": _sure(case),
        "next": _next(case),
        "signs": _signs(case),
    }


def _question(case: Case) -> str:
    kinds = {case.entry("item", item["id"]).get("kind") for item, _ in case.item_verdicts()}
    what = "the locations tested" if kinds == {"steel"} else "what was tested"
    clauses = {criterion.get("source", {}).get("clause") for _, criterion in case.criteria.values()}
    clause = clauses.pop() if len(clauses) == 1 else None
    return f"Did {what} meet clause {clause}?" if clause else f"Did {what} meet the contract?"


def _job_mark(case: Case) -> Document:
    verdict = case.outcome["job"]["verdict"]
    verdicts = [item_verdict for _, item_verdict in case.item_verdicts()]
    kind = verdict
    if verdict == "pass" and any(_item_kind(case, item, item_verdict) == "accepted" for item, item_verdict in case.item_verdicts()):
        kind = "accepted"
    not_passed = [one for one in verdicts if one["verdict"] == "withheld"]
    missing_only = verdict == "withheld" and not_passed and all(_only_count(one) for one in not_passed)
    return {"kind": kind, "word": "Not yet" if missing_only else VERDICT_WORDS[kind]}


def _only_count(verdict: Document) -> bool:
    """Whether nothing but tests is missing."""
    required = verdict.get("required")
    return verdict["verdict"] == "withheld" and required is not None and verdict.get("counted", 0) < required


def _say(case: Case) -> list[str]:
    job = case.outcome["job"]
    return list(job.get("summary", [])) or reasons_of(job)


def _item_kind(case: Case, item: Document, verdict: Document) -> str:
    marks = {kind_of(one.verdict, sense=case.sense(verdict["criterion"])) for one in case.counted(item["id"], verdict["criterion"])}
    return "accepted" if verdict["verdict"] == "pass" and "accepted" in marks else str(verdict["verdict"])


def count_words(case: Case, item: Document, verdict: Document) -> str:
    """`3 of 3 locations`, `2 of 2 tests`, or what was counted when no number was agreed."""
    counted, required = verdict.get("counted", 0), verdict.get("required")
    noun = "location" if case.entry("item", item["id"]).get("kind") == "steel" else "test"
    if required is None:
        return f"{counted} {noun}{'' if counted == 1 else 's'}, number not agreed"
    return f"{counted} of {required} {noun}{'' if required == 1 else 's'}"


def item_mark(case: Case, item: Document, verdict: Document) -> Document:
    """The mark of an item, with what stands behind it."""
    kind = _item_kind(case, item, verdict)
    word = "Not yet" if _only_count(verdict) else VERDICT_WORDS[kind]
    why = "" if _only_count(verdict) or verdict["verdict"] == "pass" else " ".join(reasons_of(verdict))
    return {"kind": kind, "word": word, "why": why}


def _table(case: Case, criterion: str) -> Document | None:
    lines = [(item, verdict, case.counted(item["id"], criterion)) for item, verdict in case.item_verdicts() if verdict["criterion"] == criterion]
    if not lines:
        return None
    _, asked = case.criteria[criterion]
    results = [one.result for _, _, counted in lines for one in counted if one.result]
    limits = [one.verdict["limit"] for _, _, counted in lines for one in counted if "limit" in one.verdict]
    limit = limits[0] if limits else None
    scale = figures.common_scale(values=[result["value"] for result in results], limit=limit) if results else None
    unit = results[0]["shown"].partition("\u00a0")[2] if results else ""
    return {
        "criterion": criterion,
        "quantity": capital(case.words_of(asked.get("quantity", ""))),
        "scale": f"{scale.numerals()[0]['label']} to {scale.numerals()[-1]['label']}" if scale else "",
        "limit": typed_amount(asked.get("limit", "not agreed")).partition("\u00a0")[0],
        "unit": unit,
        "extreme": "Lowest" if asked.get("sense") == "at-least" else "Highest",
        "rows": [_row(case, item, verdict, counted, limit, scale) for item, verdict, counted in lines],
    }


def _row(case: Case, item: Document, verdict: Document, counted: list[Counted], limit: float | None, scale: figures.Scale | None) -> Document:
    sense = case.sense(verdict["criterion"])
    placed = [(one.result["value"], kind_of(one.verdict, sense=sense)) for one in counted if one.result]
    worst = _extreme(counted, sense)
    return {
        "name": case.name("item", item["id"]),
        "count": count_words(case, item, verdict),
        "strip": figures.strip(readings=placed, limit=limit, scale=scale) if scale else None,
        "spoken": _spoken(counted, sense),
        "value": worst["shown"].partition("\u00a0")[0] if worst else "no result",
        "plus": plus_minus(worst) if worst else "",
        "mark": item_mark(case, item, verdict),
    }


def _extreme(counted: list[Counted], sense: str) -> Document | None:
    results = [one.result for one in counted if one.result]
    pick = min if sense == "at-least" else max
    return pick(results, key=lambda result: result["value"], default=None)


def _spoken(counted: list[Counted], sense: str) -> str:
    said = [f"{one.result['shown']} {VERDICT_WORDS[kind_of(one.verdict, sense=sense)].lower()}" for one in counted if one.result]
    return "Results: " + ", ".join(said) if said else "No results"


def _not_counted(case: Case) -> list[str]:
    void = [test["id"] for test in case.outcome.get("tests", []) if test["state"] == "void"]
    earlier = [_earlier(case, test, last) for test, last in case.overtaken()]
    return [*earlier, f"Void and not counted: {', '.join(void)}."] if void else earlier


def _earlier(case: Case, test: Document, last: str) -> str:
    verdict = test["verdicts"][0]
    result = case.result_judged(test, verdict)
    value = f" with {result['shown'].replace(chr(160), f' {plus_minus(result)} ').strip()}" if result else ""
    word = VERDICT_WORDS[kind_of(verdict, sense=case.sense(verdict["criterion"]))].lower()
    return f"Overtaken by a retest: {test['id']}, {word}{value}; {last} stands in its place."


def _rule(case: Case, criterion: str) -> Runs | None:
    spec, asked = case.criteria[criterion]
    clause = asked.get("source", {}).get("clause")
    where = f"{spec.get('title', spec.get('id', ''))}{f', clause {clause}' if clause else ''}: "
    if "limit" not in asked:
        return [where, "no limit is agreed."]
    limit = f"{SENSE_WORDS.get(asked.get('sense', ''), '')} {typed_amount(asked['limit'])}".strip()
    what = f"{JUDGED_WORDS.get(asked.get('judged', ''), '')} {limit} of {case.words_of(asked.get('quantity', ''))}. ".lstrip()
    rule = RULE_WORDS.get(asked.get("decision_rule", ""), "No decision rule is agreed.")
    return [where, {"bold": what}, rule, *_guard(asked), *_agreed(asked)]


def _guard(asked: Document) -> Runs:
    band = asked.get("guard_band")
    if band is None or asked.get("decision_rule") == "simple-acceptance":
        return []
    size = f"{band} at {typed_amount(asked.get('level', ''))}" if band in ("two-sided", "one-sided") else typed_amount(band)
    ending = ENDINGS.get(asked.get("on_inconclusive", ""))
    return [f" Guard band {size.strip()}.", f" If inconclusive: {ending}." if ending else ""]


def _agreed(asked: Document) -> Runs:
    agreed = asked.get("agreed")
    if not agreed:
        source = asked.get("decision_rule_source")
        return [f" Source of the rule: {source}."] if source else [" Who agreed the rule, and when, is not recorded."]
    parts = [f"by {agreed['by']}" if agreed.get("by") else "", f"on {when(agreed['at'])}" if agreed.get("at") else "", agreed.get("document", "")]
    return [" Agreed " + ", ".join(part for part in parts if part) + "."]


def _sure(case: Case) -> list[Runs]:
    said: list[Runs] = []
    for criterion in case.criteria:
        counted = [one for item in case.outcome.get("items", []) for one in case.counted(item["id"], criterion) if one.result]
        if carried := [one.result for one in counted if one.result and one.result.get("expanded_uncertainty") is not None]:
            said.append([_carry(case, carried, criterion)])
        said += _chances(counted)
    if said:
        said.append(["This is the uncertainty of what the procedure extracts, not of all salt on the steel."])
    assumed = sorted({name_of(str(found["params"].get("input", ""))).lower() for found in _findings(case) if found["code"] == "uncertainty.assumed"})
    if assumed:
        said.append([{"bold": "Assumed, not known: "}, ", ".join(assumed) + "."])
    return said or [["No result, so nothing to be sure of."]]


def _carry(case: Case, carried: list[Document], criterion: str) -> str:
    small, large = (pick(carried, key=lambda result: result["expanded_uncertainty"]) for pick in (min, max))
    unit = large["shown"].partition("\u00a0")[2]
    span = plus_minus(large) if plus_minus(small) == plus_minus(large) else f"{plus_minus(small)} to {plus_minus(large)}"
    level = f" at {100 * large['level']:.0f}\u00a0%" if "level" in large else ""
    words = case.words_of(case.criteria[criterion][1].get("quantity", ""))
    return f"Single results carry {span}\u00a0{unit}{level} ({words})."


def _chances(counted: list[Counted]) -> list[Runs]:
    passing = [one.verdict["probability_over_limit"] for one in counted if one.verdict["verdict"] == "pass" and "probability_over_limit" in one.verdict]
    if not passing:
        return []
    most = chance(max(passing))
    return [[f"Where a test passes, the chance that the extractable amount is over the limit is {'' if most.startswith('<') else 'at most '}{most}."]]


def _findings(case: Case) -> list[Document]:
    return [found for test in case.outcome.get("tests", []) for found in test.get("findings", [])] + list(case.outcome["job"].get("findings", []))


def _next(case: Case) -> list[Runs]:
    lines: list[Runs] = [line for item, verdict in case.item_verdicts() if (line := _open_item(case, item, verdict))]
    lines += [[{"bold": "Question: "}, str(question.get("text", question.get("id", "")))] for question in case.job.get("question", []) if not question.get("answer")]
    open_cases = [case_ for case_ in case.job.get("nonconformance", []) if not case_.get("closed_by")]
    lines += [[{"bold": "Non-conformance not closed: "}, str(case_.get("area") or ", ".join(case_.get("tests", [])))] for case_ in open_cases]
    return lines or [["Nothing is open."]]


def _open_item(case: Case, item: Document, verdict: Document) -> Runs:
    _, asked = case.criteria.get(verdict["criterion"], ({}, {}))
    name: Runs = [{"bold": f"{case.name('item', item['id'])}: "}]
    if verdict["verdict"] == "fail":
        return [*name, str(asked.get("on_failure") or "clean again and test again; the contract names no other action") + "."]
    if verdict["verdict"] == "inconclusive":
        return [*name, ENDINGS.get(asked.get("on_inconclusive", ""), "what follows an inconclusive result is not agreed") + "."]
    if _only_count(verdict):
        return [*name, f"{verdict['required'] - verdict.get('counted', 0)} more to test."]
    if verdict["verdict"] == "withheld":
        return [*name, " ".join(reasons_of(verdict)) or "the verdict is withheld."]
    return []


def _signs(case: Case) -> list[Document]:
    signed = {str(entry.get("person", "")): entry for entry in case.job.get("signature", []) if isinstance(entry, dict)}
    people = [person for person in case.job.get("person", []) if person.get("role") in SIGNING_ROLES or person["id"] in signed]
    boxes = [_sign(person, signed.get(person["id"])) for person in people]
    for role in ("tester", "inspector", "owner"):
        if len(boxes) < 3 and role not in {person.get("role") for person in people}:
            boxes.append({"name": "", "role": role.capitalize(), "at": "", "state": "not yet signed"})
    return boxes


def _sign(person: Document, entry: Document | None) -> Document:
    as_what = str((entry or {}).get("role") or person.get("role", "")).capitalize()
    role = ", ".join(part for part in (as_what, person.get("employer", "")) if part)
    state = "not yet signed" if entry is None else f"key {fingerprint(entry['key'])}" if entry.get("key") else "signed"
    return {"name": person.get("name", person["id"]), "role": role, "at": when(str(entry.get("at", ""))) if entry else "", "state": state}
