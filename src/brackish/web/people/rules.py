# SPDX-License-Identifier: MIT
"""Roles and what they may do. Least rights by default: what is not listed is refused.

Other than owner and inspector, nobody writes what was agreed (specification, certificate): they write
what they found. A trainee writes training tests only. Witness and client hold one job.
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
WRITES: dict[str, frozenset[str] | None] = {  # role -> first names of the paths it may write; None: all
    "owner": None,
    "inspector": None,
    "tester": frozenset({"test", "blank", "location", "conditions", "equipment", "question", "reclean"}),
    "trainee": frozenset({"test"}),
}


def may(role: str | None, action: str) -> bool:
    """Does the table give this role this action?"""
    return role in MAY[action]


def check_event(event: Event, *, role: str, author: str, purposes: Callable[[str], Sequence[object]]) -> None:
    """Raise where a person of this role may not write this event.

    `purposes` gives the purposes that were ever written for a test, for the trainee's rule.
    """
    if event.author != author:
        raise AccessError("event.author", place="author", given=event.author, wanted=author)
    if event.kind == "sign":
        raise AccessError("event.sign", place="kind")
    allowed = WRITES.get(role, frozenset())
    if allowed is not None and event.path[0] not in allowed:
        raise AccessError("event.not_yours", place="path", given=event.path[0], role=role, allowed=sorted(allowed) or "nothing")
    if role == "trainee" and not _is_training(event, purposes):
        raise AccessError("event.training_only", place="path", given=event.path[1] if len(event.path) > 1 else "every test")


def _is_training(event: Event, purposes: Callable[[str], Sequence[object]]) -> bool:
    if len(event.path) < 3:
        return False
    if event.path[2:] == ("purpose",):
        return event.kind == "set" and event.value == "training" and all(value == "training" for value in purposes(event.path[1]))
    known = purposes(event.path[1])
    return bool(known) and all(value == "training" for value in known)
