# SPDX-License-Identifier: MIT
"""Invitations, roles and the audit: the owner's."""

from __future__ import annotations

from django.db import transaction
from django.http import HttpRequest
from ninja import Query, Router, Schema, Status

from brackish.errors import AccessError, ConflictError
from brackish.web import models
from brackish.web.api.session import anyone
from brackish.web.people.access import job_for, organisation_for, person_of
from brackish.web.people.audit import note
from brackish.web.people.invitations import accept, invite

router = Router(tags=["people"])
AUDIT_PAGE = 200


class Invite(Schema):
    role: str
    job: str | None = None


class Link(Schema):
    link: str


class Accept(Schema):
    name: str
    shown_name: str
    password: str


class Member(Schema):
    id: int
    name: str
    shown_name: str
    role: str
    job: str | None


class AuditLine(Schema):
    at: str
    person: str | None
    action: str
    job: str | None
    detail: str
    address: str


@router.post("/invitations", response={201: Link}, summary="Invite one person: a link that works once, for seven days")
def make_invitation(request: HttpRequest, words: Invite) -> Status[Link]:
    organisation = organisation_for(request, "invite")
    job = job_for(request, words.job, "invite")[0] if words.job else None
    token = invite(organisation=organisation, role=words.role, job=job, made_by=person_of(request))
    note(request, "invitation", organisation=organisation, job=job, detail=words.role)
    return Status(201, Link(link=request.build_absolute_uri(f"/enter/{token}")))


@router.post("/invitations/{token}", auth=anyone, response={201: None}, summary="Accept an invitation: choose name and password")
def accept_invitation(request: HttpRequest, token: str, words: Accept) -> Status[None]:
    person = accept(token=token, **words.dict())
    note(request, "account", about=person, detail=person.name)
    return Status(201, None)


@router.get("/people", response=list[Member], summary="Who has which role")
def list_people(request: HttpRequest) -> list[Member]:
    organisation = organisation_for(request, "invite")
    held = models.Membership.objects.filter(organisation=organisation).select_related("person").order_by("id")
    return [Member(id=each.pk, name=each.person.name, shown_name=each.person.shown_name, role=each.role, job=each.job_id) for each in held]


@router.delete("/people/{member_id}", response={204: None}, summary="Take a role away, and the invitations its holder gave out; the last owner stays")
def remove_member(request: HttpRequest, member_id: int) -> Status[None]:
    organisation = organisation_for(request, "invite")
    with transaction.atomic():
        owners = list(models.Membership.objects.select_for_update().filter(organisation=organisation, role="owner", job=None))
        member = models.Membership.objects.filter(organisation=organisation, pk=member_id).select_related("person").first()
        if member is None:
            raise AccessError("access.not_found", given=f"role {member_id}")
        if [owner.pk for owner in owners] == [member.pk]:
            raise ConflictError("access.last_owner")
        note(request, "role taken away", organisation=organisation, job=member.job, detail=f"{member.person.name}: {member.role}")
        if member.job_id is None:  # else a link kept back would be the way in again
            models.Invitation.objects.filter(organisation=organisation, made_by=member.person, used_by=None).delete()
        member.delete()
    return Status(204, None)


@router.get("/audit", response=list[AuditLine], summary="Sign-ins, downloads, invitations and signatures, the latest first")
def read_audit(request: HttpRequest, page: int = Query(1, ge=1, le=10_000)) -> list[AuditLine]:
    organisation = organisation_for(request, "audit")
    rows = models.Audit.objects.filter(organisation=organisation).select_related("person").order_by("-at", "-id")[(page - 1) * AUDIT_PAGE : page * AUDIT_PAGE]
    return [
        AuditLine(
            at=row.at.isoformat(), person=row.person.name if row.person else None, action=row.action, job=row.job_id, detail=row.detail, address=row.address
        )
        for row in rows
    ]
