# SPDX-License-Identifier: MIT
"""Every figure names a source that exists, and nothing from memory is passed off as read."""

from __future__ import annotations

from collections.abc import Iterator

from brackish import library

SEEN = ("read", "in part", "quoted elsewhere", "recalled", "common practice, no source", "own")
FROM_MEMORY = ("recalled", "common practice, no source")
BRAND_WORDS = ("®", "™", " Ltd", " Inc", " GmbH", "http", "www.")


def cited() -> Iterator[tuple[str, str]]:
    """Where a source is named, and its key."""
    for id in library.method_ids():
        method = library.method(id)
        yield from ((id, key) for key in method.sources)
        yield from ((f"{id} {rule.code}", rule.source) for rule in method.rules)
        yield from ((f"{id} caution", caution.source) for caution in method.cautions)
        if method.published_uncertainty:
            yield f"{id} uncertainty", method.published_uncertainty.source
        if method.agreement:
            yield f"{id} agreement", method.agreement["source"]
    for id in library.requirement_ids():
        yield from ((id, key) for key in library.requirement(id).sources)
    yield from ((rule.id, rule.source) for rule in library.count_rules().values())
    yield from ((row.key, row.source) for row in library.assumptions().values())


def test_every_source_that_is_named_exists():
    assert [(place, key) for place, key in cited() if key not in library.sources()] == []


def test_sources_say_how_they_were_seen():
    for source in library.sources().values():
        assert source.seen in SEEN, source.key
        assert source.title.strip() and not any(word in source.title for word in BRAND_WORDS), source.key


def test_rules_from_memory_are_not_marked_as_checked():
    found = [
        (id, rule.code)
        for id in library.method_ids()
        for rule in library.method(id).rules
        if library.sources()[rule.source].seen in FROM_MEMORY and rule.checked
    ]
    assert found == []


def test_requirements_from_memory_are_not_marked_as_checked():
    for id in library.requirement_ids():
        requirement = library.requirement(id)
        assert requirement.sources
        if library.sources()[requirement.sources[0]].seen in FROM_MEMORY:
            assert not requirement.checked, id
        if requirement.checked:
            assert "memory" not in requirement.basis, id
        else:
            assert "memory" in requirement.basis or "Common practice" in requirement.basis, id


def test_count_rules_from_memory_are_not_marked_as_checked():
    assert [rule.id for rule in library.count_rules().values() if library.sources()[rule.source].seen in FROM_MEMORY and rule.checked] == []


def test_assumptions_are_common_practice_or_our_own():
    assert {row.source for row in library.assumptions().values()} <= {"common-practice", "own"}
