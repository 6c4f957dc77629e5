# SPDX-License-Identifier: MIT
"""List the test methods, or show one: steps with times, facts to write down, cautions, sources."""

from __future__ import annotations

import argparse
import dataclasses
from typing import Any

from brackish import library
from brackish.cli.text import wrapped
from brackish.library.types import Method


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("id", nargs="?", metavar="ID", help="one method")


def run(options: argparse.Namespace) -> int:
    from brackish.cli.main import print_json

    if options.id:
        method = library.method(options.id)
        if options.json:
            print_json(as_dict(method))
        else:
            print("\n".join(lines(method)))
        return 0
    methods = [library.method(id) for id in library.method_ids()]
    if options.json:
        print_json({"methods": [{"id": each.id, "title": each.title, "version": each.version, "applies_to": each.applies_to} for each in methods]})
        return 0
    for each in methods:
        print("\n".join(wrapped(each.title, f"{each.id:<36} ")))
    return 0


def as_dict(method: Method) -> dict[str, Any]:
    """A method as plain data; minutes are numbers here."""
    document = dataclasses.asdict(method)
    document["steps"] = [step | {"minutes": float(step["minutes"])} for step in document["steps"]]
    document["sources"] = [dataclasses.asdict(library.sources()[key]) for key in method.sources]
    return document


def lines(method: Method) -> list[str]:
    """A method for people, in 80 columns."""
    text = [f"{method.title}", f"{method.id}, version {method.version}", "", *wrapped(method.measures), ""]
    text += ["Before the first step"] + [line for caution in method.cautions for line in wrapped(caution.text, "! ")]
    text += ["", "Steps"]
    labels = {fact.name: fact.label for fact in method.facts}
    for number, step in enumerate(method.steps, start=1):
        text += wrapped(f"{step.text} ({step.minutes} min{'' if step.attended else ', unattended'})", f"{number}. ")
        if step.facts:
            text += wrapped("write down: " + "; ".join(f"{labels[name]} ({name})" for name in step.facts), "   ")
        if step.voids:
            text += wrapped("void: " + step.voids, "   ")
    text += ["", "Facts"]
    for fact in method.facts:
        what = fact.unit or ", ".join(fact.choices) or fact.kind
        text += wrapped(f"{fact.name} ({what}){' *' if fact.required else ''}: {fact.label}. {fact.help}", "  ")
    text += ["  * without it there is no result", "", "Standards"]
    text += [line for each in method.standards for line in wrapped(f"{each.document} ({', '.join(each.editions)}): {each.part}. {each.note}", "  ")]
    text += ["", "Sources"]
    for key in method.sources:
        source = library.sources()[key]
        text += wrapped(f"{source.title}: {source.seen}. {source.note}", "  ")
    return text
