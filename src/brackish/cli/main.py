# SPDX-License-Identifier: MIT
"""The console command: one file a command, one way of saying what is wrong.

Exit status: 0 done; 1 done, but not a pass though one was required, or a difference was found;
2 the input cannot be used; 3 the program failed. No traceback reaches a user.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
from collections.abc import Callable, Sequence
from importlib import import_module
from typing import Any, NoReturn

from brackish import __version__
from brackish.cli.text import wrapped
from brackish.errors import BrackishError, InputError, faults_of

# name -> what it does; each has a module of that name with `arguments(parser)` and `run(options) -> int`.
COMMANDS = {
    "evaluate": "judge a job file: results with uncertainty, findings, verdicts",
    "report": "set a job file and its outcome as a sealed PDF",
    "compare": "two tests on one basis, step by step, and whether they differ",
    "verify": "is a report consistent with itself, and does judging again give the same",
    "clause": "read the words of a requirement: what is understood, traps, questions",
    "limits": "what meter or tube would read exactly at a limit, plain and guarded",
    "counts": "how many tests a rule asks for; for a job, how many are done and open",
    "salts": "what one conductivity would be of each salt it could come from",
    "methods": "list the test methods, or show one with steps, facts, cautions, sources",
    "demo": "start the workspace with the example jobs, or write their reports",
    "serve": "serve brackish to browsers and other programs",
    "ledger": "prove, carry out and bring in the ledger that a server keeps",
}


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and answer with its exit status."""
    words = list(sys.argv[1:] if arguments is None else arguments)
    as_json = "--json" in words
    try:
        parser = _parser(words[0] if words else "")
        options = parser.parse_args(words)
        if not options.command:
            parser.print_help()
            return 0
        return _command(options.command).run(options)
    except BrackishError as error:
        _complain(error, as_json=as_json)
        return error.exit_status
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        print("stopped", file=sys.stderr)
        return 3
    except Exception as error:
        if os.environ.get("BRACKISH_TRACEBACK"):
            raise
        _complain(BrackishError("program.failed", detail=f"{type(error).__name__}: {error}"[:300]), as_json=as_json)
        return 3


class _Parser(argparse.ArgumentParser):
    """A command line that cannot be read is a fault like any other, for people and programs."""

    def error(self, message: str) -> NoReturn:
        raise InputError("input.command_line", why=message[:1].upper() + message[1:], program=self.prog)


def _parser(command: str) -> argparse.ArgumentParser:
    parser = _Parser(prog="brackish", description="Salt on blast-cleaned steel, in abrasives and water: judged, explained, sealed.")
    parser.add_argument("--version", action="version", version=f"brackish {__version__}")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", title="commands")
    for name, does in COMMANDS.items():
        own = commands.add_parser(
            name, help=does, description=_described(_command(name)) if name == command else does, formatter_class=argparse.RawDescriptionHelpFormatter
        )
        own.add_argument("--json", action="store_true", help="machine output on standard output")
        if name == command:
            _command(name).arguments(own)
    return parser


def _described(module: Any) -> str:
    """What a command's file says first, its paragraphs wrapped; indented lines stay as they are."""
    paragraphs = (module.__doc__ or "").strip().split("\n\n")
    return "\n\n".join(each if "\n  " in f"\n{each}" else "\n".join(wrapped(each)) for each in paragraphs)


def _command(name: str) -> Any:
    """The module of a command, loaded when it is called: a judgement needs no PDF engine."""
    return import_module(f"brackish.cli.{name}")


def _complain(error: BrackishError, *, as_json: bool) -> None:
    faults = faults_of(error)
    if as_json:
        print(json.dumps({"errors": [fault.to_dict() for fault in faults]}, ensure_ascii=False, indent=1), file=sys.stderr)
        return
    for fault in faults:
        print(f"brackish: {fault}", file=sys.stderr)


def print_json(document: object) -> None:
    """Machine output: readable JSON, one document."""
    print(json.dumps(document, ensure_ascii=False, indent=1, sort_keys=True))


Run = Callable[[argparse.Namespace], int]
