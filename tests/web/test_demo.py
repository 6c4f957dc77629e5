# SPDX-License-Identifier: MIT
"""The demo: its screens say what the command line says of the same job, text for text; and there is work under way in it."""

from __future__ import annotations

import html
import json
import re
from collections.abc import Iterator
from datetime import datetime
from typing import Any

import pytest
from django.db import transaction
from django.test import Client

import brackish
from brackish.cli.main import main
from brackish.judge.wording import VERDICT_WORDS, kind_of
from brackish.record.document import load
from brackish.record.fold import fold
from brackish.web import demo, models
from brackish.web.ledger.outcomes import document_of, outcome_bytes
from tests.journeys.conftest import FOOTBRIDGE, ROOT

Document = dict[str, Any]


@pytest.fixture(scope="module")
def client(tables) -> Iterator[Client]:
    """The demo with its example jobs, read by its owner; undone afterwards."""
    with transaction.atomic():
        demo.fill(ROOT / "examples")
        client = Client()
        client.force_login(models.Person.objects.get(name="bram.tallow"))
        yield client
        transaction.set_rollback(True)


def page(client: Client, address: str) -> str:
    """What a page says, without marks and spaces."""
    text = client.get(address).content.decode()
    text = re.sub(r"(?s)<(script|template|title).*?</\1>|<[^>]+>", "", text)
    return bare(html.unescape(text))


def bare(text: str) -> str:
    return re.sub(r"\s+", "", text).casefold()


def said_by_the_command_line(job: models.Job, folder: Any, capsys: Any) -> Document:
    """What `brackish evaluate --json` says of the job file."""
    file = folder / "job.json"
    file.write_text(json.dumps(document_of(job)), "utf-8")
    assert main(["evaluate", str(file), "--json"]) == 0
    return dict(json.loads(capsys.readouterr().out))


def told(test: Document) -> Iterator[str]:
    """Every text that the command line tells of a test, as a screen sets it: a word beside its reason, ± before the unit, assumptions in one line."""
    for result in test["results"]:
        number, _, unit = result["shown"].partition("\u00a0")
        sure = "" if "bound" in result else result["shown_uncertainty"].removesuffix(f"\u00a0{unit}")
        yield f"{number}{sure}{unit}"
    for verdict in test["verdicts"]:
        word, _, why = verdict["shown"].partition(": ")
        word = "Accepted by agreed rule" if "accepted by agreed rule" in word else word
        yield from (f"{word}{why}", *verdict["sentences"]) if len(test["verdicts"]) == 1 else (word, why)
    assumed = [finding for finding in test["findings"] if finding["code"] == "uncertainty.assumed"]
    for finding in test["findings"]:
        yield f"({finding['params']['value']})" if len(assumed) > 1 and finding in assumed else finding["message"]


def told_of(item: Document) -> Iterator[str]:
    """The verdict of an item and its count, without the plural."""
    for verdict in item["verdicts"]:
        word, _, count = verdict["shown"].partition(", ")
        yield f"{word}{count.removesuffix('s')}"


@pytest.mark.parametrize("file", [each.stem for each in sorted((ROOT / "examples").glob("*.toml")) if each.stem != "mistakes"])
def test_screens_show_every_text_of_the_command_line(file, client, tmp_path, capsys):
    title = re.search(r'^title = "(.*)"', (ROOT / "examples" / f"{file}.toml").read_text("utf-8"), re.MULTILINE)
    job = models.Job.objects.get(title=title[1] if title else "")
    outcome = said_by_the_command_line(job, tmp_path, capsys)
    whole = page(client, f"/jobs/{job.id}")
    assert bare(VERDICT_WORDS[kind_of(outcome["job"])]) in whole
    absent = [text for item in outcome["items"] for text in told_of(item) if bare(text) not in whole]
    for test in outcome["tests"]:
        screen = page(client, f"/jobs/{job.id}/results/{test['id']}")
        absent += [f"{test['id']}: {text}" for text in told(test) if bare(text) not in screen]
    assert absent == [], "\n".join(absent)


def test_list_of_jobs_gives_the_mark_of_each_outcome(client):
    """One is accepted past its limit, and never stands as a pass."""
    marks = re.findall(r"#m-(\w+)", client.get("/").content.decode())
    kinds = [kind_of(json.loads(outcome_bytes(job))["job"]) for job in models.Job.objects.all()]
    assert "accepted" in kinds
    assert sorted(mark for mark in marks if mark in VERDICT_WORDS) == sorted(kinds)


def test_work_is_under_way_today(client):
    day = page(client, f"/jobs/{FOOTBRIDGE}/day")
    for words in ("1 test holds water", "may be up to 14.3 µS/cm", "T7: Draw all of it back", "Start T8", "Start T9", "Today’s blank, B3, is 1.2 µS/cm"):
        assert bare(words) in day, words
    assert bare("T7: Draw the water back at") in page(client, "/")


@pytest.mark.parametrize("time", ["00:00:20", "00:24:00", "11:30:00", "23:59:40"])
def test_the_retest_of_today_settles_the_doubt_at_any_hour(time):
    at = datetime.fromisoformat(f"2026-11-26T{time}+00:00")
    document = fold(events=demo.events(load(ROOT / "examples" / "footbridge.toml"), at)).document
    assert brackish.evaluate(document).verdict == "inconclusive"
    (retest,) = (test for test in document["test"] if test.get("retest_of") == "T5")
    retest["facts"] |= {"solution_volume": "10.0 mL", "reading": ["6.2 uS/cm"], "temperature": "20.6 degC"}
    retest["facts"] |= {"dwell": "10 min", "cycles": 4, "liquid_lost": False, "volume_recovered": "3.0 mL", "returned_to": "beaker"}
    retest["read_at"] = retest["started"]
    outcome = brackish.evaluate(document).to_dict()
    assert outcome["job"]["verdict"] == "pass"
    (judged,) = (test for test in outcome["tests"] if test["id"] == "T7")
    assert [finding["code"] for finding in judged["findings"]] == ["uncertainty.assumed"]
    assert judged["results"][0]["shown"] == "18.6\u00a0mg/m²"  # as docs/tutorial/03 says
