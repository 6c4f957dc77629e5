# SPDX-License-Identifier: MIT
"""The one clock of the pages. A run's timers count from times that were recorded, never from a counter."""

from __future__ import annotations

from datetime import UTC, datetime


def now() -> datetime:
    """The present."""
    return datetime.now(UTC)


def moment_of(text: object) -> datetime | None:
    """A recorded time; nothing where the text is none, or has no offset."""
    try:
        moment = datetime.fromisoformat(str(text))
    except ValueError:
        return None
    return moment.astimezone(UTC) if moment.tzinfo else None
