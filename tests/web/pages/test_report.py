# SPDX-License-Identifier: MIT
"""Report: page one as printed, who may sign, signing with a password, and checking a file with what `brackish verify` says."""

from __future__ import annotations

import json

import pytest

from brackish import evaluate
from brackish.report.case import Case
from brackish.report.front import front
from brackish.report.words import file_name, under_title
from brackish.web import models
from brackish.web.ledger import outcomes
from tests.web.conftest import PASSWORD, Workspace
from tests.web.pages.test_compare import bare, send, text
from tests.web.writing import JOB, footbridge

CHECK = "/api/v1/reports/check"


@pytest.fixture
def done(workspace: Workspace) -> Workspace:
    send(workspace, footbridge(1))
    return workspace


def test_the_preview_says_what_page_one_says(done):
    client = done.client("reader")
    document, outcome = (client.get(f"/api/v1/jobs/{JOB}/{part}").json() for part in ("document", "outcome"))
    said = front(Case(document, outcome))
    page = bare(text(done, f"/jobs/{JOB}/report", "reader"))
    row = said["tables"][0]["rows"][0]
    for words in (said["question"], *said["say"], row["name"], row["count"], row["value"], row["plus"], *(box["name"] for box in said["signs"])):
        assert bare(words) in page, words


def test_the_preview_says_for_whom_and_by_whom_as_the_report_does(workspace):
    document = footbridge(1)
    document["job"] |= {"owner": "Pell Quay Harbour Trust", "contractor": "Ostler & Rake"}
    send(workspace, document)
    said = under_title(document["job"])
    assert said == "Pell Quay. Owner: Pell Quay Harbour Trust. Contractor: Ostler & Rake"
    assert bare(said) in bare(text(workspace, f"/jobs/{JOB}/report", "reader"))


def test_who_signed_by_an_account_waits_for_no_second_signature():
    document = footbridge(1)
    document["person"] += [{"id": "inspector", "name": "Jonna Reith", "role": "inspector"}, {"id": "jonna.reith", "name": "Jonna Reith"}]
    document["signature"] = [{"person": "jonna.reith", "role": "inspector", "at": "2026-03-04T12:00:00+00:00"}]
    boxes = front(Case(document, evaluate(document).to_dict()))["signs"]
    assert [box["state"] for box in boxes if box["name"] == "Jonna Reith"] == ["signed, no key"]
    document["person"][-1]["role"] = "inspector"
    del document["signature"]  # overtaken by a correction
    boxes = front(Case(document, evaluate(document).to_dict()))["signs"]
    assert [box["state"] for box in boxes if box["name"] == "Jonna Reith"] == ["not yet signed"]
    assert any(box["role"].startswith("Owner") for box in boxes)


def test_who_may_sign_is_offered_it(done):
    for role, offered in (("owner", True), ("inspector", True), ("tester", True), ("witness", True), ("trainee", False), ("reader", False), ("client", False)):
        assert ("Sign as" in text(done, f"/jobs/{JOB}/report", role)) is offered, role


def test_a_signature_shows_with_its_key_and_a_change_overtakes_it(done):
    person = done.people["owner"]
    person.set_password(PASSWORD)
    person.save()
    client = done.client("owner")
    assert client.post("/api/v1/signing-key", {"password": PASSWORD}, content_type="application/json").status_code == 201
    shown = client.get(f"/api/v1/jobs/{JOB}/signatures").json()["hash"]
    signed = client.post(f"/api/v1/jobs/{JOB}/signatures", {"hash": shown, "password": PASSWORD}, content_type="application/json").json()
    page = text(done, f"/jobs/{JOB}/report", "owner")
    assert "1 signature" in page and signed["fingerprint"] in page and "Sign as" not in page
    assert "not known here" not in page and client.get(f"/api/v1/jobs/{JOB}/signatures").json()["signatures"][0]["known"] is True
    models.SigningKey.objects.all().delete()  # as on a server to which the ledger was carried
    assert "not known here" in text(done, f"/jobs/{JOB}/report", "owner")
    base = client.get(f"/api/v1/jobs/{JOB}").json()["base"]
    done.send("tester", done.writer("tester").set(("test", "T1", "facts", "reading"), ["9.2 uS/cm"], base=base))
    page = text(done, f"/jobs/{JOB}/report", "owner")
    assert "Not signed yet" in page and "Signed before the last change" in page and "Sign as owner" in page


def test_several_sign_one_thing_though_signing_names_each_of_them(done):
    before = done.client("owner").get(f"/api/v1/jobs/{JOB}/signatures").json()["hash"]
    for role in ("inspector", "tester", "owner"):
        _sign(done, role)
    found = done.client("owner").get(f"/api/v1/jobs/{JOB}/signatures").json()
    assert {(each["current"], each["holds"], each["hash"]) for each in found["signatures"]} == {(True, True, before)}
    pdf = done.client("owner").get(f"/api/v1/jobs/{JOB}/report").content
    checks = done.client("owner").post(CHECK, pdf, content_type="application/pdf").json()["checks"]
    assert [(each["ok"], each["detail"].split(" as ")[0]) for each in checks if each["name"].startswith("signature of")] == [
        (True, "Inspector"), (True, "Tester"), (True, "Owner"),
    ]  # fmt: skip
    base = done.client("owner").get(f"/api/v1/jobs/{JOB}").json()["base"]
    done.send("owner", done.writer("owner").set(("person", "tester", "name"), "Somebody else", base=base))  # not the signer's own word
    after = done.client("owner").get(f"/api/v1/jobs/{JOB}/signatures").json()["signatures"]
    assert not any(each["current"] for each in after)


def test_a_person_of_the_job_is_not_taken_out_of_what_others_signed(done):
    writer, base = done.writer("inspector"), done.client("owner").get(f"/api/v1/jobs/{JOB}").json()["base"]
    named = {"id": "inspector", "certificate": "OR-118"}
    done.send("inspector", *(writer.set(("person", "inspector", name), value, base=base) for name, value in named.items()))
    _sign(done, "owner")
    base = done.client("owner").get(f"/api/v1/jobs/{JOB}").json()["base"]
    done.send("inspector", writer.set(("person", "inspector", "x-signer"), True, base=base))
    (signature,) = done.client("owner").get(f"/api/v1/jobs/{JOB}/signatures").json()["signatures"]
    assert not signature["current"]


def _sign(done: Workspace, role: str) -> None:
    person, client = done.people[role], done.client(role)
    person.set_password(PASSWORD)
    person.save()
    client.force_login(person)
    client.post("/api/v1/signing-key", {"password": PASSWORD}, content_type="application/json")
    shown = client.get(f"/api/v1/jobs/{JOB}/signatures").json()["hash"]
    signed = client.post(f"/api/v1/jobs/{JOB}/signatures", {"hash": shown, "password": PASSWORD}, content_type="application/json")
    assert signed.status_code == 201


def test_a_report_that_was_downloaded_checks_and_one_changed_byte_shows(done):
    client = done.client("reader")
    data = client.get(f"/api/v1/jobs/{JOB}/report").content
    found = client.post(CHECK, data, content_type="application/pdf")
    assert found.status_code == 200 and found.json()["consistent"] is True
    assert {"whole file", "attachments", "printed code", "judged again", "pages"} <= {check["name"] for check in found.json()["checks"]}
    changed = bytearray(data)
    changed[len(data) // 2] ^= 1
    answer = client.post(CHECK, bytes(changed), content_type="application/pdf").json()
    assert answer["consistent"] is False and answer["checks"][0]["ok"] is False


@pytest.mark.parametrize(
    ("about", "name"),
    [
        ({"number": "PQ-014", "title": "Footbridge over the Pell, span 2", "id": "x"}, "PQ-014-Footbridge-over-the-Pell-span-2.pdf"),
        ({"title": 'Étage "9"\r\n../..', "id": "x"}, "Etage-9.pdf"),
        ({"title": "เหล็ก", "id": JOB}, f"{JOB}.pdf"),
        ({}, "job.pdf"),
    ],
)
def test_a_file_is_named_after_its_job_in_safe_characters(about, name):
    assert file_name({"job": about}, "pdf") == name


def test_who_signs_sees_the_code_that_the_report_shows(done):
    page = done.client("inspector").get(f"/jobs/{JOB}/report").content.decode()
    code = outcomes.report_code(models.Job.objects.get())
    assert page.count(code) == 2 and code in page[page.index('id="signing"') :]


def test_a_report_agrees_with_itself_though_an_event_comes_while_it_is_made(done, monkeypatch):
    client, asked = done.client("reader"), []

    def disturbed(question):
        def ask(job):
            asked.append(question)
            if len(asked) == 2:
                done.send("tester", done.writer("tester").set(("test", "T1", "facts", "reading"), ["9.2 uS/cm"], base=job.frontier))
            return question(job)

        return ask

    for name in ("document_of", "outcome_bytes"):
        monkeypatch.setattr(outcomes, name, disturbed(getattr(outcomes, name)))
    data = client.get(f"/api/v1/jobs/{JOB}/report").content
    assert client.post(CHECK, data, content_type="application/pdf").json()["consistent"] is True


@pytest.mark.parametrize("data", [b"", b"no report", b"%PDF-1.7 nothing sealed"])
def test_a_file_that_is_no_report_is_refused_with_a_reason(data, done):
    answer = done.client("reader").post(CHECK, data, content_type="application/pdf")
    assert answer.status_code == 422 and json.loads(answer.content)["errors"][0]["code"] == "record.not_sealed"
