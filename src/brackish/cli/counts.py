# SPDX-License-Identifier: MIT
"""How many tests does a rule ask for, by each unit system, and what could they show?

In a job: done, open, and what the results say about places that nobody tested.

RULE is a name from the library or a text, in quotes:

  brackish counts per-100-then-200 "300 m2"
  brackish counts "3 for the first 100 m2, then 1 per 200 m2" "4000 ft2"
  brackish counts "1 per 100 m2, at least 3" "150 m2"
  brackish counts job.toml
"""

from __future__ import annotations

import argparse
from typing import Any

from brackish import library
from brackish.cli.text import wrapped
from brackish.errors import InputError
from brackish.library import counting
from brackish.prepare import counts
from brackish.record.document import load


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("rule", metavar="RULE|JOB", help=f"a job file, or a rule: {', '.join(library.count_rules())}, or a text")
    parser.add_argument("area", nargs="?", metavar="AREA", help='such as "300 m2"; leave it out for a job file')
    parser.add_argument("--governs", choices=tuple(counts.UNITS), default="", help="the unit system that the contract says governs; else the larger counts")


def run(options: argparse.Namespace) -> int:
    from brackish.cli.main import print_json

    if options.area is None:
        found = counts.of_job(load(_job_file(options.rule)))
        text = job_lines(found)
    else:
        found = counts.by_rule(rule=options.rule, area=options.area, governs=options.governs)
        text = rule_lines(found)
    if options.json:
        print_json(found)
    else:
        print("\n".join(text))
    return 0


def _job_file(given: str) -> str:
    """The name of a job file; a rule that stands alone lacks its area."""
    try:
        counting.read_rule(given)
    except InputError:
        return given
    raise InputError("input.option", given=repr(given), why='a rule needs an area, such as "300 m2"', command="counts")


def rule_lines(found: dict[str, Any]) -> list[str]:
    """One rule on one area."""
    return [f"{found['tests']} {_tests(found['tests'])}", *wrapped(found["working"], "  "), *wrapped(found["sampling"]["shown"], "  ")]


def job_lines(found: dict[str, Any]) -> list[str]:
    """Every item and criterion of a job, what is open first said."""
    text = [f"{found['open']} {_tests(found['open'])} open" if found["open"] else "No agreed test is open"]
    for row in found["items"]:
        unit = row["by"] if row["done"] == 1 else f"{row['by']}s"
        state = f"{row['done']} of {row['required']} done, {row['open']} open" if "required" in row else f"{row['done']} {unit} done"
        text += wrapped(f"{row['item']}, {row['criterion']}: {state}", hanging="  ")
        said = (row.get("working", ""), row.get("reason", ""), row.get("sampling", {}).get("shown", ""), row.get("reach", {}).get("shown", ""))
        text += [line for each in said for line in wrapped(each, "  ")]
    return text


def _tests(number: int) -> str:
    return "test" if number == 1 else "tests"
