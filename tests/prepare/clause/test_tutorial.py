# SPDX-License-Identifier: MIT
"""docs/tutorial/02 does what it says: its clause brings its questions, and its answered file is judged."""

import tomllib
from pathlib import Path

import brackish
from brackish.prepare.clause import read
from brackish.prepare.clause.draft import draft
from brackish.prepare.clause.show import render

TUTORIAL = Path(__file__).parents[3] / "docs" / "tutorial"
PAGE = (TUTORIAL / "02-from-a-clause-to-a-verdict.md").read_text(encoding="utf-8")
CLAUSE = (TUTORIAL / "02" / "clause.txt").read_text(encoding="utf-8")
AGREED = (TUTORIAL / "02" / "agreed.toml").read_text(encoding="utf-8")


def test_printed_blocks_are_what_the_program_prints():
    printed = render(read(CLAUSE))
    blocks = [block.split("```")[0].strip() for block in PAGE.split("```text\n")[1:]]
    assert blocks[0] in printed and blocks[1] in printed


def test_agreed_file_answers_every_question_of_the_draft():
    begun = tomllib.loads(draft(read(CLAUSE)))["specification"][0]["criterion"][0]
    agreed = tomllib.loads(AGREED)["specification"][0]["criterion"][0]
    assert {name: agreed[name] for name in begun} == begun
    assert {"quantity", "judged", "decision_rule", "guard_band", "level", "reference_temperature", "blank_rule", "agreed"} <= set(agreed) - set(begun)
    assert AGREED[AGREED.index("[[specification.criterion]]") : AGREED.index("# ------")].rstrip() in PAGE


def test_the_answered_file_is_judged_and_the_begun_one_is_not():
    outcome = brackish.evaluate(tomllib.loads(AGREED)).to_dict()
    assert outcome["items"][0]["verdicts"][0]["verdict"] == "pass"
    unanswered = tomllib.loads(AGREED)
    for name in ("quantity", "judged", "decision_rule"):
        del unanswered["specification"][0]["criterion"][0][name]
    withheld = brackish.evaluate(unanswered).to_dict()["items"][0]["verdicts"][0]
    assert withheld["verdict"] == "withheld"
    assert "criterion.quantity_missing" in {reason["code"] for reason in withheld["reasons"]}
