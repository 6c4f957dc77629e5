# SPDX-License-Identifier: MIT
"""A job and its outcome as one flat table for a spreadsheet: a row for each test and determination.

A row of a test holds its facts, results and verdicts; a row of a determination holds the facts of
that portion only, so that nothing is counted twice. Facts stay as they were typed, with their unit;
results are plain numbers, their unit stands in the name of the column.
The file is UTF-8 with a byte order mark, because the most common spreadsheet program takes a file
without one for its own old code page and turns µ and ไทย into rubbish; lines end as in RFC 4180.
Beside a verdict stands whether it only accepts a result past its limit, and whether the test counts.
A text that a spreadsheet would run as a formula gets an apostrophe in front.
"""

from __future__ import annotations

import csv as csv_module
import io
from collections.abc import Iterator
from typing import Any

Document = dict[str, Any]
Cell = str | int | float | bool | None

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")  # full-width ones run too, in some languages
TEST_KEYS = (
    *("method", "edition", "purpose", "stage", "round", "retest_of", "started", "read_at", "tester", "recorder"),
    *("equipment", "blank", "extract", "void"),
)


def csv(*, job: Document, outcome: Document) -> bytes:
    """The table as CSV.

    Parameters
    ----------
    job : document
        The job document.
    outcome : document
        What `evaluate` gave for it.

    """
    rows = list(_rows(job, outcome))
    columns = list(dict.fromkeys(column for row in rows for column in row))
    written = io.StringIO(newline="")
    writer = csv_module.writer(written, lineterminator="\r\n")
    writer.writerow([_cell(column) for column in columns])
    writer.writerows([_cell(row.get(column)) for column in columns] for row in rows)
    return written.getvalue().encode("utf-8-sig")


def _rows(job: Document, outcome: Document) -> Iterator[dict[str, Cell]]:
    judged = {test["id"]: test for test in outcome.get("tests", [])}
    names = {kind: {entry["id"]: entry.get("name") for entry in job.get(kind, [])} for kind in ("item", "location", "person")}
    for test in job.get("test", []):
        place = _place(job, test, names)
        found = judged.get(test["id"], {})
        facts = {f"fact_{name}": _text(value) for name, value in test.get("facts", {}).items()}
        yield place | {"state": found.get("state")} | _written(test) | facts | _results(found) | _verdicts(found) | _findings(found)
        for number, portion in enumerate(test.get("determination", []), start=1):
            yield place | {"determination": number} | {f"fact_{name}": _text(value) for name, value in portion.items()}


def _place(job: Document, test: Document, names: dict[str, dict[str, Any]]) -> dict[str, Cell]:
    return {
        "job": job.get("job", {}).get("title"),
        "test": test["id"],
        "determination": None,
        "item": test.get("item"),
        "item_name": names["item"].get(test.get("item", "")),
        "location": test.get("location"),
        "location_name": names["location"].get(test.get("location", "")),
    }


def _written(test: Document) -> dict[str, Cell]:
    return {key: _text(test[key]) if key in test else None for key in TEST_KEYS}


def _results(found: Document) -> dict[str, Cell]:
    cells: dict[str, Cell] = {}
    for result in found.get("results", []):
        unit = _unit_in_name(result["unit"])
        name = result["quantity"]
        if f"{name}_{unit}" in cells:  # the same quantity at a second reference temperature
            name += "_at_" + _unit_in_name(result.get("basis", {}).get("reference_temperature", "another"))
        cells[f"{name}_{unit}"] = result["value"]
        cells[f"{name}_bound"] = result.get("bound")
        cells[f"{name}_standard_uncertainty_{unit}"] = result.get("standard_uncertainty")
        cells[f"{name}_expanded_uncertainty_{unit}"] = result.get("expanded_uncertainty")
        cells[f"{name}_coverage_factor"] = result.get("coverage_factor")
    return cells


def _verdicts(found: Document) -> dict[str, Cell]:
    cells: dict[str, Cell] = {}
    for verdict in found.get("verdicts", []):
        about = verdict["criterion"]
        unit = _unit_in_name(verdict.get("unit", ""))
        cells[f"verdict_{about}"] = verdict["verdict"]
        cells[f"accepted_past_limit_{about}"] = "yes" if verdict.get("accepted") else None
        cells[f"counted_{about}"] = _text(verdict["counted"]) if "counted" in verdict else None
        cells[f"comparison_{about}"] = verdict.get("comparison")
        cells[f"limit_{about}_{unit}"] = verdict.get("limit")
        cells[f"guard_band_{about}_{unit}"] = verdict.get("guard_band")
        cells[f"probability_over_limit_{about}"] = verdict.get("probability_over_limit")
        cells[f"reasons_{about}"] = " ".join(reason["message"] for reason in verdict.get("reasons", [])) or None
    return cells


def _findings(found: Document) -> dict[str, Cell]:
    return {"findings": " ".join(finding["code"] for finding in found.get("findings", [])) or None}


def _text(value: object) -> str:
    """What a person wrote, as one text: a list with semicolons, a table as `key: value`."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return "; ".join(_text(part) for part in value)
    if isinstance(value, dict):
        return "; ".join(f"{key}: {_text(part)}" for key, part in value.items())
    return str(value)


def _unit_in_name(unit: str) -> str:
    """The unit as part of a name: `mg/m2` to `mg_m2`."""
    return "".join(character if character.isalnum() else "_" for character in unit.replace("%", "percent"))


def _cell(value: Cell) -> Cell:
    if isinstance(value, str) and value.startswith(FORMULA_STARTS):
        return f"'{value}"
    return value
