# SPDX-License-Identifier: MIT
"""Set a job file and its outcome as a sealed PDF, job and outcome attached.

With --csv also, or only, a table of all tests that opens in a spreadsheet.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from brackish.errors import InputError
from brackish.judge.main import evaluate
from brackish.record.document import load


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", metavar="JOB", help="job file, JSON or TOML")
    parser.add_argument("-o", "--output", metavar="FILE.pdf", help="the report to write")
    parser.add_argument("--csv", metavar="FILE.csv", help="a table of all tests")
    parser.add_argument("--require-pass", action="store_true", help="exit with 1 when the verdict on the job is not pass")


def run(options: argparse.Namespace) -> int:
    from brackish.cli.main import print_json
    from brackish.report import render, table
    from brackish.report.mark import code_of

    if not options.output and not options.csv:
        raise InputError("input.option", given="no file to write", why="give -o FILE.pdf, --csv FILE.csv, or both", command="report")
    for file, ending in ((options.output, ".pdf"), (options.csv, ".csv")):
        if file and Path(file).suffix.lower() != ending:
            raise InputError("input.option", given=file, why=f"its name must end in {ending}, which is what is written", command="report")
    job = load(options.job)
    outcome = evaluate(job)
    document = outcome.to_dict()
    made: dict[str, str] = {}
    if options.output:
        pdf = render.render(job=job, outcome=document, progress=None if options.json else progress)
        made["pdf"] = write(options.output, pdf)
        made["code"] = code_of(job=job, outcome=document)
    if options.csv:
        made["csv"] = write(options.csv, table.csv(job=job, outcome=document))
    if options.json:
        print_json({"verdict": outcome.verdict, **made})
    else:
        print(f"{outcome.verdict}: {', '.join(made[kind] for kind in ('pdf', 'csv') if kind in made)}" + (f", code {made['code']}" if "code" in made else ""))
    return 1 if options.require_pass and outcome.verdict != "pass" else 0


def write(path: str, data: bytes, *, command: str = "report") -> str:
    """Write a file whole or not at all."""
    target = Path(path)
    part = target.with_name(f".{target.name}.part")
    try:
        part.write_bytes(data)
        part.replace(target)
    except OSError as error:
        part.unlink(missing_ok=True)
        raise InputError("input.option", given=path, why=f"it cannot be written ({error.strerror})", command=command) from None
    return path


def progress(stage: str, done: int, total: int) -> None:
    """One line on the terminal that grows with the work; nothing in a pipe."""
    if sys.stderr.isatty() and total:
        print(f"\r{stage} {done}/{total}" + (" " * 20 + "\r" if done == total else ""), end="", file=sys.stderr, flush=True)
