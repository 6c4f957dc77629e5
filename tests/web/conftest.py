# SPDX-License-Identifier: MIT
"""A server in memory for each test: own folder, own tables, people of every role; undone afterwards.

The same tests run on PostgreSQL when BRACKISH_TEST_DATABASE names one (`test_postgres.py` does that).
"""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

FOLDER = tempfile.TemporaryDirectory(prefix="brackish-web-", ignore_cleanup_errors=True)
os.environ["BRACKISH_DATA"] = FOLDER.name
os.environ["DATABASE_URL"] = os.environ.get("BRACKISH_TEST_DATABASE", "")
os.environ["BRACKISH_JUDGE_AT_ONCE"] = "1"
os.environ["BRACKISH_HOSTS"] = "testserver,localhost,127.0.0.1"
os.environ["DJANGO_SETTINGS_MODULE"] = "brackish.web.settings"

import django  # noqa: E402

django.setup()

import pytest  # noqa: E402
from django.conf import settings  # noqa: E402
from django.core.management import call_command  # noqa: E402
from django.db import connections, transaction  # noqa: E402
from django.test import Client  # noqa: E402
from django.utils import timezone  # noqa: E402

from brackish.web import models  # noqa: E402
from tests.web.writing import JOB, Writer  # noqa: E402

PASSWORD = "three plain words"
settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]  # the server's own takes a third of a second on purpose: test_people.py


@pytest.fixture(scope="session")
def tables():
    call_command("migrate", verbosity=0)
    yield
    connections.close_all()


@pytest.fixture
def database(tables):
    """Everything a test writes is undone."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


class Workspace:
    """An organisation, a job, and one person of each role (`outsider` belongs to another organisation)."""

    def __init__(self) -> None:
        self.organisation = models.Organisation.objects.create(name="Pell Quay")
        self.job = models.Job.objects.create(id=JOB, organisation=self.organisation, changed=timezone.now())
        self.people = {role: self._person(role) for role in models.ROLES}
        self.people["outsider"] = self._person("owner", "outsider", models.Organisation.objects.create(name="Elsewhere"))

    def _person(self, role: str, name: str = "", organisation: models.Organisation | None = None) -> models.Person:
        person = models.Person(name=name or role, shown_name=(name or role).capitalize())
        person.set_unusable_password()
        person.save()
        job = self.job if role in models.JOB_ROLES else None
        models.Membership.objects.create(organisation=organisation or self.organisation, person=person, role=role, job=job)
        return person

    def client(self, role: str | None) -> Client:
        client = Client(raise_request_exception=False)
        if role:
            client.force_login(self.people[role])
        return client

    def writer(self, role: str, device: str = "phone") -> Writer:
        return Writer(author=role, device=f"{device} of {role}")

    def send(self, role: str, *events, expect: str | None = "stored") -> list[dict]:
        response = self.client(role).post(f"/api/v1/jobs/{JOB}/events", [event.to_dict() for event in events], content_type="application/json")
        assert response.status_code == 200, response.content
        answers = response.json()["events"]
        assert expect is None or {answer["state"] for answer in answers} == {expect}, answers
        return answers


@pytest.fixture
def workspace(database) -> Workspace:
    return Workspace()


@pytest.fixture
def folder() -> Path:
    return Path(FOLDER.name)


@pytest.fixture
def desk(browser, workspace):
    """A browser at which somebody of the workspace sits (`desk.py`)."""
    from tests.web.desk import Desk

    desk = Desk(browser, workspace)
    yield desk
    desk.context.close()
