# SPDX-License-Identifier: MIT
"""The one way a document becomes bytes, and the hash that names it.

Keys sorted, no spaces, UTF-8, nothing escaped that need not be: the same document gives the same
bytes on every interpreter, so a hash can stand for it in a report for twenty years.
"""

from __future__ import annotations

import hashlib
import json

_ENCODER = json.JSONEncoder(sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def canonical_bytes(document: object) -> bytes:
    """The canonical JSON of a document of texts, numbers, truth values, lists and tables.

    Not-a-number and infinity are refused: they are no JSON, and no result of ours.
    """
    return _ENCODER.encode(document).encode("utf-8")


def sha256_of(document: object) -> str:
    """`sha256:` and the hash of a document's canonical form."""
    return "sha256:" + hashlib.sha256(canonical_bytes(document)).hexdigest()
