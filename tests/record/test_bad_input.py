# SPDX-License-Identifier: MIT
"""Input that cannot be used: exit 2, one message a fault with its place, no traceback, nothing written."""

from __future__ import annotations

import json
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

import brackish
from brackish.cli.main import main
from brackish.errors import BrackishError, faults_of
from brackish.record.document import parse_document
from tests.judge.jobs import CONTRACT_JOB, job


def refused(document: Any) -> list[tuple[str, str]]:
    """Code and place of every fault; each has a whole sentence."""
    with pytest.raises(BrackishError) as caught:
        brackish.evaluate(document)
    assert caught.value.exit_status == 2
    faults = faults_of(caught.value)
    assert all(fault.message and "{" not in fault.message.split("Given")[0] for fault in faults)
    return [(fault.code, fault.place) for fault in faults]


FAULTS = [
    ({"facts__reading": ["9.1"]}, "quantity.bare_number", "test[T1].facts.reading"),
    ({"facts__reading": [9]}, "input.number_without_unit", "test[T1].facts.reading"),
    ({"facts__reading": []}, "input.wrong_type", "test[T1].facts.reading"),
    ({"facts__reading": ["-1 uS/cm"]}, "input.negative", "test[T1].facts.reading"),
    ({"facts__reading": ["9.1 uS/cm2"]}, "quantity.impossible_unit", "test[T1].facts.reading"),
    ({"facts__reading": ["9.1 mg/L"]}, "quantity.wrong_dimension", "test[T1].facts.reading"),
    ({"facts__reading": ["9.1 furlongs"]}, "quantity.unknown_unit", "test[T1].facts.reading"),
    ({"facts__reading": ["9,1 uS/cm"]}, "quantity.comma", "test[T1].facts.reading"),
    ({"facts__reading": ["1,250 uS/cm"]}, "quantity.comma", "test[T1].facts.reading"),
    ({"facts__reading": ["<,5 uS/cm"]}, "quantity.comma", "test[T1].facts.reading"),
    ({"facts__reading": ["nan uS/cm"]}, "quantity.not_a_number", "test[T1].facts.reading"),
    ({"facts__reading": ["inf uS/cm"]}, "quantity.not_a_number", "test[T1].facts.reading"),
    ({"facts__reading": ["1e400 uS/cm"]}, "quantity.too_many_digits", "test[T1].facts.reading"),
    ({"facts__reading": ["1e99 uS/cm"]}, "quantity.too_many_digits", "test[T1].facts.reading"),
    ({"facts__solution_volume": "-10 mL"}, "input.not_positive", "test[T1].facts.solution_volume"),
    ({"facts__solution_volume": "0 mL"}, "input.not_positive", "test[T1].facts.solution_volume"),
    ({"facts__compartment_area": "0 mm2"}, "input.not_positive", "test[T1].facts.compartment_area"),
    ({"facts__volume_injected": "<3 mL"}, "quantity.bound_not_allowed", "test[T1].facts.volume_injected"),
    ({"facts__cycles": "6"}, "input.wrong_type", "test[T1].facts.cycles"),
    ({"facts__cycles": True}, "input.wrong_type", "test[T1].facts.cycles"),
    ({"facts__cycles": -1}, "input.out_of_range", "test[T1].facts.cycles"),
    ({"facts__liquid_lost": "no"}, "input.wrong_type", "test[T1].facts.liquid_lost"),
    ({"facts__returned_to": "cup"}, "input.not_one_of", "test[T1].facts.returned_to"),
    ({"facts__ph": "15"}, "input.out_of_range", "test[T1].facts.ph"),
    ({"facts__cycels": 6}, "input.unknown_fact", "test[T1].facts"),
    ({"test__facts": []}, "input.wrong_type", "test[T1].facts"),
    ({"test__method": "patch-conductivty"}, "method.unknown", "test[T1].method"),
    ({"test__colour": "blue"}, "input.unknown_key", "test[T1]"),
    ({"test__item": "deck"}, "input.unknown_reference", "test[T1].item"),
    ({"test__item": None}, "input.missing_key", "test[T1]"),
    ({"test__location": "L9"}, "input.unknown_reference", "test[T1].location"),
    ({"test__blank": "B9"}, "input.unknown_reference", "test[T1].blank"),
    ({"test__blank": ["B1", "B2"]}, "input.wrong_type", "test[T1].blank"),
    ({"test__equipment": ["balance"]}, "input.unknown_reference", "test[T1].equipment"),
    ({"test__retest_of": "T0"}, "input.unknown_reference", "test[T1].retest_of"),
    ({"test__retest_of": "T1"}, "input.retest", "test[T1].retest_of"),
    ({"test__round": 0}, "input.out_of_range", "test[T1].round"),
    ({"test__started": "4 March"}, "input.not_a_time", "test[T1].started"),
    ({"test__started": "2026-03-04T09:05:00"}, "input.not_a_time", "test[T1].started"),
    ({"test__determination": [{"reading": ["9 uS/cm"]}]}, "input.no_portions", "test[T1].determination"),
    ({"test__determination": "two"}, "input.wrong_type", "test[T1].determination"),
    ({"test__uncertainty": {"cell": {"standard_uncertainty": "1 mL"}}}, "input.unknown_key", "test[T1].uncertainty"),
    ({"test__uncertainty": {"reading": {}}}, "input.missing_key", "test[T1].uncertainty.reading"),
    ({"test__uncertainty": {"reading": {"standard_uncertainty": "0.1"}}}, "quantity.bare_number", "test[T1].uncertainty.reading"),
    ({"test__uncertainty": {"reading": {"standard_uncertainty": "-1 uS/cm"}}}, "input.negative", "test[T1].uncertainty.reading"),
    ({"test__uncertainty": {"temperature": {"standard_uncertainty": "1 degC"}}}, "quantity.wrong_dimension", "test[T1].uncertainty.temperature"),
    ({"test__uncertainty": {"reading": {"standard_uncertainty": "1 uS/cm", "degrees_of_freedom": 0}}}, "input.out_of_range", "test[T1].uncertainty.reading"),
    ({"blank__reading": ["1 uS/cm", "2 mg/L"]}, "quantity.wrong_dimension", "blank[B1].reading"),
    ({"blank__reading": []}, "input.wrong_type", "blank[B1].reading"),
    ({"blank__solution_volume": "0 mL"}, "input.not_positive", "blank[B1].solution_volume"),
    ({"blank__kind": "kit"}, "input.not_one_of", "blank[B1].kind"),
    ({"item__area": "-46 m2"}, "input.not_positive", "item[girder].area"),
    ({"equipment__accuracy": "one percent"}, "quantity.not_a_number", "equipment[meter].accuracy"),
    ({"equipment__resolution": "0 uS/cm"}, "input.not_positive", "equipment[meter].resolution"),
    ({"criterion__quantity": "salt"}, "input.not_one_of", "specification[paint-spec].criterion[steel].quantity"),
    ({"criterion__limit": "30 uS/cm2"}, "quantity.impossible_unit", "specification[paint-spec].criterion[steel].limit"),
    ({"criterion__limit": "30 uS/cm"}, "quantity.wrong_dimension", "specification[paint-spec].criterion[steel].limit"),
    ({"criterion__limit": "30 ppm"}, "quantity.ppm", "specification[paint-spec].criterion[steel].limit"),
    ({"criterion__guard_band": "wide"}, "input.not_one_of", "specification[paint-spec].criterion[steel].guard_band"),
    ({"criterion__level": "95"}, "quantity.bare_number", "specification[paint-spec].criterion[steel].level"),
    ({"criterion__level": "100 %"}, "input.out_of_range", "specification[paint-spec].criterion[steel].level"),
    ({"criterion__count": "enough"}, "input.not_a_count_rule", "specification[paint-spec].criterion[steel].count"),
    ({"criterion__count": "1 per 0 m2"}, "input.not_positive", "specification[paint-spec].criterion[steel].count"),
    ({"criterion__items": ["deck"]}, "input.unknown_reference", "criterion[steel].items"),
    ({"criterion__requirement": "none-such"}, "requirement.unknown", "specification[paint-spec].criterion[steel].requirement"),
    ({"job__id": "footbridge"}, "input.not_a_uuid", "job.id"),
]  # fmt: skip


def changed(changes: dict[str, Any]) -> dict[str, Any]:
    document = job()
    for path, value in changes.items():
        if path.startswith("job__"):
            document["job"][path.removeprefix("job__")] = value
            return document
    return job(**changes)


@pytest.mark.parametrize(("changes", "code", "place"), FAULTS, ids=lambda value: value if isinstance(value, str) else None)
def test_fault_is_said_once_with_its_place(changes, code, place):
    found = refused(changed(changes))
    assert len(found) == 1, found
    assert found[0][0] == code
    assert found[0][1].startswith(place)


def check(**changes: Any) -> dict[str, Any]:
    return {"at": "2026-03-04T07:40:00+00:00", "solution": "KCl 0.001 mol/L", "reading": "147 uS/cm", **changes}


@pytest.mark.parametrize(("changes", "code"), [
    ({"solution": "salt water"}, "science.standard_solution"),
    ({"solution": "KCl 0.001 mg/L"}, "quantity.wrong_dimension"),
    ({"reading": "0 uS/cm"}, "input.not_positive"),
    ({"bottle": "kcl"}, "input.unknown_reference"),
    ({"by": "nobody"}, "input.unknown_reference"),
])  # fmt: skip
def test_verification_that_cannot_be_read_is_refused(changes, code):
    found = refused(job(equipment__verification=[check(**changes)]))
    assert [fault[0] for fault in found] == [code]
    assert found[0][1].startswith("equipment[meter].verification")


@pytest.mark.parametrize("id", [["T1"], {"T1": "T1"}, 3, True, None], ids=repr)
@pytest.mark.parametrize("kind", ["test", "item", "location", "blank", "equipment"])
def test_id_that_is_no_text_is_refused(kind, id):
    document = job()
    document[kind][0]["id"] = id
    assert "input.wrong_type" in [fault[0] for fault in refused(document)]


def test_same_id_twice_is_refused():
    for kind in ("test", "item", "location", "blank", "equipment"):
        document = job()
        document[kind].append(dict(document[kind][0]))
        assert ("input.duplicate_id", f"{kind}[{document[kind][0]['id']}]") in refused(document)


def test_retest_that_is_earlier_is_refused():
    document = job()
    document["test"].append(
        {**document["test"][0], "id": "T2", "round": 2, "retest_of": "T1", "read_at": "2026-03-04T08:00:00+00:00", "started": "2026-03-04T07:50:00+00:00"}
    )
    assert refused(document) == [("input.retest", "test[T2].retest_of")]


def test_location_of_another_item_is_refused():
    document = job()
    document["item"].append({"id": "deck", "kind": "steel"})
    document["location"][0]["item"] = "deck"
    assert refused(document) == [("input.wrong_kind", "test[T1].location")]


def test_all_faults_are_said_at_once():
    document = job(facts__reading=["9.1"], facts__solution_volume="0 mL", test__item="deck", criterion__level="95", blank__kind="kit")
    assert len(refused(document)) == 5


def test_unknown_key_is_refused_unless_it_begins_with_x():
    assert refused(job() | {"colour": "blue"}) == [("input.unknown_key", "")]
    assert brackish.evaluate(job() | {"x-colour": "blue"}).verdict == "pass"


@pytest.mark.parametrize("value", [1.5, float("nan"), float("inf"), 2**60, None, b"x", {1: "a"}, {1: "a", "b": "c"}, "\ud800", {"\ud800": "a"}, object()])
def test_value_that_no_document_can_hold_is_refused_even_under_x(value):
    assert refused(job() | {"x-mine": value})[0][1].startswith("x-mine")


@pytest.mark.parametrize("document", [[], "", 7, None, {}, {"format": "brackish-job/9"}, {"format": "other"}])
def test_what_is_no_job_is_refused(document, tmp_path):
    if not isinstance(document, dict):
        path = tmp_path / "job.json"
        path.write_text(json.dumps(document))
        document = path
    assert refused(document)


FILES = {
    "missing.toml": None,
    "empty.toml": b"",
    "rubbish.bin": bytes(range(256)) * 40,
    "null.json": b'{"format": "\0"}',
    "latin.toml": 'title = "Prüfung"'.encode("latin-1"),
    "open.json": b'{"format": "brackish-job/1"',
    "twice.json": b'{"format": "brackish-job/1", "format": "brackish-job/1"}',
    "nested.json": b'{"format": "brackish-job/1", "x": ' + b"[" * 5000 + b"]" * 5000 + b"}",
    "nested.toml": b"x = " + b"[" * 5000 + b"]" * 5000,
    "list.json": b"[]",
    "nothing.json": b"null",
    "nested-alone.json": b"[" * 5000 + b"]" * 5000,
    "nested-objects.json": b'{"a":' * 5000 + b"1" + b"}" * 5000,
    "huge.toml": b"# " + b"x" * 50_000_000,
    "nan.json": json.dumps(job() | {"x-a": float("nan")}).encode(),
    "1e400.json": json.dumps(job()).replace('"x-', '"x-').encode()[:-1] + b', "x-a": 1e400}',
    "1e400.toml": b"x-a = 1e400\n" + CONTRACT_JOB.encode(),
    "date.toml": b"x-day = 2026-03-04\n" + CONTRACT_JOB.encode(),
    "long-number.json": json.dumps(job()).encode()[:-1] + b', "x-a": ' + b"9" * 6000 + b"}",
}


@pytest.mark.parametrize("name", FILES)
@pytest.mark.parametrize("as_json", [False, True])
def test_file_that_cannot_be_used_ends_with_2_and_writes_nothing(name, as_json, tmp_path, capsys):
    path = tmp_path / name
    if FILES[name] is not None:
        path.write_bytes(FILES[name])
    before = sorted(tmp_path.iterdir())
    out = tmp_path / "report.pdf"
    assert main(["report", str(path), "-o", str(out)]) == 2
    capsys.readouterr()
    assert main(["evaluate", str(path), *(["--json"] if as_json else [])]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert "Traceback" not in said.err
    if as_json:
        assert all({"code", "place", "params", "message"} == error.keys() for error in json.loads(said.err)["errors"])
    else:
        assert said.err.startswith("brackish: ")
    assert sorted(tmp_path.iterdir()) == before


def test_folder_in_place_of_a_file_ends_with_2(tmp_path, capsys):
    assert main(["evaluate", str(tmp_path)]) == 2
    assert "no readable file" in capsys.readouterr().err


def test_nested_lists_in_a_document_are_refused():
    nested: list[Any] = []
    for _ in range(5000):
        nested = [nested]
    assert refused(job() | {"x-mine": nested}) == [("input.too_deep", "")]


def test_one_message_a_fault_for_people(tmp_path, capsys):
    path = tmp_path / "job.json"
    path.write_text(json.dumps(job(facts__reading=["9.1"], test__item="deck")))
    assert main(["evaluate", str(path)]) == 2
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) == 2
    assert all(line.startswith("brackish: test[T1]") for line in lines)


@pytest.mark.parametrize("name", ["rubbish.bin", "nested.toml"])
def test_a_process_of_its_own_says_the_same(name, tmp_path):
    path = tmp_path / name
    path.write_bytes(FILES[name] or b"")
    done = subprocess.run([sys.executable, "-m", "brackish", "evaluate", str(path)], capture_output=True, text=True, cwd=Path(__file__).parents[2] / "src")
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.count("\n") == 1
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("text", ["[]", "null", '"a job"'])
def test_json_file_is_read_as_json_whatever_it_begins_with(text, tmp_path):
    path = tmp_path / "job.json"
    path.write_text(text)
    assert refused(path) == [("input.wrong_type", "")]


def test_key_that_stands_twice_is_found_in_one_pass():
    pairs = ",".join(f'"a{number}":1' for number in range(40_000))
    started = time.process_time()
    with pytest.raises(BrackishError, match="the key 'a39999' stands twice"):
        parse_document(f'{{{pairs},"a39999":1}}'.encode(), name="job.json")
    assert time.process_time() - started < 5  # each key compared with all before it took a minute


@pytest.mark.parametrize(
    ("name", "data", "form"), [("job.json", b"oops", "JSON"), ("job.toml", b"oops", "TOML"), ("file", b"oops", "JSON or TOML"), ("file", b"{oops", "JSON")]
)
def test_file_that_cannot_be_read_is_named_as_what_it_may_be(name, data, form):
    with pytest.raises(BrackishError) as refused:
        parse_document(data, name=name)
    assert refused.value.params["form"] == form
