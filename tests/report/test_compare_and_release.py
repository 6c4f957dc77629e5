# SPDX-License-Identifier: MIT
"""The pages that follow page one: why two results differ, and from failure to release."""

from __future__ import annotations

import io
from functools import cache
from pathlib import Path

import pypdf
import pytest

import brackish
from brackish.record.document import load
from brackish.report.compare import pairs_of
from brackish.report.render import render
from brackish.report.seal import verify

EXAMPLES = Path(__file__).parents[2] / "examples"


@cache
def pages(name: str) -> list[str]:
    job = load(EXAMPLES / f"{name}.toml")
    data = render(job=job, outcome=brackish.evaluate(job).to_dict())
    assert verify(data, evaluate=lambda document: brackish.evaluate(document).to_dict())["consistent"]
    return [" ".join(page.extract_text().replace("\u00a0", " ").split()) for page in pypdf.PdfReader(io.BytesIO(data)).pages]


@pytest.mark.slow
def test_a_dispute_has_its_page_behind_page_one():
    page = pages("dispute")[1]
    assert "D1 and D2: why the numbers differ" in page
    assert "A difference is not shown" in page
    assert "128.6 mg/m²" in page
    assert "160.8" in page


@pytest.mark.slow
def test_a_pair_that_never_compares_says_why():
    found = [page for page in pages("tank-roof-chloride") if "S1 and S6" in page]
    assert len(found) == 1
    assert "They cannot be compared" in found[0]
    assert "acid" in found[0]


@pytest.mark.slow
def test_a_failure_has_its_way_to_release_on_one_page():
    found = [page for page in pages("tank-roof-chloride") if "From failure to release" in page]
    assert len(found) == 1
    for words in ("NC-7", "bird droppings", "fresh water at 200 bar", "S3", "S4", "Jonna Reith", "nothing blocks"):
        assert words in found[0], words


@pytest.mark.slow
def test_no_page_where_nothing_failed_or_was_disputed():
    text = " ".join(pages("waters"))
    assert "From failure to release" not in text
    assert "why the numbers differ" not in text


@pytest.mark.parametrize(("name", "pairs"), [("dispute", [("D1", "D2")]), ("tank-roof-chloride", [("S1", "S6")]), ("waters", [])])
def test_pairs_follow_from_the_job(name, pairs):
    assert pairs_of(load(EXAMPLES / f"{name}.toml")) == pairs
