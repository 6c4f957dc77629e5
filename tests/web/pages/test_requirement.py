# SPDX-License-Identifier: MIT
"""The requirement: marks on the pasted words, questions with their answers, criteria adopted by events; the limits card."""

from __future__ import annotations

import html
import json
import re

import pytest

from brackish.prepare import clause, limits
from brackish.web import models
from brackish.web.ledger.outcomes import document_of
from brackish.web.ledger.store import events_of
from brackish.web.pages import limits_card
from brackish.web.pages.clause_lines import lines_of, note_of, understood
from brackish.web.pages.criterion_form import drafted, needs
from brackish.web.pages.lesson_of import lesson_of
from tests.web.conftest import Workspace
from tests.web.writing import JOB, footbridge

CLAUSE = (
    "After blast-cleaning and not more than four hours before the first coat the steel shall be tested for soluble salts by ISO 8502-6 and ISO 8502-9. "
    "The level of salts shall not exceed 50 mg/m² (50 µg/cm²). Three tests shall be taken for the first 100 m² and one for each further 200 m². "
    "The conductivity of the extract shall be below 30 µS/cm. Should a test fail, the area shall be washed and tested again."
)
CLEAN = "Soluble salts after blasting, as NaCl at 25 °C, shall not exceed 50 mg/m2; each result is judged."


def words_of(page: str) -> str:
    text = re.sub(r"(?s)<(script|template|title).*?</\1>", " ", page)
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", text)).replace("\u00a0", " "))


@pytest.mark.parametrize("text", [CLAUSE, CLEAN, "", "No limit here.", "Salts: max. 5 µg/cm²\n- each test\n- 3 per tank\n", "50 mg/m2 " * 40])
def test_no_word_of_the_clause_is_lost_or_doubled(text):
    lines, _missing = lines_of(clause.read(text))
    shown = "".join(piece.text for line in lines for piece in line.pieces)
    assert re.sub(r"\s", "", shown) == re.sub(r"\s", "", text)


def test_every_trap_is_one_note_and_numbers_run_through():
    reading = clause.read(CLAUSE)
    lines, missing = lines_of(reading)
    notes = [note for line in lines for note in line.notes] + missing
    assert [note.number for note in notes] == list(range(1, len(reading.traps) + 1))
    assert sorted(note.code for note in notes) == sorted(trap.code for trap in reading.traps)
    assert understood(reading) > 5


def test_marked_words_are_those_of_the_trap():
    reading = clause.read(CLAUSE)
    pieces = {number: piece.text for line in lines_of(reading)[0] for piece in line.pieces for number in piece.traps}
    spans = {trap.code: CLAUSE[slice(*trap.span)] for trap in reading.traps}
    by_code = {note.code: note.number for line in lines_of(reading)[0] for note in line.notes}
    for code, number in by_code.items():
        assert spans[code] in pieces[number]


def test_note_says_its_size():
    trap = next(trap for trap in clause.read(CLAUSE).traps if trap.code == "clause.unit_factor_conflict")
    note = note_of(2, trap)
    assert (note.head, note.size) == ("The two units differ.", "a factor of 10")
    assert re.sub(r"\W", "", note.head + note.body + note.size) == re.sub(r"\W", "", trap.message)


def test_what_a_verdict_needs_is_what_the_judge_says():
    spec = drafted(clause.read(CLEAN))[0]
    missing, faults = needs(spec, spec["criterion"][0])
    assert faults == ()
    assert "decision_rule" in missing and "limit" not in missing
    full = {**spec["criterion"][0], "decision_rule": "simple-acceptance"}
    assert "decision_rule" not in needs(spec, full)[0]
    assert needs(spec, {**full, "limit": "50 uS/cm2"})[1]


@pytest.fixture
def pasted(workspace: Workspace) -> Workspace:
    workspace.send(
        "inspector",
        *_events(workspace, [(("job", "id"), JOB), (("job", "title"), "Barge, tank 3"), (("format",), "brackish-job/1"), (("x-clause", "text"), CLAUSE)]),
    )
    return workspace


def _events(workspace: Workspace, changes, role: str = "inspector") -> list:
    writer = workspace.writers.setdefault(role, workspace.writer(role)) if hasattr(workspace, "writers") else _first(workspace, role)
    return [writer.set(path, value) for path, value in changes]


def _first(workspace: Workspace, role: str):
    workspace.writers = {role: workspace.writer(role)}
    return workspace.writers[role]


def page_of(workspace: Workspace, role: str = "inspector", address: str = "requirement") -> str:
    response = workspace.client(role).get(f"/jobs/{JOB}/{address}".rstrip("/"))
    assert response.status_code == 200
    return response.content.decode()


def adopting(page: str, number: int) -> list[tuple[tuple[str, ...], object]]:
    """What the form of a criterion writes, as record.js reads it."""
    form = re.search(rf'(?s)<form data-write[^>]* id="adopt-{number}".*?</form>', page)[0]
    found = re.findall(r'<input type="hidden" data-path=(?:"([^"]+)"|\'([^\']+)\')( data-as="json")? value="([^"]*)"', form)
    changes = [
        (tuple(json.loads(html.unescape(a or b))), html.unescape(value) if not kind else json.loads(html.unescape(value))) for a, b, kind, value in found
    ]
    for path, options in re.findall(r'(?s)<select[^>]*data-path="([^"]+)"[^>]*>(.*?)</select>', form):
        if chosen := re.search(r'value="([^"]+)" selected', options):
            changes.append((tuple(json.loads(html.unescape(path))), html.unescape(chosen[1])))
    amounts = re.findall(r'<input id="[^"]*" type="text"[^>]*data-path="([^"]+)"[^>]*?(?: data-unit="([^"]+)")? value="([^"]+)"', form)
    typed = [(path, f"{value} {unit}" if re.fullmatch(r"[\d.]+", value) and unit else value) for path, unit, value in amounts]
    long = re.findall(r'<textarea[^>]*data-path="([^"]+)"[^>]*>([^<]+)</textarea>', form)
    return changes + [(tuple(json.loads(html.unescape(path))), html.unescape(value)) for path, value in [*typed, *long]]


def test_page_shows_marks_notes_and_questions(pasted):
    page = page_of(pasted)
    reading = clause.read(CLAUSE)
    words = words_of(page)
    for trap in reading.traps:
        assert trap.code in words and (f'href="/lessons/of/{trap.code}"' in page) == bool(lesson_of(trap.code))
    for question in reading.questions:
        assert question.text.replace("\u00a0", " ") in words
    assert words.count("Must be answered") >= 2
    assert not re.search(r"\sstyle=|\son[a-z]+=|<script(?![^>]*src=)", page)


def test_adopting_writes_the_criterion_and_keeps_the_open_questions(pasted):
    pasted.send("inspector", *_events(pasted, adopting(page_of(pasted), 1)))
    document = pasted.client("reader").get(f"/api/v1/jobs/{JOB}/document").json()
    criterion = document["specification"][0]["criterion"][0]
    wanted = drafted(clause.read(CLAUSE))[0]["criterion"][0]
    assert {key: criterion[key] for key in wanted} == wanted
    assert [entry["text"] for entry in document["question"]] and all("answer" not in entry for entry in document["question"])
    assert len(document["question"]) == len(clause.read(CLAUSE).questions)
    page = words_of(page_of(pasted))
    assert "Adopted" in page and "not agreed" in page
    assert "Open" in words_of(page_of(pasted, "reader", ""))


def test_answer_stands_with_who_and_when(pasted):
    pasted.send("inspector", *_events(pasted, adopting(page_of(pasted), 1)))
    first = pasted.client("reader").get(f"/api/v1/jobs/{JOB}/document").json()["question"][0]
    answer = [("answer", "As NaCl."), ("answered_by", "B. Tallow for the owner, by letter"), ("answered_at", "2026-03-02T10:00:00+00:00")]
    pasted.send("inspector", *_events(pasted, [(("question", first["id"], key), value) for key, value in answer]))
    assert re.search(r"As NaCl\. B\. Tallow for the owner, by letter, 2 March 2026, 10:00", words_of(page_of(pasted, "tester")))


def fields_with(page: str, name: str) -> list[str]:
    """The tags of the fields that write a path with this end."""
    tags = re.findall(r'<(?:select|input|textarea)[^>]*data-path="([^"]+)"[^>]*>', page)
    return [path for path in map(html.unescape, tags) if json.loads(path)[-1] == name]


def test_answer_about_one_field_is_that_field_s_choice(workspace):
    text = CLEAN.replace("; each result is judged", "")
    changes = [(("job", "id"), JOB), (("job", "title"), "Barge"), (("format",), "brackish-job/1"), (("x-clause", "text"), text)]
    workspace.send("inspector", *_events(workspace, changes))
    page = page_of(workspace)
    mean = next(question for question in clause.read(text).questions if question.code == "criterion.judged_missing")
    identity = re.search(rf'id="(Q\d+)"><div class="question-text">{re.escape(html.escape(mean.text, quote=False))}', page)[1]
    assert f'["question", "{identity}", "x-value"]' in fields_with(page, "x-value")
    answer = [("id", identity), ("code", mean.code), ("text", mean.text), ("x-value", "each"), ("answer", "each result"), ("answered_by", "B. Tallow")]
    workspace.send("inspector", *_events(workspace, [(("question", identity, name), value) for name, value in answer]))
    assert "Judged each result" in words_of(page_of(workspace))
    assert ("judged", "each") in [(path[-1], value) for path, value in adopting(page_of(workspace), 1)]


@pytest.mark.parametrize("adopted", [True, False])
def test_rule_is_answered_with_what_the_rule_needs(workspace, adopted):
    rule = next(question for question in clause.read(CLEAN).questions if question.code == "criterion.decision_rule_missing")
    asked = {"id": "Q1", "code": rule.code, "text": rule.text}
    document = footbridge()
    names = ("decision_rule", "guard_band", "level", "on_inconclusive")
    for name in names:
        del document["specification"][0]["criterion"][0][name]
    document["question"] = [asked]
    if not adopted:
        del document["specification"]
        document["x-clause"] = {"text": CLEAN}
    writer = workspace.writer("owner")
    workspace.send("owner", *writer.document(document))
    waiting = {name: ("question", "Q1", "x-value" if name == "decision_rule" else f"x-{name}") for name in names}
    paths = {name: ("specification", "paint-spec", "criterion", "steel", name) for name in names} if adopted else waiting
    form = re.search(r'(?s)id="Q1">.*?</form>', page_of(workspace))[0]
    assert all(fields_with(form, path[-1]) == [json.dumps(list(path))] for path in paths.values())
    answer = [(("question", "Q1", "answer"), "three-way"), (("question", "Q1", "answered_by"), "B. Tallow"), (paths["decision_rule"], "three-way")]
    workspace.send("owner", *[writer.set(path, value) for path, value in answer])
    said = words_of(page_of(workspace))
    assert "Answered in part Still not agreed: Guard band, Level" in said and 'class="question is-must"' in page_of(workspace)
    assert models.Job.objects.get(id=JOB).waiting_for == "questions"
    if adopted:
        assert "Answer it in the requirement Answered in part" in words_of(workspace.client("inspector").get(f"/jobs/{JOB}").content.decode())
    workspace.send("owner", *[writer.set(paths[name], value) for name, value in (("guard_band", "two-sided"), ("level", "95 %"))])
    said = words_of(page_of(workspace))
    assert "Answered in part" not in said and "Answered" in said
    assert models.Job.objects.get(id=JOB).waiting_for == ("signature" if adopted else "questions")  # what nobody adopted judges nothing


@pytest.mark.slow
def test_answer_and_field_are_one_writing(desk):
    document = footbridge()
    del document["specification"][0]["criterion"][0]["judged"]
    document["question"] = [{"id": "Q1", "code": "criterion.judged_missing", "text": "Is each result judged, or the mean?"}]
    desk.workspace.send("owner", *desk.workspace.writer("owner").document(document))
    desk.role = desk.author = "inspector"
    page = desk.page(f"/jobs/{JOB}/requirement")
    page.get_by_text("Write the answer").click()
    page.locator("#Q1").get_by_label("Judged").select_option("each")
    page.get_by_label("Who agreed").fill("B. Tallow for the owner")
    page.get_by_role("button", name="Record the answer").click()
    page.get_by_text("Answer written").wait_for()
    written = {tuple(event.path): (event.value, event.reason) for event in events_of(JOB) if event.author == "inspector"}
    assert written["specification", "paint-spec", "criterion", "steel", "judged"] == ("each", "as answered to Q1")
    assert written["question", "Q1", "answer"][0] == "each result"


@pytest.mark.slow
@pytest.mark.parametrize("who", ["B. Tallow for the owner", ""])
def test_what_is_filled_in_answers_its_questions_once_somebody_agreed(desk, who):
    text = "Salts on blasted steel, by ISO 8502-6 and ISO 8502-9, shall not exceed 50 mg/m²."
    changes = [(("job", "id"), JOB), (("job", "title"), "Barge"), (("format",), "brackish-job/1"), (("x-clause", "text"), text)]
    desk.workspace.send("inspector", *_events(desk.workspace, changes))
    desk.role = desk.author = "inspector"
    page = desk.page(f"/jobs/{JOB}/requirement")
    page.get_by_text("Fill in what was answered").click()
    form = page.locator("form[data-units]")
    for label, choice in (("Counted as", "nacl_equivalent_per_area"), ("Decision rule", "three-way"), ("If inconclusive", "retest")):
        form.get_by_label(label).select_option(choice)
    form.get_by_label("Guard band").fill("two-sided")
    form.get_by_label("Level").fill("95")
    form.get_by_label("Refers to").fill("25")
    form.get_by_label("Agreed by").fill(who)
    page.get_by_role("button", name="Adopt").click()
    page.get_by_text("Adopted", exact=True).first.wait_for()
    asked = {each["code"]: each for each in document_of(models.Job.objects.get(id=JOB))["question"]}
    answered = {code: (each["answer"], each["answered_by"]) for code, each in asked.items() if "answer" in each}
    rule = "three-way: near the limit is inconclusive, two-sided, 95 %, it is tested again"
    wanted = {"clause.species_missing": "NaCl equivalent", "criterion.decision_rule_missing": rule, "clause.reference_temperature_missing": "25 °C"}
    wanted |= {"clause.stage_missing": "after blasting"}  # as the form showed it to whoever agreed
    assert answered == ({code: (words, who) for code, words in wanted.items()} if who else {})
    assert set(asked) > set(answered)  # what nobody filled in stays open


@pytest.mark.slow
def test_nothing_that_cannot_be_read_is_adopted(desk):
    changes = [(("job", "id"), JOB), (("job", "title"), "Barge"), (("format",), "brackish-job/1"), (("x-clause", "text"), CLEAN)]
    desk.workspace.send("inspector", *_events(desk.workspace, changes))
    desk.role = desk.author = "inspector"
    page = desk.page(f"/jobs/{JOB}/requirement")
    page.get_by_text("Fill in what was answered").click()
    form = page.locator("#adopt-1")
    form.get_by_label("Counted as").select_option("extract_conductivity")
    assert "µS/cm" in form.locator(".field", has=page.get_by_label("Limit", exact=True)).inner_text()  # the unit follows the quantity
    form.get_by_label("Counted as").select_option("nacl_equivalent_per_area")
    form.get_by_label("Limit", exact=True).fill("20")
    form.get_by_label("Level", exact=True).fill("ninety")
    form.get_by_label("How many tests").fill("a bad rule")
    page.locator("[data-adopts]").click()
    page.get_by_text("Not written yet").wait_for()
    assert [form.locator(f"#f1-{name}").get_attribute("aria-invalid") for name in ("limit", "level", "count")] == [None, "true", "true"]
    assert page.get_by_role("button", name="Write it as typed anyway").count() == 0
    assert not [event for event in events_of(JOB) if event.path[0] == "specification"]
    form.get_by_label("Level", exact=True).fill("95")
    form.get_by_label("How many tests").fill("3 per item")
    page.locator("[data-adopts]").click()
    page.get_by_text("Adopted", exact=True).first.wait_for()
    written = {event.path[-1]: event.value for event in events_of(JOB) if event.path[0] == "specification"}
    assert (written["limit"], written["level"], written["count"]) == ("20 mg/m2", "95 %", "3 per item")


def test_fault_of_an_adopted_field_stands_at_that_field(carded):
    writer, base = carded.writer("owner", "desk"), carded.client("owner").get(f"/api/v1/jobs/{JOB}").json()["base"]
    where = ("specification", "paint-spec", "criterion", "steel")
    carded.send("owner", writer.set((*where, "limit"), "20", base=base), writer.set((*where, "level"), "95"), writer.set((*where, "count"), "often"))
    page = page_of(carded)
    for name in ("limit", "level", "count"):
        (tag,) = re.findall(rf'<(?:input|textarea) id="f1-{name}"[^>]*>', page)
        assert 'aria-invalid="true"' in tag
        assert re.search(rf'(?s)<div class="field[^"]* field-error"><label for="f1-{name}".*?<p class="remark field-error">', page)


@pytest.mark.parametrize("role", ["tester", "trainee", "reader", "client"])
def test_who_may_not_agree_cannot_adopt(pasted, role):
    page = page_of(pasted, role)
    assert "data-adopts" not in page and 'data-path=\'["x-clause","text"]\'' not in page
    assert ("data-moment" in page) == (role == "tester")  # a tester may write down an answer


def test_empty_requirement_says_what_to_do(workspace):
    assert "Read the clause" in page_of(workspace)
    assert "No clause is pasted" in page_of(workspace, "reader")


@pytest.fixture
def carded(workspace: Workspace) -> Workspace:
    workspace.send("owner", *workspace.writer("owner").document(footbridge()))
    return workspace


def test_card_shows_what_limits_says_and_the_judges_band(carded):
    page = words_of(page_of(carded, "tester", "limits"))
    plain = limits.card(
        limit="50 mg/m2", quantity="nacl_equivalent_per_area", solution_volume="10.0 mL", area="1250 mm2", reference_temperature="25 degC", blank="1.2 uS/cm"
    )
    assert plain.reading.shown.replace("\u00a0", " ") in page  # 14.6, as the contract's card
    assert "guarded limit" in page and "1.2 µS/cm" in page
    guarded = float(re.search(r"([\d.]+) µS/cm guarded limit|guarded limit at or under this: pass ([\d.]+)", page).group(2))
    assert 1.2 < guarded < plain.reading.value


def test_guarded_limit_is_where_the_judge_begins_to_doubt(carded):
    """A test that reads the guarded number passes; one step of the meter more does not."""
    page = words_of(page_of(carded, "tester", "limits"))
    guarded = float(re.search(r"guarded limit at or under this: pass ([\d.]+)", page)[1])
    for reading, wanted in ((guarded, "pass"), (round(guarded + 0.1, 1), "inconclusive")):
        changes = [{"path": ["test", "T1", "facts", "reading"], "value": [f"{reading} uS/cm"]}]
        outcome = carded.client("tester").post(f"/api/v1/jobs/{JOB}/what-if", changes, content_type="application/json").json()
        assert outcome["tests"][0]["verdicts"][0]["verdict"] == wanted


def test_card_is_three_numbers_and_never_a_table(carded):
    page = page_of(carded, "tester", "limits")
    three = re.search(r'(?s)<dl class="card-three">.*?</dl>', page)[0]
    assert three.count("<dd>") == 3
    assert "<table" not in page


def test_card_stands_under_the_requirement_in_the_index(carded):
    assert re.findall(r'href="([^"]+)" aria-current="page"', page_of(carded, "tester", "limits"))[0] == f"/jobs/{JOB}/requirement"


def test_full_kit_blank_of_another_volume_is_refused(carded):
    page = words_of(page_of(carded, "tester", "limits?volume=15"))
    assert "This blank was taken in 10.0 mL, the card is for 15 mL." in page
    assert "guarded limit" not in page
    assert "guarded limit" in words_of(page_of(carded, "tester", "limits?volume=15&blank=&typed=1.0"))


def test_card_takes_figures_with_a_comma_or_their_unit(carded):
    wanted = words_of(page_of(carded, "tester", "limits?volume=15&area=1250&blank=&typed=1.2"))
    assert "guarded limit" in wanted
    for query in ("volume=15,0&area=1250&blank=&typed=1,2", "volume=15.0mL&area=12.5cm2&blank=&typed=1.2uS/cm"):
        assert re.search(r"guarded limit .*? pass [\d.]+", words_of(page_of(carded, "tester", f"limits?{query}")))[0] in wanted


def test_card_names_the_kind_of_its_blank_in_words(carded):
    page = words_of(page_of(carded, "tester", "limits"))
    assert "B1, full kit, " in page and "full-kit" not in page


def test_one_odd_test_does_not_decide_the_volume(workspace):
    """The volume is that of the blank, the area that of most tests; the card says which."""
    document = footbridge(3)
    document["test"][2]["facts"] |= {"solution_volume": "1.000 mL", "compartment_area": "1000 mm2"}
    workspace.send("owner", *workspace.writer("owner").document(document))
    page = words_of(page_of(workspace, "tester", "limits"))
    assert "14.6" in page and "Volume: in which blank B1 was taken." in page and "Area: as in most tests of this job." in page


@pytest.mark.parametrize(("volumes", "wanted"), [((), ""), (("10 mL", "5 mL", "10.0 mL"), "10.0 mL"), (("5 mL", "10.0 mL"), "10.0 mL"), (("wet",), "")])
def test_most_written_amount(volumes, wanted):
    assert limits_card._most([{"solution_volume": each} for each in volumes], ("solution_volume",), "volume") == wanted


@pytest.mark.parametrize("query", ["volume=abc", "area=-5", "typed=1 mg", "criterion=nobody", "volume=0", "typed=900", "blank=nobody"])
def test_strange_figures_get_a_page(carded, query):
    assert carded.client("tester").get(f"/jobs/{JOB}/limits?{query}").status_code == 200


@pytest.mark.parametrize("rule", ["simple-acceptance", "guarded-acceptance", "guarded-rejection"])
def test_card_follows_the_rule(workspace, rule):
    document = footbridge()
    document["specification"][0]["criterion"][0]["decision_rule"] = rule
    workspace.send("owner", *workspace.writer("owner").document(document))
    page = words_of(page_of(workspace, "tester", "limits"))
    assert ("guarded limit" in page) == (rule == "guarded-acceptance")
    assert ("accepted to" in page) == (rule == "guarded-rejection")
    assert ("At or under this: pass" in page) == (rule == "simple-acceptance")


def test_job_without_a_limit_is_told_what_to_do(pasted):
    assert "No limit to make a card of" in page_of(pasted, "tester", "limits")


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("specification", "s", "criterion", "c", "limit"), "50 mg/m2"),
        (("x-clause",), "no table"),
        (("specification", "paint-spec", "criterion", "steel", "limit"), "50 uS/cm2"),
        (("specification", "paint-spec", "criterion", "steel", "agreed"), "yes"),
        (("specification", "paint-spec", "criterion", "steel", "source"), "clause 4"),
        (("blank", "B9", "reading"), ["1.0 uS/cm"]),
        (("question", "Q1", "answer"), "yes"),
        (("test", "T9", "facts"), "none"),
        (("test", "T9", "method"), "unheard-of"),
    ],
)
def test_half_a_job_still_gets_its_pages(carded, path, value):
    carded.send("owner", carded.writer("owner", "tablet").set(path, value), expect=None)
    for address in ("requirement", "limits", "import"):
        assert carded.client("inspector").get(f"/jobs/{JOB}/{address}").status_code == 200
