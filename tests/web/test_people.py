# SPDX-License-Identifier: MIT
"""Accounts: invitations, signing in, the throttle, CSRF, headers, audit."""

from __future__ import annotations

import json
from datetime import timedelta
from unittest.mock import Mock

import pytest
from django.db import DataError, OperationalError
from django.test import Client, override_settings
from django.utils import timezone

from brackish.errors import AccessError
from brackish.web import models
from brackish.web import settings as server
from brackish.web.people import accounts
from brackish.web.people.invitations import accept, first_owner_token, invite, open_invitation
from tests.web.conftest import PASSWORD
from tests.web.writing import JOB, footbridge


@pytest.fixture
def ines(workspace):
    return accept(token=invite(organisation=workspace.organisation, role="inspector"), name="Ines.Farrow", shown_name="Ines Farrow", password=PASSWORD)


def sign_in(client, name="ines.farrow", password=PASSWORD):
    return client.post("/api/v1/session", {"name": name, "password": password}, content_type="application/json")


def test_first_start_gives_one_owner_link_that_works_once(database):
    first, second = first_owner_token(), first_owner_token()
    with pytest.raises(AccessError):
        open_invitation(first)  # a later start makes a new link
    client = Client()
    assert client.get(f"/enter/{second}").status_code == 200
    words = {"name": "owner", "shown_name": "Owner of it all", "password": PASSWORD}
    assert client.post(f"/enter/{second}", words).status_code == 302
    assert client.get("/api/v1/session").json()["roles"] == [{"organisation": "This workspace", "job": None, "role": "owner"}]
    assert client.post(f"/enter/{second}", {**words, "name": "thief"}).status_code == 410
    assert first_owner_token() is None


@pytest.mark.parametrize(
    ("name", "password", "code"),
    [("x", PASSWORD, "access.name"), ("a/b", PASSWORD, "access.name"), ("good", "short", "access.password"), ("good", "1234567890", "access.password")],
)
def test_poor_names_and_passwords_are_refused_and_the_link_still_works(workspace, name, password, code):
    token = invite(organisation=workspace.organisation, role="reader")
    response = Client().post(f"/api/v1/invitations/{token}", {"name": name, "shown_name": "X", "password": password}, content_type="application/json")
    assert (response.status_code, response.json()["errors"][0]["code"]) == (422, code)
    assert open_invitation(token)


def test_invitation_ends_after_a_week(workspace):
    token = invite(organisation=workspace.organisation, role="reader")
    models.Invitation.objects.update(expires=timezone.now() - timedelta(seconds=1))
    assert Client().get(f"/enter/{token}").status_code == 410


def test_guest_is_invited_to_a_job_only(workspace):
    response = workspace.client("owner").post("/api/v1/invitations", {"role": "witness"}, content_type="application/json")
    assert (response.status_code, response.json()["errors"][0]["code"]) == (422, "access.guest_needs_job")


def test_signing_in_and_out(ines):
    client = Client()
    assert sign_in(client, password="wrong").status_code == 401
    assert sign_in(client, name="INES.FARROW ").status_code == 200
    assert client.get("/api/v1/session").json()["name"] == "ines.farrow"
    assert client.delete("/api/v1/session").status_code == 204
    assert client.get("/api/v1/jobs").status_code == 401


@pytest.mark.slow
@override_settings(PASSWORD_HASHERS=server.PASSWORD_HASHERS)
def test_server_keeps_passwords_by_a_hash_that_is_slow_on_purpose(workspace):
    person = accept(token=invite(organisation=workspace.organisation, role="inspector"), name="ines.farrow", shown_name="Ines Farrow", password=PASSWORD)
    assert person.password.startswith("scrypt$")
    assert [sign_in(Client(), password=password).status_code for password in ("wrong", PASSWORD)] == [401, 200]


def test_full_disk_leaves_no_empty_key_behind(tmp_path, monkeypatch):
    with monkeypatch.context() as full:
        full.setattr("secrets.token_urlsafe", Mock(side_effect=OSError(28, "No space left on device")))
        with pytest.raises(OSError, match="No space"):
            server._secret_key(tmp_path)
    assert len(server._secret_key(tmp_path)) == 64


def test_guessing_is_slowed_down_even_for_the_right_password(ines, monkeypatch):
    client = Client()
    for _ in range(accounts.MOST_BY_NAME):
        assert sign_in(client, password="wrong").status_code == 401
    answer = sign_in(client)
    assert (answer.status_code, answer.headers["Retry-After"]) == (429, "900")
    models.SignInFailure.objects.update(at=timezone.now() - accounts.WINDOW * 2)
    assert sign_in(client).status_code == 200


def test_failures_of_a_clock_that_was_ahead_close_no_door(ines):
    client = Client()
    for _ in range(accounts.MOST_BY_NAME):
        sign_in(client, password="wrong")
    models.SignInFailure.objects.update(at=timezone.now() + timedelta(days=400))
    assert sign_in(client).status_code == 200


def test_guessing_many_names_from_one_place_is_slowed_down(database, monkeypatch):
    monkeypatch.setattr(accounts, "authenticate", lambda *_, **__: None)
    answers = [sign_in(Client(), name=f"name{number}").status_code for number in range(accounts.MOST_BY_ADDRESS + 1)]
    assert answers == [401] * accounts.MOST_BY_ADDRESS + [429]


@pytest.mark.parametrize(("url", "words"), [("/api/v1/signing-key", {}), (f"/api/v1/jobs/{JOB}/signatures", {"hash": "sha256:" + "0" * 64})])
def test_guessing_a_password_while_signed_in_is_slowed_down_too(workspace, url, words, monkeypatch):
    monkeypatch.setattr("brackish.web.signing.sign.opened", lambda key, password: refuse())
    monkeypatch.setattr("brackish.web.signing.sign.current_key", lambda person: "a key")

    def refuse():
        raise AccessError("signing.password")

    client = workspace.client("owner")
    answers = [client.post(url, {**words, "password": "a guess"}, content_type="application/json") for _ in range(accounts.MOST_BY_NAME + 1)]
    assert [answer.status_code for answer in answers] == [answers[0].status_code] * accounts.MOST_BY_NAME + [429]
    assert sign_in(Client(), name="owner").status_code == 429


def test_inactive_person_is_out_at_once(workspace):
    client = workspace.client("tester")
    assert client.get("/api/v1/jobs").status_code == 200
    models.Person.objects.filter(name="tester").update(active=False)
    assert client.get("/api/v1/jobs").status_code == 401


def test_change_without_the_csrf_mark_is_refused(workspace):
    client = Client(enforce_csrf_checks=True)
    client.force_login(workspace.people["owner"])
    body = [workspace.writer("owner").set(("job", "title"), "one").to_dict()]
    url = f"/api/v1/jobs/{JOB}/events"
    refused = client.post(url, body, content_type="application/json")
    assert (refused.status_code, refused.json()["errors"][0]["code"]) == (403, "access.csrf")
    mark = client.get("/api/v1/session").json()["csrf_token"]
    assert client.post(url, body, content_type="application/json", headers={"X-CSRFToken": mark}).status_code == 200
    assert Client(enforce_csrf_checks=True).post("/sign-in", {"name": "a", "password": "b"}).status_code == 403


@pytest.mark.parametrize("url", ["/static/brackish/frame.js", "/"])
def test_packed_answer_promises_the_length_that_it_has(workspace, url):
    answer = workspace.client("tester").get(url, headers={"Accept-Encoding": "gzip"})
    assert answer["Content-Encoding"] == "gzip" and answer["Content-Length"] == str(len(answer.content))  # else a browser waits for the rest


@pytest.mark.parametrize("url", ["/", "/sign-in", "/api/v1/session", f"/api/v1/jobs/{JOB}", "/nowhere", "/api/v1/nowhere", "/static/brackish/event.js"])
def test_every_answer_carries_the_security_headers(workspace, url):
    response = workspace.client("owner").get(url)
    policy = response.headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "unsafe-inline" not in policy
    assert response.headers["X-Frame-Options"] == "DENY"
    assert response.headers["X-Content-Type-Options"] == "nosniff"
    assert response.headers["Referrer-Policy"] == "same-origin"


@pytest.mark.parametrize("url", ["/sign-in", "/health", "/api/v1/session", f"/api/v1/jobs/{JOB}"])
def test_server_answers_to_its_own_names_only(workspace, url, caplog):
    response = workspace.client("owner").get(url, headers={"Host": "elsewhere.example"})
    assert response.status_code == 400
    assert "This server does not answer to the name" in response.content.decode()
    assert caplog.records == []  # anybody could fill the log
    assert "default-src 'none'" in response.headers["Content-Security-Policy"]


def test_form_without_its_mark_is_refused_on_a_page_of_ours(workspace):
    response = Client(enforce_csrf_checks=True).post("/sign-in", {"name": "a", "password": "b"})
    assert response.status_code == 403
    assert "Load the page again" in response.content.decode()


@pytest.mark.parametrize(
    ("fault", "status", "words"),
    [
        (OperationalError("gone"), 503, "its database away"),
        (OSError(28, "full"), 503, "its disk may be full"),
        (KeyError("x"), 500, "The program failed: KeyError"),
        (DataError("NUL"), 422, "character that cannot be kept"),
    ],
    ids=["database", "disk", "program", "character"],
)
def test_page_that_fails_says_so_on_a_page_of_ours(workspace, monkeypatch, fault, status, words):
    monkeypatch.setattr("brackish.web.pages.jobs.jobs_of", Mock(side_effect=fault))
    response = workspace.client("reader").get("/")
    assert response.status_code == status
    assert words in response.content.decode()


def test_half_a_character_is_refused(workspace):
    token = invite(organisation=workspace.organisation, role="reader")
    account = {"name": "vera", "shown_name": "Vera", "password": "\ud800" + PASSWORD}
    for url, words in (("/session", {"name": "\ud800", "password": PASSWORD}), (f"/invitations/{token}", account)):
        response = Client().post(f"/api/v1{url}", json.dumps(words), content_type="application/json")
        assert (response.status_code, response.json()["errors"][0]["code"]) == (422, "request.unreadable")


def test_pages_hold_no_inline_script_or_style(workspace):
    client = workspace.client("owner")
    for url in ("/", "/sign-in", "/enter/" + invite(organisation=workspace.organisation, role="reader"), "/enter/nothing", "/nowhere"):
        text = client.get(url).content.decode()
        assert not any(part in text for part in ("<script>", "<style", " style=", " onclick="))


def test_html_in_a_title_is_shown_as_text(workspace):
    document = footbridge()
    document["job"]["title"] = "<script>alert(1)</script>"
    workspace.send("owner", *workspace.writer("owner").document(document))
    text = workspace.client("owner").get("/").content.decode()
    assert "<script>alert" not in text
    assert "&lt;script&gt;" in text


@pytest.mark.parametrize("name", ["../settings.py", "../../errors.py", "brackish/../../settings.py", "nothing.js", "brackish", "%00", "a" * 300])
def test_static_files_are_our_own_only(database, name):
    assert Client().get(f"/static/{name}").status_code == 404


def test_audit_remembers_and_shows_only_the_own_organisation(workspace):
    owner = workspace.client("owner")
    owner.post("/api/v1/invitations", {"role": "reader"}, content_type="application/json")
    owner.get(f"/api/v1/ledgers/{JOB}")
    assert [line["action"] for line in owner.get("/api/v1/audit").json()] == ["ledger export", "invitation"]
    assert workspace.client("outsider").get("/api/v1/audit").json() == []


def test_owner_sees_refused_passwords_and_new_accounts(workspace, ines):
    sign_in(Client(), password="wrong")
    token = invite(organisation=workspace.organisation, role="reader")
    Client().post(f"/api/v1/invitations/{token}", {"name": "mara", "shown_name": "Mara Ostler", "password": PASSWORD}, content_type="application/json")
    lines = workspace.client("owner").get("/api/v1/audit").json()
    assert [(line["action"], line["detail"]) for line in lines] == [("account", "mara"), ("password refused", "ines.farrow")]


def test_link_of_an_owner_whose_role_was_taken_lets_nobody_in(workspace):
    second = accept(token=invite(organisation=workspace.organisation, role="owner"), name="bram", shown_name="Bram Tallow", password=PASSWORD)
    kept_back = invite(organisation=workspace.organisation, role="owner", made_by=second)
    other = invite(organisation=workspace.organisation, role="reader", made_by=workspace.people["owner"])
    member = models.Membership.objects.get(person=second)
    assert workspace.client("owner").delete(f"/api/v1/people/{member.pk}").status_code == 204
    with pytest.raises(AccessError):
        open_invitation(kept_back)
    assert open_invitation(other)


def test_last_owner_stays(workspace):
    owner = workspace.client("owner")
    member = next(each for each in owner.get("/api/v1/people").json() if each["role"] == "owner")
    refused = owner.delete(f"/api/v1/people/{member['id']}")
    assert (refused.status_code, refused.json()["errors"][0]["code"]) == (409, "access.last_owner")


def test_faults_of_a_request_come_in_the_one_shape(workspace):
    client = workspace.client("owner")
    answers = [
        client.post("/api/v1/jobs", "{", content_type="application/json"),
        client.post("/api/v1/jobs", {"name": 3}, content_type="application/json"),
        client.post(f"/api/v1/jobs/{JOB}/events", {"not": "a list"}, content_type="application/json"),
        client.get("/api/v1/jobs?page=nine"),
        client.get("/api/v1/jobs/nothing"),
        client.get("/api/v1/nothing"),
        client.put("/api/v1/jobs"),
        client.post(f"/api/v1/jobs/{JOB}/events", '[{"value": NaN}]', content_type="application/json"),
        client.post(f"/api/v1/jobs/{JOB}/events", '[{"value": 1e999}]', content_type="application/json"),
        client.post(f"/api/v1/jobs/{JOB}/remarks", {"test": "T1", "facts": {}, "determination": 10**11}, content_type="application/json"),
        client.post(f"/api/v1/jobs/{JOB}/remarks", {"test": "T1", "facts": {}, "determination": -3}, content_type="application/json"),
    ]
    assert [answer.status_code for answer in answers] == [400, 422, 422, 422, 404, 404, 405, 400, 400, 422, 422]
    assert answers[6].headers["Allow"] == "GET, POST"
    for answer in answers:
        for error in answer.json()["errors"]:
            assert set(error) == {"code", "place", "params", "message"}
            assert error["message"]
