# SPDX-License-Identifier: MIT
"""Prove, carry out and bring in the ledger that this machine's server keeps; the server need not run.

What it can do:
  ledger check                make everything again from the events and compare
  ledger export JOB -o FILE   one job's events and files, as one file
  ledger import FILE          bring such a file in; what is there stays as it is
"""

from __future__ import annotations

import argparse
import os
from pathlib import Path

from brackish.errors import InputError


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--data", help="folder of database and files (./brackish-data)")
    what = parser.add_subparsers(dest="what", metavar="WHAT", required=True)
    what.add_parser("check", help="make everything again from the events and compare")
    export = what.add_parser("export", help="write one job's events and files")
    export.add_argument("job", metavar="JOB", help="the job's id")
    export.add_argument("-o", "--output", metavar="FILE", required=True)
    what.add_parser("import", help="bring in a ledger file").add_argument("file", metavar="FILE")


def run(options: argparse.Namespace) -> int:
    """0 done; 1 the check found a difference; 2 an event was refused or a file cannot be used."""
    from brackish.web.serve import prepare

    if options.data:
        os.environ["BRACKISH_DATA"] = options.data
    prepare()
    return {"check": _check, "export": _export, "import": _import}[options.what](options)


def _check(options: argparse.Namespace) -> int:
    from brackish.cli.main import print_json
    from brackish.web.ledger.check import check_ledger

    found = dict(check_ledger())
    wrong = {job: differences for job, differences in found.items() if differences}
    if options.json:
        print_json({"jobs": len(found), "differences": wrong})
    else:
        for job, differences in wrong.items():
            print("\n".join(f"{job}: {difference}" for difference in differences))
        print(f"{len(found)} jobs made again from their events; {len(found) - len(wrong)} agree with what is kept, {len(wrong)} do not.")
    return 1 if wrong else 0


def _export(options: argparse.Namespace) -> int:
    from brackish.web import models
    from brackish.web.ledger.exchange import exported

    job = models.Job.objects.filter(id=options.job.lower()).first()
    if job is None:
        raise InputError("access.not_found", place="job", given=f"job {options.job}")
    Path(options.output).write_bytes(exported(job))
    _say(options, {"events": job.events, "file": options.output}, f"{job.events} events written to {options.output}.")
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
    counts = {state: states.count(state) for state in ("stored", "held", "known", "refused")}
    lines = [f"Job {job.id}: " + ", ".join(f"{count} {state}" for state, count in counts.items()) + "."]
    lines += [f"{answer.id}: {error}" for answer in answers for error in answer.errors]
    _say(options, {"job": job.id, **counts, "answers": [answer.to_dict() for answer in answers if answer.errors]}, "\n".join(lines))
    return 2 if counts["refused"] else 0


def _say(options: argparse.Namespace, document: object, text: str) -> None:
    from brackish.cli.main import print_json

    print_json(document) if options.json else print(text)
