# SPDX-License-Identifier: MIT
"""From a cold process: importing, judging 50 tests, setting reports of 50 and 500; beside `python -c pass`."""

from __future__ import annotations

import json
import sys
import tempfile
from pathlib import Path

from _jobs import patch_job
from _timing import python, row, seconds


def judged_and_reported(folder: Path, *, tests: int, repeats: int) -> tuple[float, float]:
    """Seconds to judge a job of so many tests, and to judge it and set its report, each from process start."""
    job, report = folder / f"job-{tests}.json", folder / f"report-{tests}.pdf"
    job.write_text(json.dumps(patch_job(tests)))
    judging = python("import sys, brackish; brackish.evaluate(sys.argv[1])", str(job), repeats=repeats)
    return judging, seconds([sys.executable, "-m", "brackish", "report", str(job), "-o", str(report)], repeats=repeats)


def main() -> int:
    with tempfile.TemporaryDirectory() as folder:
        nothing = python("pass")
        judging, reporting = judged_and_reported(Path(folder), tests=50, repeats=7)
        judging_500, reporting_500 = judged_and_reported(Path(folder), tests=500, repeats=3)
        met = [
            row("python -c pass", nothing, beside=nothing, than="itself"),
            row("import brackish", python("import brackish"), beside=nothing, than="python -c pass", target=0.1),
            row("evaluate 50 tests, from process start", judging, beside=nothing, than="python -c pass", target=0.2),
            row("report of 50 tests, on top of judging", reporting - judging, beside=nothing, than="python -c pass", target=0.5),
            row("evaluate 500 tests, from process start", judging_500, beside=nothing, than="python -c pass"),
            row("report of 500 tests, on top of judging", reporting_500 - judging_500, beside=nothing, than="python -c pass", target=2.5),
        ]
    return 0 if all(met) else 1


if __name__ == "__main__":
    raise SystemExit(main())
