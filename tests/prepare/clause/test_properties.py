# SPDX-License-Identifier: MIT
"""What holds for any text: spans inside it, no crash, the same answer twice, unmoved by what follows; and work that grows with length only."""

import sys
import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brackish.prepare.clause import read
from brackish.prepare.clause.draft import draft
from brackish.prepare.clause.show import render
from tests.examples import examples

PIECES = [
    "The steel", " shall not exceed", " 50 mg/m2", " 5 µg/cm²", " chloride", " NaCl", " (", ")", ". ", "; ", "\n", "\n\n", " | ", "\t", " ISO 8502-9:1998", " ISO 11127-6", " abrasive", " water",
    " free of salts", " each", " mean", " per 100 m2", " (1000 ft2)", " or equivalent", " within 4 h", " blank", " 25 °C", " µS/cm", " 0,0025 %", " between", " and ", " to ", " not", " more than",
    " recycled", " new", " 3 ", "-", "/", "max", " conductivity", " 30 uS/cm2", " = ", " fails", " re-wash", " translation", "  ", "\u00ad", "\u200b", "²", "e\u0301", "𝔘", "\x00", "ﬁ", "Ω",
]  # fmt: skip
TEXTS = st.one_of(st.text(max_size=200), st.lists(st.sampled_from(PIECES), max_size=40).map("".join))


@examples(150)
@given(TEXTS)
def test_any_text_gives_spans_inside_it_and_the_same_answer_twice(text):
    reading = read(text)
    answer = reading.to_dict()
    spans = [one["span"] for key in ("requirements", "traps", "not_understood") for one in answer[key]]
    spans += [span for one in answer["requirements"] for span in one["spans"].values()]
    assert all(0 <= start <= end <= len(text) for start, end in spans)
    assert read(text).to_dict() == answer
    assert max(map(len, render(reading).splitlines()), default=0) <= 80
    tomllib.loads(draft(reading))


@examples(80)
@given(st.lists(st.sampled_from(PIECES), min_size=1, max_size=30).map("".join))
def test_what_follows_does_not_move_the_spans(text):
    before = read(text + "\n\n").to_dict()
    after = read(text + "\n\nThe foreman keeps the keys of the store and the canteen opens at noon.\n").to_dict()
    assert [one["span"] for one in after["requirements"]] == [one["span"] for one in before["requirements"]]
    assert [(one["code"], one["span"]) for one in after["traps"]] == [(one["code"], one["span"]) for one in before["traps"]]


HOSTILE = {
    "letters": "a", "spaces": " ", "lines": "\n", "digits": "1234567890", "thousands": "1,234,", "dots": "1.2.3.", "stops": "a. ", "semicolons": ";", "brackets": "((((", "salt": "salt ",
    "figures": "50 mg/m2 ", "joined": "50mg/m2", "rows": "salt | 5 ug/cm2 | ", "standards": "ISO 8502-6 and -9, ", "negations": "not more than ", "counts": "one test per ", "words": "one hundred and ",
    "hyphens": "a-\n", "sentence": "The salt shall not exceed 50 mg/m2. ", "free": "free of any all detectable traces of ", "odd": "µ²\u200b𝔘é\u0301漢", "capitals": "İ", "nul": "\x00",
}  # fmt: skip


def calls(text):
    """Function calls that reading takes, of Python and of C: the same on every machine, busy or not."""
    counted = 0

    def count(frame, event, function):
        nonlocal counted
        counted += event in ("call", "c_call")

    sys.setprofile(count)
    try:
        read(text)
    finally:
        sys.setprofile(None)
    return counted


@pytest.mark.parametrize("name", HOSTILE)
def test_work_on_a_text_of_anything_grows_with_its_length(name):
    """Twice the text takes twice the calls, never four times. What a pattern does inside one call is timed in benchmarks/clause.py."""
    unit = HOSTILE[name]
    text = (unit * (20_000 // len(unit) + 1))[:20_000]
    read(text)  # patterns are compiled when first used
    assert calls(text) < 2.2 * calls(text[:10_000]) + 100


@pytest.mark.slow
@pytest.mark.parametrize("name", HOSTILE)
def test_a_very_long_text_of_anything_has_an_answer(name):
    """A pattern that tries every way through would not come back from this."""
    unit = HOSTILE[name]
    assert read((unit * (300_000 // len(unit) + 1))[:300_000]).to_dict()["format"] == "brackish-clause/1"


def test_the_end_of_a_text_too_long_is_named():
    reading = read("".join(f"The chlorides of steel item {number} shall not exceed {number} mg/m2. " for number in range(1, 200)))
    assert reading.truncated
    assert "longer than is read in full" in render(reading)
