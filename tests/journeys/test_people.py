# SPDX-License-Identifier: MIT
"""Two who look in: for the owner of the bridge one reads, downloads and checks; the foreman sees what is due and does his part."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from tests.journeys.conftest import FOOTBRIDGE

pytestmark = pytest.mark.slow
TANK = "5d0a5c0e-90a3-4a42-8d7c-2e7b6a1b1c03"  # passed, with its retest


def test_owners_representative_reads_the_verdict_checks_the_report_and_writes_nothing(visit, tmp_path):
    with visit("mara.ostler") as page:
        page.get_by_role("link", name="Water tank on Pell Hill, roof").click()
        expect(page.locator(".verdict-row .verdict").first).to_contain_text("Pass")
        expect(page.locator("main")).to_contain_text("3 of 3 locations")
        page.get_by_role("link", name="Report", exact=True).first.click()
        expect(page.get_by_role("heading", level=1)).to_be_visible()
        with page.expect_download() as download:
            page.get_by_role("link", name="Download the PDF").click()
        report = tmp_path / "report.pdf"
        download.value.save_as(report)
        page.set_input_files("[data-verify]", report)
        expect(page.locator("[data-verified]").get_by_text("Consistent", exact=True)).to_be_visible()
        changed = tmp_path / "changed.pdf"
        changed.write_bytes(report.read_bytes().replace(b"1 0 obj", b"7 0 obj", 1))
        page.set_input_files("[data-verify]", changed)
        expect(page.locator("[data-verified]").get_by_text("Not consistent", exact=True)).to_be_visible()
        for address in ("", "/report", "/results/S1", "/release"):
            page.goto(f"/jobs/{TANK}{address}")
            expect(page.locator("form[data-write], [data-sign]")).to_have_count(0)
        assert page.request.get(f"/jobs/{FOOTBRIDGE}/run/T8").status == 403


def test_foreman_sees_what_is_due_and_plans_a_check_of_his_own(visit):
    with visit("olin.rake", width=390) as page:
        page.get_by_role("link", name="Footbridge over the Pell, span 2").click()
        page.goto(f"/jobs/{FOOTBRIDGE}/day")
        expect(page.get_by_role("heading", level=1)).to_have_text("1 test holds water")
        expect(page.locator("[data-timer]")).to_have_count(1)
        expect(page.locator("#planned")).to_contain_text("T8, lower flange, drip edge")
        page.goto(f"/jobs/{FOOTBRIDGE}/release?place=steel/L3")
        expect(page.get_by_text("Nothing blocks this place")).to_be_visible()
        expect(page.get_by_role("button", name="Close and release")).to_have_count(0)  # the inspector's
        page.goto(f"/jobs/{FOOTBRIDGE}/plan")
        page.locator("summary", has_text="Plan a test").first.click()
        page.get_by_label("Purpose").locator("visible=true").first.select_option("pre-check")
        plans = page.get_by_role("button", name=re.compile(r"^Plan T\d+$")).first
        name = plans.inner_text().removeprefix("Plan ")
        plans.click()
        page.get_by_role("status").get_by_text("Written").wait_for()
        page.goto(f"/jobs/{FOOTBRIDGE}/day")
        expect(page.get_by_role("link", name=f"Start {name}")).to_be_visible()
        page.goto(f"/jobs/{FOOTBRIDGE}")
        expect(page.locator(".verdict-row .verdict").first).to_contain_text("Inconclusive")  # a pre-check counts for nothing
