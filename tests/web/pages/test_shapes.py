# SPDX-License-Identifier: MIT
"""A job whose record has a list where a table belongs, a text where a list does: its pages say so, and no page fails."""

from __future__ import annotations

import html
import re
from typing import Any
from urllib.parse import quote

import pytest

from tests.web.writing import JOB, footbridge

PLACES = (
    "",
    "/results",
    "/results/T1",
    "/day",
    "/requirement",
    "/release",
    "/report",
    "/compare",
    "/plan",
    "/limits",
    "/history",
    "/run/T1",
    "/import",
    "/conflict",
)
PAGES = ["/", "/equipment", "/new", *(f"/jobs/{JOB}{place}" for place in PLACES), f"/jobs/{JOB}/results.csv"]
BAD: list[tuple[tuple[str, ...], Any]] = [
    *(((name,), value) for name, value in {"job": "x", "test": "T1", "item": 3, "specification": "x", "question": "why", "person": "me"}.items()),
    *(((name,), value) for name, value in {"equipment": "meter", "location": 1, "blank": [1], "conditions": "wet", "reclean": ["x"]}.items()),
    (("specification", "paint-spec", "criterion", "steel", "quantity"), ["mixed_salt_per_area"]),
    (("test", "T1", "facts"), "9.1 uS/cm"),
    (("test", "T1", "facts", "reading", "first"), "9.1 uS/cm"),
    (("test", "T1", "location"), ["L1"]),
    (("test", "T1", "method"), ["patch-conductivity"]),
    (("test", "T1", "equipment"), "meter"),
    (("test", "T1", "tester", "name"), "me"),
    (("test", "T1", "void"), "lost"),
    (("test", "T1", "read_at"), 5),
    (("item", "girder", "name"), ["a"]),
    (("equipment", "meter", "verification"), "today"),
    (("equipment", "meter", "accuracy"), 1),
    (("specification", "paint-spec", "criterion"), "50"),
    (("specification", "paint-spec", "criterion", "steel", "limit"), ["50 mg/m2"]),
    (("blank", "B1", "reading"), 1),
    (("x-clause",), "text"),
    (("x-clause", "text"), ["text"]),
    (("test", "T1", "x-steps"), [1]),
    (("test", "T1", "x-steps", "dwell"), "soon"),
]


@pytest.mark.slow
@pytest.mark.parametrize(("path", "value"), BAD, ids=lambda part: ".".join(part) if isinstance(part, tuple) else "")
def test_no_page_fails_on_a_record_of_another_shape(workspace, path, value):
    writer = workspace.writer("owner")
    workspace.send("owner", *writer.document(footbridge()), writer.set(path, value))
    client = workspace.client("owner")
    client.raise_request_exception = False
    assert [address for address in PAGES if client.get(address).status_code >= 500] == []


@pytest.mark.parametrize("kind", ["test", "equipment"])
def test_what_a_run_asks_of_a_job_that_cannot_be_read_is_answered(workspace, kind):
    """An entry became a list: one event named its parts by marks."""
    document = footbridge()
    writer = workspace.writer("owner")
    workspace.send("owner", writer.set((kind, "X", "#1", "reading"), "v"), *writer.document(document))
    client = workspace.client("tester")
    remarks = client.post(f"/api/v1/jobs/{JOB}/remarks", {"test": "T1", "facts": {"cycles": 2}}, content_type="application/json")
    check = {"equipment": "meter", "solution": "KCl 0.001 mol/L", "reading": "146.2 uS/cm", "temperature": "25.0 degC"}
    checked = client.post(f"/api/v1/jobs/{JOB}/check", check, content_type="application/json")
    assert (remarks.status_code, checked.status_code, checked.json()["good"]) == (200, 200, True)


def test_question_without_an_id_is_answered_under_the_mark_of_its_path(workspace):
    document = {**footbridge(), "question": [{"text": "By whose rule?", "answer": "the owner's"}, {"text": "Which edition?"}]}
    workspace.send("owner", *workspace.writer("owner").document(document))
    for address in ("", "/requirement"):
        page = html.unescape(workspace.client("owner").get(f"/jobs/{JOB}{address}").content.decode())
        assert '["question","#2","answer"]' in re.sub(r'",\s+"', '","', page)


@pytest.mark.parametrize("name", ["a/b", "/"])
def test_test_whose_id_holds_a_slash_breaks_no_page(workspace, name):
    document = footbridge()
    document["test"].append({"id": name, "item": "girder", "location": "L1", "method": "patch-conductivity", "x-steps": {"start": "2026-03-04T09:05:00+00:00"}})
    workspace.send("owner", *workspace.writer("owner").document(document))
    for address in ("", "/day", "/results", "/run/T1", f"/run/{quote(name, safe='')}", f"/results/{quote(name, safe='')}"):
        assert workspace.client("tester").get(f"/jobs/{JOB}{address}").status_code in (200, 302)
