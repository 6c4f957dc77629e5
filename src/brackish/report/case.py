# SPDX-License-Identifier: MIT
"""A job document beside its outcome, with each thing found by its id: what all pages read from."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from brackish import library, quantities
from brackish.errors import UnknownMethod
from brackish.judge.wording import kind_of
from brackish.library.types import Method

Document = dict[str, Any]


@dataclass(frozen=True)
class Counted:
    """A test that an item's verdict rests on, with its own verdict (empty where the mean is judged) and its result."""

    test: Document
    verdict: Document
    result: Document | None

    @property
    def kind(self) -> str:
        """The mark of its verdict; a pointer where it has none."""
        return kind_of(self.verdict) if self.verdict else "plain"


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
        """Each criterion as it was judged, library fields included, with the specification it stands in."""
        judged = {criterion["id"]: criterion for criterion in self.outcome.get("criteria", [])}
        typed = ((spec, criterion) for spec in self.job.get("specification", []) for criterion in spec.get("criterion", []))
        return {criterion["id"]: (spec, judged.get(criterion["id"], criterion)) for spec, criterion in typed}

    @cached_property
    def _named(self) -> dict[str, dict[str, Document]]:
        return {
            kind: {entry["id"]: entry for entry in self.job.get(kind, []) if "id" in entry} for kind in ("item", "location", "person", "equipment", "blank")
        }

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

    def fact_names(self, method: str, facts: Document) -> list[str]:
        """The names of facts in the order the method asks for them."""
        known = self.method(method)
        asked = [fact.name for fact in known.facts] if known else []
        return sorted(facts, key=lambda name: (asked.index(name) if name in asked else len(asked), name))

    def sense(self, criterion: str) -> str:
        return str(self.criteria.get(criterion, ({}, {}))[1].get("sense", "at-most"))

    def result_judged(self, test: Document, verdict: Document) -> Document | None:
        """The result of a test that a verdict is about."""
        same = (result for result in test.get("results", []) if result["quantity"] == verdict.get("quantity") and result["value"] == verdict.get("value"))
        return next(same, None)

    def counted(self, verdict: Document) -> list[Counted]:
        """The tests an item's verdict rests on: at each place those of its latest round."""
        return [one for spot in verdict.get("spots", []) for id in spot["tests"] for one in self._by(id, verdict)]

    def overtaken(self) -> Iterator[tuple[Counted, str]]:
        """Each test that a later round at its place has overtaken, with the tests that stand there now."""
        for _, verdict in self.item_verdicts():
            for spot in verdict.get("spots", []):
                for id in spot["earlier"]:
                    for one in self._by(id, verdict):
                        yield one, ", ".join(spot["tests"])

    def _by(self, id: str, of_item: Document) -> Iterator[Counted]:
        test = self.judged.get(id)  # a place of a water may be a blank, which is no test
        if test is None or test["state"] != "valid":
            return
        own = [verdict for verdict in test["verdicts"] if verdict["criterion"] == of_item["criterion"]]
        if own:
            yield Counted(test, own[0], self.result_judged(test, own[0]))
        else:
            yield Counted(test, {}, next((result for result in test["results"] if result["quantity"] == of_item.get("quantity")), None))

    def words_of(self, quantity: str) -> str:
        kind = quantities.QUANTITIES.get(quantity)
        return kind.words if kind else quantity.replace("_", " ")

    def item_verdicts(self) -> Iterator[tuple[Document, Document]]:
        """Each item of the outcome with each of its verdicts."""
        for item in self.outcome.get("items", []):
            for verdict in item.get("verdicts", []):
                yield item, verdict
