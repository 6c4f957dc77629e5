# SPDX-License-Identifier: MIT
"""Drawings are well-formed, spoken, and stand where division says: 29.4 of a line from 0 to 80 is at 36.75 percent."""

from __future__ import annotations

import xml.etree.ElementTree as ET

from brackish.report import figures
from brackish.web.pages import drawing

WORDS = {
    "kind": "pass",
    "number": "29.4",
    "rest": "± 1.5 mg/m²",
    "sub": "k = 2, 95 %",
    "limit_text": "limit 50",
    "edges": ["passes to 48.5", "fails over 51.5"],
}
READING = figures.Reading(value=29.4, expanded=1.5, limit=50.0, band=(48.5, 51.5))


def drawn(**changes) -> ET.Element:
    words = WORDS | {"alt": "Ruler. <29.4> & limit"} | changes
    return ET.fromstring(drawing.ruler(figures.ruler(READING) | words).replace("&amp;", "&#38;"))


def places(svg: ET.Element, kind: str) -> list[str]:
    return [line.get("x1") for line in svg.iter("line") if line.get("class") == kind]


def test_ruler_stands_where_division_says_and_speaks():
    svg = drawn()
    assert places(svg, "pole") == ["36.75%"] and places(svg, "limit") == ["62.5%"]
    assert places(svg, "band-edge") == ["60.625%", "64.375%"] and places(svg, "cap") == ["34.875%", "38.625%"]
    assert svg.get("role") == "img" and svg.find("title").text == "Ruler. <29.4> & limit"


def test_text_of_people_cannot_become_markup():
    assert "<script" not in drawing.ruler(figures.ruler(READING) | WORDS | {"alt": "<script>", "limit_text": '"><script>', "edges": ["<script>", ""]})


def test_close_up_is_drawn_where_the_interval_is_too_small_to_see():
    near = figures.ruler(figures.Reading(value=49.2, expanded=1.0, limit=50.0, band=(49.0, 51.0)))
    svg = ET.fromstring(drawing.ruler(near | WORDS | {"alt": "near", "kind": "inconclusive"}))
    assert len(places(svg, "limit")) == 2 and svg.get("height") == "230"
    assert len(places(drawn(), "limit")) == 1


def test_words_of_the_band_stay_inside_a_phone():
    svg = ET.fromstring(drawing.ruler(figures.ruler(figures.Reading(value=49.2, expanded=1.0, limit=50.0, band=(49.0, 51.0))) | WORDS | {"alt": "near"}))
    width = 358  # of a 390 px window, less its margins; 7 px a letter of 13 px text is generous
    for text in svg.iter("text"):
        if text.text in WORDS["edges"]:
            at, long = float(text.get("x").rstrip("%")) / 100 * width, 7 * len(text.text)
            start = {"start": at, "middle": at - long / 2, "end": at - long}[text.get("text-anchor")] + float(text.get("dx"))
            assert start >= -2 and start + long <= width + 2, text.text


def test_strip_marks_every_result_and_slots_count_what_is_open():
    scale = figures.common_scale(values=[29.4, 69.4], limit=50.0)
    svg = ET.fromstring(drawing.strip(figures.strip(readings=[(29.4, "pass"), (69.4, "fail")], limit=50.0, scale=scale), spoken="two results"))
    assert [use.get("href") for use in svg.iter("use")] == ["#m-pass", "#m-fail"]
    rows = ET.fromstring(drawing.slots(["pass", "running"], still_open=3))
    assert [row.get("class") for row in rows] == ["is-pass", "running", "open", "open", "open"]
