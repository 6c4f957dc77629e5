# SPDX-License-Identifier: MIT
"""The page of a test: facts as written, the ruler, the working, the budget, findings, the kit."""

from __future__ import annotations

from typing import Any

from brackish import library, quantities
from brackish.judge.moments import when
from brackish.judge.wording import kind_of
from brackish.report import figures
from brackish.report.case import Case
from brackish.report.words import (
    NO_BREAK,
    SENSE_WORDS,
    VERDICT_WORDS,
    Run,
    Runs,
    capital,
    computed,
    joined,
    label,
    name_of,
    pair,
    plus_minus,
    reasons_of,
    split,
    typed_amount,
    written,
)

ASSUMED = "uncertainty.assumed"
IDENTIFYING_KEYS = ("lot", "expiry")
EQUIPMENT_KEYS = (
    *(*IDENTIFYING_KEYS, "opened_at", "certificate", "certified_uncertainty", "range", "graduation", "resolution", "accuracy"),
    *("temperature_compensation", "temperature_coefficient", "reference_temperature"),
)
LOCATION_WORDS = {
    "features": "",
    "orientation": "",
    "rust_grade": "rust grade",
    "drawing": "drawing",
    "grid": "grid",
    "x": "x",
    "y": "y",
    "chosen_by": "chosen by",
}
SEVERITIES = ("void", "warning", "note")

Document = dict[str, Any]
Pair = dict[str, Any]


def records(case: Case) -> list[Document]:
    """One entry for each test of the job, in its order."""
    return [record(case, test) for test in case.job.get("test", []) if test["id"] in case.judged]


def record(case: Case, test: Document) -> Document:
    """Everything the report says of one test that was judged."""
    judged = case.judged[test["id"]]
    return {
        "id": test["id"],
        "state": judged["state"],
        "head": _head(case, test),
        "under": _under(case, test, judged),
        "verdicts": [_verdict(case, judged, verdict) for verdict in judged.get("verdicts", [])] or _unjudged(case, judged),
        "void": _void(test, judged),
        "beside": _beside(case, judged),
        "facts": _facts(case, test),
        "portions": _portions(case, test),
        "working": _working(judged),
        "budgets": [_budget(case, result) for result in _on_rulers(case, judged) if result.get("budget")],
        "findings": _findings(judged.get("findings", [])),
        "kit": _kit(case, test, judged),
    }


def _head(case: Case, test: Document) -> str:
    place = case.name("location", test.get("location"))
    return ", ".join(part for part in (case.name("item", test.get("item")), place) if part)


def _under(case: Case, test: Document, judged: Document) -> str:
    method = case.method(judged["method"])
    what = method.title if method else judged["method"]
    round_ = f"round {test['round']}, retest of {test['retest_of']}" if test.get("retest_of") else ""
    purpose = "" if test.get("purpose", "acceptance") in ("acceptance", "retest") else f"{name_of(test['purpose'])}, not counted"
    at = when(str(test.get("read_at") or test.get("started") or ""))
    said = ". ".join(part for part in (what, at, case.name("person", test.get("tester")), capital(round_), purpose) if part) + "."
    return said.replace("?.", "?")  # the title of a method may be a question


def _verdict(case: Case, judged: Document, verdict: Document) -> Document:
    sense = case.sense(verdict["criterion"])
    kind = kind_of(verdict)
    result = case.result_judged(judged, verdict)
    return {
        "kind": kind,
        "word": VERDICT_WORDS[kind],
        "criterion": _criterion_words(case, verdict["criterion"]),
        "why": _why(verdict),
        "ruler": _ruler(verdict, result, kind, sense) if result else None,
    }


def _unjudged(case: Case, judged: Document) -> list[Document]:
    """The first result of a test that has no verdict of its own, on a ruler of its own."""
    words = "No verdict on this test alone: the mean is judged, or no requirement is about it."
    return [
        {"kind": "plain", "word": "Result", "criterion": case.words_of(result["quantity"]), "why": words, "ruler": _ruler({}, result, "plain", "at-most")}
        for result in judged.get("results", [])[:1]
    ]


def _why(verdict: Document) -> str:
    """The sentence on the verdict without its word, which stands beside it, then the chance."""
    said = verdict["shown"].partition(": ")[2] or " ".join(reasons_of(verdict))
    more = [reason for reason in reasons_of(verdict) if reason not in said]
    chance = f"The chance of being over the limit is {verdict['shown_probability']}." if "shown_probability" in verdict else ""
    return " ".join(capital(part) for part in (said, *more, chance) if part)


def _criterion_words(case: Case, criterion: str) -> str:
    _, asked = case.criteria.get(criterion, ({}, {}))
    limit = f"{SENSE_WORDS.get(asked.get('sense', ''), '')} {typed_amount(asked['limit'])}" if "limit" in asked else "no limit agreed"
    return f"{case.words_of(asked['quantity'])}, {limit.strip()}" if "quantity" in asked else f"What is counted is not agreed, {limit.strip()}"


def _ruler(verdict: Document, result: Document, kind: str, sense: str) -> Document:
    low, high = _edges(verdict, sense)
    reading = figures.Reading(
        value=result["value"],
        expanded=result.get("expanded_uncertainty"),
        bound=result.get("bound", ""),
        limit=verdict.get("limit"),
        band=(low[0] if low else None, high[0] if high else None),
    )
    drawing = figures.ruler(reading)
    number, unit = split(result["shown"])
    drawing |= {
        "kind": kind,
        "number": number,
        "rest": f"{plus_minus(result)}{NO_BREAK}{unit}".strip(NO_BREAK),
        "sub": result.get("shown_coverage", "") if plus_minus(result) else "",
        "limit_text": f"limit{NO_BREAK}{split(verdict['shown_limit'])[0]}" if "shown_limit" in verdict else "",
        "edges": [edge[1] if edge else "" for edge in (low, high)],
    }
    spoken = [f"Result {result['shown']} {plus_minus(result)}".strip(), drawing["limit_text"], *drawing["edges"], VERDICT_WORDS.get(kind, "not judged").lower()]
    drawing["alt"] = "Ruler. " + ", ".join(part for part in spoken if part) + "."
    return drawing


def _edges(verdict: Document, sense: str) -> tuple[tuple[float, str] | None, tuple[float, str] | None]:
    """Lower and upper edge of the guard band, with its words, where the agreed rule has them."""
    rule = verdict.get("decision_rule")
    words = ("passes from", "fails under") if sense == "at-least" else ("passes to", "fails over")
    inner = _edge(verdict, "accepts_to", words[0]) if rule in ("guarded-acceptance", "three-way") else None
    outer = _edge(verdict, "rejects_from", words[1]) if rule in ("guarded-rejection", "three-way") else None
    return (outer, inner) if sense == "at-least" else (inner, outer)


def _edge(verdict: Document, name: str, words: str) -> tuple[float, str] | None:
    return (verdict[name], f"{words}{NO_BREAK}{split(verdict[f'shown_{name}'])[0]}") if name in verdict else None


def _void(test: Document, judged: Document) -> str:
    if judged["state"] != "void":
        return ""
    if declared := test.get("void"):
        said = f"Declared void: {declared.get('reason', 'no reason given')}"
        return said.rstrip(".") + "."
    return " ".join(capital(found["message"]) for found in judged.get("findings", []) if found["severity"] == "void")


def _on_rulers(case: Case, judged: Document) -> list[Document]:
    """The results that stand on rulers, each once: those that a verdict is about, else the first."""
    found = [result for verdict in judged.get("verdicts", []) if (result := case.result_judged(judged, verdict))]
    once = [result for index, result in enumerate(found) if not any(result is one for one in found[:index])]
    return once or judged.get("results", [])[:1]


def _beside(case: Case, judged: Document) -> list[Runs]:
    """The results that no verdict is about, and what is to be said of those that one is about."""
    on_rulers = _on_rulers(case, judged)
    lines: list[Runs] = [_beside_line(case, result) for result in judged.get("results", []) if not any(result is one for one in on_rulers)]
    if any(result.get("detected") is False for result in on_rulers):
        lines.insert(0, ["Not detected: the result is under its critical value."])
    return lines


def _beside_line(case: Case, result: Document) -> Runs:
    number, unit = split(result["shown"])
    at = result.get("basis", {}).get("reference_temperature")
    return [
        f"Beside it, {case.words_of(result['quantity'])}: ",
        {"number": f"{number} {plus_minus(result)}".strip(), "unit": unit},
        f" at {typed_amount(at)}" if at else "",
        ", not detected" if result.get("detected") is False else "",
    ]


def _label(case: Case, test: Document, name: str) -> str:
    method = case.method(test.get("method", ""))
    fact = method.fact(name) if method else None
    return fact.label if fact else name_of(name)


def _facts(case: Case, test: Document) -> list[Pair]:
    facts = test.get("facts", {})
    given = [pair(_label(case, test, name), _written_in(test, facts, name)) for name in case.fact_names(test.get("method", ""), facts)]
    return given + [pair(f"Uncertainty given: {name_of(name).lower()}", written(value)) for name, value in test.get("uncertainty", {}).items()]


def _written_in(table: Document, facts: Document, name: str) -> Runs:
    """A fact as written; one that a run took from its recorded times (`web/pages/running.py`) was written by no person."""
    timed, value = table.get("x-from-times"), facts[name]
    if isinstance(timed, dict) and isinstance(value, str) and timed.get(name) == value:
        return [computed(typed_amount(value))]
    return written(value)


def _portions(case: Case, test: Document) -> Document | None:
    """Separate portions side by side: a row for each fact, a column for each portion."""
    portions = test.get("determination", [])
    if not portions:
        return None
    names = case.fact_names(
        test.get("method", ""), {name: None for portion in portions for name in portion if name != "uncertainty" and not name.startswith("x-")}
    )
    rows = [
        {"label": _label(case, test, name), "cells": [_written_in(portion, portion, name) if name in portion else ["–"] for portion in portions]}
        for name in names
    ]
    return {"count": len(portions), "rows": rows}


def _working(judged: Document) -> list[Document]:
    """The steps of all results in their order; a step that two results share stands once."""
    steps = [_step(step) for result in judged.get("results", []) for step in result.get("steps", [])]
    return [step for index, step in enumerate(steps) if step not in steps[:index]]


def _step(step: Document) -> Document:
    source = library.sources().get(step.get("source", ""))
    formula = ". ".join(part for part in (step.get("formula", ""), source.title.split(",")[0] if source else "") if part)
    return {"text": capital(step["text"]), "formula": formula, "shown": computed(step["shown"]) if step.get("shown") else None}


def _budget(case: Case, result: Document) -> Document:
    inputs = sorted(result["budget"], key=lambda part: -abs(part["contribution"]))
    lengths = figures.bars([part["contribution"] for part in inputs])
    return {
        "of": case.words_of(result["quantity"]),
        "unit": split(result["shown"])[1],
        "rows": [
            {
                "input": name_of(part["input"]),
                "value": part["shown"],
                "u": _standard(part),
                "from": part["provenance"],
                "part": split(part["shown_contribution"])[0],
                "bar": length,
            }
            for part, length in zip(inputs, lengths, strict=True)
        ],
        "sum": f"u: standard uncertainty. Expanded uncertainty {result['shown_uncertainty']}, {result['shown_coverage']}.",
    }


def _standard(part: Document) -> str:
    """The standard uncertainty of an input with two digits; that of a temperature is a difference, in kelvin."""
    unit = split(part["shown_standard_uncertainty"])[1]
    size = 100.0 if unit.startswith("%") else 1.0
    return f"{quantities.significant(size * part['standard_uncertainty'], digits=2)}{NO_BREAK}{unit.replace('°C', 'K')}"


def _findings(found: list[Document]) -> list[Document]:
    """Findings with their sentences; what was assumed for several inputs stands in one."""
    assumed = [one for one in found if one["code"] == ASSUMED]
    rest = [{"severity": one["severity"], "message": capital(one["message"]), "code": one["code"]} for one in found if one["code"] != ASSUMED]
    return sorted([*rest, *_assumed(assumed)], key=lambda one: SEVERITIES.index(one["severity"]))


def _assumed(found: list[Document]) -> list[Document]:
    if len(found) < 2:
        return [{"severity": one["severity"], "message": capital(one["message"]), "code": one["code"]} for one in found]
    parts = [f"{name_of(one['params']['input']).lower()} ({typed_amount(one['params']['value'])})" for one in found]
    return [{"severity": found[0]["severity"], "message": f"Nothing was given for these, so common practice is assumed: {'; '.join(parts)}.", "code": ASSUMED}]


def _kit(case: Case, test: Document, judged: Document) -> list[Pair]:
    pairs: list[tuple[str, Runs]] = [("Method", _method(case, test, judged))]
    pairs.append(
        ("Equipment", joined([equipment_words(case.entry("equipment", id), before=str(test.get("read_at", ""))) for id in test.get("equipment", [])], ". "))
    )
    if blank := case.entry("blank", test.get("blank")):
        pairs.append(("Blank", blank_words(blank)))
    pairs.append(("Who and when", joined([part for part in (_people(case, test), _times(test)) if part], "; ")))
    pairs.append(("Location", _location(case.entry("location", test.get("location")))))
    pairs += [("Deviation", _deviation(case, entry)) for entry in test.get("deviations", [])]
    pairs += [("Photo", [str(photo.get("shows") or photo.get("file", "")), f" {str(photo.get('sha256', ''))[:16]}"]) for photo in test.get("photos", [])]
    return [pair(label, runs) for label, runs in pairs if runs]


def _location(location: Document) -> Runs:
    said = [[{"quiet": f"{word} ".lstrip()}, *written(location[key])] for key, word in LOCATION_WORDS.items() if location.get(key)]
    return joined(said)


def _method(case: Case, test: Document, judged: Document) -> Runs:
    method = case.method(judged["method"])
    standards = ", ".join(standard.document for standard in method.standards) if method else ""
    edition = test.get("edition") or (f"{standards}, edition not stated" if standards else "")
    return ["; ".join(part for part in (edition, f"{judged['method']} {judged.get('method_version', '')}".rstrip()) if part)]


def equipment_words(entry: Document, *, before: str = "", full: bool = False) -> Runs:
    """A piece of equipment in one line: kind and number, in full its figures too, and its last check before a reading."""
    runs: Runs = [{"bold": f"{name_of(str(entry.get('kind') or entry.get('id', '')))} {entry.get('serial', '')}".strip()}]
    for key in EQUIPMENT_KEYS if full else IDENTIFYING_KEYS:
        if key in entry:
            runs += [", ", label(key), *written(entry[key])]
    checks = [check for check in entry.get("verification", []) if not before or str(check["at"]) <= before]
    if checks:
        last = max(checks, key=lambda check: str(check["at"]))
        runs += [f", verified {when(str(last['at']))}: ", *written(last["reading"]), f" in {last['solution']}"]
        runs += [" at ", *written(last["temperature"])] if "temperature" in last else []
    return runs


def blank_words(blank: Document) -> Runs:
    """A blank in one line."""
    runs: Runs = [{"bold": f"{blank['id']}, {str(blank.get('kind', '')).replace('-', ' ')}"}]
    named: list[tuple[str, Run]] = [("reading", ": "), ("temperature", " at "), ("solution_volume", " in ")]
    for key, before in named:
        if key in blank:
            runs += [before, *written(blank[key])]
    return [*runs, f", {when(str(blank['at']))}"] if "at" in blank else runs


def _times(test: Document) -> Runs:
    said = [(word, when(str(test[key]))) for key, word in (("started", "started"), ("read_at", "read")) if key in test]
    days = {time.partition(", ")[0] for _, time in said}
    if len(days) == 1:
        return [f"{days.pop()}, " + ", ".join(f"{word} {time.partition(', ')[2]}" for word, time in said)]
    return [", ".join(f"{word} {time}" for word, time in said)] if said else []


def _people(case: Case, test: Document) -> Runs:
    said = [f"{case.name('person', test[key])}, {word}" for key, word in (("tester", "tester"), ("recorder", "recorder")) if key in test]
    for witness in test.get("witnesses", []):
        there = "witness, present" if witness.get("present") else "witness, waived" if witness.get("waived") else "witness, not present"
        said.append(f"{case.name('person', witness.get('person'))}, {there}")
    return ["; ".join(said)] if said else []


def _deviation(case: Case, entry: Document) -> Runs:
    by = f" Agreed by {case.name('person', entry['agreed_by'])}" if entry.get("agreed_by") else " Not agreed by anyone"
    return [
        str(entry.get("what", "")),
        f". {entry.get('why', '')}".rstrip(". "),
        f".{by}{', ' + when(str(entry['agreed_at'])) if entry.get('agreed_at') else ''}.",
    ]
