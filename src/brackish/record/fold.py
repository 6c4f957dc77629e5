# SPDX-License-Identifier: MIT
"""What the events of a ledger say together: one document, and everything that is not settled.

A ledger is a set: events may arrive in any order, again, and from many devices, and the fold is
the same. An event comes after what its author had seen (`base`) and after the event before it on
its device (`prev`), never after a clock; events that nobody ordered stand by height, then by id.

- An event whose base or prev is unknown is *held*, and released when that arrives.
- Two values for one path, neither written with sight of the other, are a *conflict*: the document
  holds neither, so nothing is judged on one of them, until an event that sees both settles it.
- A later value is a *correction*; the earlier one stays in the ledger.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from brackish.errors import ConflictError
from brackish.record.canonical import sha256_of
from brackish.record.event import Event, make_event
from brackish.record.paths import Path, document_of, paths_of

SIGNER = "x-signer"  # marks a person whom nothing but a signature brought into the job


@dataclass(frozen=True, slots=True)
class Held:
    """An event that cannot be placed yet; `waiting_for` are the ids and hashes it needs."""

    event: Event
    waiting_for: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Conflict:
    """Events that give one path different values, none of them seen by the author of another."""

    path: Path
    events: tuple[Event, ...]


@dataclass(frozen=True, slots=True)
class Correction:
    """An event that replaced or withdrew what earlier ones had written at a path."""

    path: Path
    event: Event
    replaced: tuple[Event, ...]


@dataclass(frozen=True, slots=True)
class Signature:
    """A signature, the revision it signs, and whether anything was written since."""

    event: Event
    revision: int
    current: bool


@dataclass(frozen=True, slots=True)
class Fold:
    """All that a set of events says; `head` names exactly this set of placed events."""

    document: dict[str, object]
    order: tuple[Event, ...]
    frontier: tuple[str, ...]
    head: str
    held: tuple[Held, ...]
    conflicts: tuple[Conflict, ...]
    corrections: tuple[Correction, ...]
    signatures: tuple[Signature, ...]
    attachments: tuple[Event, ...]
    forks: tuple[tuple[Event, ...], ...]


def fold(*, events: Iterable[Event]) -> Fold:
    """The state that a set of events gives, whatever the order and repetition of their arrival."""
    placed, held = _place(_once(events))
    writes = _Writes(placed)
    frontier = frozenset(frontier_of(events=placed))
    return Fold(
        document=document_of(writes.leaves()),
        order=placed,
        frontier=tuple(sorted(frontier)),
        head=head_of(hashes=[event.hash for event in placed if event.id in frontier]),
        held=held,
        conflicts=tuple(Conflict(path, rivals) for path, rivals in writes.rivals.items()),
        corrections=tuple(writes.corrections),
        signatures=tuple(_signatures(placed, writes)),
        attachments=tuple(event for event in placed if event.kind == "attach"),
        forks=tuple(_forks(placed)),
    )


def fold_with(*, events: Iterable[Event], chosen: Event) -> dict[str, object]:
    """The document if one side of its conflict were taken: what hangs on the choice."""
    state = fold(events=events)
    return fold(events=[*state.order, _settling(state, chosen)]).document


def events_of_document(
    *, document: dict[str, object], job: str, device: str, author: str, made: str, after: Event | None = None, base: Iterable[str] = ()
) -> list[Event]:
    """The events that write a whole job document, in its own order, as one device would."""
    events: list[Event] = []
    for path, value in paths_of(document):
        after = make_event(job=job, device=device, author=author, made=made, kind="set", path=path, value=value, after=after, base=() if events else base)
        events.append(after)
    return events


def merge(*ledgers: Iterable[Event]) -> tuple[Event, ...]:
    """The union of ledgers, in the order of a ledger, the held events last."""
    placed, held = _place(_once(event for ledger in ledgers for event in ledger))
    return (*placed, *(one.event for one in held))


def frontier_of(*, events: Iterable[Event]) -> tuple[str, ...]:
    """The ids that no other event has seen: what the next event names as its base."""
    events = tuple(events)
    known = {event.hash: event.id for event in events}
    seen = {name for event in events for name in event.base} | {known[event.prev] for event in events if event.prev in known}
    return tuple(sorted(event.id for event in events if event.id not in seen))


def head_of(*, hashes: Iterable[str]) -> str:
    """The name of a state: the hash of the sorted hashes of its frontier; nothing where nothing is placed."""
    frontier = sorted(hashes)
    return sha256_of(frontier) if frontier else ""


def _once(events: Iterable[Event]) -> dict[str, Event]:
    known: dict[str, Event] = {}
    for event in events:
        other = known.setdefault(event.id, event)
        if other.hash != event.hash:
            raise ConflictError("event.id_taken", place="id", given=event.id, known=other.hash)
    return known


def _place(events: dict[str, Event]) -> tuple[tuple[Event, ...], tuple[Held, ...]]:
    """Every event after its parents, those of one height by id; and those that must wait.

    The height of an event is one more than the greatest of its parents': it depends on what the
    event has seen, not on what else is in the ledger, so a place once found stays.
    """
    by_hash = {event.hash: event for event in events.values()}
    wanted: dict[str, set[str]] = {}
    children: dict[str, list[Event]] = defaultdict(list)
    for event in events.values():
        wanted[event.id] = _parents(event, by_hash)
        for parent in wanted[event.id]:
            children[parent].append(event)
    heights: dict[str, int] = {}
    ready = [event for event in events.values() if not wanted[event.id]]
    open_parents = {name: len(parents) for name, parents in wanted.items()}
    while ready:
        event = ready.pop()
        heights[event.id] = 1 + max((heights[parent] for parent in wanted[event.id]), default=0)
        for child in children[event.id]:
            open_parents[child.id] -= 1
            if open_parents[child.id] == 0:
                ready.append(child)
    placed = sorted((event for event in events.values() if event.id in heights), key=lambda event: (heights[event.id], event.id))
    waiting = sorted((event for event in events.values() if event.id not in heights), key=lambda event: event.id)
    return tuple(placed), tuple(Held(event, tuple(sorted(wanted[event.id] - heights.keys()))) for event in waiting)


def _parents(event: Event, by_hash: dict[str, Event]) -> set[str]:
    """The ids an event comes after; an unknown or unfit `prev` stands as its hash, which no id equals."""
    parents = set(event.base)
    if event.prev:
        before = by_hash.get(event.prev)
        fits = before is not None and before.device == event.device and before.seq == event.seq - 1
        parents.add(before.id if before is not None and fits else event.prev)
    return parents


class _Writes:
    """The writes at every path that no later one has replaced.

    Each event gets a clock: how far along every line of events its author had seen. A line is one
    device's chain; where a chain forks, each branch is a line of its own.
    """

    def __init__(self, placed: tuple[Event, ...]) -> None:
        self.live: dict[Path, list[tuple[Event, object]]] = {}
        self.first: dict[Path, int] = {}
        self.rank: dict[Path, list[int]] = {}  # where a path and all above it first appeared
        self.corrections: list[Correction] = []
        self.clocks: dict[str, dict[int, int]] = {}
        self._places: dict[str, tuple[int, int]] = {}
        self._by_hash = {event.hash: event for event in placed}
        self._tips: dict[int, str] = {}
        for event in placed:
            self._keep_clock(event)
            if event.kind == "withdraw":
                self._withdraw(event)
            else:
                for path, value in _written(event):
                    self._write(event, path, value)
        self.rivals = {path: rivals for path in sorted(self.live) if (rivals := self._rivals(path))}

    def sees(self, event: Event, other: Event) -> bool:
        line, position = self._places[other.id]
        return self.clocks[event.id].get(line, 0) >= position

    def leaves(self) -> Iterator[tuple[Path, object]]:
        """The settled values, elements of a list in the order of their first appearance."""
        settled = [(path, writes[0][1]) for path, writes in self.live.items() if writes[0][0].kind != "withdraw" and path not in self.rivals]
        return iter(sorted(settled, key=lambda leaf: self.rank[leaf[0]]))

    def _keep_clock(self, event: Event) -> None:
        clock: dict[int, int] = {}
        before = self._by_hash.get(event.prev)
        for parent in (*event.base, *((before.id,) if before else ())):
            for line, position in self.clocks[parent].items():
                if position > clock.get(line, 0):
                    clock[line] = position
        line = self._places[before.id][0] if before else -1
        if before is None or self._tips[line] != before.id:
            line = len(self._tips)
        clock[line] = clock.get(line, 0) + 1
        self._tips[line] = event.id
        self._places[event.id] = (line, clock[line])
        self.clocks[event.id] = clock

    def _write(self, event: Event, path: Path, value: object) -> None:
        if path not in self.rank:
            self.rank[path] = [self.first.setdefault(path[:length], len(self.first)) for length in range(1, len(path) + 1)]
        writes = self.live.get(path, [])
        self._note_correction(event, path, [other for other, earlier in writes if self.sees(event, other) and _key(earlier) != _key(value)])
        self.live[path] = [write for write in writes if not self.sees(event, write[0])] + [(event, value)]

    def _withdraw(self, event: Event) -> None:
        """Everything at and below the path that the author had seen goes; what they had not seen stays."""
        size = len(event.path)
        gone: list[Event] = []
        for path in [path for path in self.live if path[:size] == event.path]:
            writes = self.live.pop(path)
            gone += [other for other, _ in writes if self.sees(event, other) and other.kind != "withdraw"]
            if kept := [write for write in writes if not self.sees(event, write[0])]:
                self.live[path] = kept
        self._note_correction(event, event.path, gone)
        self.live[event.path] = [*self.live.get(event.path, []), (event, None)]

    def _note_correction(self, event: Event, path: Path, replaced: list[Event]) -> None:
        if replaced:
            self.corrections.append(Correction(path, event, tuple(dict.fromkeys(replaced))))

    def _rivals(self, path: Path) -> tuple[Event, ...]:
        """The events in conflict at a path: different values, or a value and an unseen withdrawal."""
        writes = self.live[path]
        given = [event for event, _ in writes if event.kind != "withdraw"]
        if not given:
            return ()
        above = [
            withdrawal
            for length in range(1, len(path))
            for withdrawal in self.live.get(path[:length], ())
            if withdrawal[0].kind == "withdraw" and not all(self.sees(event, withdrawal[0]) for event in given)
        ]
        (first, said), *others = sides = [*writes, *above]
        alike = all((event.kind == "withdraw", _key(value)) == (first.kind == "withdraw", _key(said)) for event, value in others)
        return () if alike else tuple(sorted((event for event, _ in sides), key=lambda event: event.id))


def _key(value: object) -> object:
    """Values compared as JSON does: true is not 1."""
    return [_key(part) for part in value] if isinstance(value, list) else (type(value), value)


def _written(event: Event) -> list[tuple[Path, object]]:
    if event.kind == "set":
        return [(event.path, event.value)]
    if event.kind == "attach" and isinstance(event.value, list):
        return [((*event.path, "file"), event.value[0]), ((*event.path, "sha256"), event.value[1])]
    return []


def _signatures(placed: tuple[Event, ...], writes: _Writes) -> Iterator[Signature]:
    signed = [event for event in placed if event.kind == "sign" and isinstance(event.value, list)]
    if not signed:
        return
    revisions: dict[object, int] = {}
    introductions = _introductions(placed)
    content = [event for event in placed if event.kind != "sign" and event.id not in introductions]
    for event in signed:
        assert isinstance(event.value, list)
        revision = revisions.setdefault(event.value[3], len(revisions) + 1)
        yield Signature(event, revision, all(writes.sees(event, other) for other in content))


def _introductions(placed: tuple[Event, ...]) -> set[str]:
    """What named a signer by signing, and is no change of what the others signed (`statement.py` leaves it out): all of a person, in that person's own words."""
    written: dict[str, list[Event]] = defaultdict(list)
    for event in placed:
        if event.path[0] == "person" and len(event.path) > 1:
            written[event.path[1]].append(event)
    named = [
        events for who, events in written.items() if any(event.path[-1] == SIGNER for event in events) and all(_introduces(event, who) for event in events)
    ]
    return {event.id for events in named for event in events}


def _introduces(event: Event, who: str) -> bool:
    return event.kind == "set" and event.author == who and event.path in {("person", who, name) for name in ("id", "name", "role", SIGNER)}


def _forks(placed: tuple[Event, ...]) -> Iterator[tuple[Event, ...]]:
    """Events of one device under one number: its memory was copied or set back. Both are kept."""
    numbered: dict[tuple[str, int], list[Event]] = defaultdict(list)
    for event in placed:
        numbered[event.device, event.seq].append(event)
    return (tuple(same) for same in numbered.values() if len(same) > 1)


def _settling(state: Fold, chosen: Event) -> Event:
    return make_event(
        job=chosen.job,
        device="what-if",
        author=chosen.author,
        made=chosen.made,
        kind=chosen.kind,
        path=chosen.path,
        value=chosen.value,
        reason=chosen.reason,
        base=state.frontier,
    )
