# SPDX-License-Identifier: MIT
"""The owner's page of people: a link that makes an account, and a role taken away, in a real browser."""

from __future__ import annotations

import html
import re

import pytest

from brackish.web import models
from brackish.web.pages.people import ROLES
from brackish.web.people.invitations import accept


def page_of(workspace, role: str, address: str = "/people") -> str:
    return html.unescape(workspace.client(role).get(address).content.decode())


def test_owner_finds_everybody_and_every_role(workspace):
    page = page_of(workspace, "owner")
    for person in workspace.people.values():
        assert (f"<b>{person.shown_name}</b>" in page) == (person.name != "outsider")
    assert set(ROLES) == set(models.ROLES) == set(re.findall(r'name="role" value="(\w+)"', page))
    assert page.count("The last owner stays.") == 1 and page.count("data-away") == len(models.ROLES) - 1


@pytest.mark.parametrize(("role", "led"), [("owner", True), ("inspector", False), ("tester", False)])
def test_jobs_lead_the_owner_alone_to_people(workspace, role, led):
    assert ('href="/people"' in page_of(workspace, role, "/")) == led


def test_link_makes_an_account_with_the_role_that_was_chosen(desk, workspace):
    desk.role = "owner"
    page = desk.page("/people")
    page.get_by_label("Witness").check()
    page.get_by_role("button", name="Make the link").click()
    page.get_by_text("A witness is invited to one job. Name the job.").wait_for()  # and no link
    page.get_by_label("Trainee").check()
    page.get_by_role("button", name="Make the link").click()
    page.locator("#link:focus").wait_for()
    token = page.locator("#link").inner_text().rpartition("/enter/")[2]
    accept(token=token, name="pia.sorrel", shown_name="Pia Sorrel", password="four plain words here")
    assert models.Membership.objects.get(person__name="pia.sorrel").role == "trainee"


def test_role_taken_away_is_gone(desk, workspace):
    desk.role = "owner"
    page = desk.page("/people")
    row = page.locator("li.person", has_text="Signs in as tester.")
    row.locator("summary").click()
    row.get_by_role("button", name="Take it away").click()
    page.get_by_text("Role taken away").wait_for()
    assert page.locator("li.person", has_text="Signs in as tester.").count() == 0
    assert workspace.client("tester").get(f"/jobs/{workspace.job.id}").status_code == 404
