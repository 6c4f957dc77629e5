# SPDX-License-Identifier: MIT
"""What every test shares: hypothesis that finds the same cases every time, and one real Chromium."""

import os
import shutil

import pytest
from hypothesis import settings

WANTED = "BRACKISH_NO_BROWSER" not in os.environ
CHROMIUM = next((found for name in ("chromium", "chromium-browser", "google-chrome") if WANTED and (found := shutil.which(name))), None)

# Derandomised, so a failure seen once is seen always; no deadline, so a busy machine fails nothing.
settings.register_profile("brackish", derandomize=True, deadline=None, max_examples=100)
settings.load_profile("brackish")


@pytest.fixture(scope="session")
def browser():
    """A real Chromium, one for all tests: its driver runs a loop in this thread, which Django is told not to mind."""
    sync_api = pytest.importorskip("playwright.sync_api")
    if CHROMIUM is None:
        pytest.skip("no Chromium: apt-get install -y --no-install-recommends chromium")
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "1"
    with sync_api.sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu"])
        yield opened
        opened.close()
