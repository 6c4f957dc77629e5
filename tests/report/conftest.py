# SPDX-License-Identifier: MIT
"""The footbridge at Pell Quay, judged and rendered once for all tests of the report."""

from __future__ import annotations

import copy
from typing import Any

import pytest

import brackish
from brackish.report.render import render
from tests.report.pell_quay import JOB

Document = dict[str, Any]


def judged(job: Document) -> Document:
    """The outcome of a job, by the real program."""
    return brackish.evaluate(job).to_dict()


@pytest.fixture(scope="session")
def _once() -> tuple[Document, Document, bytes]:
    outcome = judged(JOB)
    return JOB, outcome, render(job=JOB, outcome=outcome)


@pytest.fixture
def job(_once: tuple[Document, Document, bytes]) -> Document:
    return copy.deepcopy(_once[0])


@pytest.fixture
def outcome(_once: tuple[Document, Document, bytes]) -> Document:
    return copy.deepcopy(_once[1])


@pytest.fixture
def pdf(_once: tuple[Document, Document, bytes]) -> bytes:
    return _once[2]
