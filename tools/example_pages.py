# SPDX-License-Identifier: MIT
"""Writes docs/examples/: each example job as a page, with what brackish says to it and page one of its report.

    .venv/bin/python tools/example_pages.py            write pages and pictures
    .venv/bin/python tools/example_pages.py --text     pages only (no pdftoppm needed)

A test holds the text of the pages to what the program says now (tests/golden/test_example_pages.py).
"""

from __future__ import annotations

import re
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
EXAMPLES, PAGES = ROOT / "examples", ROOT / "docs" / "examples"


def page(path: Path) -> str:
    """An example as a page: its own opening comment, the command, the answer, the picture."""
    from brackish.cli.evaluate import lines
    from brackish.errors import BrackishError, faults_of
    from brackish.judge.main import evaluate

    name = path.stem
    try:
        said = "\n".join(lines(evaluate(path).to_dict()))
        seen = f"![Page one of the report]({name}.png)\n"
    except BrackishError as error:
        said, seen = "\n".join(f"brackish: {fault}" for fault in faults_of(error)), ""
    report = f"    brackish report examples/{path.name} -o {name}.pdf\n" if seen else ""
    return f"# {name.replace('-', ' ').capitalize()}\n\n{opening(path)}\n\n    brackish evaluate examples/{path.name}\n{report}\n```text\n{said.rstrip()}\n```\n\n{seen}"


def opening(path: Path) -> str:
    """The comment an example begins with, as a paragraph."""
    comment = re.match(r"(?:#.*\n)+", path.read_text("utf-8"))
    assert comment, f"{path.name} begins with no comment that says what it shows"
    return " ".join(line.lstrip("# ") for line in comment[0].splitlines())


def index() -> str:
    """The list of all examples."""
    rows = "".join(f"- [{path.stem}]({path.stem}.md): {opening(path).split('. ')[0].rstrip('.')}.\n" for path in sorted(EXAMPLES.glob("*.toml")))
    return f"# Examples\n\nJobs of an invented harbour. Each is a file, a test and a page.\n\n{rows}"


def picture(path: Path) -> None:
    """Page one of the report as a picture."""
    from brackish.judge.main import evaluate
    from brackish.record.document import load
    from brackish.report.render import render

    job = load(path)
    with tempfile.TemporaryDirectory() as folder:
        pdf = Path(folder, "report.pdf")
        pdf.write_bytes(render(job=job, outcome=evaluate(job).to_dict()))
        subprocess.run(["pdftoppm", "-r", "72", "-png", "-singlefile", "-f", "1", "-l", "1", str(pdf), str(PAGES / path.stem)], check=True)


def main(words: list[str]) -> None:
    PAGES.mkdir(parents=True, exist_ok=True)
    (PAGES / "README.md").write_text(index(), "utf-8")
    for path in sorted(EXAMPLES.glob("*.toml")):
        text = page(path)
        (PAGES / f"{path.stem}.md").write_text(text, "utf-8")
        if "--text" not in words and "![" in text:
            picture(path)


if __name__ == "__main__":
    main(sys.argv[1:])
