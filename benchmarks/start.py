# SPDX-License-Identifier: MIT
"""From a cold process: importing, judging 50 tests, setting their report; beside `python -c pass`."""

from __future__ import annotations

import json
import sys
import tempfile
from pathlib import Path

from _jobs import patch_job
from _timing import python, row, seconds


def main() -> int:
    with tempfile.TemporaryDirectory() as folder:
        job, report = Path(folder) / "job.json", Path(folder) / "report.pdf"
        job.write_text(json.dumps(patch_job(50)))
        nothing = python("pass")
        judging = python("import sys, brackish; brackish.evaluate(sys.argv[1])", str(job))
        reporting = seconds([sys.executable, "-m", "brackish", "report", str(job), "-o", str(report)])
        met = [
            row("python -c pass", nothing, beside=nothing, than="itself"),
            row("import brackish", python("import brackish"), beside=nothing, than="python -c pass", target=0.1),
            row("evaluate 50 tests, from process start", judging, beside=nothing, than="python -c pass", target=0.2),
            row("report of 50 tests, on top of judging", reporting - judging, beside=nothing, than="python -c pass", target=0.5),
        ]
    return 0 if all(met) else 1


if __name__ == "__main__":
    raise SystemExit(main())
