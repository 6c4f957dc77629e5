# SPDX-License-Identifier: MIT
"""Lessons: a code leads to one that explains it, and what the control shows are the functions that judge."""

from __future__ import annotations

import re

import pytest

from brackish.judge.wording import MESSAGES
from brackish.prepare.clause.traps import CODES
from brackish.web.pages.lesson_models import models
from brackish.web.pages.lesson_of import LESSON_OF, lesson_of
from brackish.web.pages.lessons import words
from tests.web.conftest import Workspace

NAMES = tuple(models())


@pytest.mark.parametrize(
    "code", ["fact.missing", "time.order", "equipment.expired", "time.condensation", "temperature.near_dew_point", "compare.void", "stage.missing"]
)
def test_what_no_lesson_explains_leads_to_none(code):
    assert code in MESSAGES and lesson_of(code) == ""


def test_table_names_known_lessons_and_only_codes_that_exist():
    codes = [*MESSAGES, *CODES, "area."]  # a family of the design whose codes may come
    assert set(LESSON_OF.values()) == set(NAMES) == {each.name for each in words()}
    assert [start for start in LESSON_OF if not any(code.startswith(start) for code in codes)] == []


def test_a_code_nobody_knows_has_none():
    assert lesson_of("weather.rain") == ""


def answer(workspace: Workspace, lesson: str, value: float) -> dict:
    response = workspace.client("trainee").get(f"/api/v1/lessons/{lesson}?value={value}")
    assert response.status_code == 200
    return response.json()


def numbers(said: dict) -> list[str]:
    return [row["number"] for row in said["rows"]]


def test_volume_is_in_proportion(workspace):
    # 500 × V × Δκ / A with 10 µS/cm on 1250 mm²: 4 mg/m² for each mL, by arithmetic (constant of ISO 8502-9)
    said = answer(workspace, "volume", 10)
    assert numbers(said) == ["12.0", "40.0", "60.0"]
    assert [row["kind"] for row in said["rows"]] == ["pass", "pass", "fail"]


def test_blank_of_five_is_worth_twenty(workspace):
    # 5 µS/cm in 10 mL on 1250 mm² are 20 mg/m² (contract: trap of the blank rule); 14 − 5 are 36
    assert numbers(answer(workspace, "blank", 5)) == ["56.0", "36.0", "20.0"]


def test_species_differ_by_the_ratio_of_masses(workspace):
    mixed, sodium_chloride, chloride = (float(each) for each in numbers(answer(workspace, "species", 13)))
    assert mixed == 52.0
    assert chloride == pytest.approx(sodium_chloride * 35.453 / 58.443, abs=0.06)  # IUPAC masses; both numbers are rounded to 0.1
    assert mixed / sodium_chloride == pytest.approx(1.07, abs=0.015)  # 6 to 7 % at 25 °C and this strength


def test_temperature_at_the_reference_changes_nothing(workspace):
    bare, _at_20, at_25, curve = numbers(answer(workspace, "temperature", 25))
    assert bare == at_25 == curve
    assert numbers(answer(workspace, "temperature", 20))[0] == numbers(answer(workspace, "temperature", 20))[1]


@pytest.mark.parametrize(
    ("result", "kinds"),
    [  # guard band 1.96 × 1.5 = 2.9 mg/m² around 50 (ILAC-G8: simple, binary, three-way; guarded rejection beside them)
        (47.0, ["pass", "pass", "pass", "pass"]),
        (48.5, ["pass", "fail", "inconclusive", "pass"]),
        (50.0, ["pass", "fail", "inconclusive", "pass"]),
        (51.0, ["fail", "fail", "inconclusive", "accepted"]),
        (53.0, ["fail", "fail", "fail", "fail"]),
    ],
)
def test_rules_decide_as_agreed(workspace, result, kinds):
    assert [row["kind"] for row in answer(workspace, "rule", result)["rows"]] == kinds


def test_sampling_is_the_power_of_the_good_share(workspace):
    said = answer(workspace, "sampling", 3)
    assert numbers(said) == [f"{100 * (1 - share) ** 3:.1f}" for share in (0.05, 0.1, 0.2, 0.5)]
    assert f"{100 * (1 - 0.05 ** (1 / 3)):.0f}\u00a0%" in said["told"]


@pytest.mark.parametrize("lesson", NAMES)
def test_page_shows_what_the_api_says(workspace, lesson):
    control = models()[lesson].control
    for value in (control.lowest, control.start, control.highest):
        said = answer(workspace, lesson, value)
        page = workspace.client("reader").get(f"/lessons/{lesson}?value={value}").content.decode()
        assert re.findall(r"data-number>([^<]*)<", page) == numbers(said)
        assert re.findall(r'data-dot x="([\d.]+)%"', page) == [str(row["at"]) for row in said["rows"]]
        assert not re.search(r"\sstyle=|\son[a-z]+=|<script(?![^>]*src=)", page)


def test_code_leads_to_its_lesson_and_stands_there(workspace):
    response = workspace.client("tester").get("/lessons/of/blank.missing")
    assert response.headers["Location"] == "/lessons/blank?code=blank.missing"
    assert "you came from here" in workspace.client("tester").get("/lessons/blank?code=blank.missing").content.decode()
    assert workspace.client("tester").get("/lessons/of/weather.rain").status_code == 404


@pytest.mark.parametrize("value", ["1e9", "nan", "abc", "-5"])
def test_control_outside_its_range_is_taken_at_its_end(workspace, value):
    assert workspace.client("tester").get(f"/lessons/volume?value={value}").status_code == 200
