# SPDX-License-Identifier: MIT
"""The look's own rules: dark stands twice and is equal, every text can be read in every light, colours live in one file.

Contrast by the formula of WCAG 2.2, "relative luminance" and "contrast ratio"; 4.5:1 for text is its criterion 1.4.3.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

STATIC = Path(__file__).parents[3] / "src/brackish/web/static/brackish"
TOKENS = (STATIC / "tokens.css").read_text(encoding="utf-8")


def values(block: str) -> dict[str, str]:
    return dict(re.findall(r"--([\w-]+):\s*([^;]+);", block))


def block_after(start: str) -> dict[str, str]:
    return values(TOKENS[TOKENS.index(start) :].split("}", 1)[0])


LIGHT = values(TOKENS.split("/* Light: ink on chalk */", 1)[1].split("}", 1)[0])
DARK = block_after(':root[data-theme="dark"] {')
SUN = block_after(':root[data-theme="sun"] {')


def test_dark_by_system_and_by_choice_are_equal():
    assert block_after(":root:not([data-theme]) {") == DARK and len(DARK) > 20


def luminance(colour: str) -> float:
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_contrast_of_black_on_white_is_the_standards():
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0, abs=0.005)  # WCAG 2.2: ratios range from 1 to 21


@pytest.mark.parametrize("name", ["light", "dark", "sun"])
def test_text_of_every_kind_can_be_read_in_every_light(name):
    tokens = LIGHT | {"light": {}, "dark": DARK, "sun": SUN}[name]
    for ground in ("page", "sheet", "sunk"):
        for text in ("text", "text-2", "brine", "rust", "ochre", "slate"):
            assert contrast(tokens[text], tokens[ground]) >= 4.5, (text, ground)
        assert contrast(tokens["edge"], tokens[ground]) >= 3.0, ground  # 1.4.11: bounds of fields
    for text in ("now-text", "now-text-2"):
        assert contrast(tokens[text], tokens["now"]) >= 4.5
    assert contrast(tokens["do-text"], tokens["do"]) >= 4.5


def test_colours_stand_in_tokens_only():
    for file in ("components.css", "workspace.css"):
        text = re.sub(r"/\*.*?\*/", "", (STATIC / file).read_text(encoding="utf-8"), flags=re.DOTALL)
        raw = re.findall(r"#[0-9a-fA-F]{3,8}\b", re.sub(r"url\(#[\w-]+\)", "", text))
        assert set(raw) <= {"#ffffff", "#111820"}, (file, raw)  # the focus on the filled panel, and a code that a camera reads
