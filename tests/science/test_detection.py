# SPDX-License-Identifier: MIT
"""Critical values against simulation of their meaning: blanks called detected."""

from __future__ import annotations

import numpy as np
import pytest

from brackish.science.detection import critical_value, critical_value_of_blanks, detection_limit

DRAWS = 400_000


@pytest.mark.parametrize("blanks", [2, 5, 20])
def test_five_in_a_hundred_blanks_are_called_detected(blanks):
    """Scatter and mean from the same few blanks, then one more blank measured as if it were a sample."""
    random = np.random.default_rng(5)
    few = random.normal(size=(DRAWS, blanks))
    scatter, sample = few.std(axis=1, ddof=1), random.normal(size=DRAWS)
    critical = critical_value_of_blanks(standard_deviation=1.0, blanks=blanks, degrees_of_freedom=blanks - 1)
    assert np.mean(sample - few.mean(axis=1) > critical * scatter) == pytest.approx(0.05, abs=0.0015)


def test_paired_blank_is_called_detected_five_times_in_a_hundred():
    random = np.random.default_rng(6)
    difference = random.normal(size=DRAWS) - random.normal(size=DRAWS)
    critical = critical_value(blank_standard_uncertainty=1.0)
    assert np.mean(difference > critical) == pytest.approx(0.05, abs=0.0015)
    assert np.mean(difference + detection_limit(critical_value=critical) > critical) == pytest.approx(0.95, abs=0.0015)
