# SPDX-License-Identifier: MIT
"""The marks of a report: the printed code of its job and outcome, and the seal over the whole file.

The metadata of the PDF carries `seal-sha256-` and the SHA-256 of the file as it is with zeros in
place of that hash, so any changed byte shows.
Next: `seal.py`, which checks both.
"""

from __future__ import annotations

import hashlib
from typing import Any

from brackish.errors import RenderError
from brackish.record.canonical import canonical_bytes

MARK = b"seal-sha256-"
BLANK = MARK + b"0" * 64
PLACES = 2  # the document information and the XMP metadata, which PDF/A wants equal

Document = dict[str, Any]


def code_of(*, job: Document, outcome: Document) -> str:
    """The printed code: 16 hex digits in fours, from the SHA-256 of canonical `{"job": …, "outcome": …}`."""
    return code_of_texts(job=canonical_bytes(job), outcome=canonical_bytes(outcome))


def code_of_texts(*, job: bytes, outcome: bytes) -> str:
    """The same from the canonical form of both, for whoever has it at hand."""
    digits = hashlib.sha256(b'{"job":' + job + b',"outcome":' + outcome + b"}").hexdigest()[:16]
    return " ".join(digits[start : start + 4] for start in range(0, 16, 4))


def sealed(pdf: bytes) -> bytes:
    """The file with the hash of itself in place of the zeros."""
    if pdf.count(BLANK) != PLACES or pdf.count(MARK) != PLACES:
        raise RenderError("render.failed", detail=f"the place of the seal stands {pdf.count(MARK)} times in the file, not {PLACES}")
    return pdf.replace(BLANK, MARK + hashlib.sha256(pdf).hexdigest().encode("ascii"))
