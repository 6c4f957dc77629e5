# SPDX-License-Identifier: MIT
"""Checking a report: what its seal, its code and its attachments prove, and what not.

A seal proves that a file agrees with itself, not who made it: anyone can seal another file. So the
job attached is judged again and, where the program is the same, the pages are set again. Who made
the report is shown by the code received on another way, or by a signature.
Next: `mark.py`, which makes code and seal.
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

from brackish.errors import BrackishError, SealBroken
from brackish.record.canonical import canonical_bytes
from brackish.report.mark import BLANK, MARK, PLACES, code_of
from brackish.report.render import made_by, render
from brackish.report.signatures import signature_checks

ATTACHMENTS = ("job.json", "outcome.json")
_SEAL = re.compile(MARK + rb"([0-9a-f]{64})")
_DIFFERENCES_NAMED = 5

Document = dict[str, Any]


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
        if checks[0]["ok"]:
            checks.append(_check("pages", *_set_again(data, reader)))
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
        self.made_by = ""
        self.faults: list[str] = []
        quiet = logging.getLogger("pypdf")
        level = quiet.level
        quiet.setLevel(logging.CRITICAL + 1)  # a damaged file is reported below, once
        try:
            reader = pypdf.PdfReader(io.BytesIO(data))
            self.job, self.outcome = (self._document(reader, name) for name in ATTACHMENTS)
            self.first_page = reader.pages[0].extract_text()
            self.made_by = str(reader.metadata.keywords if reader.metadata else "").rpartition("; ")[2]
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


def _set_again(data: bytes, reader: _Attached) -> tuple[bool, str]:
    """Whether the pages follow from what is attached: the same program sets them to the same bytes."""
    if reader.made_by != made_by(own_fonts=True):
        return True, f"not compared: {reader.made_by or 'what set them is not named'}, here is {made_by(own_fonts=True)}"
    try:
        same = render(job=reader.job or {}, outcome=reader.outcome or {}) == data
    except (BrackishError, KeyError, TypeError, ValueError, AttributeError) as fault:  # an outcome of any shape may be attached
        return False, f"what is attached cannot be set ({type(fault).__name__})"
    return same, "setting the pages again gives the same bytes" if same else "the pages do not follow from the job and outcome attached"


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
