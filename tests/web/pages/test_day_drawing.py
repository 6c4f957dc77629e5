# SPDX-License-Identifier: MIT
"""The hour of a full crew in the hand: every title and every test's name can be read, none lies over another."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from tests.web.pages.workbench import START, Workbench, bench  # noqa: F401 (a fixture)
from tests.web.writing import JOB, footbridge

ARTIFACTS = Path(__file__).parents[3] / "out" / "artifacts"
CREW = ("Ines Farrow", "Maximilian Oduya", "Tomas Quill", "Wilhelmina-Charlotte Brand")
OVERLAPPING = """() => {
  const plot = document.querySelector(".lanes-tall .lanes-plot"), edge = plot.getBoundingClientRect();
  const texts = [...plot.querySelectorAll("text:not(.now-flag-text, .hour)")].map((each) => [each.textContent, each.getBoundingClientRect()]);
  const over = (a, b) => a.left < b.right - 1 && b.left < a.right - 1 && a.top < b.bottom - 1 && b.top < a.bottom - 1;
  const outside = (box) => box.left < edge.left - 0.5 || box.right > edge.right + 0.5 || box.top < edge.top - 0.5 || box.bottom > edge.bottom + 0.5;
  return texts.flatMap(([text, box], at) => [...(outside(box) ? [text] : []), ...texts.slice(at + 1).filter(([, other]) => over(box, other)).map(([other]) => `${text} ${other}`)]);
}"""


def crowded() -> dict[str, Any]:
    """Four people: seven patches with water on the steel, two lots of abrasive whose portions stand."""

    def begun(**steps: float) -> dict[str, str]:
        return {name.replace("_", "-"): (START - timedelta(minutes=ago)).isoformat() for name, ago in steps.items()}

    document = footbridge(7)
    document["person"] = [{"id": f"p{number}", "name": name, "role": "tester"} for number, name in enumerate(CREW)]
    document["item"].append({"id": "lot", "kind": "abrasive", "name": "Lot FM-7781"})
    for number, test in enumerate(document["test"]):
        at = 8 - number % 3
        test |= {"tester": f"p{number % 4}", "x-steps": begun(choose=at, water=at - 1, fit=at - 2, inject=at - 3, dwell=at - 4)}
        test["started"] = test["x-steps"]["choose"]
        test.pop("read_at")
        test["facts"].pop("reading")
    portions = [{"x-portion": number, "x-steps": begun(shake_1=20 - number, stand_1=15 - number)} for number in (1, 2)]
    document["test"] += [{"id": id, "item": "lot", "method": "abrasive-conductivity", "tester": "p3", "determination": portions} for id in ("A1", "A2")]
    return document


@pytest.mark.slow
@pytest.mark.parametrize("width", [320, 390])
def test_hour_of_a_full_crew_can_be_read_in_the_hand(width, bench: Workbench, browser):  # noqa: F811
    bench.write(crowded())
    ARTIFACTS.mkdir(parents=True, exist_ok=True)
    for light in ("light", "dark"):
        with bench.device(browser, width=width, light=light) as page:
            page.goto(f"/jobs/{JOB}/day")
            plot = page.locator(".lanes-tall .lanes-plot")
            plot.screenshot(path=ARTIFACTS / f"hour-crowded-{width}-{light}.png")
            assert {"Ines", "Maximilian", "Wilhelmina-…", "P7", "F4"} <= set(plot.locator(".head-text").all_text_contents())
            assert page.evaluate(OVERLAPPING) == []
