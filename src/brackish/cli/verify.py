# SPDX-License-Identifier: MIT
"""Is a report consistent with itself, and does judging its job again give the same outcome?

The seal shows that a file is whole; who made it is shown by its code, received on another way.
"""

from __future__ import annotations

import argparse
from pathlib import Path

from brackish.cli.text import wrapped
from brackish.errors import InputError
from brackish.judge.main import evaluate


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE.pdf", help="a report as brackish wrote it")
    parser.add_argument("--code", metavar="CODE", help="the code received on another way, to compare")


def run(options: argparse.Namespace) -> int:
    from brackish.cli.main import print_json
    from brackish.report.seal import verify

    try:
        data = Path(options.file).read_bytes()
    except OSError:
        raise InputError("input.file_missing", given=repr(options.file)) from None
    found = verify(data, evaluate=lambda job: evaluate(job).to_dict())
    if options.code:
        same = options.code.replace(" ", "").replace("-", "").lower() == found["code"].replace(" ", "").lower()
        check = {"name": "code received", "ok": same, "detail": "the same" if same else f"the file has {found['code']}, you received {options.code}"}
        found = found | {"consistent": found["consistent"] and same, "checks": [*found["checks"], check]}
    if options.json:
        print_json(found)
    else:
        print("consistent" if found["consistent"] else "NOT consistent", f"code {found['code']}")
        for check in found["checks"]:
            print("\n".join(wrapped(f"{check['name']}: {check['detail']}", f"  {'yes' if check['ok'] else 'NO '}  ")))
    return 0 if found["consistent"] else 1
