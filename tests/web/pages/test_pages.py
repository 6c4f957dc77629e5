# SPDX-License-Identifier: MIT
"""The screens with Django's client: they show what the outcome says, digit for digit, and offer what the role may do."""

from __future__ import annotations

import html
import json
import re
from pathlib import Path

import pytest

import brackish
from brackish.record.document import load
from brackish.web import models
from brackish.web.pages.asked import asked
from brackish.web.pages.whatif import judged_near
from tests.web.conftest import Workspace
from tests.web.writing import JOB, footbridge

ROOT = Path(__file__).parents[3]
SCREENS = ("", "/results", "/results/T1", "/history")


@pytest.fixture
def judged(workspace: Workspace) -> Workspace:
    """The contract's job with two tests, and its place left open at a third."""
    document = footbridge(tests=2)
    document["specification"][0]["criterion"][0]["count"] = "3 per item"
    workspace.send("owner", *workspace.writer("owner").document(document))
    return workspace


def text_of(workspace: Workspace, address: str, role: str = "tester", status: int = 200) -> str:
    """The words of a page, as a reader gets them."""
    response = workspace.client(role).get(address)
    assert response.status_code == status
    page = re.sub(r"(?s)<(script|template|title).*?</\1>", " ", response.content.decode())
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", page)).replace("\u00a0", " "))


def outcome_of(workspace: Workspace) -> dict:
    return workspace.client("reader").get(f"/api/v1/jobs/{JOB}/outcome").json()


def test_result_page_says_every_shown_text_of_the_outcome(judged):
    test = outcome_of(judged)["tests"][0]
    page = text_of(judged, f"/jobs/{JOB}/results/T1")
    amount = test["results"][0]
    for shown in (
        amount["shown"],
        amount["shown_uncertainty"].removesuffix("\u00a0mg/m²"),
        *(step["shown"] for step in amount["steps"]),
        amount["shown_coverage"],
    ):
        assert re.sub(r"\s+", "", shown) in re.sub(r"\s+", "", page)
    for finding in test["findings"]:
        assert finding["code"] in page
    for part in amount["budget"]:
        assert part["provenance"] in page and part["shown_contribution"].split("\u00a0")[0] in page
    assert "1250 mm² u 7.2 mm²" in page.replace("\u00a0", " ")  # ± is kept for the expanded uncertainty
    assert re.search(r"°C\s+u\s+0\.\d\d\s+K", page)
    assert "29.4 mg/m² of salt, counted as sodium chloride; the contract allows at most 50 mg/m²" in page


def test_outcome_on_screen_is_the_command_lines(judged):
    document = judged.client("reader").get(f"/api/v1/jobs/{JOB}/document").json()
    assert brackish.evaluate(document).to_dict() == outcome_of(judged)


@pytest.mark.parametrize(
    ("left_out", "said"),
    [
        ("reading", "Begun No reading yet. Still to be written: Conductivity of the extract."),
        ("compartment_area", "No result Missing: Area of the compartment."),
    ],
)
def test_what_a_result_waits_for_stands_on_top_by_its_label(workspace, left_out, said):
    document = footbridge()
    document["test"][0]["x-steps"] = {"end": "2026-03-04T09:18:00+00:00"}
    del document["specification"]  # else the verdict says what it waits for
    del document["test"][0]["facts"][left_out]
    workspace.send("owner", *workspace.writer("owner").document(document))
    page = text_of(workspace, f"/jobs/{JOB}/results/T1")
    assert said in page and "Write what is missing" in page and "Start the test" not in page


def test_job_page_counts_and_says_not_yet_where_only_tests_are_missing(judged):
    page = text_of(judged, f"/jobs/{JOB}")
    assert "Each result must be at most 50 mg/m²" in page
    assert "Not yet" in page and "2 of 3 locations" in page
    assert "Withheld" not in page
    answer = judged.client("tester").get(f"/jobs/{JOB}").content.decode()
    assert answer.count('<li class="is-pass">') == 2 and answer.count('<li class="open">') == 1


@pytest.mark.parametrize(("role", "items"), [("inspector", "Name the items"), ("tester", "An inspector or the owner names what is tested.")])
def test_job_of_a_pasted_clause_says_what_comes_next_and_who_does_it(workspace, role, items):
    writer = workspace.writer("owner")
    workspace.send("owner", *writer.document({"format": "brackish-job/1", "job": {"id": JOB, "title": "Boom"}}))
    assert "Nothing is asked yet" in text_of(workspace, f"/jobs/{JOB}", role)
    workspace.send("owner", writer.set(("x-clause", "text"), "Salts shall not exceed 50 mg/m²."))
    page = text_of(workspace, f"/jobs/{JOB}", role)
    assert "The clause is not adopted yet" in page and "Nothing is asked yet" not in page and items in page
    assert "An inspector or the owner names what is tested." in text_of(workspace, f"/jobs/{JOB}/plan") and "The first item" in text_of(
        workspace, f"/jobs/{JOB}/plan", "inspector"
    )


@pytest.mark.parametrize("file", ["ballast-tank", "dispute", "footbridge", "tank-roof-chloride", "waters", "abrasive-lot"])
def test_what_if_of_one_test_is_that_of_the_whole_job(file):
    document = load(ROOT / "examples" / f"{file}.toml")
    whole = {test["id"]: test for test in brackish.evaluate(document).to_dict()["tests"]}
    for test in document["test"]:
        near = next(each for each in judged_near(document, test, [])["tests"] if each["id"] == test["id"])
        assert (near["state"], near["results"], near["verdicts"]) == tuple(whole[test["id"]][name] for name in ("state", "results", "verdicts"))


def test_what_if_asked_while_one_types_is_the_answer_alone(judged):
    answer = judged.client("tester").get(f"/jobs/{JOB}/results/T1?solution_volume=30.0", headers={"X-Live": "1"}).content.decode()
    assert "data-live-answer" in answer and "is-fail" in answer
    assert "<html" not in answer and "History" not in answer


def test_what_if_judges_a_copy_and_stores_nothing(judged):
    before = models.Event.objects.count(), outcome_of(judged)
    page = text_of(judged, f"/jobs/{JOB}/results/T1?solution_volume=30.0")
    document = judged.client("reader").get(f"/api/v1/jobs/{JOB}/document").json()
    document["test"][0]["facts"]["solution_volume"] = "30.0 mL"
    wanted = brackish.evaluate(document).to_dict()["tests"][0]["verdicts"][0]
    assert wanted["verdict"] == "fail"  # three times the water is three times the salt: 88 of 50
    assert wanted["shown_value"].replace("\u00a0", " ") in page and "written: 10.0" in page
    posted = judged.client("reader").post(
        f"/api/v1/jobs/{JOB}/what-if", [{"path": ["test", "T1", "facts", "solution_volume"], "value": "30.0 mL"}], content_type="application/json"
    )
    assert posted.json()["tests"][0]["verdicts"][0] == wanted
    assert (models.Event.objects.count(), outcome_of(judged)) == before


def test_what_if_of_a_change_that_names_nothing_is_refused(judged):
    posted = judged.client("reader").post(f"/api/v1/jobs/{JOB}/what-if", [{"path": [], "value": "30.0 mL"}], content_type="application/json")
    assert posted.status_code == 422


def test_what_if_says_what_is_wrong_with_a_figure(judged):
    assert "uS/cm" in text_of(judged, f"/jobs/{JOB}/results/T1?solution_volume=3 uS/cm")


@pytest.mark.parametrize("typed", ["30,0", "30.0 mL", "30 ml", "0.03 L"])
def test_what_if_takes_a_figure_as_every_other_field_does(judged, typed):
    assert "is-fail" in judged.client("tester").get(f"/jobs/{JOB}/results/T1", {"solution_volume": typed}, headers={"X-Live": "1"}).content.decode()


def test_what_if_never_guesses_what_1_250_means(judged):
    assert "has a comma in its number" in text_of(judged, f"/jobs/{JOB}/results/T1?solution_volume=1,250")


def test_correction_stands_in_the_history_with_old_value_reason_and_name(judged):
    state = judged.client("tester").get(f"/api/v1/jobs/{JOB}").json()
    event = judged.writer("tester").set(("test", "T2", "facts", "reading"), ["9.7 uS/cm"], base=state["base"], reason="line above")
    judged.send("tester", event)
    page = text_of(judged, f"/jobs/{JOB}/history")
    assert re.search(r"T2 conductivity of the extract: 9\.1 µS/cm 9\.7 µS/cm Tester ?\. Reason: line above", page)
    assert "9.7 µS/cm" in text_of(judged, f"/jobs/{JOB}/results/T2")


def test_line_of_many_entries_opens_to_each_with_old_and_new(judged):
    base = judged.client("tester").get(f"/api/v1/jobs/{JOB}").json()["base"]
    writer, facts = judged.writer("tester"), {"reading": ["9.7 uS/cm"], "temperature": "22.0 degC"}
    judged.send("tester", *(writer.set(("test", "T2", "facts", name), value, base=base, reason="line above") for name, value in facts.items()))
    place, *_others = re.findall(rf'href="/jobs/{JOB}/history#([^"]+)">2 entries written', judged.client("tester").get(f"/jobs/{JOB}").content.decode())
    assert f'id="{place}"' in judged.client("tester").get(f"/jobs/{JOB}/history").content.decode()
    for page in (text_of(judged, f"/jobs/{JOB}/results/T2"), text_of(judged, f"/jobs/{JOB}/history")):
        line = page[page.index("2 entries written") :]
        assert re.search(r"conductivity of the extract: 9\.1 µS/cm 9\.7 µS/cm temperature of the solution when read: \S+ °C 22\.0 °C", line)


def test_history_speaks_in_words_and_the_short_one_of_people(judged):
    writer, base = judged.writer("owner", "desk"), judged.client("tester").get(f"/api/v1/jobs/{JOB}").json()["base"]
    written = [
        (("x-clause", "text"), "max. 50 mg/m2"),
        (("test", "T2", "x-steps", "dwell"), "2026-03-04T09:05:00+00:00"),
        (("test", "T2", "tester"), "tester-a"),
    ]
    judged.send("owner", *(writer.set(where, value, base=base, reason=f"r{number}") for number, (where, value) in enumerate(written)))
    short, whole = text_of(judged, f"/jobs/{JOB}"), text_of(judged, f"/jobs/{JOB}/history")
    assert "Clause as it was pasted: max. 50 mg/m2" in short and "T2 tester: Ines Farrow" in short
    assert "step begun" not in short and "T2 step begun: Leave the water on: 4 March 2026" in whole
    assert "dwell" not in whole and "X clause" not in whole


def test_both_histories_count_alike_what_was_written_at_one_time(judged):
    writer, base = judged.writer("tester"), judged.client("tester").get(f"/api/v1/jobs/{JOB}").json()["base"]
    facts = [("facts", "reading", ["9.7 uS/cm"]), ("facts", "temperature", "22.0 degC"), ("x-steps", "dwell", "2026-03-04T09:05:00+00:00")]
    judged.send("tester", *(writer.set(("test", "T2", table, name), value, base=base) for table, name, value in facts))
    for address in ("", "/history", "/results/T2"):
        assert "3 entries written" in text_of(judged, f"/jobs/{JOB}{address}"), address
    total = re.search(r"(\d+) entries\. Nothing is ever overwritten", text_of(judged, f"/jobs/{JOB}/history"))
    assert total and f"All {total[1]} entries" in text_of(judged, f"/jobs/{JOB}")


def test_history_shows_what_waits_for_an_entry_that_has_not_come(judged):
    assert "Waiting for what comes before" not in text_of(judged, f"/jobs/{JOB}/history")
    late = judged.writer("tester", "lost phone").set(("test", "T2", "facts", "reading"), ["9.9 uS/cm"], base=["11111111-1111-4111-8111-111111111111"])
    judged.send("tester", late, expect="held")
    page = text_of(judged, f"/jobs/{JOB}/history")
    assert "Waiting for what comes before" in page and "9.9 µS/cm" in page[: page.index("Entries, newest first")]


def test_only_a_result_of_an_area_says_that_salt_may_stay_on_the_steel(workspace):
    document = footbridge(1)
    document["item"].append({"id": "I2", "kind": "water", "name": "Tank"})
    document["test"].append({"id": "T2", "item": "I2", "method": "water-conductivity", "facts": {"reading": ["3.2 uS/cm"], "use": "washing"}})
    workspace.send("owner", *workspace.writer("owner").document(document))
    pages = [text_of(workspace, f"/jobs/{JOB}/results/{test}") for test in ("T1", "T2")]
    assert all("standard uncertainty" in page for page in pages)
    assert ["not for all salt on the steel" in page for page in pages] == [True, False]


def test_two_values_for_one_fact_are_both_offered(judged):
    base = judged.client("tester").get(f"/api/v1/jobs/{JOB}").json()["base"]
    for role, reading in (("tester", "9.2 uS/cm"), ("inspector", "9.3 uS/cm")):
        judged.send(role, judged.writer(role).set(("test", "T1", "facts", "reading"), [reading], base=base))
    page = text_of(judged, f"/jobs/{JOB}")
    assert "Choose one" in page and "9.2 µS/cm" in page and "9.3 µS/cm" in page


def test_job_that_cannot_be_read_names_every_fault(workspace):
    document = footbridge()
    document["specification"][0]["criterion"][0]["limit"] = "50 uS/cm2"
    workspace.send("owner", *workspace.writer("owner").document(document))
    for address in ("", "/results", "/results/T1", "/limits"):
        page = text_of(workspace, f"/jobs/{JOB}{address}")
        assert "Cannot be judged" in page and "No limit to make a card of" not in page


@pytest.mark.parametrize("role", ["reader", "client"])
def test_who_may_not_write_is_offered_nothing_to_write(judged, role):
    for screen in SCREENS:
        assert b"data-write" not in judged.client(role).get(f"/jobs/{JOB}{screen}").content


def test_job_out_of_sight_is_not_found_and_says_so_on_a_page(judged):
    assert "Nothing at this address" in text_of(judged, f"/jobs/{JOB}", "outsider", 404)
    assert judged.client(None).get(f"/jobs/{JOB}/results").headers["Location"] == f"/sign-in?next=/jobs/{JOB}/results"


@pytest.mark.parametrize(
    ("path", "value", "waits"),
    [
        (("test", "T1", "facts", "reading"), ["nine"], "Waits for you"),
        (("specification", "paint-spec", "criterion", "steel", "limit"), "fifty", "Waits for others"),  # not hers to write
    ],
)
def test_what_a_tester_may_correct_waits_for_her(judged, path, value, waits):
    judged.send("owner", judged.writer("owner").set(path, value, base=json.loads(judged.client("owner").get(f"/api/v1/jobs/{JOB}").content)["base"]))
    assert "Cannot be judged" in text_of(judged, f"/jobs/{JOB}")
    page = text_of(judged, "/")
    assert waits in page and "cannot be judged" in page
    assert ("T1: " in page) == (path[0] == "test")


def test_list_finds_and_sieves(judged):
    assert "Footbridge over the Pell" in text_of(judged, "/?find=pell+quay&wait=tests")
    assert "No job fits" in text_of(judged, "/?find=barge")
    assert "Waits for you" in text_of(judged, "/") and "Waits for others" in text_of(judged, "/", "reader")


def test_no_page_folds_or_judges_when_the_outcome_is_there(judged, monkeypatch):
    text_of(judged, f"/jobs/{JOB}")
    monkeypatch.setattr("brackish.web.ledger.outcomes._made", lambda job: pytest.fail("judged again"))
    monkeypatch.setattr("brackish.web.ledger.outcomes.fold", lambda **names: pytest.fail("folded again"))
    for screen in SCREENS:
        text_of(judged, f"/jobs/{JOB}{screen}")


def test_pages_carry_no_style_or_script_of_their_own(judged):
    for screen in SCREENS:
        page = judged.client("tester").get(f"/jobs/{JOB}{screen}").content.decode()
        assert not re.search(r"\sstyle=|\son[a-z]+=|<style|<script(?![^>]*src=)", page)
        assert len(page) < 150_000


def test_light_is_kept_in_a_cookie_and_unknown_ones_are_not(judged):
    client = judged.client("tester")
    client.post("/light", {"light": "dark"})
    assert 'data-theme="dark"' in client.get("/").content.decode()
    client.post("/light", {"light": '"><script>'})
    assert "data-theme" not in client.get("/").content.decode()


def test_draft_of_a_file_writes_the_same_job(workspace):
    source = (ROOT / "examples" / "footbridge.toml").read_bytes()
    draft = workspace.client("inspector").post("/api/v1/drafts", source, content_type="application/octet-stream").json()
    assert draft["here"] is False
    writer = workspace.writer("inspector")
    workspace.send("inspector", *[writer.set(each["path"], each["value"]) for each in draft["changes"]])
    assert outcome_of(workspace) == json.loads(json.dumps(brackish.evaluate(ROOT / "examples" / "footbridge.toml").to_dict()))
    assert workspace.client("inspector").post("/api/v1/drafts", source, content_type="application/octet-stream").json()["here"] is True


def test_job_like_another_takes_what_was_agreed_and_no_test(judged):
    draft = judged.client("inspector").get(f"/api/v1/jobs/{JOB}/draft").json()
    first = {each["path"][0] for each in draft["changes"]}
    assert draft["id"] != JOB and "specification" in first and "test" not in first and "blank" not in first


class OneCriterion:
    def __init__(self, **fields: str) -> None:
        self.criteria = {"c": ({"id": "s"}, {"id": "c", "applies_to": "steel", **fields})}


def test_what_is_not_agreed_is_said_and_never_filled_in():
    (entry,) = asked(OneCriterion())
    assert "No limit is agreed." in entry["must"] and "not agreed" in entry["after"]
    assert "No decision rule is agreed" in entry["more"] and "How many is not agreed." in entry["more"]


def test_which_salt_it_was_stands_on_a_page_of_the_test_and_what_passes_leave_open_under_its_results(judged):
    assert f"/jobs/{JOB}/salts/T1" in judged.client("tester").get(f"/jobs/{JOB}/results/T1").content.decode()
    page = text_of(judged, f"/jobs/{JOB}/salts/T1")
    result = next(row for row in outcome_of(judged)["tests"][0]["results"] if row["quantity"] == "nacl_equivalent_per_area")
    assert f"NaCl the salt most limits are expressed as {result['shown']}".replace("\u00a0", " ") in page
    assert "wets steel from 75 %" in page  # NaCl at 25 °C, Greenspan 1977: 75.29
    (verdict,) = outcome_of(judged)["items"][0]["verdicts"]
    assert verdict["sampling"]["shown"].replace("\u00a0", " ") in text_of(judged, f"/jobs/{JOB}/results")
    assert judged.client("tester").get(f"/jobs/{JOB}/salts/T99").status_code == 404


def test_who_is_named_twice_in_the_record_stands_once_among_the_people(workspace):
    document = footbridge()
    document["person"].append({"id": "ines", "name": "Ines Farrow", "role": "tester"})
    assert any(person["name"] == "Ines Farrow" and person["role"] == "tester" for person in document["person"][:-1])
    workspace.send("owner", *workspace.writer("owner").document(document))
    page = workspace.client("reader").get(f"/jobs/{JOB}").content.decode()
    assert page.partition('id="people"')[2].partition('id="files"')[0].count("<b>Ines Farrow</b>") == 1
