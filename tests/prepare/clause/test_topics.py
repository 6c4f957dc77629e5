# SPDX-License-Identifier: MIT
"""The nets of `topics.py`: a sentence that speaks of a topic keeps the trap "not said" away, one about something else does not.

The sentences (`topics.toml`) were written before the nets; how many were caught at first sight is in
docs/explain/clause-reader.md.
"""

import tomllib
from pathlib import Path

import pytest

from brackish.prepare.clause import read

DATA = tomllib.loads((Path(__file__).parent / "topics.toml").read_text(encoding="utf-8"))
BARE = "Chlorides on the steel shall not exceed 5 µg/cm2. "
BASES = {"blank": "The conductivity of the extract shall not exceed 12 µS/cm. ", "each": f"{BARE}Three tests are made on each plate. "}
TRAPS = {
    "failure": ("clause.failure_action_missing", ""),
    "place": ("clause.count_or_place_missing", "where to test"),
    "count": ("clause.count_or_place_missing", "how many tests"),
    "wait": ("clause.stage_missing", "how long until coating"),
    "stage": ("clause.stage_missing", "when to test"),
    "each": ("clause.each_or_mean_missing", ""),
    "blank": ("clause.blank_rule_missing", ""),
}
CASES = [
    pytest.param(topic["name"], text, said, id=f"{topic['name']}: {text}")
    for topic in DATA["topic"]
    for said in (True, False)
    for text in topic["says" if said else "silent"]
]


def missing(topic, text):
    code, words = TRAPS[topic]
    traps = {trap["code"]: trap["params"] for trap in read(BASES.get(topic, BARE) + text).to_dict()["traps"]}
    return code in traps and (not words or words in traps[code]["missing"])


@pytest.mark.parametrize(("topic", "text", "said"), CASES)
def test_a_topic_spoken_of_is_not_called_missing(topic, text, said):
    assert missing(topic, text) is not said


@pytest.mark.parametrize("text", DATA["figures"]["texts"])
def test_a_figure_that_is_told_and_not_set_is_no_limit(text):
    assert sum("limit" in one for one in read(text).to_dict()["requirements"]) == 1


def test_a_sentence_whose_topic_is_known_and_value_is_not_is_listed():
    text = BARE + "There shall be as many tests as there are panels."
    reading = read(text)
    assert "count" not in reading.to_dict()["requirements"][0]
    assert text[slice(*reading.not_understood[-1])] == "There shall be as many tests as there are panels."


WHOLE = tomllib.loads((Path(__file__).parent / "whole.toml").read_text(encoding="utf-8"))["clause"]


@pytest.mark.parametrize("clause", WHOLE, ids=lambda clause: clause["text"][:40])
def test_a_whole_clause_brings_its_traps_and_no_others(clause):
    """`unread` are traps reported though the text speaks of the thing: known gaps."""
    reading = read(clause["text"]).to_dict()
    found = {trap["code"].removeprefix("clause.") for trap in reading["traps"]} - set(clause.get("debatable", []))
    assert found == set(clause["traps"]) - set(clause.get("debatable", [])) | set(clause.get("unread", []))
    assert [one["limit"] for one in reading["requirements"] if "limit" in one] == clause["limits"]
