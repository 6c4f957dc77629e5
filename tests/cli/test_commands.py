# SPDX-License-Identifier: MIT
"""Every command as its users meet it: help, text of 80 columns, JSON, exit status, faults in one shape."""

from __future__ import annotations

import io
import json
import subprocess
import sys
import tomllib

import pytest

from brackish.cli.main import COMMANDS, main
from brackish.library import method_ids
from tests.guards.source import ROOT
from tests.judge.jobs import job

EXAMPLE = str(ROOT / "examples" / "footbridge.toml")
MISTAKES = str(ROOT / "examples" / "mistakes.toml")
EXAMPLES = [str(path) for path in sorted((ROOT / "examples").glob("*.toml")) if str(path) != MISTAKES]
CLAUSE = "The salt on steel shall not exceed 50 mg/m2 as NaCl, tested as ISO 8502-9 on each plate.\n"
LIMITS = ["limits", "50 mg/m2", "--quantity", "nacl_equivalent_per_area", "--solution-volume", "10 mL", "--area", "1250 mm2", "--blank", "1.2 uS/cm"]


class Ran:
    """What a command gave: exit status, standard output, standard error."""

    def __init__(self, capsys: pytest.CaptureFixture[str], *words: str) -> None:
        try:
            self.status = main(words)
        except SystemExit as stopped:  # --help
            self.status = int(stopped.code or 0)
        self.out, self.err = capsys.readouterr()

    @property
    def errors(self) -> list[dict]:
        return json.loads(self.err)["errors"]


@pytest.fixture
def ran(capsys, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    return lambda *words: Ran(capsys, *words)


@pytest.fixture
def clause(tmp_path):
    file = tmp_path / "clause.txt"
    file.write_text(CLAUSE)
    return str(file)


@pytest.fixture
def report(ran, tmp_path):
    file = tmp_path / "report.pdf"
    assert ran("report", EXAMPLE, "-o", str(file)).status == 0
    return file


def too_wide(text: str) -> list[str]:
    return [line for line in text.splitlines() if len(line) > 80]


@pytest.mark.parametrize("command", COMMANDS)
def test_help_says_what_the_command_does(ran, command):
    found = ran(command, "--help")
    assert found.status == 0
    assert found.out.startswith(f"usage: brackish {command}")
    assert too_wide(found.out) == []


def test_without_a_command_all_are_listed(ran):
    found = ran()
    assert found.status == 0
    assert [name for name in COMMANDS if f"    {name} " not in found.out] == []


TEXT = [
    *(["evaluate", example, "--working"] for example in EXAMPLES),
    LIMITS,
    [*LIMITS, "--uncertainty", "1 mg/m2", "--level", "95 %"],
    ["limits", "7 ug/cm2", "--quantity", "chloride_per_area", "--solution-volume", "10 mL", "--area", "10 cm2"],
    ["counts", "per-100-then-200", "300 m2"],
    *(["counts", example] for example in EXAMPLES),
    ["compare", str(ROOT / "examples" / "tank-roof-chloride.toml"), "S1", "S2"],
    ["salts", EXAMPLE, "T1"],
    ["salts", "11.3 uS/cm", "--blank", "1.2 uS/cm", "--solution-volume", "10 mL", "--area", "1250 mm2"],
    ["methods"],
    *(["methods", id] for id in method_ids()),
]


@pytest.mark.parametrize("words", TEXT, ids=lambda words: " ".join(words).replace(f"{ROOT}/", ""))
def test_text_reads_well_in_80_columns(ran, words):
    found = ran(*words)
    assert (found.status, found.err) == (0, "")
    assert found.out.strip() and too_wide(found.out) == []


def test_text_of_a_clause_reads_well_in_80_columns(ran, clause):
    found = ran("clause", clause)
    assert found.status == 0 and "=" in found.out and "Questions" in found.out
    assert too_wide(found.out) == []


JSON = [
    (["evaluate", EXAMPLE], {"format", "tests", "items", "job"}),
    (LIMITS, {"conductivity_difference", "meter_reading", "resolvable", "basis"}),
    (["counts", "per-100-then-200", "300 m2"], {"tests", "by_unit_system", "working"}),
    (["counts", EXAMPLE], {"items", "open"}),
    (["salts", "11.3 uS/cm"], {"salts", "shown", "sentences"}),
    (["methods"], {"methods"}),
    (["methods", "patch-conductivity"], {"id", "steps"}),
]


@pytest.mark.parametrize(("words", "keys"), JSON, ids=lambda value: " ".join(value) if isinstance(value, list) else "")
def test_json_is_one_document(ran, words, keys):
    found = ran(*words, "--json")
    assert (found.status, found.err) == (0, "")
    assert keys <= set(json.loads(found.out))


@pytest.mark.parametrize(
    "words",
    [
        ["evaluate", "no-such-job.toml"],
        ["evaluate", MISTAKES],
        ["evaluate"],
        ["report", "no-such-job.toml", "-o", "x.pdf"],
        ["report", EXAMPLE],
        ["report", EXAMPLE, "-o", "no/such/folder/x.pdf"],
        ["report", EXAMPLE, "--csv", "no/such/folder/x.csv"],
        ["report", EXAMPLE, "-o", "report.txt"],
        ["report", EXAMPLE, "-o", "report.pdf", "--csv", "table"],
        ["verify", "no-such-report.pdf"],
        ["verify", EXAMPLE],
        ["clause", "no-such-clause.txt"],
        ["clause", "/dev/null"],
        ["limits", "50 mg/m2", "--quantity", "nacl_equivalent_per_area"],
        ["limits", "50 mg/m2"],
        ["limits", "50 uS/cm2", "--quantity", "extract_conductivity"],
        ["counts", "often", "300 m2"],
        ["counts", "per-100-then-200"],
        ["counts", "per-100-then-200", "300"],
        ["counts", "no-such-job.toml"],
        ["salts", EXAMPLE],
        ["salts", EXAMPLE, "T2"],
        ["salts", EXAMPLE, "T99"],
        ["salts", "11.3"],
        ["salts", "11.3 uS/cm", "--area", "1250 mm2"],
        ["methods", "no-such-method"],
        ["demo", "--examples", "no/such/folder"],
        ["no-such-command"],
        ["evaluate", EXAMPLE, "--no-such-option"],
    ],
    ids=lambda words: " ".join(words).replace(f"{ROOT}/", ""),
)
def test_what_cannot_be_used_is_said_on_standard_error(ran, words):
    people, program = ran(*words), ran(*words, "--json")
    assert (people.status, program.status) == (2, 2)
    assert (people.out, program.out) == ("", "")
    assert all(set(fault) == {"code", "place", "params", "message"} and fault["message"] for fault in program.errors)
    assert len(people.err.splitlines()) == len(program.errors)  # one message per fault
    assert all(line.startswith("brackish: ") for line in people.err.splitlines())
    assert all(fault["message"] in people.err for fault in program.errors)
    assert "Traceback" not in people.err + program.err


def test_all_faults_of_a_file_are_said_at_once(ran):
    assert len(ran("evaluate", MISTAKES, "--json").errors) > 3


@pytest.mark.parametrize(("reading", "status"), [("9.1 uS/cm", 0), ("40.0 uS/cm", 1)])
def test_require_pass_is_the_exit_status(ran, tmp_path, reading, status):
    file = tmp_path / "job.json"
    file.write_text(json.dumps(job(facts__reading=[reading])))
    assert ran("evaluate", str(file)).status == 0
    assert ran("evaluate", str(file), "--require-pass").status == status
    assert ran("report", str(file), "-o", str(tmp_path / "x.pdf"), "--require-pass").status == status


def test_report_into_a_missing_folder_leaves_nothing(ran, tmp_path):
    assert ran("report", EXAMPLE, "-o", str(tmp_path / "none" / "x.pdf")).status == 2
    assert list(tmp_path.iterdir()) == []


def test_verify_finds_a_report_consistent_with_itself(ran, report):
    found = ran("verify", str(report), "--json")
    answer = json.loads(found.out)
    assert found.status == 0 and answer["consistent"] is True
    assert ran("verify", str(report), "--code", answer["code"]).status == 0
    assert ran("verify", str(report), "--code", "0000000000000000").status == 1
    assert too_wide(ran("verify", str(report)).out) == []


def test_verify_finds_one_changed_byte(ran, report):
    data = bytearray(report.read_bytes())
    place = data.rindex(b"Pell")
    data[place] ^= 1
    report.write_bytes(data)
    found = ran("verify", str(report), "--json")
    assert found.status in (1, 2)
    assert found.status == 2 or json.loads(found.out)["consistent"] is False


@pytest.mark.parametrize("data", [b"", b"rubbish", b"%PDF-1.7\nrubbish", b"\x00" * 4096])
def test_verify_refuses_rubbish(ran, tmp_path, data):
    file = tmp_path / "rubbish.pdf"
    file.write_bytes(data)
    found = ran("verify", str(file), "--json")
    assert found.status == 2 and found.errors[0]["code"].startswith("record.")


def test_clause_reads_standard_input_and_a_file_alike(ran, clause, monkeypatch):
    from_file = ran("clause", clause, "--json").out
    for words in (["clause", "--json"], ["clause", "-", "--json"]):
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(CLAUSE.encode())))
        assert ran(*words).out == from_file
    assert set(json.loads(from_file)) == {"format", "requirements", "traps", "questions", "not_understood"}


def test_clause_begins_a_job_file_that_evaluate_reads(ran, clause, tmp_path):
    draft = tmp_path / "draft.toml"
    assert ran("clause", clause, "-o", str(draft)).status == 0
    criterion = tomllib.loads(draft.read_text())["specification"][0]["criterion"][0]
    assert criterion["limit"] == "50 mg/m2" and criterion["quantity"] == "nacl_equivalent_per_area"
    assert ran("evaluate", str(draft)).status == 0


def test_clause_refuses_what_is_no_text(ran, tmp_path):
    file = tmp_path / "clause.doc"
    file.write_bytes(b"\xd0\xcf\x11\xe0")
    assert ran("clause", str(file), "--json").errors[0]["code"] == "input.not_a_text"


def test_demo_writes_a_report_of_every_job_it_can_read(ran, tmp_path):
    small = tmp_path / "examples"
    small.mkdir()
    (small / "one.toml").write_bytes((ROOT / "examples" / "footbridge.toml").read_bytes())
    (small / "two.toml").write_text("format = 3")
    found = ran("demo", "--reports", "--examples", str(small), "-o", str(tmp_path / "out"))
    assert found.status == 0 and "Refused" in found.out
    assert f"see: brackish evaluate {small / 'two.toml'}" in found.out  # as it can be typed here
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["one.pdf"]


def test_a_failing_program_says_so_without_a_traceback(ran, monkeypatch):
    monkeypatch.delenv("BRACKISH_TRACEBACK", raising=False)
    monkeypatch.setattr("brackish.cli.methods.run", lambda options: 1 // 0)
    found = ran("methods", "--json")
    assert found.status == 3 and found.errors[0]["code"] == "program.failed"


def test_the_module_is_the_command():
    found = subprocess.run([sys.executable, "-m", "brackish", "methods", "--json"], capture_output=True, text=True, cwd=ROOT)
    assert found.returncode == 0 and len(json.loads(found.stdout)["methods"]) == len(method_ids())


def test_a_reader_that_goes_away_is_no_fault():
    found = subprocess.run(f"{sys.executable} -m brackish methods patch-conductivity | head -1", shell=True, capture_output=True, text=True, cwd=ROOT)
    assert (found.returncode, found.stderr) == (0, "")


def test_over_the_limit_but_accepted_is_never_marked_as_a_pass(ran):
    found = ran("evaluate", str(ROOT / "examples" / "waters.toml")).out.splitlines()
    assert found[0] == "◎ ACCEPTED BY AGREED RULE"
    assert found[found.index("◎ town, washing") + 1].strip() == "Accepted by agreed rule, 1 test"
    assert any(line.strip().startswith("◎ washing: Over the limit") for line in found)
    assert not any(line.startswith("●") and "town" in line for line in found)


def test_card_with_an_uncertainty_leads_with_the_guarded_reading(ran):
    said = " ".join(ran(*LIMITS, "--uncertainty", "1 mg/m2").out.split())
    assert said.startswith("Your meter may show at most 14.0 µS/cm with your blank of 1.2 µS/cm to pass by a guarded rule; 14.6 µS/cm is the limit itself.")


def test_card_of_a_tube_promises_no_more_than_its_blank_leaves_open(capsys):
    main(["limits", "7 ug/cm2", "--quantity", "chloride_per_area", "--solution-volume", "10 mL", "--area", "10 cm2", "--blank", "1 mg/L"])
    said = " ".join(capsys.readouterr().out.split())
    assert "0.27 mg/L can be told from the blank" in said and "its first mark must stand well below the limit" in said


def test_test_that_does_not_count_says_so_beside_its_verdict(tmp_path, capsys):
    file = tmp_path / "job.json"
    file.write_text(json.dumps(job(test__purpose="pre-check")))
    main(["evaluate", str(file)])
    said = " ".join(capsys.readouterr().out.split())
    assert "round 1, pre-check, valid" in said and "guard band of 0.7 mg/m². Not counted." in said
