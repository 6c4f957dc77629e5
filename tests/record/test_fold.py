# SPDX-License-Identifier: MIT
"""What events say together: order, conflicts, held events, corrections, signatures; and any schedule."""

from __future__ import annotations

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brackish.errors import ConflictError
from brackish.record.canonical import canonical_bytes
from brackish.record.event import make_event, read_event, read_ledger, write_ledger
from brackish.record.fold import events_of_document, fold, fold_with, merge
from tests.record.schedules import JOB, MADE, Device, check_schedule

READING = ("test", "T10", "facts", "reading")


def exchange(*devices: Device) -> None:
    together = {name: event for device in devices for name, event in device.held.items()}
    for device in devices:
        device.held = dict(together)


def reading_of(document: dict) -> object:
    return next((test.get("facts", {}).get("reading") for test in document.get("test", [])), None)


def two_readings() -> tuple[Device, Device]:
    """The conflict of the mock-up: two devices without a network, one reading each."""
    tomas, jonna = Device("phone of T. Abell"), Device("phone of J. Reith")
    tomas.write("set", ("test", "T10", "item"), "beam")
    exchange(tomas, jonna)
    tomas.write("set", READING, ["12.3 uS/cm"])
    jonna.write("set", READING, ["13.2 uS/cm"])
    exchange(tomas, jonna)
    return tomas, jonna


def test_two_unseen_values_are_a_conflict_and_neither_is_used():
    tomas, _ = two_readings()
    state = fold(events=tomas.held.values())
    assert [(conflict.path, sorted(str(event.value) for event in conflict.events)) for conflict in state.conflicts] == [
        (READING, ["['12.3 uS/cm']", "['13.2 uS/cm']"])
    ]
    assert state.document == {"test": [{"id": "T10", "item": "beam"}]}


def test_event_that_sees_both_settles_the_conflict_and_both_stay():
    tomas, jonna = two_readings()
    tomas.write("set", READING, ["12.3 uS/cm"])
    exchange(tomas, jonna)
    state = fold(events=jonna.held.values())
    assert not state.conflicts
    assert reading_of(state.document) == ["12.3 uS/cm"]
    assert len(state.order) == 4


def test_settling_twice_unseen_is_a_conflict_again():
    tomas, jonna = two_readings()
    tomas.write("set", READING, ["12.3 uS/cm"])
    jonna.write("set", READING, ["12.3 uS/cm", "13.2 uS/cm"])
    exchange(tomas, jonna)
    assert len(fold(events=tomas.held.values()).conflicts) == 1


def test_equal_values_are_no_conflict():
    one, other = Device("a"), Device("b")
    one.write("set", READING, ["12.3 uS/cm"])
    other.write("set", READING, ["12.3 uS/cm"])
    exchange(one, other)
    state = fold(events=one.held.values())
    assert not state.conflicts
    assert reading_of(state.document) == ["12.3 uS/cm"]


def test_true_and_one_are_different_values():
    one, other = Device("a"), Device("b")
    one.write("set", ("x-mark",), True)
    other.write("set", ("x-mark",), 1)
    exchange(one, other)
    assert len(fold(events=one.held.values()).conflicts) == 1


def test_what_hangs_on_a_choice():
    tomas, _ = two_readings()
    events = tuple(tomas.held.values())
    sides = fold(events=events).conflicts[0].events
    assert sorted(str(reading_of(fold_with(events=events, chosen=side))) for side in sides) == ["['12.3 uS/cm']", "['13.2 uS/cm']"]
    assert len(fold(events=events).conflicts) == 1


def test_a_clock_orders_nothing():
    first = make_event(job=JOB, device="a", author="a", made="2099-01-01T00:00:00Z", kind="set", path=("job", "title"), value="first")
    then = make_event(job=JOB, device="b", author="b", made="1999-01-01T00:00:00Z", kind="set", path=("job", "title"), value="then", base=[first.id])
    assert fold(events=[then, first]).document == {"job": {"title": "then"}}


def test_event_waits_for_what_it_has_seen_and_for_its_chain():
    device, other = Device("a"), Device("b")
    first, second = device.write("set", ("job", "title"), "one"), device.write("set", ("job", "site"), "Pell Quay")
    exchange(device, other)
    third = other.write("set", ("job", "title"), "two")
    state = fold(events=[third, second])
    assert state.order == ()
    assert {held.event.id: held.waiting_for for held in state.held} == {second.id: (first.id, first.hash), third.id: (second.id,)}
    assert [event.id for event in fold(events=[third, second, first]).order] == [first.id, second.id, third.id]


def test_chain_of_another_device_is_never_placed():
    first = Device("a").write("set", ("job", "title"), "one")
    strange = make_event(job=JOB, device="b", author="b", made=MADE, kind="set", path=("job", "title"), value="two", after=first)
    assert [held.waiting_for for held in fold(events=[first, strange]).held] == [(first.hash,)]


def test_ring_of_events_is_held():
    one, other = "11111111-1111-4111-8111-111111111111", "22222222-2222-4222-8222-222222222222"
    common = {
        "format": "brackish-event/1",
        "job": JOB,
        "seq": 1,
        "prev": "",
        "author": "a",
        "made": MADE,
        "kind": "set",
        "path": ["x-a"],
        "value": 1,
        "reason": "",
    }
    ring = [read_event({**common, "id": one, "device": "a", "base": [other]}), read_event({**common, "id": other, "device": "b", "base": [one]})]
    assert len(fold(events=ring).held) == 2


def test_withdrawal_takes_what_was_seen_and_a_late_value_is_a_conflict():
    one, other = Device("a"), Device("b")
    one.write("set", ("test", "T10", "item"), "beam")
    exchange(one, other)
    one.write("withdraw", ("test", "T10"), None)
    assert fold(events=one.held.values()).document == {}
    late = other.write("set", READING, ["12.3 uS/cm"])
    exchange(one, other)
    state = fold(events=one.held.values())
    assert [conflict.path for conflict in state.conflicts] == [READING]
    assert late in state.conflicts[0].events
    one.write("set", READING, ["12.3 uS/cm"])
    assert reading_of(fold(events=one.held.values()).document) == ["12.3 uS/cm"]


def test_correction_names_what_it_replaced_and_why():
    device = Device("a")
    wrong = device.write("set", READING, ["21.3 uS/cm"])
    right = make_event(job=JOB, device="a", author="a", made=MADE, kind="set", path=READING, value=["12.3 uS/cm"], reason="two digits swapped", after=wrong)
    state = fold(events=[wrong, right])
    assert [(each.path, each.event.reason, each.replaced) for each in state.corrections] == [(READING, "two digits swapped", (wrong,))]


def test_list_stands_in_the_order_of_first_appearance_even_after_a_correction():
    device = Device("a")
    for name in ("T3", "T1", "T2"):
        device.write("set", ("test", name, "id"), name)
        device.write("set", ("test", name, "item"), "beam")
    device.write("set", ("test", "T3", "item"), "web")
    device.write("withdraw", ("test", "T3", "id"), None)
    assert [test["id"] for test in fold(events=device.held.values()).document["test"]] == ["T3", "T1", "T2"]


def test_attachment_is_a_photo_with_its_hash():
    digest = "ab" * 32
    photo = make_event(
        job=JOB, device="a", author="a", made=MADE, kind="attach", path=("test", "T1", "photos", "#31"), value=["photo31.jpg", digest, "image/jpeg", 48213]
    )
    shows = make_event(job=JOB, device="a", author="a", made=MADE, kind="set", path=("test", "T1", "photos", "#31", "shows"), value="the meter", after=photo)
    state = fold(events=[shows, photo])
    assert state.document == {"test": [{"id": "T1", "photos": [{"file": "photo31.jpg", "sha256": digest, "shows": "the meter"}]}]}
    assert state.attachments == (photo,)


def test_change_after_signing_marks_the_signature_as_old():
    device = Device("a")
    device.write("set", READING, ["12.3 uS/cm"])
    first = device.write("sign", ("signature", "#1"), ["ed25519", "ines", "inspector", "sha256:" + "1" * 64, "0" * 64, "0" * 128])
    assert [(signed.revision, signed.current) for signed in fold(events=device.held.values()).signatures] == [(1, True)]
    device.write("set", READING, ["12.4 uS/cm"])
    assert [(signed.revision, signed.current) for signed in fold(events=device.held.values()).signatures] == [(1, False)]
    second = device.write("sign", ("signature", "#2"), ["ed25519", "ines", "inspector", "sha256:" + "2" * 64, "0" * 64, "0" * 128])
    signatures = fold(events=device.held.values()).signatures
    assert [(signed.event, signed.revision, signed.current) for signed in signatures] == [(first, 1, False), (second, 2, True)]


def test_copied_device_is_shown_as_a_fork_and_both_branches_stay():
    device = Device("a")
    first = device.write("set", ("job", "title"), "one")
    left, right = (
        make_event(job=JOB, device="a", author="a", made=MADE, kind="set", path=("job", name), value=name, after=first) for name in ("site", "x-note")
    )
    state = fold(events=[right, left, first])
    assert [set(fork) for fork in state.forks] == [{left, right}]
    assert state.document == {"job": {"title": "one", "site": "site", "x-note": "x-note"}}


def test_fork_branches_have_not_seen_each_other():
    device = Device("a")
    first = device.write("set", ("job", "title"), "one")
    sides = [make_event(job=JOB, device="a", author="a", made=MADE, kind="set", path=("job", "site"), value=name, after=first) for name in ("here", "there")]
    assert len(fold(events=[first, *sides]).conflicts) == 1


def test_same_id_with_other_words_is_refused():
    event = Device("a").write("set", ("job", "title"), "one")
    forged = read_event({**event.to_dict(), "value": "two"})
    with pytest.raises(ConflictError) as raised:
        fold(events=[event, forged])
    assert raised.value.code == "event.id_taken"


def test_head_names_the_set_and_not_the_order():
    one, _ = two_readings()
    events = list(one.held.values())
    assert fold(events=events).head == fold(events=reversed(events)).head
    assert fold(events=events[:-1]).head != fold(events=events).head


@pytest.mark.slow
@settings(max_examples=300)
@given(seed=st.integers(0, 2**32), devices=st.integers(2, 4), steps=st.integers(5, 40))
def test_any_schedule_ends_in_one_state(seed, devices, steps):
    check_schedule(random.Random(seed), devices=devices, steps=steps)


NAMES = st.text(min_size=1, max_size=6) | st.sampled_from(["test", "item", "specification", "criterion", "id", "photos", "#1", "=json", "T1", "x-a"])
JSON_VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(NAMES, inner, max_size=4),
    max_leaves=12,
)


@pytest.mark.slow
@settings(max_examples=300)
@given(document=st.dictionaries(NAMES, JSON_VALUES, max_size=5))
def test_any_document_goes_through_a_ledger_and_comes_back(document):
    events = events_of_document(document=document, job=JOB, device="d", author="a", made=MADE)
    ledger = write_ledger(fold(events=events).order)
    assert canonical_bytes(fold(events=read_ledger(ledger)).document) == canonical_bytes(document)
    assert write_ledger(merge(read_ledger(ledger))) == ledger
