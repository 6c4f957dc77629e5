# SPDX-License-Identifier: MIT
"""Short ways into an outcome, for tests."""

from __future__ import annotations

from typing import Any

import brackish

Document = dict[str, Any]


def outcome(document: Document) -> Document:
    return brackish.evaluate(document).to_dict()


def row_of(document: Document, id: str = "T1") -> Document:
    return next(row for row in outcome(document)["tests"] if row["id"] == id)


def result(document: Document, quantity: str = "nacl_equivalent_per_area", id: str = "T1") -> Document:
    return next(row for row in row_of(document, id)["results"] if row["quantity"] == quantity)


def budget(document: Document, input: str, quantity: str = "nacl_equivalent_per_area") -> Document:
    return next(row for row in result(document, quantity)["budget"] if row["input"] == input)


def findings(document: Document, id: str = "T1") -> dict[str, Document]:
    return {row["code"]: row for row in row_of(document, id)["findings"]}


def assumed(document: Document) -> set[str]:
    return {row["params"]["input"] for row in row_of(document)["findings"] if row["code"] == "uncertainty.assumed"}


def verdict(document: Document, id: str = "T1") -> Document:
    return row_of(document, id)["verdicts"][0]


def item(document: Document) -> Document:
    return outcome(document)["items"][0]["verdicts"][0]


def codes(row: Document) -> list[str]:
    return [reason["code"] for reason in row["reasons"]]
