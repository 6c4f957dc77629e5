# SPDX-License-Identifier: MIT
"""What a page asks of the database does not grow with the tests of a job, nor that of the list with the jobs."""

from __future__ import annotations

import uuid

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from brackish.web import models
from tests.web.writing import JOB, footbridge

OF_A_JOB = ("", "/results", "/results/T1", "/day", "/requirement", "/report", "/plan", "/release", "/compare", "/limits")
API = ("", "/outcome", "/outcome/T1", "/document", "/counts")
ADDRESSES = [f"/jobs/{JOB}{screen}" for screen in OF_A_JOB] + [f"/api/v1/jobs/{JOB}{what}" for what in API]


def questions(workspace, address: str) -> list[str]:
    client = workspace.client("inspector")
    with CaptureQueriesContext(connection) as asked:
        response = client.get(address)
    assert response.status_code == 200, (address, response.status_code)
    return [one["sql"] for one in asked]


def test_questions_do_not_grow_with_tests(workspace):
    workspace.send("owner", *workspace.writer("owner").document(footbridge(tests=2)))
    few = {address: len(questions(workspace, address)) for address in ADDRESSES}
    workspace.send("owner", *workspace.writer("owner", "desk").document(footbridge(tests=12)))
    many = {address: len(questions(workspace, address)) for address in ADDRESSES}
    assert many == few
    assert max(few.values()) <= 9, few


@pytest.mark.parametrize("address", ["/", "/equipment", "/api/v1/jobs"])
def test_questions_do_not_grow_with_jobs(workspace, address):
    workspace.send("owner", *workspace.writer("owner").document(footbridge()))
    one = len(questions(workspace, address))
    for number in range(8):
        models.Job.objects.create(
            id=str(uuid.UUID(int=number + 1)), organisation=workspace.organisation, title=f"Girder {number}", changed=workspace.job.changed
        )
    questions(workspace, address)  # what is behind is judged once
    assert len(questions(workspace, address)) == one
