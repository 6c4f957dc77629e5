# SPDX-License-Identifier: MIT
"""The pages of docs/examples/ say what the program says now, and each has its picture."""

from __future__ import annotations

import pytest

from brackish.judge.main import evaluate
from brackish.library import method_ids
from tools import example_pages

EXAMPLES = sorted(example_pages.EXAMPLES.glob("*.toml"))


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_example_page_is_what_the_program_says(path):
    text = (example_pages.PAGES / f"{path.stem}.md").read_text("utf-8")
    assert text == example_pages.page(path), "run .venv/bin/python tools/example_pages.py"
    assert "![" not in text or (example_pages.PAGES / f"{path.stem}.png").stat().st_size > 10_000


def test_index_lists_every_example():
    assert (example_pages.PAGES / "README.md").read_text("utf-8") == example_pages.index()


def test_every_method_runs_from_an_example_to_a_verdict_or_a_result():
    rows = [row for path in EXAMPLES if path.stem != "mistakes" for row in evaluate(path).to_dict()["tests"] if row["state"] == "valid"]
    assert {row["method"] for row in rows if row["results"]} == set(method_ids())
