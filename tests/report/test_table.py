# SPDX-License-Identifier: MIT
"""The CSV opens in a spreadsheet, means what the outcome means, and runs nothing."""

from __future__ import annotations

import csv
import io
from typing import Any

import pytest

from brackish.report import table
from tests.report.conftest import judged

Document = dict[str, Any]


def read(data: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"), newline="")))


def test_one_row_for_each_test_with_results_as_plain_numbers(job: Document, outcome: Document) -> None:
    rows = read(table.csv(job=job, outcome=outcome))
    assert [row["test"] for row in rows] == [test["id"] for test in job["test"]]
    for row, test in zip(rows, outcome["tests"], strict=True):
        for result in test["results"]:
            assert float(row[f"{result['quantity']}_{result['unit'].replace('/', '_')}"]) == result["value"]
        for verdict in test["verdicts"]:
            assert row[f"verdict_{verdict['criterion']}"] == verdict["verdict"]
    assert rows[2]["state"] == "void"
    assert rows[2]["verdict_steel"] == ""


def test_verdict_says_whether_it_only_accepts_and_whether_it_counts(job: Document) -> None:
    job["specification"][0]["criterion"][0] |= {"decision_rule": "guarded-rejection", "limit": "48.5 mg/m2"}
    job["test"][0]["purpose"] = "pre-check"
    rows = {row["test"]: row for row in read(table.csv(job=job, outcome=judged(job)))}
    assert (rows["T1"]["verdict_steel"], rows["T1"]["counted_steel"], rows["T1"]["accepted_past_limit_steel"]) == ("pass", "no", "")
    assert (rows["T4"]["verdict_steel"], rows["T4"]["counted_steel"], rows["T4"]["accepted_past_limit_steel"]) == ("pass", "yes", "yes")


def test_facts_stay_as_typed(job: Document, outcome: Document) -> None:
    row = read(table.csv(job=job, outcome=outcome))[0]
    assert row["fact_reading"] == "9.1 uS/cm"
    assert row["fact_liquid_lost"] == "no"
    assert row["fact_cycles"] == "6"


def test_file_is_utf8_with_mark_and_ends_lines_as_rfc_4180_says(job: Document, outcome: Document) -> None:
    data = table.csv(job=job, outcome=outcome)
    assert data.startswith(b"\xef\xbb\xbf")
    assert data.count(b"\r\n") == data.count(b"\n")


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠"])
def test_text_that_would_run_as_a_formula_is_neutralised(job: Document, start: str) -> None:
    """The starts named by OWASP, CSV Injection, with their full-width forms."""
    job["location"][0]["name"] = f"{start}cmd|' /C calc'!A0"
    row = read(table.csv(job=job, outcome=judged(job)))[0]
    assert row["location_name"] == f"'{start}cmd|' /C calc'!A0"


def test_no_cell_but_a_number_begins_as_a_formula(job: Document, outcome: Document) -> None:
    outcome["tests"][0]["results"][0]["value"] = -1.25
    job["test"][0]["facts"]["temperature"] = "-1.5 degC"
    job["test"][0]["tester"] = "=1+1"
    data = table.csv(job=job, outcome=outcome)
    for row in csv.reader(io.StringIO(data.decode("utf-8-sig"), newline="")):
        for cell in row:
            if cell.startswith(table.FORMULA_STARTS):
                assert float(cell) == -1.25


def test_name_of_a_column_is_neutralised_too(job: Document, outcome: Document) -> None:
    outcome["tests"][0]["verdicts"][0]["criterion"] = "x"
    job["test"][0]["facts"] = {"x-=1+1": "a"} | job["test"][0]["facts"]
    header = table.csv(job=job, outcome=outcome).decode("utf-8-sig").splitlines()[0]
    assert not any(name.startswith(table.FORMULA_STARTS) for name in header.split(","))


def test_determinations_have_rows_of_their_own(job: Document, outcome: Document) -> None:
    job["test"][0]["determination"] = [{"mass": "100 g", "reading": ["98 uS/cm"]}, {"mass": "100 g", "reading": ["102 uS/cm"]}]
    rows = [row for row in read(table.csv(job=job, outcome=outcome)) if row["test"] == "T1"]
    assert [row["determination"] for row in rows] == ["", "1", "2"]
    assert rows[2]["fact_reading"] == "102 uS/cm"
    assert rows[1]["verdict_steel"] == ""  # so that nothing is counted twice


def test_empty_job_has_a_header_only() -> None:
    assert read(table.csv(job={"test": []}, outcome={"tests": []})) == []
