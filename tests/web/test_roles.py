# SPDX-License-Identifier: MIT
"""Every address for every role: one table, and a test that fails when an address is missing from it."""

from __future__ import annotations

import hashlib
import io
import json
import re

import pytest
from django.urls import URLPattern, get_resolver
from PIL import Image

from brackish.web import models
from brackish.web.api import api
from brackish.web.ledger import attachments
from brackish.web.people.invitations import invite
from brackish.web.urls import urlpatterns
from tests.web.conftest import Workspace
from tests.web.writing import JOB, footbridge

pytestmark = pytest.mark.slow

COLUMNS = ("nobody", "outsider", "owner", "inspector", "tester", "trainee", "reader", "witness", "client")
JOB_URL = f"/api/v1/jobs/{JOB}"
TABLE = """
                                                      nobody outsider owner inspector tester trainee reader witness client
GET    /                                              302    200      200   200       200    200     200    200     200
GET    /jobs/{job_id}                                 302    404      200   200       200    200     200    200     200
GET    /jobs/{job_id}/results                         302    404      200   200       200    200     200    200     200
GET    /jobs/{job_id}/results.csv                     302    404      200   200       200    200     200    200     200
GET    /jobs/{job_id}/results/{test}                  302    404      200   200       200    200     200    200     200
GET    /jobs/{job_id}/salts/{test}                    302    404      200   200       200    200     200    200     200
GET    /jobs/{job_id}/history                         302    404      200   200       200    200     200    200     200
GET    /jobs/{job_id}/requirement                     302    404      200   200       200    200     200    200     200
GET    /jobs/{job_id}/limits                          302    404      200   200       200    200     200    200     200
GET    /jobs/{job_id}/plan                            302    404      200   200       200    200     403    403     403
GET    /jobs/{job_id}/import                          302    404      200   200       200    200     200    200     200
POST   /jobs/{job_id}/import                          401    404      200   200       200    200     403    403     403
GET    /jobs/{job_id}/bundle.zip                      302    404      200   200       200    200     200    200     200
GET    /jobs/{job_id}/compare                               302    404      200   200       200    200     200    200     200
GET    /jobs/{job_id}/release                               302    404      200   200       200    200     200    200     200
GET    /jobs/{job_id}/conflict                              302    404      200   200       200    200     200    200     200
GET    /jobs/{job_id}/report                                302    404      200   200       200    200     200    200     200
GET    /lessons                                       302    200      200   200       200    200     200    200     200
GET    /lessons/{lesson}                              302    200      200   200       200    200     200    200     200
GET    /lessons/of/{code}                             302    302      302   302       302    302     302    302     302
GET    /new                                           302    200      200   200       403    403     403    403     403
GET    /people                                        302    200      200   403       403    403     403    403     403
GET    /jobs/{job_id}/day                             302    404      200   200       200    200     200    200     200
GET    /jobs/{job_id}/run/{test}                      302    404      200   200       200    200     403    403     403
GET    /jobs/{job_id}/run/{test}/paper                302    404      200   200       200    302     403    403     403
GET    /jobs/{job_id}/sheet                           302    404      200   200       200    200     200    200     200
GET    /equipment                                     302    200      200   200       200    200     200    200     200
POST   /light                                         302    302      302   302       302    302     302    302     302
GET    /sign-in                                       200    200      200   200       200    200     200    200     200
POST   /sign-in                                       401    401      401   401       401    401     401    401     401
POST   /sign-out                                      302    302      302   302       302    302     302    302     302
GET    /enter/{token}                                 200    200      200   200       200    200     200    200     200
POST   /enter/{token}                                 302    302      302   302       302    302     302    302     302
GET    /health                                        200    200      200   200       200    200     200    200     200
GET    /static/{name}                                 200    200      200   200       200    200     200    200     200
GET    /api/v1/openapi.json                           200    200      200   200       200    200     200    200     200
GET    /api/v1/                                       404    404      404   404       404    404     404    404     404
GET    /api/v1/session                                200    200      200   200       200    200     200    200     200
POST   /api/v1/session                                401    401      401   401       401    401     401    401     401
DELETE /api/v1/session                                401    204      204   204       204    204     204    204     204
GET    /api/v1/jobs                                   401    200      200   200       200    200     200    200     200
POST   /api/v1/jobs                                   401    201      201   201       403    403     403    403     403
POST   /api/v1/ledgers                            401    422      422   403       403    403     403    403     403
GET    /api/v1/jobs/{job_id}                          401    404      200   200       200    200     200    200     200
GET    /api/v1/jobs/{job_id}/document                 401    404      200   200       200    200     200    200     200
GET    /api/v1/jobs/{job_id}/events                   401    404      200   200       200    200     200    200     200
POST   /api/v1/jobs/{job_id}/events                   401    404      200   200       200    200     403    403     403
GET    /api/v1/jobs/{job_id}/outcome                  401    404      200   200       200    200     200    200     200
GET    /api/v1/jobs/{job_id}/outcome/{test}           401    404      200   200       200    200     200    200     200
GET    /api/v1/jobs/{job_id}/if                       401    404      200   200       200    200     200    200     200
GET    /api/v1/jobs/{job_id}/compare                  401    404      200   200       200    200     200    200     200
GET    /api/v1/jobs/{job_id}/counts                   401    404      200   200       200    200     200    200     200
GET    /api/v1/jobs/{job_id}/report                   401    404      200   200       200    200     200    200     200
GET    /api/v1/ledgers/{job_id}                       401    404      200   200       403    403     403    403     403
GET    /api/v1/jobs/{job_id}/attachments              401    404      200   200       200    200     200    200     200
POST   /api/v1/jobs/{job_id}/attachments              401    404      200   200       200    200     403    403     403
PATCH  /api/v1/jobs/{job_id}/attachments/{sha256}     401    404      200   200       200    200     403    403     403
GET    /api/v1/jobs/{job_id}/attachments/{sha256}     401    404      200   200       200    200     200    200     200
GET    /api/v1/jobs/{job_id}/signatures               401    404      200   200       200    200     200    200     200
POST   /api/v1/jobs/{job_id}/remarks                  401    404      200   200       200    200     200    200     200
POST   /api/v1/jobs/{job_id}/check                    401    404      200   200       200    200     200    200     200
POST   /api/v1/jobs/{job_id}/signatures               401    404      422   422       422    403     403    422     403
POST   /api/v1/signing-key                       401    403      403   403       403    403     403    403     403
GET    /api/v1/signing-key                       401    404      404   404       404    404     404    404     404
POST   /api/v1/invitations                            401    404      201   403       403    403     403    403     403
POST   /api/v1/invitations/{token}                    201    201      201   201       201    201     201    201     201
GET    /api/v1/people                                 401    200      200   403       403    403     403    403     403
DELETE /api/v1/people/{member_id}                     401    404      204   403       403    403     403    403     403
GET    /api/v1/audit                                  401    200      200   403       403    403     403    403     403
POST   /api/v1/drafts                                 401    422      422   422       403    403     403    403     403
POST   /api/v1/reports/check                            401    422      422   422       422    422     422    422     422
GET    /api/v1/jobs/{job_id}/draft                    401    404      200   200       403    403     403    403     403
POST   /api/v1/jobs/{job_id}/what-if                  401    404      200   200       200    200     200    200     200
POST   /api/v1/jobs/{job_id}/readable                 401    404      200   200       200    200     200    200     200
GET    /api/v1/lessons/{lesson}                       401    200      200   200       200    200     200    200     200
GET    /api/v1/methods                                401    200      200   200       200    200     200    200     200
GET    /api/v1/methods/{method_id}                    401    200      200   200       200    200     200    200     200
POST   /api/v1/clause                                 401    200      200   200       200    200     200    200     200
GET    /api/v1/limits                                 401    200      200   200       200    200     200    200     200
GET    /api/v1/counts                                 401    200      200   200       200    200     200    200     200
"""
ROWS = [line.split() for line in TABLE.strip().splitlines()[1:]]
EXPECTED = {(method, address): dict(zip(COLUMNS, map(int, codes), strict=True)) for method, address, *codes in ROWS}
PICTURE = io.BytesIO()
Image.new("RGB", (8, 8), "white").save(PICTURE, "JPEG")
PICTURE_HASH = hashlib.sha256(PICTURE.getvalue()).hexdigest()


def addresses() -> set[tuple[str, str]]:
    """Every address that answers: those of the API's own description, and the pages."""
    described = {(method.upper(), path) for path, methods in api.get_openapi_schema()["paths"].items() for method in methods}
    pages = {("GET", "/" + re.sub(r"<\w+:(\w+)>", r"{\1}", str(each.pattern))) for each in urlpatterns if isinstance(each, URLPattern)}
    return described | pages


def test_table_names_every_address():
    known = set(EXPECTED) - {("GET", "/api/v1/openapi.json"), ("GET", "/api/v1/")}
    pages_by_post = {("POST", "/sign-in"), ("POST", "/sign-out"), ("POST", "/enter/{token}"), ("POST", "/light"), ("POST", "/jobs/{job_id}/import")}
    assert addresses() - {("GET", "/sign-out"), ("GET", "/light")} == known - pages_by_post
    assert len(get_resolver().url_patterns) == len(urlpatterns)


def test_openapi_describes_what_the_resolver_answers():
    routed = {str(pattern.pattern) for pattern in api.urls[0]} - {"openapi.json", ""}
    described = {path.removeprefix("/api/v1/") for path in api.get_openapi_schema()["paths"]}
    assert {_plain(path) for path in routed} == {_plain(path) for path in described}


def _plain(path: str) -> str:
    return "/".join("*" if part[:1] in "<{" else part for part in path.split("/"))


@pytest.mark.parametrize(("method", "address"), EXPECTED, ids=lambda part: part)
def test_every_role_gets_what_the_table_says(method, address, workspace: Workspace):
    workspace.send("owner", *workspace.writer("owner").document(footbridge()))
    row = attachments.announce(
        job=workspace.job, sender=workspace.people["owner"], sha256=PICTURE_HASH, name="a.jpg", media_type="image/jpeg", size=len(PICTURE.getvalue())
    )
    attachments.receive(attachment=row, offset=0, piece=PICTURE.getvalue())
    found = {}
    for number, role in enumerate(COLUMNS):
        found[role] = _ask(workspace, role, method, address, number)
    assert found == EXPECTED[method, address]


def _ask(workspace: Workspace, role: str, method: str, address: str, number: int) -> int:
    client = workspace.client(None if role == "nobody" else role)
    models.SignInFailure.objects.all().delete()  # the throttle has its own tests
    token = invite(organisation=workspace.organisation, role="reader") if "{token}" in address else ""
    spare = models.Person.objects.create(name=f"spare{number}", shown_name="Spare")
    member = models.Membership.objects.create(organisation=workspace.organisation, person=spare, role="reader")
    values = {
        "{job_id}": JOB,
        "{test}": "T1",
        "{sha256}": PICTURE_HASH,
        "{token}": token,
        "{member_id}": str(member.pk),
        "{method_id}": "patch-conductivity",
        "{name}": "brackish/event.js",
        "{lesson}": "volume",
        "{code}": "blank.missing",
    }
    url = address
    for name, value in values.items():
        url = url.replace(name, value)
    if address.endswith("/if"):
        url += "?event=" + models.Event.objects.filter(job=JOB, path__contains="reading").first().id
    questions = {
        "/api/v1/jobs/{job_id}/compare": "?a=T1&b=T1",
        "/api/v1/limits": "?limit=50%20mg/m2&quantity=nacl_equivalent_per_area&solution_volume=10%20mL&area=1250%20mm2",
        "/api/v1/counts": "?rule=1%20per%2050%20m2&area=300%20m2",
    }
    url += questions.get(address, "")
    account = {"name": f"person{number}", "shown_name": "Person", "password": "three plain words"}
    event = workspace.writer(role, f"device {number}").set(("test", f"N{number}", "purpose"), "training") if role != "nobody" else None
    bodies = {
        ("POST", "/api/v1/session"): {"name": "nobody", "password": "x"},
        ("POST", "/api/v1/jobs"): {"id": f"00000000-0000-4000-8000-00000000000{number}"},
        ("POST", "/api/v1/jobs/{job_id}/events"): [event.to_dict()] if event else [],
        ("POST", "/api/v1/jobs/{job_id}/attachments"): {"sha256": PICTURE_HASH, "name": "a.jpg", "media_type": "image/jpeg", "size": len(PICTURE.getvalue())},
        ("POST", "/api/v1/jobs/{job_id}/what-if"): [{"path": ["test", "T1", "facts", "temperature"], "value": "20.0 degC"}],
        ("POST", "/api/v1/jobs/{job_id}/readable"): [{"path": ["test", "T1", "facts", "temperature"], "value": "20.0 degC"}],
        ("POST", "/api/v1/jobs/{job_id}/remarks"): {"test": "T1", "facts": {"cycles": 2}},
        ("POST", "/api/v1/jobs/{job_id}/check"): {"equipment": "meter", "solution": "KCl 0.001 mol/L", "reading": "146.2 uS/cm"},
        ("POST", "/api/v1/jobs/{job_id}/signatures"): {"hash": "sha256:" + "0" * 64, "password": "x"},
        ("POST", "/api/v1/signing-key"): {"password": "x"},
        ("POST", "/api/v1/clause"): {"text": "Chloride at most 50 mg/m2."},
        ("POST", "/api/v1/invitations"): {"role": "reader", "job": JOB},
        ("POST", "/api/v1/invitations/{token}"): account,
    }
    if method == "POST" and not address.startswith("/api/"):
        return client.post(url, account if token else {"name": "nobody", "password": "x"}).status_code
    body = bodies.get((method, address))
    data = PICTURE.getvalue() if method == "PATCH" else json.dumps(body) if body is not None else b"no ledger"
    headers = {"Upload-Offset": "0"} if method == "PATCH" else {}
    return client.generic(method, url, data if method in ("POST", "PATCH") else b"", content_type="application/json", headers=headers).status_code


WRITES = {
    ("specification", "s", "criterion", "c", "limit"): "owner inspector",
    ("certificate", "#1", "value"): "owner inspector",
    ("person", "p", "name"): "owner inspector",
    ("item", "i", "name"): "owner inspector",
    ("job", "title"): "owner inspector",
    ("test", "T1", "facts", "reading"): "owner inspector tester",
    ("test", "X1", "purpose"): "owner inspector tester",
    ("blank", "B1", "reading"): "owner inspector tester",
    ("location", "L1", "name"): "owner inspector tester",
    ("equipment", "meter", "serial"): "owner inspector tester",
}


@pytest.mark.parametrize("path", WRITES, ids="/".join)
def test_who_may_write_which_path(path, workspace):
    for role in ("owner", "inspector", "tester", "trainee"):
        event = workspace.writer(role).set(path, "acceptance")
        (answer,) = workspace.send(role, event, expect=None)
        assert (answer["state"] == "stored") == (role in WRITES[path].split()), (role, answer)
        if answer["state"] == "refused":
            assert answer["errors"][0]["code"] in ("event.not_yours", "event.training_only")


def test_trainee_writes_training_tests_only(workspace):
    trainee = workspace.writer("trainee")
    workspace.send("trainee", trainee.set(("test", "P1", "purpose"), "training"), trainee.set(("test", "P1", "item"), "girder"))
    workspace.send("trainee", trainee.set(("test", "P1", "facts", "reading"), ["9 uS/cm"]))
    workspace.send("trainee", trainee.set(("test", "P2", "facts", "reading"), ["9 uS/cm"]), expect="refused")
    workspace.send("owner", workspace.writer("owner").set(("test", "P1", "purpose"), "acceptance"))
    workspace.send("trainee", workspace.writer("trainee", "other").set(("test", "P1", "facts", "reading"), ["8 uS/cm"]), expect="refused")


def test_trainee_takes_over_no_test_that_was_begun_without_a_purpose(workspace):
    """A purpose that nobody wrote is acceptance."""
    workspace.send("tester", workspace.writer("tester").set(("test", "T1", "item"), "girder"))
    workspace.send("trainee", workspace.writer("trainee").set(("test", "T1", "purpose"), "training"), expect="refused")
    workspace.send("trainee", workspace.writer("trainee").set(("test", "T", "purpose"), "training"))  # another one, whose name T1 begins with


def test_trainee_writes_no_other_purpose_under_that_of_training(workspace):
    trainee = workspace.writer("trainee")
    workspace.send("trainee", trainee.set(("test", "P1", "purpose"), "training"))
    hidden = trainee.set(("test", "P1", "purpose", "=json"), "{}").to_dict() | {"value": '"acceptance"'}
    (answer,) = workspace.client("trainee").post(f"/api/v1/jobs/{JOB}/events", [hidden], content_type="application/json").json()["events"]
    assert (answer["state"], answer["errors"][0]["place"]) == ("refused", "value")


def test_nobody_writes_in_another_name(workspace):
    (answer,) = workspace.send("tester", workspace.writer("inspector").set(("test", "T1", "item"), "girder"), expect="refused")
    assert answer["errors"][0]["code"] == "event.author"


def test_signature_is_not_sent_as_an_event(workspace):
    sign = workspace.writer("owner").write("sign", ("signature", "#1"), ["ed25519", "owner", "owner", "sha256:" + "0" * 64, "1" * 64, "2" * 128])
    (answer,) = workspace.send("owner", sign, expect="refused")
    assert answer["errors"][0]["code"] == "event.sign"


def test_witness_and_client_see_their_one_job(workspace):
    other = models.Job.objects.create(id="11111111-1111-4111-8111-111111111111", organisation=workspace.organisation, changed=workspace.job.changed)
    for role in ("witness", "client"):
        assert [job["id"] for job in workspace.client(role).get("/api/v1/jobs").json()["jobs"]] == [JOB]
        assert workspace.client(role).get(f"/api/v1/jobs/{other.id}").status_code == 404
    assert len(workspace.client("reader").get("/api/v1/jobs").json()["jobs"]) == 2


def test_role_on_one_job_goes_before_that_of_the_organisation(workspace):
    models.Membership.objects.create(organisation=workspace.organisation, person=workspace.people["reader"], job=workspace.job, role="tester")
    workspace.send("reader", workspace.writer("reader").set(("test", "T1", "item"), "girder"))
