# SPDX-License-Identifier: MIT
"""Read the words of a requirement: what is understood, traps, questions to send.

From a text file, or from standard input when no file is given or it is "-":

  brackish clause clause.txt -o job.toml

With -o the reading is also written as the beginning of a job file, its gaps as
questions beside the fields that answer them. The paper is the one the text names,
or the name of the file; --document and --clause say it better.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from brackish.errors import InputError
from brackish.prepare.clause import ClauseReading, read
from brackish.prepare.clause.draft import draft
from brackish.prepare.clause.show import render


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", nargs="?", default="-", metavar="FILE", help="text file with the clause; - is standard input")
    parser.add_argument("-o", "--output", metavar="DRAFT.toml", help="write the beginning of a job file")
    parser.add_argument("--title", default="", help="title of the job file")
    parser.add_argument("--document", default="", help="paper the clause stands in, for the job file")
    parser.add_argument("--clause", default="", help="number of the clause in that paper, for the job file")


def run(options: argparse.Namespace) -> int:
    from brackish.cli.main import print_json
    from brackish.cli.report import write

    text = _text(options.file)
    if not text.strip():
        raise InputError("input.option", given=options.file, why="there is nothing in it; paste the words of the clause", command="clause")
    reading = read(text)
    if options.output:
        write(options.output, _begun(reading, options).encode("utf-8"), command="clause")
    if options.json:
        print_json(reading.to_dict())
    else:
        print(render(reading), end="")
        print(f"\nJob file begun: {options.output}" if options.output else "", end="\n" if options.output else "")
    return 0


def _begun(reading: ClauseReading, options: argparse.Namespace) -> str:
    """The job file, with the paper the clause stands in: as given, as the text states it, or the name of the file."""
    stated = next((source["document"] for one in reading.requirements if "document" in (source := one.source)), "")
    document = options.document or stated or ("" if options.file == "-" else Path(options.file).name)
    title = options.title or (f"Salt requirement of {document}" if document else "")
    return draft(reading, title=title, document=document, clause=options.clause)


def _text(name: str) -> str:
    """The clause as UTF-8, whatever the terminal is set to."""
    if name == "-":
        if sys.stdin.isatty():
            print("Paste the clause, then press Ctrl-D on a line of its own.", file=sys.stderr)
        data = sys.stdin.buffer.read()
    else:
        try:
            data = Path(name).read_bytes()
        except OSError:
            raise InputError("input.file_missing", given=repr(name)) from None
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError("input.not_a_text", given=repr(name), byte=error.start) from None
