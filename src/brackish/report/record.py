# SPDX-License-Identifier: MIT
"""The page of a test: facts as written, the ruler, the working, the budget, findings, the kit."""

from __future__ import annotations

from typing import Any

from brackish import quantities
from brackish.report import figures
from brackish.report.case import Case
from brackish.report.words import (
    SENSE_WORDS,
    VERDICT_WORDS,
    Run,
    Runs,
    computed,
    joined,
    kind_of,
    like,
    name_of,
    pair,
    plus_minus,
    reasons_of,
    typed_amount,
    when,
    written,
)

Document = dict[str, Any]
Pair = dict[str, Any]


def records(case: Case) -> list[Document]:
    """One entry for each test of the job, in its order."""
    return [_record(case, test, case.judged[test["id"]]) for test in case.job.get("test", []) if test["id"] in case.judged]


def _record(case: Case, test: Document, judged: Document) -> Document:
    return {
        "id": test["id"],
        "state": judged["state"],
        "head": _head(case, test),
        "under": _under(case, test, judged),
        "verdicts": [_verdict(case, judged, verdict) for verdict in judged.get("verdicts", [])],
        "void": _void(test, judged),
        "beside": _beside(case, judged),
        "facts": _facts(case, test),
        "portions": _portions(case, test),
        "working": [_working(case, result) for result in judged.get("results", []) if result.get("steps")],
        "budgets": [_budget(case, result) for result in judged.get("results", []) if result.get("budget")],
        "findings": [_finding(found) for found in judged.get("findings", [])],
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
    return ". ".join(part for part in (what, at, case.name("person", test.get("tester")), round_.capitalize(), purpose) if part) + "."


def _verdict(case: Case, judged: Document, verdict: Document) -> Document:
    sense = case.sense(verdict["criterion"])
    kind = kind_of(verdict, sense=sense)
    result = case.result_judged(judged, verdict)
    return {
        "kind": kind,
        "word": VERDICT_WORDS[kind],
        "criterion": _criterion_words(case, verdict["criterion"]),
        "why": " ".join(part for part in (verdict.get("shown", ""), *reasons_of(verdict)) if part),
        "ruler": _ruler(verdict, result, kind, sense) if result else None,
    }


def _criterion_words(case: Case, criterion: str) -> str:
    _, asked = case.criteria.get(criterion, ({}, {}))
    limit = f"{SENSE_WORDS.get(asked.get('sense', ''), '')} {typed_amount(asked['limit'])}" if "limit" in asked else "no limit agreed"
    return f"{case.words_of(asked.get('quantity', ''))}, {limit.strip()}"


def _ruler(verdict: Document, result: Document, kind: str, sense: str) -> Document:
    limit = verdict.get("limit")
    band = _band(verdict, sense)
    reading = figures.Reading(
        value=result["value"], expanded=result.get("expanded_uncertainty"), bound=result.get("bound", ""), limit=limit, band=(band["lower"], band["upper"])
    )
    unit = result["shown"].partition("\u00a0")[2]
    drawing = figures.ruler(reading)
    limit_text = f"limit\u00a0{_plain(limit)}" if limit is not None else ""
    passes, fails = (band["words"] + ["", ""])[:2]
    drawing |= {
        "kind": kind,
        "number": result["shown"].partition("\u00a0")[0],
        "rest": f"{plus_minus(result)}\u00a0{unit}".strip(),
        "sub": _interval_words(result),
        "limit_text": limit_text,
        "edges": [f"{word}\u00a0{like(edge, result['shown'])}" if edge is not None else "" for word, edge in ((passes, band["lower"]), (fails, band["upper"]))],
    }
    spoken = [f"Result {result['shown']} {plus_minus(result)}".strip(), limit_text, *drawing["edges"], VERDICT_WORDS[kind].lower()]
    drawing["alt"] = "Ruler. " + ", ".join(part for part in spoken if part) + "."
    return drawing


def _band(verdict: Document, sense: str) -> Document:
    """The edges of the guard band that the rule has, and what each says; none where no rule is agreed."""
    limit, guard = verdict.get("limit"), verdict.get("guard_band")
    rule = verdict.get("decision_rule")
    if limit is None or not guard:
        return {"lower": None, "upper": None, "words": []}
    inner, outer = rule in ("guarded-acceptance", "three-way"), rule in ("guarded-rejection", "three-way")
    if sense == "at-least":
        return {"lower": limit - guard if outer else None, "upper": limit + guard if inner else None, "words": ["fails under", "passes from"]}
    return {"lower": limit - guard if inner else None, "upper": limit + guard if outer else None, "words": ["passes to", "fails over"]}


def _plain(value: float) -> str:
    return quantities.show(value, unit="", decimals=0) if value == int(value) else f"{value:.6g}"


def _interval_words(result: Document) -> str:
    expanded = result.get("expanded_uncertainty")
    if expanded is None or result.get("bound"):
        return ""
    low, high = (like(result["value"] + sign * expanded, result["shown"]) for sign in (-1, 1))
    return f"{low} to {high}, {100 * result.get('level', 0.95):.0f}\u00a0%"


def _void(test: Document, judged: Document) -> str:
    if judged["state"] != "void":
        return ""
    if declared := test.get("void"):
        said = f"Declared void: {declared.get('reason', 'no reason given')}"
        return said.rstrip(".") + "."
    return " ".join(found["message"] for found in judged.get("findings", []) if found["severity"] == "void")


def _beside(case: Case, judged: Document) -> list[Runs]:
    """The results that no verdict is about, and what is to be said of those that one is about."""
    with_verdict = [case.result_judged(judged, verdict) for verdict in judged.get("verdicts", [])]
    lines = [_beside_line(case, result) for result in judged.get("results", []) if not any(result is one for one in with_verdict)]
    hidden = [result for result in with_verdict if result and result.get("detected") is False]
    return [*([["Not detected: the result is below its critical value."]] if hidden else []), *lines]


def _beside_line(case: Case, result: Document) -> Runs:
    shown = computed(result["shown"])
    expanded = plus_minus(result)
    at = result.get("basis", {}).get("reference_temperature")
    return [
        f"Beside it, {case.words_of(result['quantity'])}: ",
        shown | {"number": f"{shown['number']} {expanded}".strip()},
        f" at {typed_amount(at)}" if at else "",
        ", not detected" if result.get("detected") is False else "",
    ]


def _label(case: Case, test: Document, name: str) -> str:
    method = case.method(test.get("method", ""))
    fact = method.fact(name) if method else None
    return fact.label if fact else name_of(name)


def _facts(case: Case, test: Document) -> list[Pair]:
    given = [pair(_label(case, test, name), written(value)) for name, value in test.get("facts", {}).items()]
    return given + [pair(f"Uncertainty given: {name_of(name).lower()}", written(value)) for name, value in test.get("uncertainty", {}).items()]


def _portions(case: Case, test: Document) -> Document | None:
    """Separate portions side by side: a row for each fact, a column for each portion."""
    portions = test.get("determination", [])
    if not portions:
        return None
    names = list(dict.fromkeys(name for portion in portions for name in portion if name != "uncertainty"))
    rows = [{"label": _label(case, test, name), "cells": [written(portion[name]) if name in portion else ["–"] for portion in portions]} for name in names]
    return {"count": len(portions), "rows": rows}


def _working(case: Case, result: Document) -> Document:
    steps = [
        {"text": step.get("text", ""), "formula": step.get("formula", ""), "shown": computed(step["shown"]) if step.get("shown") else None}
        for step in result["steps"]
    ]
    return {"of": case.words_of(result["quantity"]), "steps": steps}


def _budget(case: Case, result: Document) -> Document:
    inputs = sorted(result["budget"], key=lambda part: -abs(part["contribution"]))
    lengths = figures.bars([part["contribution"] for part in inputs])
    return {
        "of": case.words_of(result["quantity"]),
        "unit": result["shown"].partition("\u00a0")[2],
        "rows": [
            {
                "input": part.get("name") or name_of(part["input"]),
                "value": part.get("shown") or f"{part['value']:.4g}\u00a0{quantities.shown_unit(part.get('unit', ''))}".strip(),
                "from": part.get("provenance", ""),
                "part": part.get("contribution_shown") or f"{abs(part['contribution']):.2g}",
                "bar": length,
            }
            for part, length in zip(inputs, lengths, strict=True)
        ],
        "sum": _sum_words(result),
    }


def _sum_words(result: Document) -> str:
    freedom = result.get("degrees_of_freedom")
    parts = [
        f"standard uncertainty {result['standard_uncertainty']:.2g}" if "standard_uncertainty" in result else "",
        f"degrees of freedom {freedom:.0f}" if freedom is not None else "degrees of freedom not limited",
        f"coverage factor {result['coverage_factor']:.2f}" if "coverage_factor" in result else "",
        f"expanded {plus_minus(result)}" if plus_minus(result) else "",
    ]
    return (", ".join(part for part in parts if part) + ".").capitalize()


def _finding(found: Document) -> Document:
    return {"severity": found["severity"], "message": found.get("message", ""), "code": found["code"]}


def _kit(case: Case, test: Document, judged: Document) -> list[Pair]:
    pairs: list[tuple[str, Runs]] = [("Method", _method(case, test, judged))]
    pairs += [("Equipment", equipment_words(case.entry("equipment", id), read_at=test.get("read_at", ""))) for id in test.get("equipment", [])]
    if blank := case.entry("blank", test.get("blank")):
        pairs.append(("Blank", blank_words(blank)))
    pairs.append(("Times", _times(test)))
    pairs.append(("People", _people(case, test)))
    location = case.entry("location", test.get("location"))
    pairs.append(("Location", joined([written(location[key]) for key in ("features", "orientation", "rust_grade", "drawing", "grid", "chosen_by") if key in location])))
    pairs += [("Deviation", _deviation(entry)) for entry in test.get("deviations", [])]
    pairs += [("Photo", [str(photo.get("shows") or photo.get("file", "")), f" {str(photo.get('sha256', ''))[:16]}"]) for photo in test.get("photos", [])]
    return [pair(label, runs) for label, runs in pairs if runs]


def _method(case: Case, test: Document, judged: Document) -> Runs:
    method = case.method(judged["method"])
    standards = ", ".join(standard.document for standard in method.standards) if method else ""
    edition = f", edition {test['edition']}" if "edition" in test else ", edition not stated"
    version = f"; {judged['method']} {judged['method_version']}" if "method_version" in judged else f"; {judged['method']}"
    return [f"{standards}{edition}{version}" if standards else version.removeprefix("; ")]


def equipment_words(entry: Document, *, read_at: str = "") -> Runs:
    """A piece of equipment in one line: kind, number, lot, and its last check before a reading."""
    runs: Runs = [{"bold": f"{name_of(entry.get('kind', entry.get('id', '')))} {entry.get('serial', '')}".strip()}]
    for key in ("lot", "expiry", "range", "graduation", "resolution", "accuracy", "certificate"):
        if key in entry:
            runs += [f", {key} ", *written(entry[key])]
    checks = [check for check in entry.get("verification", []) if not read_at or str(check.get("at", "")) <= read_at]
    if checks:
        last = max(checks, key=lambda check: str(check.get("at", "")))
        runs += [f". Verified {when(str(last.get('at', '')))}: ", *written(last.get("reading", "")), f" in {last.get('solution', '')}"]
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
    parts = [[f"{word} ", *written(test[key])] for key, word in (("started", "started"), ("read_at", "read")) if key in test]
    return joined(parts)


def _people(case: Case, test: Document) -> Runs:
    said = [f"{case.name('person', test[key])}, {word}" for key, word in (("tester", "tester"), ("recorder", "recorder")) if key in test]
    for witness in test.get("witnesses", []):
        there = "witness, present" if witness.get("present") else "witness, waived" if witness.get("waived") else "witness, not present"
        said.append(f"{case.name('person', witness.get('person'))}, {there}")
    return ["; ".join(said)] if said else []


def _deviation(entry: Document) -> Runs:
    by = f" Agreed by {entry['agreed_by']}" if entry.get("agreed_by") else " Not agreed by anyone"
    return [str(entry.get("what", "")), f". {entry.get('why', '')}".rstrip(". "), f".{by}{', ' + when(str(entry['agreed_at'])) if entry.get('agreed_at') else ''}."]

