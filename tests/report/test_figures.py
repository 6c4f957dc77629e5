# SPDX-License-Identifier: MIT
"""Positions on rulers: exact by arithmetic, so every one here is `exact` evidence."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from brackish.report import figures
from brackish.report.figures import Reading
from tests.examples import examples

amounts = st.floats(min_value=-1e6, max_value=1e6, allow_nan=False).map(lambda value: round(value, 3))


def test_limit_stands_at_five_eighths_and_value_in_proportion() -> None:
    drawing = figures.ruler(Reading(value=29.4, expanded=1.5, limit=50.0))
    assert drawing["limit"] == 62.5  # 50 of 80
    assert drawing["at"] == 36.75  # 29.4 of 80
    assert drawing["span"] == [34.875, 38.625]  # 27.9 and 30.9 of 80
    assert [mark["label"] for mark in drawing["numerals"]] == ["0", "20", "40", "60", "80"]


def test_band_stands_where_the_rule_has_edges() -> None:
    both = figures.ruler(Reading(value=10.0, expanded=1.0, limit=50.0, band=(48.0, 52.0)))
    assert both["band"] == [60.0, 65.0]
    assert figures.ruler(Reading(value=10.0, expanded=1.0, limit=50.0, band=(48.0, None)))["band"] == [60.0, 62.5]
    assert "band" not in figures.ruler(Reading(value=10.0, expanded=1.0, limit=50.0))


def test_closeup_is_added_when_interval_is_hardly_wider_than_the_marker() -> None:
    near = figures.ruler(Reading(value=49.2, expanded=1.9, limit=50.0, band=(48.1, 51.9)))
    assert near["closeup"]["numerals"][0]["label"] == "44"
    assert near["lens"][0] < near["at"] < near["lens"][1]
    assert near["lens"][0] < near["limit"] < near["lens"][1]
    assert "closeup" not in figures.ruler(Reading(value=49.2, expanded=8.0, limit=50.0))
    assert "closeup" not in figures.ruler(Reading(value=5.0, expanded=1.0, limit=50.0))


def test_flag_turns_past_fifty_five_percent() -> None:
    assert figures.ruler(Reading(value=43.0, expanded=1.0, limit=50.0))["flag"] == "right"
    assert figures.ruler(Reading(value=46.0, expanded=1.0, limit=50.0))["flag"] == "left"


def test_numeral_gives_way_to_the_limit() -> None:
    labels = [mark["label"] for mark in figures.ruler(Reading(value=10.0, limit=40.0))["numerals"]]
    assert "40" not in labels


def test_bound_is_an_arrow_and_has_no_interval() -> None:
    drawing = figures.ruler(Reading(value=4.0, expanded=1.0, bound="<", limit=50.0))
    assert drawing["arrow"] == [0.0, 5.0]
    assert "span" not in drawing
    assert figures.ruler(Reading(value=60.0, bound=">", limit=50.0))["arrow"][1] == 100.0


def test_result_below_zero_stays_on_the_line() -> None:
    drawing = figures.ruler(Reading(value=-3.0, expanded=1.0, limit=50.0))
    assert 0.0 < drawing["at"] < drawing["limit"]
    assert drawing["numerals"][0]["label"].startswith("−")


@examples(100)
@given(value=amounts, expanded=st.floats(min_value=0.001, max_value=1e5), limit=st.floats(min_value=0.001, max_value=1e5))
def test_everything_is_on_the_line_and_in_order(value: float, expanded: float, limit: float) -> None:
    drawing = figures.ruler(Reading(value=value, expanded=expanded, limit=limit, band=(limit - expanded, limit + expanded)))
    for line in (drawing, drawing.get("closeup", drawing)):
        places = [line["at"], line["limit"], *line["band"], *line["span"], *(mark["at"] for mark in line["numerals"]), *line["fine"]]
        assert all(0.0 <= place <= 100.0 for place in places)
        assert line["span"][0] <= line["at"] <= line["span"][1]
        assert (line["at"] <= line["limit"]) == (value <= limit) or line["at"] == pytest.approx(line["limit"], abs=0.01)
        assert len(line["numerals"]) <= 10


@examples(100)
@given(low=amounts, high=amounts)
def test_scale_holds_both_ends_with_few_round_numerals(low: float, high: float) -> None:
    assume(low < high)
    scale = figures.scale_over(low=low, high=high)
    assert scale.low <= low + 1e-6 * abs(low)
    assert scale.high >= high - 1e-6 * abs(high)
    assert 1 <= round((scale.high - scale.low) / scale.step) <= 6
    labels = [mark["label"] for mark in scale.numerals()]
    assert len(set(labels)) == len(labels)


def test_bars_are_in_proportion_to_the_longest() -> None:
    assert figures.bars([0.5, -1.0, 0.25]) == [50.0, 100.0, 25.0]
    assert figures.bars([0.0, 0.0]) == [0.0, 0.0]
    assert figures.bars([]) == []
