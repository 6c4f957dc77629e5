# SPDX-License-Identifier: MIT
"""How long a hand waits in a real browser: from pressing to the frame that shows what changed.

A fresh demo and Chromium on this machine. The slider of a lesson and "what if" ask the server; a step of a run does not.
"""

from __future__ import annotations

import shutil
import socket
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from _timing import ROOT
from playwright.sync_api import sync_playwright

JOB = "/jobs/0b0e6a52-6d0e-4b57-9d5e-6f2f4f0f7a11"
ASKED, TIMES = 50, 20  # ms from a press to its frame; how often each is done

# Does one thing, waits until what is watched changes (for an answer: until it is put in), and for the frame that shows it.
WATCH = """async ([what, watched, answer]) => {
    const seen = document.querySelector(watched);
    const changed = new Promise((done) => new MutationObserver((_, self) => { self.disconnect(); done(); })
        .observe(seen, { subtree: true, childList: true, characterData: !answer, attributes: !answer }));
    const start = performance.now();
    eval(what);
    await changed;
    await new Promise((done) => requestAnimationFrame(() => setTimeout(done)));
    return performance.now() - start;
}"""


def main() -> int:
    with demo() as address, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium-headless-shell") or shutil.which("chromium"), args=["--no-sandbox"])
        page = browser.new_context(base_url=address, bypass_csp=True, viewport={"width": 390, "height": 844}).new_page()
        page.goto("/demo")
        met = [line(name, found) for name, found in (("step of a run", steps(page)), ("slider of a lesson", slider(page)), ("what if", what_if(page)))]
        browser.close()
    return 0 if all(met) else 1


def steps(page: Any) -> list[float]:
    """Back and on again through the steps of the test that is under way."""
    page.goto(f"{JOB}/run/T7")
    back = "document.querySelector('[data-panel]:not([hidden]) [data-back]').click()"
    forward = "document.querySelector('[data-panel]:not([hidden]) [data-next]').click()"
    return [page.evaluate(WATCH, [what, "#main"]) for _ in range(TIMES // 2) for what in (back, forward)]


def slider(page: Any) -> list[float]:
    page.goto("/lessons/volume")
    moved = "const slider = document.querySelector('input[type=range]'); slider.value = Number(slider.value) + 0.4; slider.dispatchEvent(new Event('input', { bubbles: true }))"
    return [page.evaluate(WATCH, [moved, "[data-told], [data-number]"]) for _ in range(TIMES)]


def what_if(page: Any) -> list[float]:
    page.goto(f"{JOB}/results/T3")
    found = []
    for number in range(TIMES):
        typed = f"const field = document.getElementById('if-solution_volume'); field.value = '{11 + number}'; field.dispatchEvent(new Event('input', {{ bubbles: true }}))"
        found.append(page.evaluate(WATCH, [typed, "#what-if", True]))
    return found


def line(name: str, found: list[float]) -> bool:
    middle, slow = statistics.median(found), sorted(found)[int(0.95 * len(found))]
    print(f"{name:<28} median {middle:6.1f} ms   p95 {slow:6.1f} ms   asked: under {ASKED} ms{'' if middle <= ASKED else '   NOT MET'}", flush=True)
    return middle <= ASKED


@contextmanager
def demo() -> Iterator[str]:
    """The address of a demo that was just made."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    with tempfile.TemporaryDirectory() as folder:
        code = f"from pathlib import Path; from brackish.web.demo import demo; demo(folder=Path({folder!r}), examples=Path({str(ROOT / 'examples')!r}), port={port})"
        server = subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.DEVNULL, cwd=ROOT)
        try:
            for _ in range(150):
                try:
                    urllib.request.urlopen(f"http://localhost:{port}/health", timeout=1).read()
                    break
                except OSError:
                    time.sleep(0.2)
            yield f"http://localhost:{port}"
        finally:
            server.terminate()
            server.wait(10)


if __name__ == "__main__":
    sys.exit(main())
