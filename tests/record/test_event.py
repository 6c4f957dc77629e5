# SPDX-License-Identifier: MIT
"""One event: its canonical form, its hash, its faults; the same in JavaScript."""

from __future__ import annotations

import copy
import hashlib
import json
import shutil
import subprocess
from pathlib import Path

import pytest

from brackish.errors import BrackishError, FormatTooNew, InputError, InputFaults, NotCanonical
from brackish.record.event import make_event, read_event, read_ledger, write_ledger

HERE = Path(__file__).parent
VECTORS = json.loads((HERE / "vectors.json").read_text(encoding="utf-8"))
EVENT_JS = HERE.parents[1] / "src/brackish/web/static/brackish/event.js"
JOB = "0b0e6a52-6d0e-4b57-9d5e-6f2f4f0f7a11"
GOOD = {
    "format": "brackish-event/1",
    "id": "11111111-1111-4111-8111-111111111111",
    "job": JOB,
    "device": "phone of T. Abell",
    "seq": 1,
    "prev": "",
    "author": "tester-a",
    "made": "2026-03-04T10:49:00+00:00",
    "kind": "set",
    "path": ["test", "T10", "facts", "reading"],
    "value": ["12.3 uS/cm"],
    "reason": "",
    "base": [],
}


def changed(**fields: object) -> dict[str, object]:
    document = {**copy.deepcopy(GOOD), **fields}
    return {key: value for key, value in document.items() if value is not ...}


def test_hash_is_sha256_of_sorted_json_written_by_hand():
    text = (
        '{"author":"tester-a","base":[],"device":"phone of T. Abell","format":"brackish-event/1","id":"11111111-1111-4111-8111-111111111111",'
        '"job":"0b0e6a52-6d0e-4b57-9d5e-6f2f4f0f7a11","kind":"set","made":"2026-03-04T10:49:00+00:00","path":["test","T10","facts","reading"],'
        '"prev":"","reason":"","seq":1,"value":["12.3 uS/cm"]}'
    )
    event = read_event(GOOD)
    assert event.data == text.encode()
    assert event.hash == "sha256:" + hashlib.sha256(text.encode()).hexdigest()
    assert event.to_dict() == GOOD


FAULTS = {
    "no id": ({"id": ...}, "input.missing_key", "id"),
    "unknown key": ({"colour": "red"}, "input.unknown_key", "colour"),
    "id in capitals": ({"id": "1111111A-1111-4111-8111-111111111111"}, "input.wrong_type", "id"),
    "job is no UUID": ({"job": "the bridge"}, "input.wrong_type", "job"),
    "seq is zero": ({"seq": 0}, "input.wrong_type", "seq"),
    "seq is true": ({"seq": True}, "input.wrong_type", "seq"),
    "second without prev": ({"seq": 2}, "event.chain", "prev"),
    "first with prev": ({"prev": "sha256:" + "0" * 64}, "event.chain", "prev"),
    "prev is no hash": ({"prev": "0" * 64, "seq": 2}, "input.wrong_type", "prev"),
    "time without offset": ({"made": "2026-03-04T10:49:00"}, "input.wrong_type", "made"),
    "day that is not": ({"made": "2026-02-30T10:49:00+00:00"}, "input.wrong_type", "made"),
    "unknown kind": ({"kind": "erase"}, "input.wrong_type", "kind"),
    "kind is a list": ({"kind": []}, "input.wrong_type", "kind"),
    "float": ({"value": 12.3}, "input.wrong_type", "value"),
    "float in a list": ({"value": ["1", [2.0]]}, "input.wrong_type", "value"),
    "null": ({"value": None}, "input.wrong_type", "value"),
    "table": ({"value": {"a": 1}}, "input.wrong_type", "value"),
    "integer of 2^53": ({"value": 2**53}, "input.wrong_type", "value"),
    "control character": ({"value": "a\x00b"}, "input.wrong_type", "value"),
    "half a character": ({"value": "a\ud800b"}, "input.wrong_type", "value"),
    "empty path": ({"path": []}, "input.wrong_type", "path"),
    "empty name in path": ({"path": ["test", ""]}, "input.wrong_type", "path"),
    "path too deep": ({"path": ["x"] * 17}, "input.wrong_type", "path"),
    "another id than the path": ({"path": ["test", "T10", "id"], "value": "T11"}, "event.id_renamed", "value"),
    "base not sorted": ({"base": [GOOD["job"], "00000000-0000-4000-8000-000000000000"]}, "input.wrong_type", "base"),
    "base twice": ({"base": [GOOD["job"]] * 2}, "input.wrong_type", "base"),
    "sees itself": ({"base": [GOOD["id"]]}, "event.base", "base"),
    "withdrawal without reason": ({"kind": "withdraw", "value": ..., "reason": " "}, "event.reason_missing", "reason"),
    "withdrawal with value": ({"kind": "withdraw", "reason": "slip"}, "input.unknown_key", "value"),
    "file elsewhere": ({"kind": "attach", "value": ["a.jpg", "0" * 64, "image/jpeg", 12]}, "event.path", "path"),
    "file without size": ({"kind": "attach", "path": ["test", "T10", "photos", "#1"], "value": ["a.jpg", "0" * 64, "image/jpeg"]}, "input.wrong_type", "value"),
    "signature elsewhere": ({"kind": "sign", "value": ["ed25519", "ines", "inspector", "sha256:" + "0" * 64, "0" * 64, "0" * 128]}, "event.path", "path"),
    "signature half": (
        {"kind": "sign", "path": ["signature", "#1"], "value": ["ed25519", "ines", "inspector", "sha256:" + "0" * 64, "0" * 64, "0" * 127]},
        "input.wrong_type",
        "value",
    ),
}


@pytest.mark.parametrize("name", FAULTS)
def test_fault_is_named_with_its_place(name):
    fields, code, place = FAULTS[name]
    with pytest.raises(InputFaults) as raised:
        read_event(changed(**fields))
    assert [(fault.code, fault.place) for fault in raised.value.faults] == [(code, place)]
    assert all(fault.message for fault in raised.value.faults)


def test_all_faults_come_at_once():
    with pytest.raises(InputFaults) as raised:
        read_event(changed(id="x", seq=-1, value=1.5, colour="red"))
    assert sorted(fault.place for fault in raised.value.faults) == ["colour", "id", "seq", "value"]


def test_event_of_ten_megabytes_is_refused():
    with pytest.raises(InputError) as raised:
        read_event(changed(value="x" * 10_000_000))
    assert raised.value.code == "event.too_large"


def test_later_format_is_named():
    with pytest.raises(FormatTooNew):
        read_event(changed(format="brackish-event/2"))
    with pytest.raises(InputError):
        read_event(changed(format="something else"))


@pytest.mark.parametrize("rubbish", [None, 3, [], "text", {}, {"format": []}])
def test_rubbish_is_an_input_error(rubbish):
    with pytest.raises(BrackishError):
        read_event(rubbish)


def test_ledger_file_comes_back_byte_for_byte():
    first = read_event(GOOD)
    second = make_event(job=JOB, device=first.device, author="tester-a", made=first.made, kind="withdraw", path=first.path, reason="slip", after=first)
    data = write_ledger([first, second])
    assert write_ledger(read_ledger(data)) == data
    assert data.count(b"\n") == 2


@pytest.mark.parametrize(
    "change",
    [
        lambda line: line.replace(b",", b", ", 1),
        lambda line: line.replace(b"phone", b"\\u0070hone"),
        lambda line: line.replace(b'"reason":""', b'"reason":"","reason":""'),
        lambda line: b"{" + line[1:-1].split(b",", 1)[1] + b"," + line[1:].split(b",", 1)[0] + b"}",
        lambda line: line[:40],
        lambda line: b"[" * 100_000,
        lambda line: b"\xff" + line,
    ],
)
def test_line_that_is_not_canonical_is_refused_with_its_number(change):
    line = read_event(GOOD).data
    with pytest.raises(InputFaults) as raised:
        read_ledger(line + b"\n" + change(line) + b"\n")
    assert isinstance(raised.value.faults[0], NotCanonical)
    assert raised.value.faults[0].place == "line 2"


def test_ledger_cut_short_is_noticed():
    with pytest.raises(InputFaults):
        read_ledger(read_event(GOOD).data)


def test_same_words_make_the_same_id():
    once, again = (make_event(job=JOB, device="d", author="a", made=GOOD["made"], kind="set", path=["job", "title"], value="x") for _ in range(2))
    assert once == again
    other = make_event(job=JOB, device="d", author="a", made=GOOD["made"], kind="set", path=["job", "title"], value="y")
    assert other.id != once.id


@pytest.mark.parametrize("vector", VECTORS, ids=lambda vector: vector["name"])
def test_vector_has_its_canonical_text_and_hash(vector):
    event = read_event(vector["event"])
    assert event.data.decode() == vector["canonical"]
    assert event.hash == vector["hash"]


def test_javascript_gives_the_same_text_and_hash():
    node = shutil.which("node")
    if node is None:
        pytest.skip("node is not installed: the browser's twin of the event was not run")
    program = f"""
        import {{ canonical, hashOf, makeEvent }} from {json.dumps(EVENT_JS.as_uri())};
        import {{ readFileSync }} from "node:fs";
        const answers = [];
        for (const {{ event }} of JSON.parse(readFileSync({json.dumps(str(HERE / "vectors.json"))}, "utf8"))) {{
          const {{ id, format, ...words }} = event;
          answers.push([canonical(event), await hashOf(event), (await makeEvent(words)).id]);
        }}
        let refused = 0;
        for (const value of [1.5, null, 2 ** 53, "\\ud800", {{ a: undefined }}, NaN]) {{
          try {{ canonical({{ value }}); }} catch {{ refused += 1; }}
        }}
        console.log(JSON.stringify([answers, refused]));
    """
    done = subprocess.run([node, "--input-type=module", "-e", program], capture_output=True, text=True, timeout=60)
    assert done.returncode == 0, done.stderr
    answers, refused = json.loads(done.stdout)
    for vector, (text, digest, made_id) in zip(VECTORS, answers, strict=True):
        assert (text, digest) == (vector["canonical"], vector["hash"]), vector["name"]
        assert made_id == vector["made_id"], vector["name"]
    assert refused == 6


@pytest.mark.parametrize(
    "text", ["{{{", "NaN", "1e999", '"\\ud800"', "[" * 900 + "]" * 900, "[" * 20_000, "9" * 6_000, "5", '"acceptance"', '["a"]', '{"a": 1}', 5]
)
def test_what_stands_under_json_is_what_no_plain_value_holds(text):
    """Such an event would make its job unreadable for ever, or write past a rule about the path above it."""
    with pytest.raises(InputFaults) as raised:
        read_event(changed(path=["job", "x-note", "=json"], value=text))
    assert [fault.place for fault in raised.value.faults] == ["value"]


@pytest.mark.parametrize("path", [["job", "=json", "x"], ["test", "a\nb", "id"], ["test", "a\tb", "item"]])
def test_names_of_a_path_stand_on_one_line_and_json_at_its_end(path):
    with pytest.raises(InputFaults) as raised:
        read_event(changed(path=path, value="x"))
    assert [fault.place for fault in raised.value.faults] == ["path"]


def test_faults_of_what_is_no_ledger_come_to_an_end():
    with pytest.raises(InputFaults) as raised:
        read_ledger(b"\n" * 100_000)
    assert len(raised.value.faults) == 100
