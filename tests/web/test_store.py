# SPDX-License-Identifier: MIT
"""The store: every event answered, none lost, none changed; the kept outcome follows."""

from __future__ import annotations

import json
import random
from unittest.mock import Mock

import pytest
from django.db import OperationalError

import brackish
from brackish.record.canonical import canonical_bytes
from brackish.record.event import make_event, read_event
from brackish.record.fold import fold, merge
from brackish.report.mark import code_of
from brackish.web import models
from brackish.web.ledger import outcomes, store
from brackish.web.ledger.check import differences
from brackish.web.ledger.exchange import exported, imported, ledger_bytes
from brackish.web.ledger.store import append, events_of
from tests.record.schedules import run_schedule
from tests.web.writing import JOB, footbridge


def job() -> models.Job:
    return models.Job.objects.get(id=JOB)


def states(events, **more):
    return [answer.state for answer in append(job=JOB, documents=[event.to_dict() for event in events], sender=None, **more)]


def test_sending_again_changes_nothing(workspace):
    events = workspace.writer("owner").document(footbridge())
    assert set(states(events)) == {"stored"}
    before = (job().head, job().events, ledger_bytes(job()))
    assert set(states(events)) == {"known"}
    assert (job().head, job().events, ledger_bytes(job())) == before


def test_same_id_with_another_hash_is_refused_and_the_stored_one_shown(workspace):
    event = workspace.writer("owner").set(("job", "title"), "one")
    append(job=JOB, documents=[event.to_dict()], sender=None)
    (answer,) = append(job=JOB, documents=[{**event.to_dict(), "value": "two"}], sender=None)
    assert (answer.state, answer.errors[0].code) == ("refused", "event.id_taken")
    assert answer.to_dict()["stored"] == event.to_dict()
    assert [kept.value for kept in events_of(JOB)] == ["one"]


def test_same_id_twice_in_one_list_is_refused(workspace):
    event = workspace.writer("owner").set(("job", "title"), "one")
    answers = append(job=JOB, documents=[event.to_dict(), {**event.to_dict(), "value": "two"}, event.to_dict()], sender=None)
    assert [answer.state for answer in answers] == ["stored", "refused", "known"]


def test_events_in_the_wrong_order_are_held_and_placed_when_the_first_comes(workspace):
    events = workspace.writer("owner").document(footbridge())
    assert set(states(reversed(events[1:]))) == {"held"}
    assert (job().held, job().head) == (len(events) - 1, "")
    assert states(events[:1]) == ["stored"]
    assert (job().held, job().head) == (0, fold(events=events).head)


def test_bad_events_do_not_stop_the_good_ones(workspace):
    good = workspace.writer("owner").set(("job", "title"), "one")
    bad = [None, 3, {}, {**good.to_dict(), "value": 1.5}, {**good.to_dict(), "job": "11111111-1111-4111-8111-111111111111"}, {"id": 7}]
    answers = append(job=JOB, documents=[*bad, good.to_dict()], sender=None)
    assert [answer.state for answer in answers] == ["refused"] * len(bad) + ["stored"]


def test_no_more_events_stand_side_by_side_than_the_next_can_name(workspace, monkeypatch):
    """Else nobody could sign: an event that has seen the whole job would be too long."""
    monkeypatch.setattr(store, "MOST_BASE", 3)
    apart = [workspace.writer("owner", f"phone {number}").set(("job", f"x-{number}"), "1").to_dict() for number in range(4)]
    client = workspace.client("owner")
    answer = client.post(f"/api/v1/jobs/{JOB}/events", apart, content_type="application/json")
    assert (answer.status_code, answer.json()["errors"][0]["code"]) == (422, "event.unseen")
    assert models.Event.objects.count() == 0
    answer = client.post(f"/api/v1/jobs/{JOB}/events", apart[:3], content_type="application/json").json()
    workspace.send("owner", workspace.writer("owner", "desk").set(("job", "x-3"), "1", base=answer["base"]))
    assert len(job().frontier) == 1


def test_clock_of_a_device_orders_nothing_and_is_kept(workspace):
    late = make_event(job=JOB, device="a", author="a", made="2099-01-01T00:00:00Z", kind="set", path=("job", "title"), value="first")
    early = make_event(job=JOB, device="b", author="b", made="1999-01-01T00:00:00Z", kind="set", path=("job", "title"), value="then", base=[late.id])
    states([early, late])
    assert outcomes.state_of(job()).document["job"]["title"] == "then"


@pytest.mark.parametrize("seed", range(12))
def test_row_follows_any_schedule_of_lists(workspace, seed):
    chance = random.Random(seed)
    phones, _ = run_schedule(chance, devices=3, steps=30)
    events = list(merge(*(phone.held.values() for phone in phones)))
    mixed = chance.sample(events, len(events)) + chance.choices(events, k=5)
    while mixed:
        size = chance.randint(1, 8)
        states(mixed[:size])
        mixed = mixed[size:]
    assert ledger_bytes(job()) == b"".join(event.data + b"\n" for event in events)
    assert (job().held, list(job().frontier), job().head) == (0, list(fold(events=events).frontier), fold(events=events).head)


def test_kept_outcome_is_that_of_the_command_line(workspace):
    workspace.send("owner", *workspace.writer("owner").document(footbridge(tests=3)))
    assert outcomes.outcome_bytes(job()) == canonical_bytes(brackish.evaluate(footbridge(tests=3)).to_dict())
    assert outcomes.report_code(job()) == code_of(job=footbridge(tests=3), outcome=brackish.evaluate(footbridge(tests=3)).to_dict())
    assert models.Outcome.objects.filter(job=JOB).count() == 8
    assert list(differences(job())) == []


def test_matching_head_and_engine_need_no_judging(workspace, monkeypatch):
    workspace.send("owner", *workspace.writer("owner").document(footbridge()))
    before = outcomes.outcome_bytes(job())
    monkeypatch.setattr(outcomes, "_made", lambda job: pytest.fail("judged again"))
    assert outcomes.outcome_bytes(job()) == before
    assert json.loads(outcomes.test_bytes(job(), "T1"))["id"] == "T1"


def test_brief_outcome_is_the_whole_without_what_one_page_shows(workspace):
    workspace.send("owner", *workspace.writer("owner").document(footbridge()))
    whole, brief = (json.loads(kept(job())) for kept in (outcomes.outcome_bytes, outcomes.brief_bytes))
    left_out = [result.pop(name) for test in whole["tests"] for result in test["results"] for name in ("budget", "steps")]
    left_out += [verdict.pop("sentences") for test in whole["tests"] for verdict in test["verdicts"]]
    left_out += [found.pop("message") for test in whole["tests"] for found in test["findings"] if found["severity"] != "void"]
    assert left_out and all(left_out)
    assert brief == whole


def test_ledger_from_before_a_row_was_kept_is_judged_again(workspace):
    workspace.send("owner", *workspace.writer("owner").document(footbridge()))
    before = outcomes.brief_bytes(job())
    models.Outcome.objects.filter(job=JOB, test=outcomes.BRIEF).delete()
    assert outcomes.brief_bytes(job()) == before
    assert list(differences(job())) == []


def test_job_is_read_though_nothing_can_be_kept(workspace, monkeypatch):
    """What a full disk does after an event that nobody had judged yet."""
    workspace.send("owner", *workspace.writer("owner").document(footbridge()))
    kept = workspace.client("reader").get(f"/api/v1/jobs/{JOB}/outcome").content
    models.Job.objects.update(judged_head="")
    monkeypatch.setattr(outcomes, "_replace", Mock(side_effect=OperationalError("database or disk is full")))
    assert workspace.client("reader").get(f"/api/v1/jobs/{JOB}/outcome").content == kept
    for url in (f"/api/v1/jobs/{JOB}", f"/jobs/{JOB}", f"/jobs/{JOB}/results/T1"):
        assert workspace.client("reader").get(url).status_code == 200


def test_held_event_is_in_the_state_though_the_head_stays(workspace):
    workspace.send("owner", *workspace.writer("owner").document(footbridge()))
    head = job().head
    late = workspace.writer("tester").set(("test", "T1", "facts", "ph"), "6.8", base=["11111111-1111-4111-8111-111111111111"])
    workspace.send("tester", late, expect="held")
    assert job().head == head
    (held,) = workspace.client("reader").get(f"/api/v1/jobs/{JOB}").json()["held_events"]
    assert held == {"event": late.to_dict(), "waiting_for": list(late.base)}


def test_another_engine_judges_again(workspace, monkeypatch):
    workspace.send("owner", *workspace.writer("owner").document(footbridge()))
    before = outcomes.outcome_bytes(job())
    models.Outcome.objects.filter(job=JOB).update(engine="0.0.0-old", body=outcomes.packed(b'{"old":true}'))
    models.Job.objects.update(engine="0.0.0-old")
    assert outcomes.outcome_bytes(job()) == before


def test_job_that_cannot_be_read_keeps_its_errors_and_heals(workspace):
    writer = workspace.writer("owner")
    workspace.send("owner", *writer.document(footbridge()))
    workspace.send("owner", writer.set(("test", "T1", "facts", "reading"), ["9.1 parsecs"]))
    assert [error["place"] for error in json.loads(outcomes.outcome_bytes(job()))["errors"]]
    assert job().waiting_for == "correction"
    workspace.send("owner", writer.set(("test", "T1", "facts", "reading"), ["9.1 uS/cm"], reason="wrong unit"))
    assert outcomes.outcome_bytes(job()) == canonical_bytes(brackish.evaluate(footbridge()).to_dict())


def test_fault_of_the_program_leaves_the_record_readable(workspace, monkeypatch):
    monkeypatch.setattr(brackish, "evaluate", lambda document: 1 / 0)
    workspace.send("owner", *workspace.writer("owner").document(footbridge()))
    assert json.loads(outcomes.outcome_bytes(job()))["errors"][0]["code"] == "program.failed"
    assert outcomes.document_of(job()) == footbridge()


def test_check_finds_what_was_changed_behind_its_back(workspace):
    workspace.send("owner", *workspace.writer("owner").document(footbridge()))
    assert list(differences(job())) == []
    row = models.Event.objects.filter(job=JOB, path__contains="reading").last()
    models.Event.objects.filter(seq=row.seq).update(body=row.body.replace("9.1", "1.9"))
    assert any(row.id in difference for difference in differences(job()))
    models.Event.objects.filter(seq=row.seq).update(body=row.body)
    models.Outcome.objects.filter(job=JOB, test="T1").update(body=outcomes.packed(b"{}"))
    assert list(differences(job())) == ["the outcome of T1 is not what judging gives"]
    models.Outcome.objects.filter(job=JOB).update(head=job().head)
    models.Job.objects.update(frontier=[])
    assert any("frontier" in difference for difference in differences(job()))


def test_ledger_goes_out_and_comes_back_byte_for_byte(workspace):
    events = workspace.writer("owner").document(footbridge(tests=2))
    late = workspace.writer("tester").set(("test", "T1", "facts", "ph"), "6.8", base=["11111111-1111-4111-8111-111111111111"])
    states([*events, late])
    file, ledger, head = exported(job()), ledger_bytes(job()), job().head
    models.Event.objects.all().delete()
    models.Outcome.objects.all().delete()
    models.Job.objects.all().delete()
    back, answers = imported(file, organisation=workspace.organisation, sender=None)
    assert (ledger_bytes(back), back.head, back.held) == (ledger, head, 1)
    assert [answer.state for answer in answers].count("stored") == len(events)
    again, answers = imported(file, organisation=workspace.organisation, sender=None)
    assert {answer.state for answer in answers} == {"known"}
    assert exported(again) == file


def test_forged_signature_is_not_imported(workspace):
    forged = workspace.writer("owner").write("sign", ("signature", "#1"), ["ed25519", "owner", "owner", "sha256:" + "0" * 64, "1" * 64, "2" * 128])
    with pytest.raises(brackish.errors.InputError) as raised:
        imported(forged.data + b"\n", organisation=workspace.organisation, sender=None)
    assert raised.value.code == "ledger.signature"


def test_text_of_every_kind_comes_back_as_it_was(workspace):
    texts = ["<script>alert(1)</script>", "=1+1", "@SUM(A1)", "'; DROP TABLE web_event; --", "\u202e reversed", "สะพาน", "{{ 7*7 }}", "a" * 20_000]
    writer = workspace.writer("owner")
    states([writer.set(("job", f"x-{number}"), text) for number, text in enumerate(texts)])
    assert [event.value for event in events_of(JOB)] == texts
    assert read_event(events_of(JOB)[0].to_dict()) == events_of(JOB)[0]


def test_character_of_number_nought_stops_nothing(workspace):
    """PostgreSQL keeps no text with it; a job file in JSON may hold it, and so may an address."""
    workspace.send("owner", workspace.writer("owner").set(("job", "title", "=json"), '"a\\u0000b"'))
    client = workspace.client("owner")
    assert client.get(f"/api/v1/jobs/{JOB}/document").json() == {"job": {"title": "a\0b"}}
    assert client.get("/api/v1/jobs").json()["jobs"][0]["title"] == "ab"


@pytest.mark.parametrize("url", [f"/api/v1/jobs/{JOB}/outcome/%00", "/api/v1/jobs?find=%00", "/?find=%00", "/jobs/%00"])
def test_address_with_the_character_of_number_nought_is_no_fault_of_ours(workspace, url):
    assert workspace.client("owner").get(url).status_code < 500
