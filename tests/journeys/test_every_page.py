# SPDX-License-Identifier: MIT
"""Every page at every width: nothing is cut, nothing scrolls sideways, axe finds nothing, and a picture to look at.

A new screen is one line more in PAGES. axe-core: tests/web/vendor/README.md. In the hand each page is also seen in longer words.
"""

from __future__ import annotations

import hashlib
from datetime import UTC, datetime
from pathlib import Path

import pytest

from brackish.record.event import make_event
from tests.journeys.conftest import ARTIFACTS, FOOTBRIDGE

pytestmark = pytest.mark.slow
VENDOR = Path(__file__).parents[1] / "web" / "vendor"
AXE = VENDOR / "axe.min.js"
TANK, LOT, DISPUTE = "5d0a5c0e-90a3-4a42-8d7c-2e7b6a1b1c01", "5d0a5c0e-90a3-4a42-8d7c-2e7b6a1b1c02", "5f0c4a0e-1d35-4e43-9d2f-6b7e0a1c2d11"

PAGES = {  # name of the picture -> address
    "jobs": "/",
    "jobs-none": "/?find=nowhere",
    "job": f"/jobs/{FOOTBRIDGE}",
    "job-tank": f"/jobs/{TANK}",
    "results": f"/jobs/{FOOTBRIDGE}/results",
    "result": f"/jobs/{FOOTBRIDGE}/results/T5",
    "result-fail": f"/jobs/{FOOTBRIDGE}/results/T4",
    "result-void": f"/jobs/{FOOTBRIDGE}/results/T2",
    "salts": f"/jobs/{FOOTBRIDGE}/salts/T1",
    "what-if": f"/jobs/{FOOTBRIDGE}/results/T5?solution_volume=15.0",
    "history": f"/jobs/{FOOTBRIDGE}/history",
    "demo-people": "/demo/people",
    "new": "/new",
    "people": "/people",
    "plan": f"/jobs/{FOOTBRIDGE}/plan",
    "day": f"/jobs/{FOOTBRIDGE}/day",
    "run": f"/jobs/{FOOTBRIDGE}/run/T1",
    "run-dwell": f"/jobs/{FOOTBRIDGE}/run/T7",
    "run-zone": f"/jobs/{TANK}/run/T3",
    "paper": f"/jobs/{FOOTBRIDGE}/run/T1/paper",
    "sheet": f"/jobs/{FOOTBRIDGE}/sheet?test=T1",
    "equipment": "/equipment?reading=146.2",
    "requirement": f"/jobs/{FOOTBRIDGE}/requirement",
    "requirement-tank": f"/jobs/{TANK}/requirement",
    "limits": f"/jobs/{FOOTBRIDGE}/limits",
    "limits-tank": f"/jobs/{TANK}/limits",
    "limits-lot": f"/jobs/{LOT}/limits",
    "limits-refused": f"/jobs/{FOOTBRIDGE}/limits?volume=15",
    "compare": f"/jobs/{FOOTBRIDGE}/compare?a=T4&b=T6",
    "compare-choose": f"/jobs/{FOOTBRIDGE}/compare",
    "release": f"/jobs/{FOOTBRIDGE}/release",
    "release-done": f"/jobs/{FOOTBRIDGE}/release?place=steel/L3",
    "release-none": f"/jobs/{LOT}/release",
    "conflict-none": f"/jobs/{FOOTBRIDGE}/conflict",
    "report": f"/jobs/{FOOTBRIDGE}/report",
    "import": f"/jobs/{FOOTBRIDGE}/import",
    "lessons": "/lessons",
    "lesson-volume": "/lessons/volume",
    "lesson-blank": "/lessons/of/blank.missing",
    "lesson-species": "/lessons/species",
    "lesson-temperature": "/lessons/temperature",
    "lesson-rule": "/lessons/rule?value=51",
    "lesson-sampling": "/lessons/sampling",
    "refused": "/jobs/00000000-0000-4000-8000-000000000000",
    "sign-in": "/sign-in",
    "conflict": f"/jobs/{DISPUTE}/conflict",
    "invitation": "/enter/…",  # whose link is made first
}
INSPECTOR = dict.fromkeys(("new", "plan", "requirement", "report"), "jonna.reith")
WHO = INSPECTOR | {"people": "bram.tallow", "sign-in": "", "invitation": ""}  # else the tester
# Seen in longer words already, on another page of the same template.
SAME_WORDS = {
    "job-tank",
    "result-fail",
    "result-void",
    "what-if",
    "requirement-tank",
    "limits-tank",
    "limits-lot",
    "lesson-blank",
    "lesson-species",
    "lesson-temperature",
}
WIDTHS = (320, 390, 768, 1024, 1280)


def test_axe_is_the_file_the_readme_names():
    assert hashlib.sha256(AXE.read_bytes()).hexdigest() in (VENDOR / "README.md").read_text()


@pytest.fixture(scope="session")
def seen(browse):
    """`seen("job", hand=True)`: a page of the table; what two of them need is made once."""
    made = {"invitation": invited(browse("bram.tallow", "/"))}
    torn(browse("ines.farrow", "/"))
    return lambda name, **options: browse(WHO.get(name, "ines.farrow"), made.get(name, PAGES[name]), **options)


def invited(page) -> str:
    """The link of an invitation."""
    answer = page.request.post("/api/v1/invitations", data={"role": "tester"}, headers=with_token(page))
    return str(answer.json()["link"])


def torn(page) -> None:
    """A reading written on two devices without sight of each other."""
    base = page.request.get(f"/api/v1/jobs/{DISPUTE}").json()["base"]
    for device, reading in (("phone", "9.1 uS/cm"), ("laptop", "19.9 uS/cm")):
        path = ["test", "D1", "facts", "reading"]
        time = datetime.now(UTC).isoformat(timespec="seconds")
        event = make_event(
            job=DISPUTE, device=device, author="ines.farrow", made=time, kind="set", path=path, value=[reading], reason="", after=None, base=base
        )
        answer = page.request.post(f"/api/v1/jobs/{DISPUTE}/events", data=[event.to_dict()], headers=with_token(page))
        assert answer.json()["events"][0]["state"] == "stored", answer.text()


def with_token(page) -> dict[str, str]:
    return {"X-CSRFToken": next(cookie["value"] for cookie in page.context.cookies() if "csrf" in cookie["name"])}


@pytest.mark.parametrize("name", PAGES)
def test_page_at_a_desk_is_whole_at_every_width_and_has_no_barrier(name, seen):
    page = seen(name)
    picture(page, name, 1280, "light")
    assert barriers(page) == []
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 900})
        assert sideways(page) == [], width
    page.evaluate("document.documentElement.style.setProperty('font-size', '200%')")
    for width in (1280, 390):
        page.set_viewport_size({"width": width, "height": 900})
        assert sideways(page) == [], f"{width} at 200 % text"


@pytest.mark.parametrize("name", PAGES)
def test_page_in_the_hand_has_no_barrier_and_is_pressed_with_a_thumb(name, seen):
    page = seen(name, hand=True)
    picture(page, name, 390, "dark")
    assert moving(page) == []
    assert barriers(page) == []
    assert too_small(page) == []


@pytest.mark.parametrize("name", [name for name in PAGES if name not in SAME_WORDS])
def test_page_in_the_hand_holds_words_that_are_longer_by_forty_percent(name, seen):
    page = seen(name, hand=True, words="eo")
    assert "ee" in page.locator("body").inner_text()
    assert sideways(page) == []
    assert cut(page) == []


def picture(page, name: str, width: int, light: str) -> None:
    """Keep what the page looks like, for people to look at."""
    ARTIFACTS.mkdir(parents=True, exist_ok=True)
    page.emulate_media(color_scheme=light, reduced_motion="reduce")
    page.screenshot(path=ARTIFACTS / f"{name}-{width}-{light}.png", full_page=True)


def barriers(page) -> list[list[object]]:
    """What axe finds."""
    page.add_script_tag(path=AXE)
    return page.evaluate("axe.run().then((result) => result.violations.map((each) => [each.id, each.nodes.map((node) => node.html.slice(0, 160))]))")


def moving(page) -> list[str]:
    """What would fade or move although the person asked for stillness (`picture` asks)."""
    return page.evaluate(
        """() => [...document.querySelectorAll("body, body *")].map((each) => [each, getComputedStyle(each)])
          .filter(([, style]) => parseFloat(style.transitionDuration) || style.animationName !== "none").map(([each]) => each.outerHTML.slice(0, 120))"""
    )


def too_small(page) -> list[str]:
    """What is pressed and is less than 48 px high or wide."""
    return page.evaluate(
        """() => [...document.querySelectorAll("a, button, input, select, textarea, summary")].filter((each) => {
            if (each.type === "hidden" || !each.checkVisibility() || each.matches(".skip") || getComputedStyle(each).position === "absolute" && each.type === "radio") return false;
            const box = (each.closest("label") ?? each).getBoundingClientRect(), whole = getComputedStyle(each, "::after").position === "absolute" && getComputedStyle(each, "::after").content !== "none";
            return !whole && (box.height < 47.5 || box.width < 47.5) && box.width > 0;
        }).map((each) => each.outerHTML.slice(0, 120))"""
    )


def sideways(page) -> list[str]:
    """What stands over the right edge of the window."""
    return page.evaluate(
        """() => document.documentElement.scrollWidth <= window.innerWidth ? [] :
            [...document.querySelectorAll("body *")].filter((each) => each.getBoundingClientRect().right > window.innerWidth + 1 && !each.closest(".unseen, svg"))
                .map((each) => each.outerHTML.slice(0, 120)).slice(0, 5)"""
    )


def cut(page) -> list[str]:
    """Texts of which a part is hidden: by a box that clips them, or by the edge of their drawing."""
    return page.evaluate(
        """() => [...document.querySelectorAll("main *, nav *")].filter((each) => {
            if (!each.checkVisibility() || each.closest(".unseen, [aria-hidden=true]")) return false;
            if (each.localName === "text") {
                const box = each.getBoundingClientRect(), of = each.ownerSVGElement.getBoundingClientRect();
                return getComputedStyle(each.ownerSVGElement).overflow === "hidden" && box.width > 0 && (box.left < of.left - 1 || box.right > of.right + 1);
            }
            const style = getComputedStyle(each);
            return ["hidden", "clip"].includes(style.overflowX) && !each.closest("svg") && each.clientWidth > 1 && each.textContent.trim() && each.scrollWidth > each.clientWidth + 1;
        }).map((each) => each.outerHTML.slice(0, 160))"""
    )


@pytest.mark.parametrize(
    "name", ["job", "results", "result", "salts", "history", "day", "requirement", "plan", "equipment", "lesson-volume", "compare", "release"]
)
def test_print_says_what_it_is_of_and_offers_nothing_to_press(browse, name):
    page = browse("jonna.reith", PAGES[name])
    page.emulate_media(media="print")
    try:
        top = page.locator("main .head")
        assert top.is_visible() and top.inner_text().strip()
        pressed = page.locator("main :is(.do, input, select, textarea, button)").evaluate_all(
            "all => all.filter((one) => one.checkVisibility()).map((one) => one.outerHTML)"
        )
        assert pressed == []
    finally:
        page.emulate_media(media="screen")


@pytest.mark.parametrize("light", ["light", "dark"])
def test_forced_colours_reach_the_glass_and_the_ruler(browse, light):
    """A drawing is stroked in the person's own colour of text, whichever ground is forced."""
    for name, drawn in (("run-dwell", ".staff .tick"), ("result", ".ruler line")):
        page = browse("ines.farrow", PAGES[name], hand=True)
        page.emulate_media(forced_colors="active", color_scheme=light)
        try:
            stroke, text = page.locator(drawn).first.evaluate("(one) => [getComputedStyle(one).stroke, getComputedStyle(document.body).color]")
            assert stroke == text, name
        finally:
            page.emulate_media(forced_colors="none", color_scheme="light")
