# SPDX-License-Identifier: MIT
"""The sentence of a finding: names of ours in words, what a person wrote as it was written."""

from __future__ import annotations

import brackish
from brackish.judge.wording import message
from brackish.report.case import Case
from brackish.report.record import record
from tests.judge.jobs import job


def test_names_of_facts_are_words_and_ids_stay():
    assert message("fact.missing", {"name": "solution_volume"}) == "Not written down: solution volume. Add it, and the result follows."
    assert message("fact.not_written", {"facts": "returned_to, liquid_lost"}).startswith("Not written down: returned to, liquid lost.")
    assert "for the stage after-blasting" in message("stage.missing", {"criterion": "my_steel", "stage": "after-blasting"})
    assert "requirement my_steel" in message("stage.missing", {"criterion": "my_steel", "stage": "after-blasting"})
    assert message("species.titrant_differs", {"given": "silver-nitrate", "allowed": "mercury-nitrate"}).startswith("Titrated with silver nitrate; ")


def test_customer_is_told_that_nobody_agreed_what_is_counted():
    document = job()
    del document["specification"][0]["criterion"][0]["quantity"]
    outcome = brackish.evaluate(document).to_dict()
    found, meant = outcome["tests"][0]["verdicts"][0]["sentences"]
    assert found == "At L1, girder nothing can be held to the limit: what is counted is not agreed."
    assert "in an abrasive its extract by mass or by volume" in meant
    (verdict,) = record(Case(document, outcome), document["test"][0])["verdicts"]
    assert verdict["criterion"] == "What is counted is not agreed, at most 50\xa0mg/m²"


def test_place_that_says_by_itself_where_needs_no_at():
    for name, begins in (("under the suction bell", "Under the suction bell, girder we found"), ("ledge 3", "At ledge 3, girder we found")):
        document = job(location__name=name)
        assert brackish.evaluate(document).to_dict()["tests"][0]["verdicts"][0]["sentences"][0].startswith(begins)
