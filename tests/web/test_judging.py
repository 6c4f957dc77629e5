# SPDX-License-Identifier: MIT
"""Which job the judge takes next."""

from __future__ import annotations

from brackish.web.ledger import judging


def test_job_told_of_twice_is_judged_once_and_left_to_its_reader_never():
    waiting = judging._Waiting()
    for line in ("a", "b", "a", "c"):
        waiting.add(line)
    waiting.drop("b")
    waiting.end()
    assert {waiting.take(), waiting.take()} == {"a", "c"}
    assert waiting.take() is None


def test_job_that_keeps_changing_is_due_at_last(monkeypatch):
    clock = iter(range(0, 100, 3))
    monkeypatch.setattr(judging.time, "monotonic", lambda: next(clock))
    waiting = judging._Waiting()
    waiting.add("busy")
    first = waiting._latest["busy"]
    for _ in range(5):
        waiting.add("busy")
    assert waiting._due["busy"] == first == judging.LATEST
