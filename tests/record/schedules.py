# SPDX-License-Identifier: MIT
"""Devices that write, and deliver to each other in any order: a schedule, and what must hold after it.

`plain_state` says what a set of events means by definition, with whole sets of ancestors and no
cleverness; `fold` is compared with it. `check_schedule` runs in the tests and, longer, in the soak.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass, field

from brackish.record.event import Event, make_event, write_ledger
from brackish.record.fold import fold, merge

JOB = "0b0e6a52-6d0e-4b57-9d5e-6f2f4f0f7a11"
MADE = "2026-03-04T09:05:00+00:00"
PATHS = [("test", "T1", "facts", "reading"), ("test", "T1", "facts", "dwell"), ("test", "T1", "item"), ("test", "T2", "item"), ("job", "title")]
WITHDRAWN = [*PATHS, ("test", "T1"), ("test",)]
VALUES = ["12.3 uS/cm", "13.2 uS/cm", 1, True]


@dataclass
class Device:
    """One phone: what it holds, what it wrote last, and what it says it has seen."""

    name: str
    held: dict[str, Event] = field(default_factory=dict)
    last: Event | None = None

    def write(self, kind: str, path: Sequence[str], value: object) -> Event:
        seen = fold(events=self.held.values()).frontier
        reason = "a slip" if kind == "withdraw" else ""
        event = make_event(job=JOB, device=self.name, author=self.name, made=MADE, kind=kind, path=path, value=value, reason=reason, after=self.last, base=seen)
        self.held[event.id] = self.last = event
        return event


def run_schedule(chance: random.Random, *, devices: int, steps: int) -> tuple[list[Device], dict[str, Event]]:
    """Devices after a random course of writing and delivering; and the events that a server acknowledged."""
    phones = [Device(f"phone {number}") for number in range(devices)]
    server: dict[str, Event] = {}
    for _ in range(steps):
        phone, action = chance.choice(phones), chance.random()
        if action < 0.5:
            phone.write("set", chance.choice(PATHS), chance.choice(VALUES))
        elif action < 0.6:
            phone.write("withdraw", chance.choice(WITHDRAWN), None)
        else:
            giver, taker = chance.sample([phone.held, server, chance.choice(phones).held], 2)
            batch = chance.sample(sorted(giver), chance.randint(0, len(giver)))
            taker.update({name: giver[name] for name in batch})
    return phones, server


def check_schedule(chance: random.Random, *, devices: int, steps: int) -> None:
    """What must hold whatever the schedule; raises AssertionError where it does not."""
    phones, server = run_schedule(chance, devices=devices, steps=steps)
    ledgers = [list(phone.held.values()) for phone in phones] + [list(server.values())]
    for ledger in ledgers:  # in the middle of things: whatever has arrived, in any order
        shuffled = chance.sample(ledger, len(ledger)) + chance.choices(ledger, k=3 if ledger else 0)
        assert fold(events=shuffled) == fold(events=ledger)
        assert merge(ledger, shuffled) == merge(ledger)
    there, back = merge(*ledgers), merge(*reversed(ledgers))
    assert there == back == merge(there, there)
    assert write_ledger(there) == write_ledger(back)
    assert {event.id for event in there} == {event.id for phone in phones for event in phone.held.values()}
    state = fold(events=there)
    assert not state.held  # everything that was written has arrived
    assert set(server) <= {event.id for event in state.order}  # nothing acknowledged is lost
    values, conflicts = plain_state(state.order)
    assert conflicts == {conflict.path: {event.id for event in conflict.events} for conflict in state.conflicts}
    assert values == _values(state.document)
    for ledger in ledgers:
        known, expected = fold(events=ledger), plain_state(fold(events=ledger).order)
        assert expected == (_values(known.document), {conflict.path: {event.id for event in conflict.events} for conflict in known.conflicts})


def plain_state(events: Sequence[Event]) -> tuple[dict[tuple[str, ...], object], dict[tuple[str, ...], set[str]]]:
    """Settled values and conflicts, straight from the definition.

    A write or withdrawal stands unless an event that has seen it writes the same path, or withdraws
    it or one above. Standing writes of one path that differ, or an unseen withdrawal, are a conflict.
    """
    by_hash = {event.hash: event for event in events}
    past: dict[str, set[str]] = {}
    for event in events:
        parents = set(event.base) | ({by_hash[event.prev].id} if event.prev else set())
        past[event.id] = parents.union(*(past[parent] for parent in parents))
    values, conflicts = {}, {}
    for path in {event.path for event in events if event.kind == "set"}:
        touching = [event for event in events if event.path == path or (event.kind == "withdraw" and event.path == path[: len(event.path)])]
        standing = [event for event in touching if not any(event.id in past[later.id] and _covers(later, event) for later in touching)]
        counting = [event for event in standing if event.kind == "set"]
        unseen = [event for event in standing if event.kind == "withdraw" and any(event.id not in past[other.id] for other in counting)]
        if not counting:
            continue
        if unseen or len({(type(event.value), event.value) for event in counting}) > 1:
            conflicts[path] = {event.id for event in counting + unseen}
        else:
            values[path] = counting[0].value
    return values, conflicts


def _covers(later: Event, event: Event) -> bool:
    return later.path == event.path or (later.kind == "withdraw" and later.path == event.path[: len(later.path)])


def _values(document: dict[str, object]) -> dict[tuple[str, ...], object]:
    flat: dict[tuple[str, ...], object] = {}
    for test in document.get("test", []):  # type: ignore[attr-defined]
        flat |= {("test", test["id"], "facts", name): value for name, value in test.get("facts", {}).items()}
        flat |= {("test", test["id"], "item"): test["item"]} if "item" in test else {}
    return flat | {("job", name): value for name, value in document.get("job", {}).items()}  # type: ignore[attr-defined]
