# SPDX-License-Identifier: MIT
"""The seal of a report: what it proves, how it is set, how it is checked.

The metadata of the PDF carries `seal-sha256-` and the SHA-256 of the file as it is with zeros in
place of that hash, so any changed byte shows. The printed code names the job and outcome attached.
A seal proves that a file agrees with itself, not who made it: anyone can seal another file. Who
made it is shown by the code received on another way, or by a signature.
Next: `render.py`, which sets the seal.
"""

from __future__ import annotations

import hashlib
import io
import json
import logging
import re
from collections.abc import Callable
from typing import Any

import pypdf

from brackish.errors import BrackishError, RenderError, SealBroken
from brackish.record.canonical import canonical_bytes, sha256_of
from brackish.report.signatures import signature_checks

MARK = b"seal-sha256-"
BLANK = MARK + b"0" * 64
PLACES = 2  # the document information and the XMP metadata, which PDF/A wants equal
ATTACHMENTS = ("job.json", "outcome.json")
_SEAL = re.compile(MARK + rb"([0-9a-f]{64})")
_DIFFERENCES_NAMED = 5

Document = dict[str, Any]


def code_of(*, job: Document, outcome: Document) -> str:
    """The printed code: 16 hex digits in fours, from the SHA-256 of canonical `{"job": …, "outcome": …}`."""
    digits = sha256_of({"job": job, "outcome": outcome}).removeprefix("sha256:")[:16]
    return " ".join(digits[start : start + 4] for start in range(0, 16, 4))


def sealed(pdf: bytes) -> bytes:
    """The file with the hash of itself in place of the zeros."""
    if pdf.count(BLANK) != PLACES or pdf.count(MARK) != PLACES:
        raise RenderError("render.failed", detail=f"the place of the seal stands {pdf.count(MARK)} times in the file, not {PLACES}")
    return pdf.replace(BLANK, MARK + hashlib.sha256(pdf).hexdigest().encode("ascii"))


def verify(data: bytes, *, evaluate: Callable[[Document], Document]) -> Document:
    """Whether a report is consistent with itself, and whether judging again gives the same.

    Parameters
    ----------
    data : bytes
        The whole file.
    evaluate : function
        Job document to outcome document, by this program.

    Returns
    -------
    document
        `{"consistent", "checks": [{"name", "ok", "detail"}], "code"}`; the code is made from what is
        attached, and is empty when that cannot be read. A file that never had a seal raises `SealBroken`.

    """
    seals = _SEAL.findall(data)
    if not data.startswith(b"%PDF-") or not seals:
        detail = "it is not a PDF" if not data.startswith(b"%PDF-") else "there is no seal in its metadata"
        raise SealBroken("record.not_sealed", given="The file", detail=detail)
    checks = [_check("whole file", *_whole_file(data, seals))]
    reader = _Attached(data)
    checks.append(_check("attachments", not reader.faults, "; ".join(reader.faults) or "job.json and outcome.json are there, in canonical form"))
    code = ""
    if reader.job is not None and reader.outcome is not None:
        code = code_of(job=reader.job, outcome=reader.outcome)
        checks.append(_check("printed code", *_printed_code(reader.first_page, code)))
        checks.append(_check("judged again", *_judged_again(reader.job, reader.outcome, evaluate)))
        checks += signature_checks(job=reader.job, outcome=reader.outcome)
    return {"consistent": all(check["ok"] for check in checks), "checks": checks, "code": code}


def _check(name: str, ok: bool, detail: str) -> Document:
    return {"name": name, "ok": ok, "detail": detail}


def _whole_file(data: bytes, seals: list[bytes]) -> tuple[bool, str]:
    if len(seals) != PLACES or len(set(seals)) != 1:
        return False, f"the seal should stand {PLACES} times, the same each time; the metadata was changed"
    written = seals[0].decode("ascii")
    found = hashlib.sha256(_SEAL.sub(BLANK, data)).hexdigest()
    if found == written:
        return True, f"no byte was changed since the seal {written[:16]} was set"
    return False, f"the file was changed after it was sealed: its hash is {found[:16]}, the seal says {written[:16]}"


class _Attached:
    """Job, outcome and first page of a file that may be damaged in any way."""

    def __init__(self, data: bytes) -> None:
        self.job: Document | None = None
        self.outcome: Document | None = None
        self.first_page = ""
        self.faults: list[str] = []
        quiet = logging.getLogger("pypdf")
        level = quiet.level
        quiet.setLevel(logging.CRITICAL + 1)  # a damaged file is reported below, once
        try:
            reader = pypdf.PdfReader(io.BytesIO(data))
            self.job, self.outcome = (self._document(reader, name) for name in ATTACHMENTS)
            self.first_page = reader.pages[0].extract_text()
        except Exception as fault:  # pypdf raises errors of every kind on damaged files
            self.faults.append(f"the PDF cannot be read ({type(fault).__name__})")
        finally:
            quiet.setLevel(level)

    def _document(self, reader: pypdf.PdfReader, name: str) -> Document | None:
        found = reader.attachments.get(name, [])
        if len(found) != 1:
            self.faults.append(f"{name} is there {len(found)} times, not once")
            return None
        try:
            document = json.loads(found[0])
            if isinstance(document, dict) and canonical_bytes(document) == found[0]:
                return document
        except (ValueError, RecursionError):
            pass
        self.faults.append(f"{name} is not in canonical form")
        return None


def _printed_code(first_page: str, code: str) -> tuple[bool, str]:
    if code in first_page.replace("\u00a0", " "):
        return True, f"page one prints {code}, the code of the job and outcome attached"
    return False, f"the job and outcome attached have the code {code}, which page one does not print"


def _judged_again(job: Document, outcome: Document, evaluate: Callable[[Document], Document]) -> tuple[bool, str]:
    try:
        again = evaluate(job)
    except BrackishError as fault:
        return False, f"this program cannot judge the job attached: {fault}"
    engines = f"engine {outcome.get('engine', 'not named')} then, {again.get('engine', 'not named')} now"
    if canonical_bytes(again) == canonical_bytes(outcome):
        return True, f"judging again gives the same bytes ({engines})"
    return False, f"judging again gives another outcome ({engines}): {_differences(outcome, again)}"


def _differences(then: object, now: object) -> str:
    found: list[str] = []
    _collect(then, now, "", found)
    more = f" and {len(found) - _DIFFERENCES_NAMED} more" if len(found) > _DIFFERENCES_NAMED else ""
    return "; ".join(found[:_DIFFERENCES_NAMED]) + more


def _collect(then: object, now: object, place: str, found: list[str]) -> None:
    if isinstance(then, dict) and isinstance(now, dict):
        for key in sorted(then.keys() | now.keys()):
            _collect(then.get(key), now.get(key), f"{place}.{key}" if place else key, found)
    elif isinstance(then, list) and isinstance(now, list) and len(then) == len(now):
        for index, (old, new) in enumerate(zip(then, now, strict=True)):
            _collect(old, new, f"{place}[{index}]", found)
    elif then != now:
        found.append(f"{place}: {_short(then)} then, {_short(now)} now")


def _short(value: object) -> str:
    text = json.dumps(value, ensure_ascii=False)
    return text if len(text) <= 60 else f"{text[:57]}..."
