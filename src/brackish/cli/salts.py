# SPDX-License-Identifier: MIT
"""Which salt was it? One conductivity, and the amount of each salt it could come from.

The meter cannot tell salts apart. Beside each amount stands the humidity from
which that salt, left on steel, draws water from the air. A test of a job, or a
reading that refers to a temperature, in quotes:

  brackish salts job.toml T1
  brackish salts "11.3 uS/cm" --blank "1.2 uS/cm" --solution-volume "10 mL" \\
    --area "1250 mm2"
"""

from __future__ import annotations

import argparse
from typing import Any

from brackish.cli.text import wrapped
from brackish.errors import BrackishError, InputError
from brackish.judge import salts
from brackish.judge.patch import Waters
from brackish.quantities import parse
from brackish.record.document import load, read_job
from brackish.record.fields import as_quantity


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("reading", metavar="READING|JOB", help='such as "11.3 uS/cm", or a job file')
    parser.add_argument("test", nargs="?", metavar="TEST", help="id of a patch test; leave it out for a reading")
    parser.add_argument("--temperature", metavar="T", default="25 degC", help="that the reading refers to (25 degC)")
    parser.add_argument("--blank", metavar="R", default="0 uS/cm", help="at the same temperature (0)")
    parser.add_argument("--solution-volume", metavar="V", help="all the water the salt is spread through; with an area it gives mg/m²")
    parser.add_argument("--area", metavar="A", help="under the patch")


def run(options: argparse.Namespace) -> int:
    from brackish.cli.main import print_json

    found = salts.of_test(read_job(load(options.reading)), options.test) if options.test else salts.band(_read(options))
    if options.json:
        print_json(found)
    else:
        print("\n".join(lines(found)))
    return 0


def _read(options: argparse.Namespace) -> Waters:
    try:
        extract = parse(options.reading, dimension="conductivity")
    except BrackishError as error:
        if options.reading.endswith((".toml", ".json")):
            raise InputError("input.option", given=repr(options.reading), why="a job file needs the id of a test, such as T1", command="salts") from error
        raise
    if (options.solution_volume is None) != (options.area is None):
        raise InputError("input.option", given="--solution-volume or --area", why="an amount on steel needs both", command="salts")
    return Waters(
        extract=extract.inside,
        blank=parse(options.blank, dimension="conductivity").inside,
        temperature=parse(options.temperature, dimension="temperature").inside,
        volume=as_quantity(options.solution_volume, "volume", positive=True).inside if options.solution_volume else 0.0,
        area=as_quantity(options.area, "area", positive=True).inside if options.area else None,
    )


def lines(found: dict[str, Any]) -> list[str]:
    """The band for people, in 80 columns: what it says, then a line a salt, least first."""
    text = [*(line for sentence in found["sentences"] for line in wrapped(sentence)), "", *wrapped(f"Read: {found['read']}."), ""]
    text.append(f"  {'amount':>12}  {'wets steel from':<16}  salt")
    for row in found["salts"]:
        text += wrapped(f"{row['name']}: {row['from']}", f"  {row['shown']:>12}  {row['wets_from'] or 'not known':<16}  ")
    return [
        *text,
        "",
        *wrapped(f"Humidity at {found['humidity_at']}; a mixture wets below the lowest of its parts. Mixtures are illustrations. None of these is a result."),
    ]
