# SPDX-License-Identifier: MIT
"""`brackish ledger check | export JOB -o FILE | import FILE`: the ledger of this machine, without the server."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from pathlib import Path

from brackish.errors import BrackishError, InputError, faults_of


def main(arguments: Sequence[str]) -> int:
    """0 done; 1 the check found a difference; 2 it cannot be done."""
    options = _options(arguments)
    os.environ["DJANGO_SETTINGS_MODULE"] = "brackish.web.settings"
    if options.data:
        os.environ["BRACKISH_DATA"] = options.data
    from brackish.web.serve import prepare

    try:
        prepare()
        return {"check": _check, "export": _export, "import": _import}[options.command](options)
    except BrackishError as error:
        print("\n".join(str(fault) for fault in faults_of(error)), file=sys.stderr)
        return error.exit_status


def _check(options: argparse.Namespace) -> int:
    from brackish.web.ledger.check import check_ledger

    jobs = wrong = 0
    for job, differences in check_ledger():
        jobs, wrong = jobs + 1, wrong + bool(differences)
        for difference in differences:
            print(f"{job}: {difference}")
    print(f"{jobs} jobs made again from their events; {jobs - wrong} agree with what is kept, {wrong} do not.")
    return 1 if wrong else 0


def _export(options: argparse.Namespace) -> int:
    from brackish.web import models
    from brackish.web.ledger.exchange import exported

    job = models.Job.objects.filter(id=options.job.lower()).first()
    if job is None:
        raise InputError("access.not_found", place="job", given=f"job {options.job}")
    Path(options.output).write_bytes(exported(job))
    print(f"{job.events} events written to {options.output}.")
    return 0


def _import(options: argparse.Namespace) -> int:
    from brackish.web import models
    from brackish.web.ledger.exchange import imported

    try:
        data = Path(options.file).read_bytes()
    except OSError:
        raise InputError("input.file_missing", given=repr(options.file)) from None
    organisation, _ = models.Organisation.objects.get_or_create(id=1, defaults={"name": "This workspace"})
    job, answers = imported(data, organisation=organisation, sender=None)
    states = [answer.state for answer in answers]
    print(f"Job {job.id}: " + ", ".join(f"{states.count(state)} {state}" for state in ("stored", "held", "known", "refused")) + ".")
    for answer in answers:
        for error in answer.errors:
            print(f"{answer.id}: {error}", file=sys.stderr)
    return 2 if "refused" in states else 0


def _options(arguments: Sequence[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="brackish ledger", description="Prove, carry out and bring in the stored ledger.")
    parser.add_argument("--data", help="folder of database and files (./brackish-data)")
    commands = parser.add_subparsers(dest="command", required=True)
    commands.add_parser("check", help="make everything again from the events and compare")
    export = commands.add_parser("export", help="write one job's events and files")
    export.add_argument("job")
    export.add_argument("-o", "--output", required=True)
    commands.add_parser("import", help="bring in a ledger file").add_argument("file")
    return parser.parse_args(list(arguments))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
