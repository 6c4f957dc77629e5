# SPDX-License-Identifier: MIT
"""Compare: the screen says what the core says; the choice of two; what cannot be compared says why."""

from __future__ import annotations

import html
import re
from itertools import pairwise
from pathlib import Path

import pytest

from brackish.judge.compare import compare
from brackish.record.document import load
from brackish.web.pages.whatif import copy_near
from tests.web.conftest import Workspace
from tests.web.writing import JOB, footbridge

EXAMPLES = Path(__file__).parents[3] / "examples"


def send(workspace: Workspace, document: dict) -> dict:
    document["job"]["id"] = JOB
    workspace.send("owner", *workspace.writer("owner").document(document))
    return workspace.client("owner").get(f"/api/v1/jobs/{JOB}/document").json()


def text(workspace: Workspace, address: str, role: str = "tester", status: int = 200) -> str:
    response = workspace.client(role).get(address)
    assert response.status_code == status
    page = re.sub(r"(?s)<(script|template|title).*?</\1>", " ", response.content.decode())
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", page)).replace("\u00a0", " "))


def bare(words: str) -> str:
    return re.sub(r"\s+", "", words)


@pytest.mark.parametrize("file", ["ballast-tank", "dispute", "footbridge"])
def test_two_tests_compare_in_a_copy_without_the_others_as_in_the_whole_job(file):
    document = load(EXAMPLES / f"{file}.toml")
    for one, other in pairwise(document["test"]):
        assert compare(copy_near(document, one, other), one["id"], other["id"]) == compare(document, one["id"], other["id"])


def test_the_dispute_of_a_job_opens_first_and_says_what_the_core_says(workspace):
    document = send(workspace, load(EXAMPLES / "dispute.toml"))
    found = compare(document, "D1", "D2")
    page = text(workspace, f"/jobs/{JOB}/compare")
    for words in (
        found["opening"],
        found["headline"],
        found["why"],
        *(step["shown_to"] for step in found["steps"]),
        *(row["sentence"] for row in found["what_if"]),
    ):
        assert bare(words) in bare(page)
    for fact in found["facts"]:
        assert fact["label"] in page and bare(fact["a"]) in bare(page) and bare(fact["b"]) in bare(page)


def test_the_way_back_is_the_mirror(workspace):
    document = send(workspace, load(EXAMPLES / "dispute.toml"))
    back = compare(document, "D2", "D1")
    assert bare(back["steps"][-1]["shown_to"]) in bare(text(workspace, f"/jobs/{JOB}/compare?a=D2&b=D1"))


def test_what_never_compares_says_why_and_draws_nothing(workspace):
    document = send(workspace, load(EXAMPLES / "tank-roof-chloride.toml"))
    found = compare(document, "S1", "S6")
    page = text(workspace, f"/jobs/{JOB}/compare?a=S1&b=S6")
    assert found["differ"] == "not-comparable" and bare(found["why"]) in bare(page)
    assert 'class="ruler"' not in workspace.client("reader").get(f"/jobs/{JOB}/compare?a=S1&b=S6").content.decode()


@pytest.mark.parametrize("asked", ["a=T9&b=T1", "a=T1&b=T9"])
def test_a_test_that_is_not_there_is_not_found(asked, workspace):
    send(workspace, footbridge(2))
    text(workspace, f"/jobs/{JOB}/compare?{asked}", status=404)


def test_without_a_pair_the_two_latest_valid_tests_open(workspace):
    document = footbridge(4)
    for number, test in enumerate(document["test"]):
        test["read_at"] = f"2026-03-04T09:{59 - number}:00+00:00"  # T1 is the latest
    document["test"][0]["void"] = {"reason": "water ran out"}
    send(workspace, document)
    assert "T3 and T2" in text(workspace, f"/jobs/{JOB}/compare")


def test_where_no_two_belong_together_the_page_asks_which_two(workspace):
    document = footbridge(2)
    document["test"][0]["void"] = {"reason": "water ran out"}
    send(workspace, document)
    assert "Which two?" in text(workspace, f"/jobs/{JOB}/compare")


def test_one_test_alone_is_told_that_two_are_needed(workspace):
    send(workspace, footbridge(1))
    assert "Two tests are needed" in text(workspace, f"/jobs/{JOB}/compare", "reader")


def test_an_empty_job_does_not_break_the_page(workspace):
    assert "Compare" in text(workspace, f"/jobs/{JOB}/compare")
