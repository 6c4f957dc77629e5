# SPDX-License-Identifier: MIT
"""A time as people say it: 4 March 2026, 10:07. The clock is that of whoever wrote it; the report names its offset once."""

import re

MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December")
TIME = re.compile(r"(\d{4})-(\d{2})-(\d{2})(?:[T ](\d{2}:\d{2})(?::\d{2}(?:\.\d+)?)?(Z|[+-]\d{2}:\d{2})?)?")


def when(text: str) -> str:
    """A time as written in a document, for people; a text that is no time is returned as it is."""
    match = TIME.fullmatch(text.strip())
    if match is None or not 1 <= int(match[2]) <= 12:
        return text
    day = f"{int(match[3])}\u00a0{MONTHS[int(match[2]) - 1]} {match[1]}"
    return f"{day}, {match[4]}" if match[4] else day
