# SPDX-License-Identifier: MIT
"""What must not hurt: too much, too early, twice, from a wrong clock, folded small, or written to be run."""

from __future__ import annotations

import io
import json
import zipfile
from unittest.mock import Mock

import pytest

import brackish
from brackish.prepare import counts
from brackish.web import models
from brackish.web.ledger import store
from brackish.web.ledger.check import differences
from brackish.web.ledger.outcomes import state_of
from tests.web.writing import JOB, footbridge

URL = f"/api/v1/jobs/{JOB}/events"
NASTY = "<script>alert(1)</script> =HYPERLINK(1) @SUM +1 -1 \" ' {{ 7*7 }} {% x %} #import \u202e"


def send(client, data):
    return client.generic("POST", URL, data if isinstance(data, bytes) else json.dumps(data).encode(), content_type="application/json")


def test_event_of_ten_megabytes_is_refused_and_the_next_is_stored(workspace):
    writer = workspace.writer("owner")
    good = writer.set(("job", "title"), "one").to_dict()
    answers = send(workspace.client("owner"), [{**good, "id": "11111111-1111-4111-8111-111111111111", "value": "x" * 10_000_000}, good]).json()["events"]
    assert [answer["state"] for answer in answers] == ["refused", "stored"]
    assert answers[0]["errors"][0]["code"] == "event.too_large"


def test_body_past_every_bound_is_refused_in_the_one_shape(workspace):
    answer = send(workspace.client("owner"), b"[" + b" " * 13_000_000 + b"]")
    assert (answer.status_code, answer.json()["errors"][0]["code"]) == (413, "request.too_large")


def test_file_past_every_bound_is_not_put_on_the_disk_for_whoever_sends_it(workspace, monkeypatch):
    monkeypatch.setattr("django.core.files.uploadhandler.TemporaryUploadedFile.__init__", Mock(side_effect=AssertionError("written")))
    answer = workspace.client(None).post("/sign-in", {"file": io.BytesIO(b"x" * 13_000_000)})
    assert answer.status_code == 413
    assert "larger than the 12000000 bytes" in answer.content.decode()


def test_brackets_without_end_are_refused(workspace):
    answer = send(workspace.client("owner"), b"[" * 200_000)
    assert answer.status_code in (400, 422)
    assert answer.json()["errors"]


def test_more_events_than_are_taken_at_once_are_refused_whole(workspace):
    answer = send(workspace.client("owner"), [{}] * 5_001)
    assert (answer.status_code, answer.json()["errors"][0]["code"]) == (422, "event.too_many")


@pytest.mark.slow
def test_long_chain_sent_backwards_is_placed_in_one_pass(workspace, monkeypatch):
    writer = workspace.writer("owner")
    events = [writer.set(("job", f"x-{number}"), number) for number in range(2_000)]
    looked_at = []
    missing = store._missing
    monkeypatch.setattr(store, "_missing", lambda event, *others: looked_at.append(event.id) or missing(event, *others))
    answers = send(workspace.client("owner"), [event.to_dict() for event in reversed(events)]).json()["events"]
    assert {each["state"] for each in answers} == {"stored"}
    assert sorted(looked_at) == sorted(event.id for event in events)  # once each: to look again for every one that is placed takes minutes
    assert list(differences(models.Job.objects.get(id=JOB))) == []


def test_event_from_the_future_waits_and_one_of_a_fast_clock_counts(workspace):
    ahead = workspace.writer("owner").set(("job", "title"), "seen things", base=["11111111-1111-4111-8111-111111111111"])
    workspace.send("owner", ahead, expect="held")
    fast = {**workspace.writer("owner", "fast").set(("job", "site"), "Pell Quay").to_dict(), "made": "2199-01-01T00:00:00+00:00"}
    (answer,) = send(workspace.client("owner"), [fast]).json()["events"]
    assert answer["state"] == "stored"
    assert state_of(models.Job.objects.get(id=JOB)).document == {"job": {"site": "Pell Quay"}}


@pytest.mark.parametrize("value", ["1.5", "null", "{}"])
def test_job_in_which_no_list_of_tests_stands_is_a_fault_of_the_job(workspace, value):
    workspace.send("owner", workspace.writer("owner").set(("test", "=json"), value))
    assert workspace.client("owner").get(f"/api/v1/jobs/{JOB}/outcome").json()["errors"]
    assert workspace.client("owner").get(f"/jobs/{JOB}").status_code == 200


def test_job_like_one_that_cannot_be_read_is_drafted(workspace):
    workspace.send("owner", *workspace.writer("owner").document(footbridge()), workspace.writer("owner", "other").set(("job", "#1", "x"), "y"))
    draft = workspace.client("owner").get(f"/api/v1/jobs/{JOB}/draft")
    assert draft.status_code == 200
    assert ["item", "girder", "area"] in [change["path"] for change in draft.json()["changes"]]


@pytest.mark.parametrize("page", ["9" * 25, "²", "-1", "x", "0"])
def test_list_asked_for_a_page_that_is_none_shows_one(workspace, page):
    workspace.send("owner", *workspace.writer("owner").document(footbridge()))
    for url in ("/", f"/jobs/{JOB}/history"):
        assert workspace.client("owner").get(url, {"page": page}).status_code == 200


@pytest.mark.parametrize("name", ["%01", "%02", "%03", "%04"])
def test_row_of_ours_is_no_test(workspace, name):
    workspace.send("owner", *workspace.writer("owner").document(footbridge()))
    assert workspace.client("owner").get(f"/api/v1/jobs/{JOB}/outcome/{name}").status_code == 404


def test_html_and_formulas_in_every_text_field_stay_text(workspace):
    document = footbridge()
    for table in [document["job"], *(each for name in ("specification", "person", "item", "location") for each in document[name])]:
        for name in {"title", "name", "site"} & table.keys():
            table[name] = NASTY
    workspace.send("owner", *workspace.writer("owner").document(document))
    client = workspace.client("owner")
    assert client.get(f"/api/v1/jobs/{JOB}/document").json() == document
    assert client.get(f"/api/v1/jobs/{JOB}/report").content.startswith(b"%PDF-")
    for url in ("/", f"/jobs/{JOB}"):
        page = client.get(url).content.decode()
        assert "<script>alert" not in page
        assert "{{ 7*7 }}" in page or "49" not in page
    assert client.get("/api/v1/jobs").headers["Content-Type"].startswith("application/json")


@pytest.mark.slow
def test_ledger_that_unfolds_into_a_wall_is_refused_unread(workspace):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive, archive.open("ledger.jsonl", "w", force_zip64=True) as file:
        for _ in range(201):
            file.write(bytes(1_000_000))
    assert len(out.getvalue()) < 300_000
    answer = workspace.client("owner").generic("POST", "/api/v1/ledgers", out.getvalue(), content_type="application/zip")
    assert (answer.status_code, answer.json()["errors"][0]["code"]) == (422, "ledger.zip")


def test_zip_with_a_way_out_of_its_folder_is_refused(workspace):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("ledger.jsonl", b"")
        archive.writestr("../../secret-key", b"x")
    assert workspace.client("owner").generic("POST", "/api/v1/ledgers", out.getvalue(), content_type="application/zip").status_code == 422


@pytest.mark.parametrize("method", [zipfile.ZIP_DEFLATED, zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_zip_that_cannot_be_unpacked_is_refused(workspace, method):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", method) as archive:
        archive.writestr("ledger.jsonl", b"abc" * 1_000)
    data = out.getvalue()
    start = data.index(b"ledger.jsonl") + len(b"ledger.jsonl")
    broken = data[: start + 4] + b"\xff" * 12 + data[start + 16 :]
    answer = workspace.client("owner").generic("POST", "/api/v1/ledgers", broken, content_type="application/zip")
    assert (answer.status_code, answer.json()["errors"][0]["code"]) == (422, "ledger.zip")


def test_packed_file_in_a_ledger_is_refused_unread(workspace):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("ledger.jsonl", b"")
        archive.writestr("attachments/" + "0" * 64, bytes(1_000_000))  # a thousand of these fit into a megabyte
    answer = workspace.client("owner").generic("POST", "/api/v1/ledgers", out.getvalue(), content_type="application/zip")
    assert (answer.status_code, answer.json()["errors"][0]["place"]) == (422, "attachments/" + "0" * 64)


@pytest.mark.parametrize("name", [JOB, JOB.upper(), JOB.replace("-", "")])
def test_job_file_finds_the_job_that_is_here_however_its_id_is_written(workspace, name):
    workspace.send("owner", *workspace.writer("owner").document(footbridge()))
    document = {**footbridge(), "job": {**footbridge()["job"], "id": name}}
    draft = workspace.client("owner").post("/api/v1/drafts", document, content_type="application/json").json()
    assert (draft["id"], draft["here"]) == (JOB, True)


def test_questions_answer_as_the_commands_do(workspace):
    workspace.send("owner", *workspace.writer("owner").document(footbridge(tests=2)))
    client = workspace.client("reader")
    clause = client.post("/api/v1/clause", {"text": "Soluble salts: at most 50 mg/m2."}, content_type="application/json").json()
    assert clause == json.loads(json.dumps(brackish.read_clause("Soluble salts: at most 50 mg/m2.").to_dict()))
    assert client.get("/api/v1/counts?rule=1 per 50 m2&area=300 m2").json()["tests"] == 6  # 300 / 50
    assert client.get(f"/api/v1/jobs/{JOB}/counts").json() == json.loads(json.dumps(counts.of_job(footbridge(tests=2))))
    compared = client.get(f"/api/v1/jobs/{JOB}/compare?a=T1&b=T2").json()
    assert (compared["format"], compared["differ"]) == ("brackish-compare/1", "not-shown")
    assert client.get("/api/v1/limits?limit=50&quantity=nacl_equivalent_per_area").status_code == 422
    assert client.get("/api/v1/counts?rule=nothing&area=300 m2").status_code == 422
