# SPDX-License-Identifier: MIT
"""Pictures of the main screens for the README, from a running demo.

python3 dev.py demo                                   in one terminal
.venv/bin/python tools/screens.py http://localhost:8400   in another
"""

from __future__ import annotations

import io
import shutil
import sys
from pathlib import Path

from PIL import Image
from playwright.sync_api import sync_playwright

FOLDER = Path(__file__).resolve().parents[1] / "docs" / "pictures"
FOOTBRIDGE = "/jobs/0b0e6a52-6d0e-4b57-9d5e-6f2f4f0f7a11"
SCREENS = {"job": (FOOTBRIDGE, 1000), "result": (f"{FOOTBRIDGE}/results/T5", 1000), "limits": (f"{FOOTBRIDGE}/limits", 1000)}


def main(address: str) -> None:
    FOLDER.mkdir(parents=True, exist_ok=True)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": 1180, "height": 1000}, color_scheme="light")
        page.goto(f"{address}/demo")
        for name, (path, height) in SCREENS.items():
            page.set_viewport_size({"width": 1180, "height": height})
            page.goto(address + path)
            page.wait_for_load_state("networkidle")
            picture = Image.open(io.BytesIO(page.screenshot()))
            small = picture.resize((picture.width * 2 // 3, picture.height * 2 // 3))
            small.convert("P", palette=Image.Palette.ADAPTIVE, colors=64).save(FOLDER / f"{name}.png", optimize=True)
        browser.close()


if __name__ == "__main__":
    main(sys.argv[1].rstrip("/"))
