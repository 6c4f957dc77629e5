# SPDX-License-Identifier: MIT
"""What the pages say, whatever the job holds."""

from __future__ import annotations

import io
import os
import subprocess
import sys
from functools import cache
from pathlib import Path
from typing import Any

import pypdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brackish.record.document import load
from brackish.report.case import Case
from brackish.report.glyphs import FONTS
from brackish.report.mark import code_of
from brackish.report.record import record
from brackish.report.render import render
from tests.report.conftest import judged
from tests.report.pell_quay import JOB, many_tests

Document = dict[str, Any]


@cache  # reading the text of a report takes four times as long as setting it
def pages(data: bytes) -> list[str]:
    return [written(page) for page in pypdf.PdfReader(io.BytesIO(data)).pages]


def page_one(data: bytes) -> str:
    return written(pypdf.PdfReader(io.BytesIO(data)).pages[0])


def written(page: pypdf.PageObject) -> str:
    return page.extract_text().replace("\u00a0", " ")


def text_of(job: Document) -> str:
    return "\n".join(pages(render(job=job, outcome=judged(job))))


def keep_only(job: Document, *ids: str) -> None:
    """The job with these tests only, and the items and locations they are of."""
    job["test"] = [test for test in job["test"] if test["id"] in ids]
    job["item"] = [item for item in job["item"] if item["id"] in {test["item"] for test in job["test"]}]
    job["location"] = [place for place in job["location"] if place["id"] in {test["location"] for test in job["test"]}]
    job["nonconformance"], job["reclean"] = [], []


def test_page_one_answers_the_customers_questions_in_order(pdf: bytes, job: Document, outcome: Document) -> None:
    first = page_one(pdf)
    asked = ["Did the locations", "What was found", "By whose rule?", "How sure?", "What next?", "Who signs?"]
    places = [first.index(question) for question in asked]
    assert places == sorted(places)
    assert "Inconclusive" in first
    for item in job["item"]:
        assert item["name"] in first
    assert "2 of 2 locations" in first
    assert code_of(job=job, outcome=outcome) in first


@pytest.mark.slow
def test_every_page_carries_title_code_and_its_number(pdf: bytes, job: Document, outcome: Document) -> None:
    all_pages = pages(pdf)
    for number, page in enumerate(all_pages, start=1):
        assert job["job"]["title"] in page
        assert code_of(job=job, outcome=outcome) in page
        assert f"page {number} of {len(all_pages)}" in page


def test_every_test_has_its_word_result_and_facts(pdf: bytes, job: Document, outcome: Document) -> None:
    words = {"pass": "Pass", "fail": "Fail", "inconclusive": "Inconclusive"}
    all_pages = pages(pdf)
    own = [page for page in all_pages if "From failure to release" not in page]
    for test in outcome["tests"]:
        page = next(page for page in own if f"\n{test['id']} " in page or f"\n{test['id']}\n" in page)
        for verdict in test["verdicts"]:
            assert words[verdict["verdict"]] in page
        for result in test["results"]:
            assert result["shown"].split("\u00a0")[0] in page
    everything = "\n".join(all_pages)
    for reading in ("9.1", "5.6", "4.0", "14.4", "19.8", "7.4"):
        assert reading in everything


def test_void_test_has_cross_and_reason_and_no_verdict(pdf: bytes, outcome: Document) -> None:
    page = next(page for page in pages(pdf) if "T3" in page and "Void" in page and "As written" in page)
    assert "Liquid was lost" in page
    assert "No verdict, not counted" in page


def test_earlier_round_stays_printed(pdf: bytes) -> None:
    first = page_one(pdf)
    assert "T5, fail" in first
    assert "T6 stands in its place" in first


def test_missing_tests_read_as_not_yet(job: Document) -> None:
    job["specification"][0]["criterion"][0]["count"] = "4 per item"
    keep_only(job, "T1", "T2")
    first = page_one(render(job=job, outcome=judged(job)))
    assert "Not yet" in first
    assert "2 of 4 locations" in first


def test_withheld_names_its_reason(job: Document) -> None:
    del job["specification"][0]["criterion"][0]["decision_rule"]
    keep_only(job, "T1")
    said = text_of(job)
    assert "Withheld" in said
    assert "No decision rule was agreed" in said


def test_over_the_limit_but_accepted_is_never_the_mark_of_a_pass(job: Document) -> None:
    job["specification"][0]["criterion"][0] |= {"decision_rule": "guarded-rejection", "limit": "48.5 mg/m2"}
    job["specification"][0]["criterion"][0]["count"] = "1 per item"
    keep_only(job, "T4")
    outcome = judged(job)
    verdict = outcome["tests"][0]["verdicts"][0]
    assert (verdict["verdict"], verdict["comparison"]) == ("pass", "over")
    first = page_one(render(job=job, outcome=outcome))
    assert "Accepted by agreed rule" in " ".join(first.split())
    assert "Pass" not in first


def test_each_result_and_the_mean_are_told_with_their_own_limits(job: Document) -> None:
    job["specification"][0]["criterion"][0] |= {"judged": "each-and-mean", "limit_mean": "20 mg/m2", "count": "2 per item"}
    keep_only(job, "T1", "T2")
    outcome = judged(job)
    mean = outcome["items"][0]["verdicts"][0]
    first = " ".join(page_one(render(job=job, outcome=outcome)).replace("\u00a0", " ").split())
    assert "each result at most 50 mg/m², the mean at most 20 mg/m², of NaCl equivalent" in first
    assert f"Mean {mean['shown_value']}, over 20 mg/m².".replace("\u00a0", " ") in first
    highest = max(test["results"][0]["value"] for test in outcome["tests"])
    assert f"{highest:.1f} ±" in first  # the column is headed Highest


def test_planned_tests_are_listed(job: Document) -> None:
    keep_only(job, "T1")
    job["test"].append({"id": "T7", "item": "girder", "location": "L1", "method": "patch-conductivity"})
    assert "Planned, not done" in text_of(job)


def test_incomplete_test_names_what_is_missing(job: Document) -> None:
    del job["test"][0]["facts"]["solution_volume"]
    keep_only(job, "T1")
    assert "Not written down:" in text_of(job)


def test_what_a_run_took_from_its_times_was_written_by_no_person(job: Document) -> None:
    """Rule 3 of the look: the line under a number comes from the record. Once somebody corrects the value it is theirs."""
    test = job["test"][0]
    for mark, by_hand in (({"dwell": "13.7 min"}, False), ({"dwell": "10.0 min"}, True), ("yes", True)):
        test["facts"]["dwell"], test["x-from-times"] = "13.7 min", mark
        (pair,) = (pair for pair in record(Case(job, judged(job)), test)["facts"] if pair["label"] == "Time on the steel")
        assert pair["runs"] == [{"number": "13.7", "unit": "min"} | ({"written": True} if by_hand else {})]


def test_steps_of_a_portion_are_no_facts_of_it() -> None:
    portion = {
        "mass": "100 g",
        "stand_1": "61.2 min",
        "x-steps": {"shake-1": "2026-03-04T09:05:00+00:00"},
        "x-portion": 1,
        "x-from-times": {"stand_1": "61.2 min"},
    }
    test = {"id": "A1", "item": "lot", "method": "abrasive-conductivity", "determination": [portion]}
    job = {"format": "brackish-job/1", "job": {"id": JOB["job"]["id"], "title": ""}, "item": [{"id": "lot", "kind": "abrasive"}], "test": [test]}
    rows = record(Case(job, judged(job)), test)["portions"]["rows"]
    assert [row["cells"] for row in rows] == [[[{"number": "100", "unit": "g", "written": True}]], [[{"number": "61.2", "unit": "min"}]]]


def test_empty_job_sets() -> None:
    job = {"format": "brackish-job/1", "job": {"id": JOB["job"]["id"]}}
    first = page_one(render(job=job, outcome=judged(job)))
    assert "Withheld" in first
    assert "no date" in first


def test_same_input_gives_same_bytes_in_another_place_and_language(pdf: bytes, tmp_path: Path) -> None:
    script = (
        "import sys, brackish; from brackish.report.render import render; from tests.report.pell_quay import JOB;"
        "sys.stdout.buffer.write(render(job=JOB, outcome=brackish.evaluate(JOB).to_dict()))"
    )
    root = Path(__file__).parents[2]
    elsewhere = os.environ | {"TZ": "Asia/Bangkok", "LC_ALL": "C", "PYTHONHASHSEED": "7", "PYTHONPATH": f"{root / 'src'}{os.pathsep}{root}"}
    again = subprocess.run([sys.executable, "-c", script], capture_output=True, cwd=tmp_path, env=elsewhere, check=True).stdout
    assert again == pdf


def test_order_of_keys_changes_nothing(pdf: bytes, job: Document, outcome: Document) -> None:
    def turned(value: Any) -> Any:
        if isinstance(value, dict):
            return {key: turned(value[key]) for key in reversed(list(value))}
        return [turned(part) for part in value] if isinstance(value, list) else value

    assert render(job=turned(job), outcome=turned(outcome)) == pdf


def test_typst_words_and_marks_of_a_person_are_printed_not_run(job: Document) -> None:
    keep_only(job, "T1")
    job["job"]["title"] = '#pagebreak() $x$ *bold* <label> @ref "quote" \\ #sys.inputs'
    assert '#pagebreak() $x$ *bold* <label> @ref "quote" \\ #sys.inputs' in text_of(job)


def test_thai_is_set(job: Document) -> None:
    keep_only(job, "T1")
    job["location"][0]["name"] = "รอยเชื่อมปีกล่าง"
    data = render(job=job, outcome=judged(job))
    fonts = {str(font["/BaseFont"]) for page in pypdf.PdfReader(io.BytesIO(data)).pages for font in page["/Resources"]["/Font"].values()}
    assert any("Thai" in name for name in fonts)
    assert "could not be set" not in "\n".join(pages(data))


def test_characters_without_a_glyph_are_named_on_the_last_page(job: Document) -> None:
    keep_only(job, "T1")
    job["location"][0]["name"] = "腹板中间, ריתוך"
    all_pages = pages(render(job=job, outcome=judged(job)))
    assert "U+8179 CJK UNIFIED IDEOGRAPH-8179" in " ".join(all_pages[-1].split())
    assert "Some characters could not be set" in " ".join(all_pages[0].split())


def test_fonts_of_another_folder_set_more(job: Document, tmp_path: Path) -> None:
    """A face of another name is taken for what the package's own lack: here the same glyphs under another name."""
    source = (FONTS / "NotoSansThai-Regular.ttf").read_bytes()
    (tmp_path / "other.ttf").write_bytes(source)
    assert render(job=job, outcome=judged(job), fonts=[tmp_path]).startswith(b"%PDF")


@pytest.mark.slow
@settings(max_examples=10)
@given(title=st.text(min_size=1, max_size=80), name=st.text(max_size=200))
def test_any_text_sets(title: str, name: str) -> None:
    job = JOB | {"job": JOB["job"] | {"title": title}, "location": [JOB["location"][0] | {"name": name}, *JOB["location"][1:]]}
    try:
        outcome = judged(job)
    except ValueError:
        return  # the record may refuse a text; then there is nothing to set
    assert render(job=job, outcome=outcome).startswith(b"%PDF")


def test_long_texts_wrap_and_flow(job: Document) -> None:
    job["specification"][0]["criterion"][0]["source"]["text"] = "The level of salts shall be low. " * 400
    job["job"]["title"] = "A very long name of a job " * 20
    job["location"][0]["name"] = "x" * 500
    data = render(job=job, outcome=judged(job))
    assert len(pypdf.PdfReader(io.BytesIO(data)).pages) > 9


def test_progress_is_told(job: Document, outcome: Document) -> None:
    told: list[tuple[str, int, int]] = []
    render(job=job, outcome=outcome, progress=lambda stage, done, total: told.append((stage, done, total)))
    assert [done for _, done, _ in told] == [0, 1, 2, 3]
    assert {total for _, _, total in told} == {3}


@pytest.mark.slow
def test_five_hundred_tests_set_whole() -> None:
    """How long it takes is measured in benchmarks/."""
    job = many_tests(500)
    outcome = judged(job)
    data = render(job=job, outcome=outcome)
    assert len(pypdf.PdfReader(io.BytesIO(data)).pages) >= 500


@pytest.mark.parametrize("name", ["footbridge", "abrasive-lot", "ballast-tank", "dispute", "tank-roof-chloride", "waters"])
def test_page_one_of_each_example_is_one_page(name: str) -> None:
    job = load(Path(__file__).parents[2] / "examples" / f"{name}.toml")
    first = page_one(render(job=job, outcome=judged(job)))
    assert "Who signs?" in first
    assert "the first 16 digits of the hash" in first
