# SPDX-License-Identifier: MIT
"""From failure to release: what was done, and what still blocks, in the order of work."""

from __future__ import annotations

import copy
from pathlib import Path

import pytest

from brackish.judge import release
from brackish.record.document import load

ROOF = load(Path(__file__).parents[2] / "examples" / "tank-roof-chloride.toml")


def changed(**tables: object) -> dict:
    """The tank roof with whole tables replaced, or taken away with None."""
    document = copy.deepcopy(ROOF)
    for name, value in tables.items():
        if value is None:
            document.pop(name, None)
        else:
            document[name] = value
    return document


def blocks(document: dict) -> list[str]:
    return [note["code"] for note in release.of_job(document)["places"][0]["blocks"]]


def test_a_failed_place_that_was_cleaned_retested_and_closed_is_released():
    found = release.of_job(ROOF)
    assert found["released"]
    assert [place["place"] for place in found["places"]] == ["R3"]
    assert found["places"][0]["failed"] == "S3"
    assert [row["test"] for row in found["places"][0]["tests"]] == ["S3", "S4"]


def test_nothing_failed_needs_no_release():
    document = changed(test=[test for test in ROOF["test"] if test["id"] in ("S1", "S2")], nonconformance=None, reclean=None)
    assert release.of_job(document)["places"] == []


@pytest.mark.parametrize(
    ("gone", "word"),
    [("nonconformance", "nonconformance"), ("reclean", "reclean")],
)
def test_missing_paper_or_cleaning_blocks(gone, word):
    found = release.of_job(changed(**{gone: None}))
    assert not found["released"]
    assert any(word in code.replace("-", "").replace("_", "") for code in blocks(changed(**{gone: None})))


def test_missing_retest_blocks():
    document = changed(test=[test for test in ROOF["test"] if test["id"] != "S4"])
    found = release.of_job(document)
    assert not found["released"]
    assert any("retest" in code for code in blocks(document))


def test_retest_before_the_cleaning_blocks():
    document = copy.deepcopy(ROOF)
    document["reclean"][0]["finished_at"] = "2026-04-15T11:00:00+00:00"
    assert not release.of_job(document)["released"]


def test_neighbours_that_the_clause_asks_for_block_until_tested():
    document = changed(test=[test for test in ROOF["test"] if test["id"] != "S5"])
    assert any("neighbour" in code for code in blocks(document))


def test_open_nonconformance_blocks():
    document = copy.deepcopy(ROOF)
    for key in ("closed_by", "closed_at"):
        del document["nonconformance"][0][key]
    document.pop("signature")
    assert not release.of_job(document)["released"]
