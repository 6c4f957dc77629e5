# SPDX-License-Identifier: MIT
"""How many examples hypothesis makes of a property: as many as the test asks for in `dev.py test`, a quarter of them in `dev.py check`."""

from __future__ import annotations

import os

from hypothesis import settings

SHARE = 4 if "BRACKISH_CHECK" in os.environ else 1


def examples(number: int) -> settings:
    """Derandomised, so a failure seen once is seen always; no deadline, so a busy machine fails nothing."""
    return settings(derandomize=True, deadline=None, max_examples=number // SHARE)
