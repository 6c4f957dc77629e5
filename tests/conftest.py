# SPDX-License-Identifier: MIT
"""What every test shares: hypothesis that finds the same cases every time, the order of the tests, and one real Chromium."""

import os
import shutil

import pytest
from hypothesis import settings

from tests.examples import examples

WANTED = "BRACKISH_NO_BROWSER" not in os.environ
# The shell first: the same engine without windows, whose tabs and menus are pages to draw for every page that is opened.
NAMES = ("chromium-headless-shell", "chromium", "chromium-browser", "google-chrome")
CHROMIUM = next((found for name in NAMES if WANTED and (found := shutil.which(name))), None)

settings.register_profile("brackish", examples(100))
settings.load_profile("brackish")


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(config, items):
    """Each worker begins with its share of the slow tests: at the end there are short ones to take over, and no core stands idle for a minute.

    A share is a run of neighbours, so that what a folder shares, such as a server, is seldom made twice.
    """
    workers = getattr(config, "workerinput", {}).get("workercount", 1)
    kinds = [[item for item in items if bool(item.get_closest_marker("slow")) is slow] for slow in (True, False)]
    items[:] = [item for share in range(workers) for kind in kinds for item in kind[len(kind) * share // workers : len(kind) * (share + 1) // workers]]


@pytest.fixture(scope="session")
def browser():
    """A real Chromium, one for all tests: its driver runs a loop in this thread, which Django is told not to mind."""
    sync_api = pytest.importorskip("playwright.sync_api")
    if CHROMIUM is None:
        pytest.skip("no Chromium: apt-get install -y --no-install-recommends chromium-headless-shell")
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "1"
    sync_api.expect.set_options(timeout=20_000)  # a busy machine is slow, not wrong
    with sync_api.sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu"])
        yield opened
        opened.close()
