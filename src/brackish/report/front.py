# SPDX-License-Identifier: MIT
"""Page one: what a customer asks, in the order it is asked.

Did the locations tested meet the clause? What was found, and where? By whose rule? How sure?
What next? Who signs?
"""

from __future__ import annotations

from typing import Any

from brackish.judge.moments import when
from brackish.judge.wording import kind_of
from brackish.record.statement import fingerprint
from brackish.report import figures
from brackish.report.case import Case, Counted
from brackish.report.words import (
    JUDGED_WORDS,
    NO_BREAK,
    RULE_WORDS,
    SENSE_WORDS,
    VERDICT_WORDS,
    Runs,
    capital,
    name_of,
    plus_minus,
    reasons_of,
    split,
    typed_amount,
)

Document = dict[str, Any]

NOT_SIGNED = "not yet signed"
NO_KEY = "signed, no key"  # as somebody wrote it down; nothing in the file proves it
SIGNING_ROLES = ("tester", "inspector", "contractor", "owner")
ORIGINS = {"budget": "from this instrument chain", "method": "from the published figure of the method"}
ENDINGS = {
    "reject": "counts as not met",
    "retest": "test again",
    "refer": "refer to the parties named in the contract",
}


def front(case: Case) -> Document:
    """The texts and positions of page one."""
    return {
        "question": _question(case),
        "verdict": job_mark(case),
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


def job_mark(case: Case) -> Document:
    kind = kind_of(case.outcome["job"])
    withheld = [verdict for _, verdict in case.item_verdicts() if verdict["verdict"] == "withheld"]
    missing_only = kind == "withheld" and withheld and all(only_count(verdict) for verdict in withheld)
    return {"kind": kind, "word": "Not yet" if missing_only else VERDICT_WORDS[kind]}


def only_count(verdict: Document) -> bool:
    """Whether nothing but tests is missing."""
    codes = {reason["code"] for reason in verdict["reasons"]}
    return verdict["verdict"] == "withheld" and bool(codes) and codes <= {"count.missing", "count.planned"}


def _say(case: Case) -> list[str]:
    job = case.outcome["job"]
    return list(job.get("summary", [])) or reasons_of(job)


def count_words(verdict: Document) -> str:
    """`3 of 3 locations`, `2 of 2 tests`, or what was counted when no number was agreed."""
    counted, required, noun = verdict["counted"], verdict.get("required"), verdict.get("by", "location")
    if required is None and noun == "test":  # a lot or a water counts by itself
        return f"{counted} test{'' if counted == 1 else 's'}"
    if required is None:
        return f"{counted} {noun}{'' if counted == 1 else 's'}, number not agreed"
    return f"{counted} of {required} {noun}{'' if required == 1 else 's'}"


def item_mark(case: Case, verdict: Document) -> Document:
    """The mark of an item, with the reason where a verdict is withheld for more than missing tests."""
    kind = kind_of(verdict)
    why = "" if only_count(verdict) else " ".join(reasons_of(verdict)[:1] or _said_of_mean(case, verdict) or _said_of_waters(case, verdict))
    return {"kind": kind, "word": "Not yet" if only_count(verdict) else VERDICT_WORDS[kind], "why": why}


def _said_of_mean(case: Case, verdict: Document) -> list[str]:
    """The mean beside each result, which has a limit of its own and no column."""
    if case.criteria[verdict["criterion"]][1].get("judged") != "each-and-mean" or not verdict.get("comparison"):
        return []
    return [f"Mean {verdict['shown_value']}, {verdict['comparison']} {verdict['shown_limit']}."]


def _said_of_waters(case: Case, verdict: Document) -> list[str]:
    """What was found in blanks, which are judged as water but have no page of their own."""
    spots = [spot for spot in verdict.get("spots", []) if not any(id in case.judged for id in spot["tests"])]
    return [text.partition(": ")[2] for spot in spots for text in spot.get("shown", [])]


def _table(case: Case, criterion: str) -> Document | None:
    lines = [(item, verdict, case.counted(verdict)) for item, verdict in case.item_verdicts() if verdict["criterion"] == criterion]
    if not lines:
        return None
    asked = case.criteria[criterion][1]
    counted = [one for _, _, tests in lines for one in tests]
    results = [one.result for one in counted if one.result]
    judged = [one.verdict for one in counted] + [verdict for _, verdict, _ in lines]
    limited = next((verdict for verdict in judged if "limit" in verdict), {})
    scale = figures.common_scale(values=[result["value"] for result in results], limit=limited.get("limit")) if results else None
    return {
        "criterion": criterion,
        "quantity": capital(case.words_of(asked.get("quantity", ""))),
        "scale": f"{scale.numerals()[0]['label']} to {scale.numerals()[-1]['label']}" if scale else "",
        "limit": split(limited.get("shown_limit") or typed_amount(asked.get("limit", "not agreed")))[0],
        "unit": split(results[0]["shown"])[1] if results else "",
        "extreme": "Mean" if asked.get("judged") == "mean" else "Lowest" if asked.get("sense") == "at-least" else "Highest",
        "rows": [_row(case, item, verdict, tests, limited.get("limit"), scale) for item, verdict, tests in lines],
    }


def _row(case: Case, item: Document, verdict: Document, counted: list[Counted], limit: float | None, scale: figures.Scale | None) -> Document:
    placed = [(one.result["value"], one.kind) for one in counted if one.result]
    asked = case.criteria[verdict["criterion"]][1]
    if "value" in verdict and asked.get("judged") == "mean":  # a mean, on top of what it is the mean of
        placed.append((verdict["value"], kind_of(verdict)))
    number, plus = _value(verdict, counted, asked)
    return {
        "name": case.name("item", item["id"]),
        "count": count_words(verdict),
        "strip": figures.strip(readings=placed, limit=limit, scale=scale) if scale else None,
        "spoken": _spoken(counted),
        "value": number,
        "plus": plus,
        "mark": item_mark(case, verdict),
    }


def _value(verdict: Document, counted: list[Counted], asked: Document) -> tuple[str, str]:
    """The mean where only that is judged, else the result nearest to or furthest past the limit."""
    if "shown_value" in verdict and asked.get("judged") == "mean":
        return split(verdict["shown_value"])[0], plus_minus(verdict)
    results = [one.result for one in counted if one.result]
    pick = min if asked.get("sense") == "at-least" else max
    worst = pick(results, key=lambda result: result["value"], default=None)
    if worst:
        return split(worst["shown"])[0], plus_minus(worst)
    return ("–" if verdict.get("spots") else "no result"), ""


def _spoken(counted: list[Counted]) -> str:
    said = [f"{one.result['shown']} {VERDICT_WORDS.get(one.kind, '').lower()}".strip() for one in counted if one.result]
    return "Results: " + ", ".join(said) if said else "No results"


def _not_counted(case: Case) -> list[str]:
    void = [test["id"] for test in case.outcome.get("tests", []) if test["state"] == "void"]
    lines = [_earlier(case, one, last) for one, last in case.overtaken()]
    unasked = [case.name("item", item["id"]) for item in case.outcome.get("items", []) if not item.get("verdicts")]
    lines += [f"Void and not counted: {', '.join(void)}."] if void else []
    lines += [f"No requirement is about: {', '.join(unasked)}."] if unasked else []
    return lines


def _earlier(case: Case, one: Counted, last: str) -> str:
    value = f" with {split(one.result['shown'])[0]} {plus_minus(one.result)}".rstrip() if one.result else ""
    word = f", {VERDICT_WORDS[one.kind].lower()}" if one.kind in VERDICT_WORDS else ""
    return f"Earlier round: {one.test['id']}{word}{value}. {last} stands in its place."


def _rule(case: Case, criterion: str) -> Runs | None:
    spec, asked = case.criteria[criterion]
    clause = asked.get("source", {}).get("clause")
    where = f"{spec.get('title', spec.get('id', ''))}{f', clause {clause}' if clause else ''}: "
    if "limit" not in asked:
        return [where, "no limit is agreed."]
    limit = f"{JUDGED_WORDS.get(asked.get('judged', ''), '')} {_bounded(asked, 'limit')}"
    if asked.get("judged") == "each-and-mean":
        limit += f", the mean {_bounded(asked, 'limit_mean') or 'without a limit of its own'},"
    what = f"{limit} of {case.words_of(asked.get('quantity', ''))}. ".lstrip()
    rule = RULE_WORDS.get(asked.get("decision_rule", ""), "No decision rule is agreed.")
    return [where, {"bold": what}, rule, *_guard(asked), *_agreed(asked)]


def _bounded(asked: Document, field: str) -> str:
    """Such as "at most 50 mg/m²"; nothing where that limit is not agreed."""
    return f"{SENSE_WORDS.get(asked.get('sense', ''), '')} {typed_amount(asked[field])}".strip() if field in asked else ""


def _guard(asked: Document) -> Runs:
    band = asked.get("guard_band")
    if band is None or asked.get("decision_rule", "simple-acceptance") == "simple-acceptance":
        return []
    size = f"{band} at {typed_amount(asked.get('level', ''))}" if band in ("two-sided", "one-sided") else typed_amount(band)
    ending = ENDINGS.get(asked.get("on_inconclusive", "")) if asked["decision_rule"] == "three-way" else None
    return [f" Guard band {size.strip()}.", f" If inconclusive: {ending}." if ending else ""]


def _agreed(asked: Document) -> Runs:
    agreed = asked.get("agreed")
    if not agreed:
        source = asked.get("decision_rule_source")
        return [f" Source of the rule: {source}."] if source else [" Who agreed the rule, and when, is not recorded."]
    parts = [f"by {_names(agreed['by'])}" if agreed.get("by") else "", f"on {when(agreed['at'])}" if agreed.get("at") else "", agreed.get("document", "")]
    return [" Agreed " + ", ".join(part for part in parts if part) + "."]


def _names(by: str | list[str]) -> str:
    return by if isinstance(by, str) else ", ".join(by)


def _sure(case: Case) -> list[Runs]:
    said = [line for criterion in case.criteria if (line := _how_sure(case, criterion))]
    if any("_per_area" in str(asked.get("quantity", "")) for _, asked in case.criteria.values()) and said:
        said.append(["This is the uncertainty of what the procedure extracts, not of all salt on the steel."])
    assumed = list(dict.fromkeys(name_of(str(found["params"].get("input", ""))).lower() for found in _findings(case) if found["code"] == "uncertainty.assumed"))
    if assumed:
        said.append([{"bold": "Assumed, not known: "}, ", ".join(assumed) + "."])
    return said or [["No result, so nothing to be sure of."]]


def _how_sure(case: Case, criterion: str) -> Runs:
    """What single results under a criterion carry, and the largest chance of being wrong about a pass."""
    counted = [one for _, verdict in case.item_verdicts() if verdict["criterion"] == criterion for one in case.counted(verdict)]
    carried = [one.result for one in counted if one.result and plus_minus(one.result)]
    return [_carry(case, carried, criterion), _chance(case, counted, criterion)] if carried else []


def _carry(case: Case, carried: list[Document], criterion: str) -> str:
    small, large = (pick(carried, key=lambda result: result["expanded_uncertainty"]) for pick in (min, max))
    span = plus_minus(large) if plus_minus(small) == plus_minus(large) else f"{plus_minus(small)} to {plus_minus(large)}"
    origins = {ORIGINS[result["basis"]["uncertainty_from"]] for result in carried if result.get("basis", {}).get("uncertainty_from") in ORIGINS}
    words = capital(case.words_of(case.criteria[criterion][1].get("quantity", "")))
    unit = split(large["shown"])[1]
    return f"{words}: single results carry {span}{NO_BREAK}{unit} ({large['shown_coverage']}){', ' + ' or '.join(sorted(origins)) if origins else ''}."


def _chance(case: Case, counted: list[Counted], criterion: str) -> str:
    """Under `at-least` the outcome's chance of being over the limit is not the chance of being wrong, and stays on the page of the test."""
    passing = [one.verdict for one in counted if one.verdict.get("verdict") == "pass" and "probability_over_limit" in one.verdict]
    if not passing or case.sense(criterion) == "at-least":
        return ""
    most = max(passing, key=lambda verdict: verdict["probability_over_limit"])["shown_probability"].replace(" ", NO_BREAK)
    return f" Where a test passes, the chance of being over the limit is {'' if most.startswith('<') else 'at most '}{most}."


def _findings(case: Case) -> list[Document]:
    return [found for test in case.outcome.get("tests", []) for found in test.get("findings", [])] + list(case.outcome["job"].get("findings", []))


def _next(case: Case) -> list[Runs]:
    lines: list[Runs] = [line for item, verdict in case.item_verdicts() if (line := _open_item(case, item, verdict))]
    lines += [[{"bold": "Question: "}, question["text"]] for question in case.job.get("question", []) if not question.get("answer")]
    still_open = [entry for entry in case.job.get("nonconformance", []) if not entry.get("closed_by")]
    lines += [[{"bold": "Non-conformance not closed: "}, str(entry.get("id") or ", ".join(entry.get("tests", [])))] for entry in still_open]
    if lines:
        return lines
    return [["Nothing is open."]] if case.outcome["job"]["verdict"] == "pass" else [[reason] for reason in reasons_of(case.outcome["job"])]


def _open_item(case: Case, item: Document, verdict: Document) -> Runs:
    _, asked = case.criteria.get(verdict["criterion"], ({}, {}))
    name: Runs = [{"bold": f"{case.name('item', item['id'])}: "}]
    if verdict["verdict"] == "fail":
        return [*name, _sentence(asked.get("on_failure") or "what follows a failure is not agreed; clean again and test again")]
    if verdict["verdict"] == "inconclusive":
        return [*name, _sentence(ENDINGS.get(asked.get("on_inconclusive", ""), "what follows an inconclusive result is not agreed"))]
    return [*name, " ".join(reasons_of(verdict))] if verdict["verdict"] == "withheld" else []


def _sentence(text: str) -> str:
    return text.rstrip(".") + "."


def _signs(case: Case) -> list[Document]:
    signed = {str(entry.get("person", "")): entry for entry in case.job.get("signature", []) if isinstance(entry, dict)}
    named = [person for person in case.job.get("person", []) if person.get("role") in SIGNING_ROLES or person["id"] in signed]
    first: dict[str, Document] = {}  # who signs by an account may stand in the job under an id of its own too
    for person in sorted(named, key=lambda person: person["id"] not in signed):
        first.setdefault(person.get("name") or person["id"], person)
    people = [person for person in named if person in first.values()]
    boxes = [_sign(person, signed.get(person["id"])) for person in people]
    for role in ("tester", "inspector", "owner"):
        if len(boxes) < 3 and role not in {person.get("role") for person in people}:
            firm = case.job.get("job", {}).get(role, "")
            boxes.append({"name": "", "role": ", ".join(part for part in (role.capitalize(), firm) if part), "at": "", "state": NOT_SIGNED})
    return boxes


def _sign(person: Document, entry: Document | None) -> Document:
    as_what = str((entry or {}).get("role") or person.get("role", "")).capitalize()
    role = ", ".join(part for part in (as_what, person.get("employer", "")) if part)
    state = NOT_SIGNED if entry is None else f"key {fingerprint(key=entry['key'])}" if entry.get("key") else NO_KEY
    return {"name": person.get("name", person["id"]), "role": role, "at": when(str(entry.get("at", ""))) if entry else "", "state": state}
