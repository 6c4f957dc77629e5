# SPDX-License-Identifier: MIT
"""Is a report consistent with itself, and does judging its job again give the same outcome?

The seal shows that a file is whole; who made it is shown by its code, or by a signature whose
fingerprint was received on another way.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from brackish.cli.text import wrapped
from brackish.errors import InputError
from brackish.judge.main import evaluate


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE.pdf", help="a report as brackish wrote it")
    parser.add_argument("--code", metavar="CODE", help="the code received on another way, to compare")
    parser.add_argument("--key", metavar="FINGERPRINT", help="the signer's fingerprint received on another way: has its key signed this?")


def run(options: argparse.Namespace) -> int:
    from brackish.cli.main import print_json
    from brackish.report.seal import verify

    try:
        data = Path(options.file).read_bytes()
    except OSError:
        raise InputError("input.file_missing", given=repr(options.file)) from None
    found = verify(data, evaluate=lambda job: evaluate(job).to_dict())
    if options.code:
        same = _plain(options.code) == _plain(found["code"])
        found = _with(found, "code received", same, "the same" if same else f"the file has {found['code']}, you received {options.code}")
    if options.key:
        signed = any(check["ok"] and _plain(check["key"]) == _plain(options.key) for check in found["checks"] if "key" in check)
        found = _with(found, "key received", signed, "has signed this" if signed else f"nothing here was signed with the key {options.key}")
    if options.json:
        print_json(found)
    else:
        print("consistent" if found["consistent"] else "NOT consistent", f"code {found['code']}")
        for check in found["checks"]:
            print("\n".join(wrapped(f"{check['name']}: {check['detail']}", f"  {'yes' if check['ok'] else 'NO '}  ")))
    return 0 if found["consistent"] else 1


def _plain(digits: str) -> str:
    return digits.replace(" ", "").replace("-", "").lower()


def _with(found: dict[str, Any], name: str, ok: bool, detail: str) -> dict[str, Any]:
    return found | {"consistent": found["consistent"] and ok, "checks": [*found["checks"], {"name": name, "ok": ok, "detail": detail}]}
