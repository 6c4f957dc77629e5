# SPDX-License-Identifier: MIT
"""Roles and what they may do. Least rights by default: what is not listed is refused.

Other than owner and inspector, nobody writes what was agreed (specification, certificate): they write
what they found, and their own name. A trainee writes training tests only. Witness and client hold one job.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from brackish.errors import AccessError
from brackish.record.event import Event

MAY: dict[str, frozenset[str]] = {
    "read": frozenset({"owner", "inspector", "tester", "trainee", "reader", "witness", "client"}),
    "write": frozenset({"owner", "inspector", "tester", "trainee"}),
    "attach": frozenset({"owner", "inspector", "tester", "trainee"}),
    "create job": frozenset({"owner", "inspector"}),
    "sign": frozenset({"owner", "inspector", "tester", "witness"}),
    "export": frozenset({"owner", "inspector"}),
    "import": frozenset({"owner"}),
    "invite": frozenset({"owner"}),
    "audit": frozenset({"owner"}),
}
ASKED = {  # each action in words
    "read": "see this job",
    "write": "write into this job",
    "attach": "add files to this job",
    "create job": "make a job",
    "sign": "sign",
    "export": "take the whole record of a job away",
    "import": "bring the record of a job in",
    "invite": "see or change who is here",
    "audit": "see the log of this workspace",
}
WRITES: dict[str, frozenset[str] | None] = {  # role -> first names of the paths it may write; None: all
    "owner": None,
    "inspector": None,
    "tester": frozenset({"test", "blank", "location", "conditions", "equipment", "question", "reclean"}),
    "trainee": frozenset({"test"}),
}


def may(role: str | None, action: str) -> bool:
    """Does the table give this role this action?"""
    return role in MAY[action]


def not_allowed(role: str, action: str) -> AccessError:
    """Says what was asked for and whose it is."""
    return AccessError("access.not_allowed", role=role, action=action, asked=ASKED[action], allowed=sorted(MAY[action]))


def check_event(event: Event, *, role: str, author: str, purposes: Callable[[str], Sequence[object]]) -> None:
    """Raise where a person of this role may not write this event.

    `purposes` gives the purposes that were ever written for a test, for the trainee's rule.
    """
    if event.author != author:
        raise AccessError("event.author", place="author", given=event.author, wanted=author)
    if event.kind == "sign":
        raise AccessError("event.sign", place="kind")
    if _names_themself(event, author) and may(role, "write"):
        return
    allowed = WRITES.get(role, frozenset())
    if allowed is not None and event.path[0] not in allowed:
        raise AccessError("event.not_yours", place="path", given=event.path[0], role=role, allowed=sorted(allowed) or "nothing")
    if role == "trainee" and not _is_training(event, purposes):
        raise AccessError("event.training_only", place="path", given=event.path[1] if len(event.path) > 1 else "every test")


def _names_themself(event: Event, author: str) -> bool:
    """Whoever tests must be able to stand in the record as the tester: under the name of their account, and nobody else."""
    return event.kind == "set" and event.path[:2] == ("person", author) and event.path[2:] in {("id",), ("name",), ("role",)}


def _is_training(event: Event, purposes: Callable[[str], Sequence[object]]) -> bool:
    if len(event.path) < 3:
        return False
    if event.path[2:] == ("purpose",):
        return event.kind == "set" and event.value == "training" and all(value == "training" for value in purposes(event.path[1]))
    known = purposes(event.path[1])
    return bool(known) and all(value == "training" for value in known)
