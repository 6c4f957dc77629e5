# SPDX-License-Identifier: MIT
"""The sentence of a finding: names of ours in words, what a person wrote as it was written."""

from __future__ import annotations

from brackish.judge.wording import message


def test_names_of_facts_are_words_and_ids_stay():
    assert message("fact.missing", {"name": "solution_volume"}) == "Not written down: solution volume. Add it, and the result follows."
    assert message("fact.not_written", {"facts": "returned_to, liquid_lost"}).startswith("Not written down: returned to, liquid lost.")
    assert "for the stage after-blasting" in message("stage.missing", {"criterion": "my_steel", "stage": "after-blasting"})
    assert "requirement my_steel" in message("stage.missing", {"criterion": "my_steel", "stage": "after-blasting"})
