# SPDX-License-Identifier: MIT
"""Do the signatures in a report hold for the job and outcome attached to it? No server is asked.

A signature stands in the job's `signature` table with its public key. What it signs is named again
from the documents (`record/statement.py`), so a changed fact or verdict shows. Whose key it is, people
compare by its fingerprint, received on another way.
"""

from __future__ import annotations

from typing import Any

from brackish.record.statement import fingerprint, signed_text, statement_hash

Document = dict[str, Any]


def signature_checks(*, job: Document, outcome: Document) -> list[Document]:
    """One check `{"name", "ok", "detail", "key"}` for each signature that carries a key, which stands there by its fingerprint."""
    entries = [entry for entry in _tables(job, "signature") if entry.get("key")]
    digest = statement_hash(job=job, outcome=outcome) if entries else ""
    names = {str(row.get("id")): row.get("name") for row in _tables(job, "person")}
    return [_check(entry, digest, names) for entry in entries]


def _tables(job: Document, name: str) -> list[Document]:
    """The tables of a list in a job that may have any shape."""
    rows = job.get(name)
    return [row for row in rows if isinstance(row, dict)] if isinstance(rows, list) else []


def _check(entry: Document, digest: str, names: Document) -> Document:
    who, role, key = (str(entry.get(name, "")) for name in ("person", "role", "key"))
    print_of_key = fingerprint(key=key)
    holds, found = _found(entry, digest, key=key, text=signed_text(person=who, role=role, hash=digest))
    return {"name": f"signature of {who}", "ok": holds, "detail": f"{names.get(who) or who} as {role}, key {print_of_key}: {found}", "key": print_of_key}


def _found(entry: Document, digest: str, *, key: str, text: bytes) -> tuple[bool, str]:
    if entry.get("hash") != digest:
        return False, f"signed {str(entry.get('hash'))[:23]}, but what is attached is {digest[:23]}"
    holds = _holds(key=key, signature=str(entry.get("signature", "")), text=text)
    if holds is None:
        return False, "not checked, the package cryptography is not installed (brackish[web])"
    return holds, "signed exactly this job and outcome" if holds else "the signature does not fit the key"


def _holds(*, key: str, signature: str, text: bytes) -> bool | None:
    """Does the key's owner vouch for the text? None where nothing here can tell."""
    try:
        from cryptography.exceptions import InvalidSignature
        from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey
    except ImportError:
        return None
    try:
        Ed25519PublicKey.from_public_bytes(bytes.fromhex(key)).verify(bytes.fromhex(signature), text)
    except (InvalidSignature, ValueError):
        return False
    return True
