# SPDX-License-Identifier: MIT
"""Judge the example jobs and write their reports, then start the workspace with them.

The workspace is a fresh demo in which anyone may be anyone. With --reports it is not started.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
from pathlib import Path

from brackish.errors import BrackishError, InputError, faults_of
from brackish.judge.main import evaluate
from brackish.judge.wording import VERDICT_WORDS, kind_of
from brackish.record.document import load

EXAMPLES = Path(__file__).parents[3] / "examples"


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--examples", type=Path, default=EXAMPLES, metavar="FOLDER", help="where the job files are")
    parser.add_argument("--reports", action="store_true", help="judge the examples, write their reports, and end")
    parser.add_argument("--port", type=int, default=8400, help="port of the workspace (8400)")
    parser.add_argument("-o", "--output", type=Path, default=Path("out"), metavar="FOLDER", help="where reports and the demo's data go (out)")


def run(options: argparse.Namespace) -> int:
    if options.reports or options.json:
        return reports(options)
    _files(options.examples)
    from brackish.web.serve import HERE, claim

    claim(host=HERE, port=options.port)  # before a demo that runs loses its data
    # In a process of its own: the server's workers are copies of this one, and a copy of Typst that has worked waits for threads that were not copied.
    folders = ["--examples", str(options.examples), "--output", str(options.output)]
    if status := subprocess.run([sys.executable, "-m", "brackish", "demo", "--reports", *folders]).returncode:
        return status
    from brackish.web.demo import demo

    demo(folder=options.output / "demo", examples=options.examples, port=options.port)
    return 0


def reports(options: argparse.Namespace) -> int:
    from brackish.cli.evaluate import MARKS
    from brackish.cli.main import print_json
    from brackish.cli.report import write
    from brackish.report import render

    files = _files(options.examples)
    options.output.mkdir(parents=True, exist_ok=True)
    rows = []
    for number, file in enumerate(files, start=1):
        row, kind = {"job": file.name}, "refused"
        try:
            job = load(file)
            outcome = evaluate(job)
            row |= {"verdict": outcome.verdict, "summary": outcome.to_dict()["job"]["summary"][0]}
            kind = kind_of(outcome.to_dict()["job"])
            row["report"] = write(str(options.output / f"{file.stem}.pdf"), render.render(job=job, outcome=outcome.to_dict()))
        except BrackishError as error:
            row |= {"verdict": "refused", "summary": f"{len(faults_of(error))} faults, see: brackish evaluate {_near(file)}"}
        rows.append(row)
        if not options.json:
            print(f"[{number}/{len(files)}] {MARKS.get(kind, '×')} {VERDICT_WORDS.get(kind, 'Refused'):<23} {file.stem}: {row['summary']}", flush=True)
    if options.json:
        print_json({"jobs": rows})
    else:
        print(f"\nReports are in {options.output.resolve()}. Next: brackish verify {options.output / files[0].stem}.pdf")
    return 0


def _near(file: Path) -> Path:
    """The path as a person would type it here."""
    here = Path.cwd()
    return file.relative_to(here) if file.is_relative_to(here) else file


def _files(folder: Path) -> list[Path]:
    if files := sorted(folder.glob("*.toml")):
        return files
    raise InputError("input.file_missing", given=f"*.toml in {folder}")
