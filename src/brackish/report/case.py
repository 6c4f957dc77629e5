# SPDX-License-Identifier: MIT
"""A job document beside its outcome, with each thing found by its id: what all pages read from."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from brackish import library, quantities
from brackish.errors import UnknownMethod
from brackish.library.types import Method

Document = dict[str, Any]


@dataclass(frozen=True)
class Counted:
    """A test that an item's verdict rests on, with its verdict and the result that was judged."""

    test: Document
    verdict: Document
    result: Document | None


@dataclass(frozen=True)
class Case:
    """The two documents of a report."""

    job: Document
    outcome: Document

    @cached_property
    def tests(self) -> dict[str, Document]:
        return {test["id"]: test for test in self.job.get("test", [])}

    @cached_property
    def judged(self) -> dict[str, Document]:
        return {test["id"]: test for test in self.outcome.get("tests", [])}

    @cached_property
    def criteria(self) -> dict[str, tuple[Document, Document]]:
        """Each criterion with the specification it stands in."""
        return {criterion["id"]: (spec, criterion) for spec in self.job.get("specification", []) for criterion in spec.get("criterion", [])}

    @cached_property
    def _named(self) -> dict[str, dict[str, Document]]:
        return {kind: {entry["id"]: entry for entry in self.job.get(kind, []) if "id" in entry} for kind in ("item", "location", "person", "equipment", "blank")}

    def entry(self, kind: str, id: str | None) -> Document:
        """An item, location, person, piece of equipment or blank; empty where there is none of that id."""
        return self._named[kind].get(id or "", {})

    def name(self, kind: str, id: str | None) -> str:
        """The name of an entry, else its id."""
        return str(self.entry(kind, id).get("name") or id or "")

    def method(self, id: str) -> Method | None:
        """The method as the library has it, if it still does."""
        try:
            return library.method(id)
        except UnknownMethod:
            return None

    def sense(self, criterion: str) -> str:
        return str(self.criteria.get(criterion, ({}, {}))[1].get("sense", "at-most"))

    def result_judged(self, test: Document, verdict: Document) -> Document | None:
        """The result of a test that a verdict is about: its quantity, and the value that was compared."""
        quantity = self.criteria.get(verdict["criterion"], ({}, {}))[1].get("quantity")
        found = [result for result in test.get("results", []) if result["quantity"] == (verdict.get("quantity") or quantity)]
        same = [result for result in found if result.get("value") == verdict.get("value")]
        return next(iter(same or found), None)

    def overtaken(self) -> Iterator[tuple[Document, str]]:
        """Each valid test that a later round at its location has overtaken, with the id of the last one there."""
        for item, verdict in self.item_verdicts():
            standing = {self.tests[one.test["id"]].get("location"): one.test["id"] for one in self.counted(item["id"], verdict["criterion"])}
            for test in self.outcome["tests"]:
                last = standing.get(self.tests[test["id"]].get("location"))
                earlier = [one for one in test.get("verdicts", []) if one["criterion"] == verdict["criterion"]]
                if test["item"] == item["id"] and last not in (None, test["id"]) and earlier and test["state"] == "valid":
                    yield test | {"verdicts": earlier}, str(last)

    def counted(self, item: str, criterion: str) -> list[Counted]:
        """The tests an item's verdict rests on: those judged there, of each location only the latest round."""
        latest: dict[str, Counted] = {}
        for test in self.outcome.get("tests", []):
            if test["item"] != item or test["state"] != "valid":
                continue
            for verdict in test.get("verdicts", []):
                if verdict["criterion"] == criterion and verdict.get("counted", True):
                    place = str(self.tests[test["id"]].get("location") or test["id"])
                    if place not in latest or self._round(latest[place].test) <= self._round(test):
                        latest[place] = Counted(test, verdict, self.result_judged(test, verdict))
        return list(latest.values())

    def _round(self, judged: Document) -> int:
        return int(self.tests[judged["id"]].get("round", 1))

    def words_of(self, quantity: str) -> str:
        kind = quantities.QUANTITIES.get(quantity)
        return kind.words if kind else quantity.replace("_", " ")

    def item_verdicts(self) -> Iterator[tuple[Document, Document]]:
        """Each item of the outcome with each of its verdicts."""
        for item in self.outcome.get("items", []):
            for verdict in item.get("verdicts", []):
                yield item, verdict
