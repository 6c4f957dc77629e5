# SPDX-License-Identifier: MIT
"""What touches the store, on PostgreSQL too: TEST_DATABASE_URL where it is set, else the one that a wheel carries."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

from tests.web.live import ROOT, postgres

FILES = ["test_store.py", "test_people.py", "test_attachments.py", "test_signing.py"]


@pytest.mark.skipif("BRACKISH_NO_POSTGRES" in os.environ, reason="left out by --no-postgres")
@pytest.mark.slow
def test_everything_holds_on_postgresql_too():
    given = os.environ.get("TEST_DATABASE_URL")
    if given:
        _run(given)
        return
    with postgres() as base:
        _run(base.database("tests"))


def _run(url: str) -> None:
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "-p", "no:xdist", *(f"tests/web/{name}" for name in FILES)]
    done = subprocess.run(command, env=os.environ | {"BRACKISH_TEST_DATABASE": url}, cwd=ROOT, capture_output=True, text=True, timeout=300)
    assert done.returncode == 0, done.stdout[-5_000:]
    assert " passed" in done.stdout
