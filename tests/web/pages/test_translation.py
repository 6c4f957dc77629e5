# SPDX-License-Identifier: MIT
"""Every word of a page goes through gettext: under a made-up language what stays as it was comes from the record."""

from __future__ import annotations

import json
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from django.utils import translation

from brackish.errors import AccessError
from brackish.judge.moments import MONTHS
from brackish.report.case import Case
from brackish.report.front import front
from brackish.report.mark import code_of
from brackish.report.record import records
from brackish.web.pages.result import sentences
from tests.web.conftest import Workspace
from tests.web.writing import JOB, footbridge

ROOT = Path(__file__).parents[3]
SPOKEN = ("aria-label", "placeholder", "title", "alt", "data-written", "data-undone", "data-waiting", "data-refused", "data-failed", "data-nothing")
OWN = {"brackish", "www", "csv"}
SCREENS = (
    "/",
    f"/jobs/{JOB}",
    f"/jobs/{JOB}/results",
    f"/jobs/{JOB}/results/T1",
    f"/jobs/{JOB}/history",
    f"/jobs/{JOB}/plan",
    f"/jobs/{JOB}/day",
    f"/jobs/{JOB}/run/T1",
    f"/jobs/{JOB}/run/T1/paper",
    f"/jobs/{JOB}/sheet?test=T1",
    f"/jobs/{JOB}/compare",
    f"/jobs/{JOB}/release",
    f"/jobs/{JOB}/conflict",
    f"/jobs/{JOB}/report",
    f"/jobs/{JOB}/requirement",
    f"/jobs/{JOB}/limits",
    f"/jobs/{JOB}/import",
    "/lessons",
    *(f"/lessons/{name}" for name in ("volume", "blank", "species", "temperature", "rule", "sampling")),
    "/equipment",
    "/new",
    "/people",
    "/sign-in",
    "/jobs/none",
)


class Words(HTMLParser):
    """What a page says, in text and in attributes that are read out."""

    def __init__(self) -> None:
        super().__init__()
        self.said: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.said += [value for name, value in attrs if name in SPOKEN and value]

    def handle_data(self, data: str) -> None:
        self.said.append(data)


@pytest.fixture
def made_up(monkeypatch) -> None:
    """A language in which every text stands in marks: ⟦Jobs⟧."""
    spoken = translation._trans
    monkeypatch.setattr(spoken, "gettext", lambda text: f"⟦{text}⟧")
    monkeypatch.setattr(spoken, "pgettext", lambda _context, text: f"⟦{text}⟧")
    monkeypatch.setattr(spoken, "ngettext", lambda one, many, number: f"⟦{one if number == 1 else many}⟧")


def words_of(text: str) -> set[str]:
    return {word.casefold() for word in re.findall(r"[^\W\d_]{3,}", text)}


@pytest.mark.parametrize("address", SCREENS)
def test_what_is_not_translated_comes_from_the_record(address, made_up, workspace: Workspace):
    workspace.send("owner", *workspace.writer("owner").document(footbridge()))
    client = workspace.client("owner")
    document, outcome = (client.get(f"/api/v1/jobs/{JOB}{part}").json() for part in ("/document", "/outcome"))
    case = Case(document, outcome)
    known = words_of(json.dumps([document, outcome, records(case), front(case), *MONTHS, "Pell Quay owner Owner"], ensure_ascii=False).replace("_", " ")) | OWN
    known |= words_of(json.dumps(client.get("/api/v1/methods/patch-conductivity").json()).replace("_", " "))  # steps, facts, cautions: the method's own text
    known |= words_of(json.dumps(client.get("/api/v1/methods").json())) | words_of(client.get(f"/api/v1/jobs/{JOB}/events").content.decode().replace("_", " "))
    known |= words_of(code_of(job=document, outcome=outcome))  # hex digits
    known |= words_of(AccessError("access.not_found", given="job none").message)
    known |= words_of(" ".join(sentences(case, case.tests["T1"])))  # made in judge/explain.py
    known |= words_of(" ".join(f"{person.name} {person.shown_name}" for person in workspace.people.values()))
    known |= {"new", "steel", "abrasive", "water"} | CHOICES
    page = Words()
    page.feed(client.get(address).content.decode())
    assert any("⟦" in said for said in page.said)
    left = {word for said in page.said for word in words_of(re.sub(r"⟦[^⟧]*⟧", " ", re.sub(r"⟦([^⟦⟧]*)⟧", " ", said)))}
    assert left <= known, " ".join(sorted(left - known))


def _choices() -> set[str]:
    """Words of the job format that a person chooses among, and codes: their names come from the format."""
    from brackish.judge.wording import MESSAGES
    from brackish.prepare.clause.traps import CODES
    from brackish.record.job import PURPOSES
    from brackish.record.specification import STAGES
    from brackish.web.pages import plan

    return words_of(" ".join((*PURPOSES, *STAGES, *plan.KIT, *plan.ROLES, *MESSAGES, *CODES)).replace("_", " "))


CHOICES = _choices()


TYPED_ON_A_POOR_KEYBOARD = re.compile(r"\b(?:degC|degF|u[SgL]|[mcd]?m[23])\b")


def test_no_text_of_a_screen_writes_a_unit_as_it_is_typed():
    from brackish.web.pages.field_words import WORDS

    templates = sorted((ROOT / "src" / "brackish" / "web" / "pages" / "templates").rglob("*.html"))
    said = [text for file in templates for text in re.findall(r"_\(\"([^\"]*)\"\)", file.read_text("utf-8"))]
    assert len(said) > 300
    assert [text for text in (*said, *map(str, WORDS.values())) if TYPED_ON_A_POOR_KEYBOARD.search(text)] == []
