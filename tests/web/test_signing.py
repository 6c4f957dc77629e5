# SPDX-License-Identifier: MIT
"""Signing: what is shown is what is signed; it can be checked with nothing but the report's documents."""

from __future__ import annotations

import json

import pytest
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

from brackish.cli.main import main
from brackish.errors import AccessError
from brackish.record.canonical import sha256_of
from brackish.report.signatures import signature_checks
from brackish.web import models
from brackish.web.ledger.check import differences
from brackish.web.signing.keys import new_key, opened
from tests.web.conftest import PASSWORD
from tests.web.writing import JOB, footbridge

pytestmark = pytest.mark.slow

URL = f"/api/v1/jobs/{JOB}/signatures"


@pytest.fixture
def signer(workspace):
    workspace.send("owner", *workspace.writer("owner").document(footbridge()))
    person = workspace.people["inspector"]
    person.set_password(PASSWORD)
    person.save()
    client = workspace.client("inspector")
    made = client.post("/api/v1/signing-key", {"password": PASSWORD}, content_type="application/json")
    assert made.status_code == 201
    return client


def sign(client, **words):
    shown = client.get(URL).json()["hash"]
    return client.post(URL, {"hash": shown, "password": PASSWORD, **words}, content_type="application/json")


def test_signature_stands_in_the_document_and_holds_without_the_server(workspace, signer):
    shown = signer.get(URL).json()
    signed = sign(signer)
    assert (signed.status_code, signed.json()["hash"]) == (201, shown["hash"])
    job, outcome = signer.get(f"/api/v1/jobs/{JOB}/document").json(), signer.get(f"/api/v1/jobs/{JOB}/outcome").json()
    (entry,) = job["signature"]
    bare = {key: value for key, value in job.items() if key != "signature"}
    bare["person"] = [row for row in bare["person"] if "x-signer" not in row]  # whom signing named
    named = sha256_of({"job": bare, "outcome": {**outcome, "job_hash": sha256_of(bare)}})
    assert entry["hash"] == named
    text = f"brackish-signature/1\n{entry['person']}\n{entry['role']}\n{named}".encode()
    key = Ed25519PublicKey.from_public_bytes(bytes.fromhex(entry["key"]))
    key.verify(bytes.fromhex(entry["signature"]), text)
    with pytest.raises(InvalidSignature):
        key.verify(bytes.fromhex(entry["signature"]), text.replace(b"inspector\n", b"owner\n"))
    assert outcome["job_hash"] == sha256_of(job)
    assert list(differences(models.Job.objects.get())) == []


def test_changed_fact_verdict_or_signature_is_noticed_without_the_server(signer):
    sign(signer)
    job, outcome = signer.get(f"/api/v1/jobs/{JOB}/document").json(), signer.get(f"/api/v1/jobs/{JOB}/outcome").json()
    assert [check["ok"] for check in signature_checks(job=job, outcome=outcome)] == [True]
    other_fact, other_verdict, other_signature = (json.loads(json.dumps([job, outcome])) for _ in range(3))
    other_fact[0]["test"][0]["facts"]["reading"] = ["1.9 uS/cm"]
    other_verdict[1]["job"]["verdict"] = "fail"
    other_signature[0]["signature"][0]["role"] = "owner"
    for changed_job, changed_outcome in (other_fact, other_verdict, other_signature):
        assert [check["ok"] for check in signature_checks(job=changed_job, outcome=changed_outcome)] == [False]


def test_signer_is_named_in_the_job(signer):
    sign(signer)
    assert {"id": "inspector", "name": "Inspector", "role": "inspector", "x-signer": True} in signer.get(f"/api/v1/jobs/{JOB}/document").json()["person"]


def test_change_after_signing_makes_a_new_revision_and_marks_the_old(workspace, signer):
    sign(signer)
    workspace.send("tester", workspace.writer("tester").set(("test", "T1", "facts", "ph"), "6.8", base=models.Job.objects.get().frontier))
    before = signer.get(URL).json()["signatures"]
    assert [(each["revision"], each["current"], each["holds"]) for each in before] == [(1, False, True)]
    assert "signature" not in signer.get(f"/api/v1/jobs/{JOB}/document").json()
    sign(signer)
    assert [(each["revision"], each["current"]) for each in signer.get(URL).json()["signatures"]] == [(1, False), (2, True)]


def test_second_signer_signs_the_same_hash(workspace, signer):
    sign(signer)
    first = signer.get(URL).json()["signatures"][0]["hash"]
    witness = workspace.people["witness"]
    witness.set_password(PASSWORD)
    witness.save()
    client = workspace.client("witness")
    client.post("/api/v1/signing-key", {"password": PASSWORD}, content_type="application/json")
    workspace.send("owner", *_named("witness", workspace))
    sign(signer)
    sign(client)
    signatures = [each for each in client.get(URL).json()["signatures"] if each["current"]]
    assert {each["person"] for each in signatures} == {"inspector", "witness"}
    assert len({each["hash"] for each in signatures}) == 1
    assert first not in {each["hash"] for each in signatures}


def _named(name, workspace):
    writer, base = workspace.writer("owner", "desk"), models.Job.objects.get().frontier
    return [writer.set(("person", name, "id"), name, base=base), writer.set(("person", name, "role"), name)]


def test_what_was_shown_must_still_stand(workspace, signer):
    shown = signer.get(URL).json()["hash"]
    workspace.send("tester", workspace.writer("tester").set(("test", "T1", "facts", "ph"), "6.8", base=models.Job.objects.get().frontier))
    refused = sign(signer, hash=shown)
    assert (refused.status_code, refused.json()["errors"][0]["code"]) == (409, "signing.changed")


def test_conflict_is_settled_before_signing(workspace, signer):
    base = models.Job.objects.get().frontier
    for device, value in (("one", "6.8"), ("two", "7.1")):
        workspace.send("tester", workspace.writer("tester", device).set(("test", "T1", "facts", "ph"), value, base=base))
    refused = signer.get(URL)
    assert (refused.status_code, refused.json()["errors"][0]["code"]) == (409, "signing.conflict")


def test_wrong_password_signs_nothing(signer):
    refused = sign(signer, password="another")
    assert (refused.status_code, refused.json()["errors"][0]["code"]) == (403, "signing.password")
    assert signer.get(URL).json()["signatures"] == []


def test_a_key_is_made_with_ones_own_password_alone(workspace):
    client = workspace.client("inspector")
    refused = client.post("/api/v1/signing-key", {"password": "another"}, content_type="application/json")
    assert (refused.status_code, refused.json()["errors"][0]["code"]) == (403, "access.not_your_password")  # no name was asked for
    assert models.SignInFailure.objects.filter(name=workspace.people["inspector"].name).count() == 1
    assert client.get("/api/v1/signing-key").status_code == 404


def test_key_is_sealed_and_bound_to_its_public_half(workspace):
    key = new_key(person=workspace.people["owner"], password=PASSWORD)
    raw = opened(key, password=PASSWORD).private_bytes_raw()
    assert raw not in bytes(key.sealed)
    other = new_key(person=workspace.people["tester"], password=PASSWORD)
    key.public = other.public
    with pytest.raises(AccessError):
        opened(key, password=PASSWORD)


def test_new_key_retires_the_old(workspace):
    for _ in range(2):
        new_key(person=workspace.people["owner"], password=PASSWORD)
    assert models.SigningKey.objects.filter(retired=None).count() == 1


def test_signed_job_comes_back_from_an_import_with_its_signature(workspace, signer):
    sign(signer)
    file = workspace.client("owner").get(f"/api/v1/ledgers/{JOB}").content
    document = signer.get(f"/api/v1/jobs/{JOB}/document").json()
    models.Event.objects.all().delete()
    models.Outcome.objects.all().delete()
    models.Job.objects.filter(id=JOB).update(head="", frontier=[], events=0, held=0)
    workspace.client("owner").generic("POST", "/api/v1/ledgers", file, content_type="application/zip")
    assert json.loads(workspace.client("owner").get(f"/api/v1/jobs/{JOB}/document").content) == document


@pytest.mark.parametrize("strange", [5, "x", None, {"a": 1}, [5], [[]]])
def test_lists_of_any_shape_in_a_report_are_no_failure(strange):
    assert signature_checks(job={"signature": strange, "person": strange}, outcome={}) == []


def test_fingerprint_received_on_another_way_is_compared(signer, tmp_path, capsys):
    made = sign(signer).json()["fingerprint"]
    file = tmp_path / "report.pdf"
    file.write_bytes(signer.get(f"/api/v1/jobs/{JOB}/report").content)
    assert main(["verify", str(file), "--key", made.replace(" ", "").upper()]) == 0
    assert "key received: has signed this" in capsys.readouterr().out
    assert main(["verify", str(file), "--key", "0000 0000 0000 0000"]) == 1
    assert "nothing here was signed with the key 0000 0000 0000 0000" in " ".join(capsys.readouterr().out.split())
