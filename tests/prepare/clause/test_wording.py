# SPDX-License-Identifier: MIT
"""What the reader understands, sentence by sentence: invented wordings with the answers of their writer.

These were written while the reader was made and tune it; what it does with text nobody here had seen
is measured by `score.py` on tests/clauses and printed in docs/explain/clause-reader.md.
"""

import tomllib
from pathlib import Path

import pytest

from brackish.prepare.clause import read

HERE = Path(__file__).parent
WORDINGS = tomllib.loads((HERE / "wording.toml").read_text(encoding="utf-8"))["wording"]
FIELDS = tomllib.loads((HERE / "fields.toml").read_text(encoding="utf-8"))["field"]
BARE = {"blank": "The conductivity of the extract shall not exceed 12 µS/cm. ", "temp": "The conductivity of the extract shall not exceed 12 µS/cm. "}
KEYS = {"count": "count", "stage": "stage", "failure": "on_failure", "place": "placement", "temp": "reference_temperature"}


def limits(reading):
    return [" | ".join(str(one.get(key) or "-") for key in ("applies_to", "quantity", "sense", "limit")) for one in reading["requirements"]]


@pytest.mark.parametrize("wording", WORDINGS, ids=lambda wording: wording["text"][:50])
def test_limits_and_traps_of_a_wording(wording):
    reading = read(wording["text"]).to_dict()
    found = {trap["code"].removeprefix("clause.") for trap in reading["traps"]}
    assert limits(reading) == wording["limits"]
    if "traps" in wording:
        assert found == set(wording["traps"])
    assert set(wording.get("traps_include", [])) <= found
    assert not set(wording.get("traps_exclude", [])) & found


def gives(name, reading):
    first = reading["requirements"][0]
    if name == "within":
        return "test_within" in first or "test_within_words" in first
    if name in ("each", "mean"):
        return first.get("judged") == name
    if name == "blank":
        return "clause.blank_rule_missing" not in {trap["code"] for trap in reading["traps"]}
    return KEYS[name] in first


SENTENCES = [
    pytest.param(field["name"], sentence, said, id=f"{field['name']}: {sentence}")
    for field in FIELDS
    for said in (True, False)
    for sentence in field["says" if said else "silent"]
]


@pytest.mark.parametrize(("name", "sentence", "said"), SENTENCES)
def test_a_sentence_gives_its_field_or_not(name, sentence, said):
    base = BARE.get(name, "Chlorides on the steel shall not exceed 5 µg/cm2. ")
    assert gives(name, read(base + sentence).to_dict()) is said


@pytest.mark.parametrize(
    ("sentence", "rule"),
    [
        (
            "Three tests for the first 100 m2 (1000 ft2) and one for each further 200 m2 (2000 ft2).",
            "3 for the first 100 m2 (1000 ft2), then 1 per 200 m2 (2000 ft2)",
        ),
        ("Five readings shall be taken on every 100 square metres.", "5 per 100 m2"),
        ("Per 100 m2 two tests.", "2 per 100 m2"),
        ("Three (3) tests shall be carried out per 50 m².", "3 per 50 m2"),
        ("Two locations on each side shell plate shall be tested.", "2 per item"),
        ("One sample from each lot is tested.", "1 per lot"),
        ("Tests are made twice per shift.", "2 per shift"),
        ("One measurement for every 200 square feet.", "1 per 200 ft2"),
    ],
)
def test_count_becomes_the_rule_of_a_job_file(sentence, rule):
    reading = read("Chlorides on the steel shall not exceed 5 µg/cm2. " + sentence).to_dict()
    assert reading["requirements"][0]["count"] == rule


TRAPS = tomllib.loads((HERE / "traps.toml").read_text(encoding="utf-8"))["trap"]
CASES = [
    pytest.param(trap["code"], text, there, id=f"{trap['code']}: {text[:60]}")
    for trap in TRAPS
    for there in (True, False)
    for text in trap["has" if there else "clean"]
]


@pytest.mark.parametrize(("code", "text", "there"), CASES)
def test_a_trap_is_found_where_it_is_and_nowhere_else(code, text, there):
    assert (code in {trap["code"] for trap in read(text).to_dict()["traps"]}) is there


LIMITS = tomllib.loads((HERE / "traps.toml").read_text(encoding="utf-8"))["limit"]


@pytest.mark.parametrize("text", LIMITS["has"])
def test_a_limit_is_read_with_its_quantity_and_sense(text):
    found = [one for one in read(text).to_dict()["requirements"] if "limit" in one]
    assert len(found) == 1 and found[0]["quantity"] and found[0]["sense"] in ("at-most", "below")


@pytest.mark.parametrize("text", LIMITS["clean"])
def test_figures_of_other_trades_are_no_limits_and_bring_no_questions(text):
    answer = read(text).to_dict()
    assert answer["requirements"] == answer["questions"] == []
