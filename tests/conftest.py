# SPDX-License-Identifier: MIT
"""What every test shares: hypothesis that finds the same cases every time."""

from hypothesis import settings

# Derandomised, so a failure seen once is seen always; no deadline, so a busy machine fails nothing.
settings.register_profile("brackish", derandomize=True, deadline=None, max_examples=100)
settings.load_profile("brackish")
