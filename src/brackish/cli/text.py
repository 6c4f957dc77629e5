# SPDX-License-Identifier: MIT
"""Text for a terminal of 80 columns."""

from __future__ import annotations

import textwrap

COLUMNS = 80


def wrapped(text: str, lead: str = "", *, hanging: str | None = None) -> list[str]:
    """A text as lines of at most 80 columns: the first begins with `lead`, the others with `hanging` (blanks as wide)."""
    return textwrap.wrap(text, COLUMNS, initial_indent=lead, subsequent_indent=" " * len(lead) if hanging is None else hanging, break_on_hyphens=False)
