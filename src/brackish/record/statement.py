# SPDX-License-Identifier: MIT
"""What a signature stands under: the facts and the verdict as they were, named by one hash.

The hash is made of the job without its signatures and of the outcome, so that several people sign
one thing; whom only signing named (`x-signer`) stands outside it too. The outcome names the job it
judged by hash; here it names the job without signatures and signers.
"""

from __future__ import annotations

from brackish.record.canonical import sha256_of
from brackish.record.fold import SIGNER, Fold, Signature

Document = dict[str, object]


def unsigned(document: Document) -> Document:
    """A job document without its signatures."""
    return {key: value for key, value in document.items() if key != "signature"}


def statement_hash(*, job: Document, outcome: Document) -> str:
    """The `sha256:` of what is signed: a job and its outcome, whoever has signed it already."""
    bare = _without_signers(unsigned(job))
    return sha256_of({"job": bare, "outcome": {**outcome, "job_hash": sha256_of(bare)}})


def _without_signers(document: Document) -> Document:
    """A job document without the people whom nothing but their signature brought into it."""
    people = document.get("person")
    if not isinstance(people, list) or not any(_is_signer(row) for row in people):
        return document
    others = [row for row in people if not _is_signer(row)]
    return {key: value for key, value in document.items() if key != "person"} | ({"person": others} if others else {})


def _is_signer(person: object) -> bool:
    return isinstance(person, dict) and person.get(SIGNER) is True


def signed_text(*, person: str, role: str, hash: str) -> bytes:
    """The bytes under an Ed25519 signature: who, as what, signs which hash."""
    return "\n".join(("brackish-signature/1", person, role, hash)).encode("utf-8")


def fingerprint(*, key: str) -> str:
    """What people compare by eye: 16 hex digits in fours of the hash of a public key."""
    digits = sha256_of({"ed25519": key}).removeprefix("sha256:")[:16]
    return " ".join(digits[start : start + 4] for start in range(0, 16, 4))


def signed_document(state: Fold) -> Document:
    """The job document of a ledger, with the signatures that no later change has overtaken."""
    signatures = [_table(signature) for signature in state.signatures if signature.current]
    written = state.document.get("signature", [])
    if not signatures:
        return state.document
    return {**state.document, "signature": [*(written if isinstance(written, list) else []), *signatures]}


def _table(signature: Signature) -> Document:
    event = signature.event
    assert isinstance(event.value, list)
    _, person, role, hash_, key, sealed = event.value
    return {"person": person, "role": role, "at": event.made, "what": "the job and its outcome", "hash": hash_, "key": key, "signature": sealed}
