# SPDX-License-Identifier: MIT
"""Judge a job file.

For each test: result with uncertainty, findings, verdict; for each item and the
job: the verdict, how many of the agreed tests are done, and what is missing.
"""

from __future__ import annotations

import argparse
from typing import Any

from brackish.cli import release as release_text
from brackish.cli.text import wrapped
from brackish.judge import release
from brackish.judge.main import evaluate
from brackish.judge.wording import VERDICT_WORDS, kind_of
from brackish.record.document import load

MARKS = {"pass": "●", "accepted": "◎", "fail": "■", "inconclusive": "◆", "withheld": "○"}


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", metavar="JOB", help="job file, JSON or TOML")
    parser.add_argument("--require-pass", action="store_true", help="exit with 1 when the verdict on the job is not pass")
    parser.add_argument("--working", action="store_true", help="show the working and the budget of every result")
    parser.add_argument("--release", action="store_true", help="from failure to release: what was done since, and what still blocks")


def run(options: argparse.Namespace) -> int:
    from brackish.cli.main import print_json

    document = load(options.job)
    outcome = evaluate(document)
    released = release.of_job(document) if options.release else None
    if options.json:
        print_json(outcome.to_dict() | ({"release": released} if released else {}))
    else:
        text = lines(outcome.to_dict(), working=options.working)
        print("\n".join([*text, *release_text.lines(released)] if released else text))
    return 1 if options.require_pass and outcome.verdict != "pass" else 0


def lines(outcome: dict[str, Any], *, working: bool = False) -> list[str]:
    """The outcome as text of 80 columns, worst news first."""
    job = outcome["job"]
    text = [f"{MARKS[kind_of(job)]} {VERDICT_WORDS[kind_of(job)].upper()}", *(line for part in job["summary"] for line in _indented(part, 2)), ""]
    for item in outcome["items"]:
        for verdict in item["verdicts"]:
            text += [f"{MARKS[kind_of(verdict)]} {item['id']}, {verdict['criterion']}", *_indented(verdict["shown"], 2)]
    text.append("")
    for test in outcome["tests"]:
        text += _test(test, working)
    return text


def _test(test: dict[str, Any], working: bool) -> list[str]:
    purpose = "" if test["purpose"] == "acceptance" else f", {test['purpose']}"
    head = (
        f"{test['id']}  {test['item']}{' ' + test['location'] if 'location' in test else ''}  {test['method']}, round {test['round']}{purpose}, {test['state']}"
    )
    text = wrapped(head, hanging="    ")
    for result in test["results"]:
        sure = "" if "bound" in result else f" {result['shown_uncertainty']} ({result['shown_coverage']})"
        text += _indented(f"{result['words']}: {result['shown']}{sure}", 4)
        if working:
            text += [line for step in result["steps"] for line in _indented(f"{step['text']}: {step['formula']} = {step['shown']}", 6)]
            text += [part for line in result["budget"] for part in _indented(_budget_line(line), 6)]
    for verdict in test["verdicts"]:
        counted = "" if verdict["counted"] else " Not counted."
        text += _indented(f"{MARKS[kind_of(verdict)]} {verdict['criterion']}: {verdict['shown']}{counted}", 4)
        text += _indented(f"For the customer: {' '.join(verdict['sentences'])}", 6) if working else []
    text += [line for finding in test["findings"] for line in _indented(f"{finding['severity']}: {finding['message']}", 4)]
    return [*text, ""]


def _budget_line(line: dict[str, Any]) -> str:
    own = f"{line['shown']:>14} ± {line['shown_standard_uncertainty']:<11}"
    return f"{line['input']:<23} {own} {line['shown_contribution']:>9} {line['provenance']}"


def _indented(text: str, indent: int) -> list[str]:
    return wrapped(text, " " * indent, hanging=" " * (indent + 2))
