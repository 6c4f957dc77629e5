# SPDX-License-Identifier: MIT
"""The API's own description has an example of every request and answer, and each is what the API takes and gives.

The examples stand in src/brackish/web/api/examples.json. To write them anew: BRACKISH_ACCEPT=1 python -m pytest tests/web/test_openapi.py
"""

from __future__ import annotations

import json
import os
from typing import Any

import pytest

from brackish.report.render import render
from brackish.web import models
from brackish.web.api import api, examples
from brackish.web.people.invitations import invite
from tests.web.conftest import PASSWORD, Workspace
from tests.web.test_roles import PICTURE, PICTURE_HASH
from tests.web.writing import JOB, footbridge

pytestmark = pytest.mark.slow
LONGEST = 2  # of a list in an example; the first say what the rest are like
SINGLE = {"reading", "shown", "spans", "path"}  # lists that are one value


class Walk:
    """One owner's way through every address, and what was asked and answered on it."""

    def __init__(self, workspace: Workspace) -> None:
        self.workspace, self.client, self.found = workspace, workspace.client("owner"), dict[str, dict[str, Any]]()

    def ask(
        self, method: str, address: str, body: Any = None, *, query: str = "", data: bytes | None = None, headers: dict[str, str] | None = None, **values: str
    ) -> Any:
        url = "/api/v1" + address.format(job_id=JOB, **values) + query
        sent = data if data is not None else b"" if body is None else json.dumps(body).encode()
        kind = "application/octet-stream" if data is not None else "application/json"
        response = self.client.generic(method, url, sent, content_type=kind, headers=headers or {})
        assert response.status_code < 300, (method, url, response.content[:500])
        is_json = response.headers.get("Content-Type", "").startswith("application/json")
        answer = response.json() if is_json and response.content else None
        row: dict[str, Any] = {} if body is None else {"request": _cut(body)}
        self.found[f"{method} /api/v1{address}"] = row | ({} if answer is None else {"response": _cut(answer)})
        return answer

    def whole(self) -> dict[str, dict[str, Any]]:
        """Through every address, in the order of a job's life."""
        owner, events = self.workspace.people["owner"], self.workspace.writer("owner")
        owner.set_password(PASSWORD)
        owner.save()
        models.Job.objects.filter(id=JOB).delete()
        self.ask("GET", "/session")
        self.ask("POST", "/session", {"name": "owner", "password": PASSWORD})
        self.ask("POST", "/jobs", {"id": JOB})
        self.ask("POST", "/drafts", data=json.dumps(footbridge()).encode())
        self.ask("POST", "/jobs/{job_id}/events", [event.to_dict() for event in events.document(footbridge(tests=2))])
        for address in ("", "/document", "/events", "/outcome", "/counts", "/draft"):
            self.ask("GET", "/jobs/{job_id}" + address)
        self.ask("GET", "/jobs")
        self.ask("GET", "/jobs/{job_id}/outcome/{test}", test="T1")
        self.ask("GET", "/jobs/{job_id}/compare", query="?a=T1&b=T2")
        one = models.Event.objects.filter(job=JOB, path__contains="reading").first()
        assert one
        self.ask("GET", "/jobs/{job_id}/if", query=f"?event={one.id}")
        self.ask("POST", "/jobs/{job_id}/what-if", [{"path": ["test", "T1", "facts", "temperature"], "value": "20.0 degC"}])
        self.ask("POST", "/jobs/{job_id}/readable", [{"path": ["test", "T1", "facts", "temperature"], "value": "20"}])
        self.ask("POST", "/jobs/{job_id}/remarks", {"test": "T1", "facts": {"cycles": 2}})
        self.ask("POST", "/jobs/{job_id}/check", {"equipment": "meter", "solution": "KCl 0.001 mol/L", "reading": "146.2 uS/cm"})
        self._files()
        self._people()
        self._sign()
        self.ask("GET", "/methods")
        self.ask("GET", "/methods/{method_id}", method_id="patch-conductivity")
        self.ask("POST", "/clause", {"text": "Soluble salts shall not exceed 50 mg/m2 as sodium chloride."})
        self.ask("GET", "/limits", query="?limit=50%20mg/m2&quantity=nacl_equivalent_per_area&solution_volume=10%20mL&area=1250%20mm2&blank=1.2%20uS/cm")
        self.ask("GET", "/counts", query="?rule=per-100-then-200&area=300%20m2")
        self.ask("GET", "/lessons/{lesson}", lesson="volume", query="?value=12")
        self.ask("GET", "/audit")
        self.ask("DELETE", "/session")
        return self.found

    def _files(self) -> None:
        picture = PICTURE.getvalue()
        self.ask("POST", "/jobs/{job_id}/attachments", {"sha256": PICTURE_HASH, "name": "weld.jpg", "media_type": "image/jpeg", "size": len(picture)})
        self.ask("PATCH", "/jobs/{job_id}/attachments/{sha256}", data=picture, headers={"Upload-Offset": "0"}, sha256=PICTURE_HASH)
        self.ask("GET", "/jobs/{job_id}/attachments")
        self.ask("GET", "/jobs/{job_id}/attachments/{sha256}", sha256=PICTURE_HASH)

    def _people(self) -> None:
        self.ask("POST", "/invitations", {"role": "reader", "job": JOB})
        token = invite(organisation=self.workspace.organisation, role="reader")
        self.ask("POST", "/invitations/{token}", {"name": "tobin", "shown_name": "Tobin Abell", "password": PASSWORD}, token=token)
        self.client.force_login(self.workspace.people["owner"])
        self.ask("GET", "/people")
        member = models.Membership.objects.get(person__name="tobin")
        self.ask("DELETE", "/people/{member_id}", member_id=str(member.pk))

    def _sign(self) -> None:
        self.ask("POST", "/signing-key", {"password": PASSWORD})
        self.ask("GET", "/signing-key")
        shown = self.ask("GET", "/jobs/{job_id}/signatures")
        self.ask("POST", "/jobs/{job_id}/signatures", {"hash": shown["hash"], "password": PASSWORD, "role": "owner"})
        self.ask("GET", "/jobs/{job_id}/report")
        document = self.client.get(f"/api/v1/jobs/{JOB}/document").json()
        outcome = self.client.get(f"/api/v1/jobs/{JOB}/outcome").json()
        self.ask("POST", "/reports/check", data=render(job=document, outcome=outcome))
        ledger = self.client.get(f"/api/v1/ledgers/{JOB}").content
        self.ask("GET", "/ledgers/{job_id}")
        self.ask("POST", "/ledgers", data=ledger)


def _cut(value: Any, name: str = "") -> Any:
    """An example is read by people: the first of every list, and the same names as always."""
    if isinstance(value, dict):
        return {key: _cut(each, key) for key, each in value.items()}
    if isinstance(value, list):
        return [_cut(each, name) for each in (value if name in SINGLE else value[:LONGEST])]
    return value


def shape(value: Any) -> Any:
    """What an example is made of, whatever stands in it."""
    if isinstance(value, dict):
        return {key: shape(each) for key, each in value.items()}
    if isinstance(value, list):
        return [shape(each) for each in value]
    return type(value).__name__


def test_examples_are_what_the_api_takes_and_gives(workspace: Workspace):
    found = Walk(workspace).whole()
    if os.environ.get("BRACKISH_ACCEPT"):
        examples.FILE.write_text(json.dumps(found, ensure_ascii=False, indent=1, sort_keys=True) + "\n", "utf-8")
    kept = json.loads(examples.FILE.read_text("utf-8"))
    assert set(kept) == set(found)
    for name in found:
        assert shape(kept[name]) == shape(found[name]), name


def test_every_request_and_answer_in_json_has_its_example():
    described = examples.described(api.get_openapi_schema())
    kept = json.loads(examples.FILE.read_text("utf-8"))
    assert {f"{method.upper()} {path}" for path, methods in described["paths"].items() for method in methods} == set(kept)
    for path, methods in described["paths"].items():
        for method, operation in methods.items():
            row = kept[f"{method.upper()} {path}"]
            assert operation.get("requestBody", {}).get("content", {}).get("application/json", {}).get("example") == row.get("request")
            assert [content["example"] for answer in operation["responses"].values() for content in answer.get("content", {}).values()] == [
                each for each in (row.get("response"),) if each is not None
            ]


def test_what_takes_bytes_says_so():
    described = api.get_openapi_schema()["paths"]
    taking = {(method, path) for path, methods in described.items() for method, operation in methods.items() if "requestBody" in operation}
    silent = {(method, path) for path, methods in described.items() for method in methods if method in ("post", "patch")} - taking
    assert silent == set()


def test_examples_name_nobody_and_no_machine():
    text = examples.FILE.read_text("utf-8")
    assert "localhost" not in text and "/tmp" not in text and len(text) < 150_000
