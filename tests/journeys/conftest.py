# SPDX-License-Identifier: MIT
"""A demo server of its own and a real Chromium, once for all journeys; a person signed in for each test.

Pictures of the pages go to out/artifacts/, for people to look at.
"""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext

collect_ignore = ["longer.py"]  # settings of the demo's server; looking for doctests in them would make them those of all tests
ROOT = Path(__file__).parents[2]
ARTIFACTS = ROOT / "out" / "artifacts"
FOOTBRIDGE = "0b0e6a52-6d0e-4b57-9d5e-6f2f4f0f7a11"


@pytest.fixture(scope="session")
def demo_address(tmp_path_factory) -> Iterator[str]:
    """The address of a demo, started as the README does; it ends with the session."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "brackish", "demo", "--port", str(port), "--output", str(tmp_path_factory.mktemp("demo"))]
    environment = {name: value for name, value in os.environ.items() if not name.startswith(("BRACKISH_", "DJANGO_", "DATABASE_"))}
    environment |= {"PYTHONPATH": f"{ROOT / 'src'}:{ROOT}", "DJANGO_SETTINGS_MODULE": "tests.journeys.longer"}
    server = subprocess.Popen(command, env=environment, stdout=subprocess.DEVNULL)
    address = f"http://localhost:{port}"
    try:
        for _ in range(150):
            try:
                urllib.request.urlopen(f"{address}/health", timeout=1).read()
                break
            except OSError:
                assert server.poll() is None, "the demo ended"
                time.sleep(0.2)
        yield address
    finally:
        server.terminate()
        server.wait(10)


DESK = {"viewport": {"width": 1280, "height": 900}}
HAND = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}


def sign_in(page, account: str) -> None:
    """As a person of the demo; who opens it is Ines Farrow."""
    page.goto("/demo")
    if account != "ines.farrow":
        page.goto("/demo/people")
        page.locator(f'form:has(input[value="{account}"]) button').click()
        page.wait_for_url("**/")


@pytest.fixture(scope="session")
def browse(browser, demo_address) -> Iterator[Callable]:
    """`browse("ines.farrow", "/jobs", hand=True)`: the page of an address, in a browser that stays signed in; for pages that are only looked at.

    Nobody ("") is not signed in. `words="eo"` are longer ones (`longer.py`).
    """
    opened: dict[tuple[str, bool, str], BrowserContext] = {}

    def at(account: str, address: str, *, hand: bool = False, words: str = "en"):
        kind = HAND if hand else DESK
        context = opened.get((account, hand, words))
        if context is None:
            context = opened[account, hand, words] = browser.new_context(base_url=demo_address, bypass_csp=True, locale=words, **kind)
            if account:
                sign_in(context.new_page(), account)
        page = context.pages[0] if context.pages else context.new_page()  # the next page in the same tab is half the work of a new tab
        page.set_viewport_size(kind["viewport"])
        page.goto(address)
        return page

    yield at
    for context in opened.values():
        context.close()


@pytest.fixture
def visit(browser, demo_address) -> Callable:
    """`with visit("ines.farrow", width=390, light="dark") as page`: a fresh browser, signed in; an error of a script fails the test."""

    @contextmanager
    def opened(account: str = "ines.farrow", *, width: int = 1280, light: str = "light", **options):
        context = browser.new_context(base_url=demo_address, viewport={"width": width, "height": 1400 if width > 500 else 844}, color_scheme=light, **options)
        page = context.new_page()
        wrong: list[str] = []
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.on("console", lambda message: wrong.append(message.text) if message.type == "error" and "Failed to load resource" not in message.text else None)
        sign_in(page, account)
        try:
            yield page
        finally:
            context.close()
        assert wrong == []

    return opened
