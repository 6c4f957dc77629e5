# SPDX-License-Identifier: MIT
"""The core in a real browser, under our own content policy: every example's outcome, hash for hash.

The browser's Python is another build of another version (WebAssembly, 3.14), so equal bytes say that
the arithmetic depends on neither.
"""

from __future__ import annotations

import hashlib
import json
import sys
import threading
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest

from brackish.web.browser import core_archive
from brackish.web.headers import POLICY
from tests.web.live import ROOT
from tools import golden

HERE = Path(__file__).parent
STATIC = ROOT / "src/brackish/web/static"
PYODIDE = STATIC / "vendor" / "pyodide"
VECTORS = ROOT / "tests" / "record" / "vectors.json"
TYPES = {".js": "text/javascript", ".mjs": "text/javascript", ".wasm": "application/wasm", ".html": "text/html", ".json": "application/json"}


class Site:
    """What the page may fetch, and what it sends back."""

    def __init__(self, jobs: dict[str, str]) -> None:
        self.pages = {"/": HERE / "browser/page.html", "/page.js": HERE / "browser/page.js", "/vectors.json": VECTORS}
        self.made = {"/core.zip": core_archive(), "/jobs.json": json.dumps(jobs).encode()}
        self.answers: dict = {}
        self.answered = threading.Event()
        site = self

        class Handler(BaseHTTPRequestHandler):
            def do_GET(self) -> None:
                file = site.pages.get(self.path.split("?")[0], ROOT / "src/brackish/web" / self.path.split("?")[0].lstrip("/"))
                data = site.made.get(self.path) or (file.read_bytes() if file.is_file() else None)
                self.send_response(200 if data is not None else 404)
                self.send_header("Content-Type", TYPES.get(file.suffix, "application/octet-stream"))
                self.send_header("Content-Security-Policy", POLICY)
                self.end_headers()
                self.wfile.write(data or b"")

            def do_POST(self) -> None:
                site.answers = json.loads(self.rfile.read(int(self.headers["Content-Length"])))
                self.send_response(204)
                self.end_headers()
                site.answered.set()

            def log_message(self, *_: object) -> None:
                pass

        self.server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self.server.daemon_threads = True
        self.address = f"http://127.0.0.1:{self.server.server_port}/"
        threading.Thread(target=self.server.serve_forever, daemon=True).start()

    def close(self) -> None:
        self.server.shutdown()
        self.server.server_close()


def in_the_browser(browser, jobs: dict[str, str]) -> dict:
    """What a headless Chromium makes of these jobs."""
    site = Site(jobs)
    context = browser.new_context()
    try:
        context.new_page().goto(site.address)
        assert site.answered.wait(120), "the browser did not answer"
        return site.answers
    finally:
        context.close()
        site.close()


@pytest.mark.slow
def test_browser_gives_the_same_outcomes_and_events_hash_for_hash(browser):
    files = golden.examples()
    here = {name: hashlib.sha256(data).hexdigest() for name, data in golden.outcomes(Path(sys.executable), files).items()}
    there = in_the_browser(browser, {f"{file.stem}.json": (ROOT / file).read_text(encoding="utf-8") for file in files})
    assert there["hashes"] == here
    committed = {file.name: hashlib.sha256(file.read_bytes()).hexdigest() for file in golden.GOLDEN.glob("*.json")}
    assert {name: there["hashes"][name] for name in committed} == committed
    assert there["events"] == [[vector["canonical"], vector["hash"]] for vector in json.loads(VECTORS.read_text(encoding="utf-8"))]


def test_vendored_files_are_those_that_were_taken_in():
    listed = [line.split("  ") for line in (PYODIDE / "VENDORED.txt").read_text().splitlines() if len(line.split("  ")) == 2]
    assert {name: hashlib.sha256((PYODIDE / name).read_bytes()).hexdigest() for _, name in listed} == {name: digest for digest, name in listed}
    known = {name for _, name in listed} | {"VENDORED.txt", "LICENSE-pyodide.txt", "LICENSE-python.txt"}
    assert {file.name for file in PYODIDE.iterdir()} == known


def test_core_archive_is_the_core_and_the_same_each_time():
    assert core_archive() == core_archive()
    assert len(core_archive()) < 500_000
