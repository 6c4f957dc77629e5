# SPDX-License-Identifier: MIT
"""Why does your number differ from mine? Two tests of a job on one basis.

Step by step from one result to the other, each step with what it adds or takes off; what no formula
holds, by name; whether the two differ; and what each would be with the other's volume.
"""

from __future__ import annotations

import argparse
from typing import Any

from brackish.cli.text import wrapped
from brackish.judge.compare import compare
from brackish.record.document import load


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", metavar="JOB", help="job file, JSON or TOML")
    parser.add_argument("a", metavar="A", help="id of one test")
    parser.add_argument("b", metavar="B", help="id of the other")


def run(options: argparse.Namespace) -> int:
    from brackish.cli.main import print_json

    found = compare(load(options.job), options.a, options.b)
    if options.json:
        print_json(found)
    else:
        print("\n".join(lines(found)))
    return 0


def lines(found: dict[str, Any]) -> list[str]:
    """A comparison for people: the answer first, then the way from one to the other."""
    text = [found["headline"].upper(), *wrapped(found["why"], "  "), ""]
    text += [*_side(found["a"]), *_side(found["b"]), ""]
    if found["steps"]:
        text += [*wrapped(f"From {found['a']['test']} to {found['b']['test']}, one change at a time:"), *_steps(found), ""]
    if found["remaining"]:
        text += [*wrapped(f"On one basis ({found['basis']['shown']}):"), *wrapped(_left(found["remaining"]), "  "), ""]
        text += ["What else lies between them:", *(line for note in found["remaining"]["may_be"] for line in wrapped(note["message"], "  - ")), ""]
    if found["what_if"]:
        text += ["If another volume were written:", *(line for row in found["what_if"] for line in wrapped(row["sentence"], "  - ")), ""]
    return text[:-1]


def _side(side: dict[str, Any]) -> list[str]:
    where = [side.get("tester", ""), side.get("place", side["item"]), side.get("at", "").replace("T", " ")[:16]]
    text = wrapped(", ".join(part for part in where if part), f"{side['test']:<5} ")
    if "shown" not in side:
        return text
    sure = "" if "bound" in side else f" {side['shown_uncertainty']}"  # a bound has no spread
    return text + wrapped(f"read {side['read']}, that is {side['shown']}{sure}, {side['words']}", " " * 6)


def _steps(found: dict[str, Any]) -> list[str]:
    start = found["steps"][0]["shown_from"]
    text = wrapped(found["a"]["test"], f"  {start:>14}  ")
    for step in found["steps"]:
        text += wrapped(step["sentence"], f"  {step['shown_to']:>14}  ")
    return text


def _left(remaining: dict[str, Any]) -> str:
    return f"{remaining['shown']}, a difference of {remaining['shown_difference']}, {remaining['shown_uncertainty']} (95 %)."
