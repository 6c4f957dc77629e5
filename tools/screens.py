# SPDX-License-Identifier: MIT
"""Pictures of the screens for the README and the tutorial, from a demo that was just started.

python3 dev.py demo                                   in one terminal
.venv/bin/python tools/screens.py http://localhost:8400   in another

It walks docs/tutorial/03 as a newcomer would, so the demo has a signed report afterwards; the water
stands on the steel for two minutes more.
"""

from __future__ import annotations

import io
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from PIL import Image
from playwright.sync_api import ViewportSize, expect, sync_playwright

FOLDER = Path(__file__).resolve().parents[1] / "docs" / "pictures"
FOOTBRIDGE = "/jobs/0b0e6a52-6d0e-4b57-9d5e-6f2f4f0f7a11"
SCREENS = {"job": FOOTBRIDGE, "result": f"{FOOTBRIDGE}/results/T5", "limits": f"{FOOTBRIDGE}/limits"}
DESK: ViewportSize = {"width": 1180, "height": 1000}
HAND: ViewportSize = {"width": 390, "height": 780}
MINUTES = 60_000


def main(address: str) -> None:
    FOLDER.mkdir(parents=True, exist_ok=True)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium-headless-shell") or shutil.which("chromium"), args=["--no-sandbox"])
        page = browser.new_page(viewport=DESK, color_scheme="light", base_url=address)
        page.goto("/demo")
        for name, path in SCREENS.items():
            page.goto(path)
            keep(page, name)
        for name in walk(page):
            keep(page, name)
        browser.close()


def walk(page: Any) -> Iterator[str]:
    """The way of docs/tutorial/03; the name of a picture wherever one is wanted."""
    page.goto(f"{FOOTBRIDGE}/day")
    yield "tutorial-day"
    page.get_by_role("link", name="Open T7").click()
    for _ in range(4):
        panel(page).locator('[data-fact="cycles"] [data-step="1"]').click()
    panel(page).locator('[data-fact="liquid_lost"]').get_by_label("no").check()
    page.set_viewport_size(HAND)
    yield "tutorial-run"
    page.set_viewport_size(DESK)
    forward(page)
    panel(page).get_by_label("beaker").check()
    write(page, volume_recovered="3.0", solution_volume="10.0")
    forward(page)
    write(page, reading="6.2", temperature="20.6")
    forward(page)
    forward(page)
    page.get_by_role("link", name="See the result").click()
    page.wait_for_url("**/results/T7")
    yield "tutorial-result"
    page.goto("/demo/people")
    page.get_by_role("button", name="Be Jonna Reith").click()
    page.wait_for_url("**/")
    page.goto(f"{FOOTBRIDGE}/report")
    page.get_by_role("button", name="Sign as inspector").click()
    page.fill("#password", "three plain words")
    page.get_by_role("button", name="Sign and seal").click()
    page.get_by_text("1 signature").wait_for()
    page.get_by_role("button", name="Close").click()
    yield "tutorial-signed"


def panel(page: Any) -> Any:
    """The step that is open."""
    return page.locator("[data-panel]:not([hidden])")


def forward(page: Any) -> None:
    """To the next step, as soon as its time has come."""
    leads_on = panel(page).locator("[data-next]")
    expect(leads_on).not_to_have_attribute("aria-disabled", "true", timeout=12 * MINUTES)
    leads_on.click()


def write(page: Any, **facts: str) -> None:
    for fact, text in facts.items():
        field = panel(page).locator(f'[data-fact="{fact}"] input').first
        field.fill(text)
        field.blur()


def keep(page: Any, name: str) -> None:
    """A small picture of what the window shows."""
    page.wait_for_load_state("networkidle")
    picture = Image.open(io.BytesIO(page.screenshot()))
    small = picture.resize((picture.width * 2 // 3, picture.height * 2 // 3)) if picture.width > HAND["width"] else picture
    small.convert("RGB").quantize(64, method=Image.Quantize.FASTOCTREE).save(
        FOLDER / f"{name}.png", optimize=True
    )  # the way that keeps the rare colours: verdicts


if __name__ == "__main__":
    main(sys.argv[1].rstrip("/"))
