# SPDX-License-Identifier: MIT
"""The seal finds every change, and says what it found without ever failing itself."""

from __future__ import annotations

import hashlib
import io
import json
import random
import re
from typing import Any

import pypdf
import pytest

from brackish.errors import RenderError, SealBroken
from brackish.report import mark, seal
from brackish.report.render import render
from tests.report.conftest import judged

Document = dict[str, Any]


def checks(data: bytes) -> dict[str, bool]:
    return {check["name"]: check["ok"] for check in seal.verify(data, evaluate=judged)["checks"]}


def test_untouched_report_is_consistent_and_judged_the_same(pdf: bytes, job: Document, outcome: Document) -> None:
    found = seal.verify(pdf, evaluate=judged)
    assert found["consistent"] is True
    assert [check["name"] for check in found["checks"]] == ["whole file", "attachments", "printed code", "judged again", "pages"]
    assert found["code"] == mark.code_of(job=job, outcome=outcome)
    assert outcome["engine"] in found["checks"][3]["detail"]


def test_code_is_the_hash_of_canonical_job_and_outcome() -> None:
    """By the definition, with hashlib and a canonical form written by hand."""
    digits = hashlib.sha256('{"job":{"a":"é"},"outcome":{"b":1}}'.encode()).hexdigest()
    assert mark.code_of(job={"a": "é"}, outcome={"b": 1}).replace(" ", "") == digits[:16]


def test_seal_is_the_hash_of_the_file_with_zeros_in_its_place(pdf: bytes) -> None:
    """By the definition, with hashlib: what another program would do to check a report."""
    hashes = set(re.findall(rb"seal-sha256-([0-9a-f]{64})", pdf))
    assert len(hashes) == 1
    written = hashes.pop()
    assert hashlib.sha256(pdf.replace(written, b"0" * 64)).hexdigest() == written.decode()


@pytest.mark.slow
def test_flipped_byte_anywhere_is_found(pdf: bytes) -> None:
    """A bit in each of 25 places, everywhere in the file, and in bytes of the seal and its mark."""
    places = random.Random(1).sample(range(len(pdf)), 25)
    first = pdf.index(b"seal-sha256-")
    for place in [*places, *range(first, first + 76, 15), len(pdf) - 1]:
        changed = bytearray(pdf)
        changed[place] ^= 1 << (place % 8)
        try:
            found = seal.verify(bytes(changed), evaluate=judged)
        except SealBroken:
            assert place < 5  # only a file that no longer begins as a PDF
            continue
        assert found["consistent"] is False
        assert found["checks"][0]["ok"] is False


@pytest.mark.parametrize("tail", [b"\n", b"%%EOF", b"x" * 1000])
def test_bytes_after_the_end_are_found(pdf: bytes, tail: bytes) -> None:
    assert checks(pdf + tail)["whole file"] is False


@pytest.mark.parametrize("keep", [0.1, 0.5])
def test_shortened_file_without_its_metadata_was_never_sealed(pdf: bytes, keep: float) -> None:
    with pytest.raises(SealBroken) as fault:
        seal.verify(pdf[: int(keep * len(pdf))], evaluate=judged)
    assert fault.value.code == "record.not_sealed"


def test_shortened_file_is_found(pdf: bytes) -> None:
    assert checks(pdf[:-1])["whole file"] is False
    assert checks(pdf[: len(pdf) * 97 // 100])["whole file"] is False


def test_other_outcome_sealed_anew_is_found_by_its_code_and_by_judging(pdf: bytes) -> None:
    """Who can change a report can also seal it; the printed code and the judging still tell."""
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    writer = pypdf.PdfWriter(clone_from=reader)
    forged = json.loads(reader.attachments["outcome.json"][0])
    forged["job"]["verdict"] = "pass"
    writer._root_object["/Names"]["/EmbeddedFiles"]  # the attachments are there
    for entry in writer.attachment_list:
        if entry.name == "outcome.json":
            entry.content = json.dumps(forged, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()
    out = io.BytesIO()
    writer.write(out)
    blank = re.sub(rb"seal-sha256-[0-9a-f]{64}", mark.BLANK, out.getvalue())
    found = checks(mark.sealed(blank)) if blank.count(mark.BLANK) == mark.PLACES else checks(blank)
    assert found["attachments"] is True
    assert found["printed code"] is False
    assert found["judged again"] is False


def test_pages_that_do_not_follow_from_what_is_attached_are_found(job: Document, outcome: Document) -> None:
    """Other pages over the same attachments, sealed anew: everything agrees but the pages."""
    data = render(job=job, outcome=outcome)
    places = [match.start() for match in re.finditer(rb"/Title", data)]
    changed = bytearray(re.sub(rb"seal-sha256-[0-9a-f]{64}", mark.BLANK, data))
    end = data.index(b"Footbridge", places[-1])
    changed[end : end + 4] = b"Xoot"  # a text of the file that is in no attachment
    found = checks(mark.sealed(bytes(changed)))
    assert found == {"whole file": True, "attachments": True, "printed code": True, "judged again": True, "pages": False}


def test_pages_of_another_program_are_not_compared(pdf: bytes) -> None:
    blank = re.sub(rb"seal-sha256-[0-9a-f]{64}", mark.BLANK, pdf)
    other = mark.sealed(re.sub(rb"set by brackish pages (.)", lambda match: b"set by brackish pages " + (b"9" if match[1] != b"9" else b"8"), blank))
    found = seal.verify(other, evaluate=judged)
    assert found["checks"][-1]["detail"].startswith("not compared: set by brackish pages 9")


@pytest.mark.parametrize("data", [b"", b"hello", b"%PDF-1.7\n%%EOF", b"\x00" * 5000, b"{}"], ids=["empty", "text", "bare PDF", "zeros", "JSON"])
def test_foreign_file_is_refused_with_a_reason(data: bytes) -> None:
    with pytest.raises(SealBroken) as fault:
        seal.verify(data, evaluate=judged)
    assert fault.value.code == "record.not_sealed"
    assert "Give the PDF as brackish wrote it" in str(fault.value)


def test_rubbish_with_a_seal_gets_checks_not_a_crash() -> None:
    found = seal.verify(b"%PDF-1.7\n" + mark.BLANK + b"\n" + mark.BLANK, evaluate=judged)
    assert found["consistent"] is False
    assert found["code"] == ""


def test_other_engine_names_what_differs(pdf: bytes, outcome: Document) -> None:
    def later(job: Document) -> Document:
        return judged(job) | {"engine": "9.9.9"}

    found = seal.verify(pdf, evaluate=later)
    detail = found["checks"][3]["detail"]
    assert found["consistent"] is False
    assert f"engine {outcome['engine']} then, 9.9.9 now" in detail
    assert 'engine: "' in detail


def test_text_of_a_person_cannot_stand_as_a_seal(job: Document) -> None:
    job["job"]["title"] = "seal-sha256-" + "0" * 64
    job["location"][0]["name"] = "seal-sha256-" + "f" * 64
    data = render(job=job, outcome=judged(job))
    assert data.count(b"seal-sha256-") == mark.PLACES
    assert seal.verify(data, evaluate=judged)["consistent"] is True


def test_file_without_a_place_for_the_seal_is_not_sealed() -> None:
    with pytest.raises(RenderError):
        mark.sealed(b"%PDF-1.7")
