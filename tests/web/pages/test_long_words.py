# SPDX-License-Identifier: MIT
"""A name of one long word, which people do give, makes no page wider than its screen."""

from __future__ import annotations

import pytest

from tests.journeys.test_every_page import sideways
from tests.web.pages.test_run import planned
from tests.web.pages.workbench import Workbench, bench  # noqa: F401 (a fixture)
from tests.web.writing import JOB, footbridge

LONG = "Hauptbrueckentraegerinstandsetzungsabschnittsbezeichnungsfeld"
PAGES = ("", "/requirement", "/plan", "/day", "/run/T2", "/sheet", "/results", "/results/T1", "/compare", "/release", "/report", "/limits", "/history")
BESIDE = """() => [...document.querySelectorAll(".strip-job, .who, .path, .now-when, .item-name, .run-bar p")]
  .filter((each) => each.scrollWidth > each.clientWidth + 1).map((each) => each.className)"""


@pytest.mark.slow
@pytest.mark.parametrize("width", [390, 1280])
def test_name_of_one_long_word_breaks_where_it_must(width, bench: Workbench, browser):  # noqa: F811
    document = footbridge(2)
    document["test"][1] = planned(2)["test"][1] | {"x-steps": {"choose": "2026-03-04T09:50:00+00:00", "dwell": "2026-03-04T09:58:00+00:00"}}
    document["job"]["title"] = document["specification"][0]["title"] = document["equipment"][0]["serial"] = LONG
    for kind in ("item", "location", "person"):
        document[kind][0]["name"] = LONG
    bench.write(document)
    bench.people["jonna"].shown_name = LONG
    bench.people["jonna"].save()
    with bench.device(browser, "jonna", width=width) as page:
        for address in ("/", "/equipment", *(f"/jobs/{JOB}{each}" for each in PAGES)):
            assert page.goto(address).status == 200, address
            assert sideways(page) == [], address
            assert page.evaluate("document.documentElement.scrollWidth") <= width, address
            assert page.evaluate(BESIDE) == [], address
