# SPDX-License-Identifier: MIT
"""The pages that `dev.py docs` makes: whole, linked, and honest about evidence."""

from __future__ import annotations

import re
from collections import Counter

import pytest

from brackish import library
from brackish.errors import WORDS
from brackish.judge.wording import MESSAGES
from brackish.quantities import DIMENSIONS, QUANTITIES
from tests.evidence.cases import all_cases
from tests.guards.test_documents import LINK
from tools import docs
from tools.reference import evidence

MADE = {name: docs.text_of(make) for name, make in docs.pages().items()}


def dead_links(pages: dict[str, str]) -> list[str]:
    """Links between the made pages that lead to none of them."""
    found = []
    for name, text in pages.items():
        folder = name.rpartition("/")[0]
        for target in LINK.findall(text):
            path = "/".join(filter(None, [folder, target]))
            if "://" not in target and re.sub(r"[^/]+/\.\./", "", path) not in pages:
                found.append(f"{name}: {target}")
    return found


def test_links_between_the_pages_lead_somewhere():
    assert dead_links(MADE) == []


@pytest.mark.parametrize("planted", ["[x](metods.md)", "[x](../errors.md)", "[x](methods/none.md)"])
def test_dead_link_is_caught(planted):
    assert len(dead_links({**MADE, "README.md": planted})) == 1


def test_every_page_can_be_reached_from_the_index():
    reached, waiting = {"README.md"}, ["README.md"]
    while waiting:
        name = waiting.pop()
        folder = name.rpartition("/")[0]
        targets = {re.sub(r"[^/]+/\.\./", "", "/".join(filter(None, [folder, target]))) for target in LINK.findall(MADE[name])}
        waiting += targets - reached
        reached |= targets
    assert reached >= set(MADE)


@pytest.mark.parametrize(
    ("page", "names"),
    [
        ("errors.md", WORDS),
        ("findings.md", MESSAGES),
        ("units.md", [*QUANTITIES, *(unit for each in DIMENSIONS.values() for unit in each.units)]),
        ("requirements.md", library.requirement_ids()),
        ("counts.md", library.count_rules()),
        ("assumptions.md", library.assumptions()),
        ("sources.md", library.sources()),
        ("evidence.md", evidence.functions()),
        ("methods.md", library.method_ids()),
    ],
)
def test_page_has_every_name(page, names):
    assert [name for name in names if name not in MADE[page]] == []


def test_method_pages_have_every_rule_fact_and_caution():
    for id in library.method_ids():
        method, page = library.method(id), MADE[f"methods/{id}.md"]
        wanted = [
            *(each.code for each in method.rules),
            *(f"`{each.name}`" for each in method.facts),
            *(each.text for each in method.cautions),
            *method.bad_input,
        ]
        assert [each for each in wanted if each not in page] == [], id


def test_requirements_say_what_people_confuse_them_with():
    assert [id for id in library.requirement_ids() if library.requirement(id).confuse not in MADE["requirements.md"]] == []


def test_job_page_says_what_every_field_is():
    rows = re.findall(r"^\| (`\w+`)(?: \*)? \| (.*?) \| .* \|$", MADE["job-file.md"], re.MULTILINE)
    assert len(rows) > 100
    assert [field for field, says in rows if not says.strip()] == []


def test_tables_have_as_many_cells_in_every_row():
    for name, text in MADE.items():
        for block in re.findall(r"(?:^\|.*\n)+", text, re.MULTILINE):
            assert len({len(re.findall(r"(?<!\\)\|", line)) for line in block.splitlines()}) == 1, (name, block[:200])


def test_evidence_counts_every_case_once():
    by_kind, in_steps, _ = evidence.counted()
    single = [case for case in all_cases() if not case.function.startswith("chains.")]
    assert sum((Counter({kind: number for kind, number in each.items() if kind != "outside"}) for each in by_kind.values()), Counter()) == Counter(
        case.kind for case in single
    )
    assert set(in_steps) <= set(evidence.functions())


def test_evidence_of_several_steps_counts_for_what_they_call():
    steps = evidence.chains()
    assert steps["mixed_salt"] == {"amounts.mixed_salt_per_area"}
    assert steps["equivalent_conductivity"] == {"electrolyte.salt_conductivity"}  # through another chain


def test_at_least_150_values_are_from_outside():
    assert sum(case.counts for case in all_cases()) >= 150
