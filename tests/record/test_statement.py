# SPDX-License-Identifier: MIT
"""What is signed: one hash for all signers, whoever signed already."""

from __future__ import annotations

from brackish.record.canonical import sha256_of
from brackish.record.fold import fold
from brackish.record.statement import fingerprint, signed_document, signed_text, statement_hash
from tests.record.schedules import Device

JOB = {"format": "brackish-job/1", "job": {"id": "x"}}
OUTCOME = {"format": "brackish-outcome/1", "job_hash": sha256_of(JOB), "tests": []}


def test_hash_is_the_same_before_and_after_others_sign():
    signed = {**JOB, "signature": [{"person": "ines"}]}
    after = {**OUTCOME, "job_hash": sha256_of(signed)}
    assert statement_hash(job=JOB, outcome=OUTCOME) == statement_hash(job=signed, outcome=after)
    assert statement_hash(job=JOB, outcome=OUTCOME) == sha256_of({"job": JOB, "outcome": OUTCOME})


def test_any_change_of_job_or_outcome_gives_another_hash():
    before = statement_hash(job=JOB, outcome=OUTCOME)
    assert statement_hash(job={**JOB, "job": {"id": "y"}}, outcome=OUTCOME) != before
    assert statement_hash(job=JOB, outcome={**OUTCOME, "tests": [1]}) != before


def test_signed_text_binds_person_role_and_hash():
    assert signed_text(person="ines", role="inspector", hash="sha256:00") == b"brackish-signature/1\nines\ninspector\nsha256:00"


def test_fingerprint_is_four_groups_of_the_key():
    assert fingerprint(key="ab" * 32).replace(" ", "") == sha256_of({"ed25519": "ab" * 32})[7:23]
    assert [len(group) for group in fingerprint(key="ab" * 32).split(" ")] == [4, 4, 4, 4]
    assert fingerprint(key="ab" * 32) != fingerprint(key="ac" * 32)


def test_document_carries_the_signatures_that_still_hold():
    device = Device("a")
    device.write("set", ("job", "title"), "one")
    value = ["ed25519", "ines", "inspector", "sha256:" + "1" * 64, "2" * 64, "3" * 128]
    device.write("sign", ("signature", "#1"), value)
    (signature,) = signed_document(fold(events=device.held.values()))["signature"]
    assert (signature["person"], signature["role"], signature["hash"], signature["key"], signature["signature"]) == tuple(value[1:])
    device.write("set", ("job", "title"), "two")
    assert "signature" not in signed_document(fold(events=device.held.values()))
