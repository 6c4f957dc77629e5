# SPDX-License-Identifier: MIT
"""The locks hold hashes for everything and the address of nothing; what is asked for has a reason."""

from __future__ import annotations

import re
import tomllib

import pytest

from tests.guards.source import ROOT, project_files

RUNTIME, DEV = (ROOT / "requirements.lock", ROOT / "requirements-dev.lock")
ADDRESS = re.compile(r"\w+://|--(?:extra-)?index-url|--find-links|--trusted-host|\bfile:|\s@\s|^\s*-e\b|(?:^|\s)/\w", re.MULTILINE)


def addresses(text: str) -> list[str]:
    return ADDRESS.findall(text)


def pins(text: str) -> dict[str, set[str]]:
    """Name to `version ; marker` of a lock's entries."""
    found: dict[str, set[str]] = {}
    for entry in re.split(r"\n(?=\S)", text.strip()):
        requirement = entry.split(" \\\n")[0]
        name, _, version = requirement.partition("==")
        assert version, f"{requirement}: no version"
        assert "--hash=sha256:" in entry, f"{requirement}: no hash"
        found.setdefault(name, set()).add(version)
    return found


def test_locks_hold_no_address():
    assert {path.name: addresses(path.read_text()) for path in (RUNTIME, DEV)} == {RUNTIME.name: [], DEV.name: []}


@pytest.mark.parametrize(
    "planted",
    ["--index-url https://example.invalid/simple", "pkg @ git+ssh://example.invalid/x", "--find-links wheels", "-e .", "pkg @ file:x", "./a /x/wheels"],
)
def test_addresses_are_caught(planted):
    assert addresses(f"pypdf==7.1.1 \\\n    --hash=sha256:00\n{planted}\n")


def test_dev_lock_holds_the_runtime_lock_at_the_same_versions():
    runtime, dev = pins(RUNTIME.read_text()), pins(DEV.read_text())
    assert {name: dev.get(name) for name in runtime} == runtime


def test_entry_without_hash_is_caught():
    with pytest.raises(AssertionError, match="no hash"):
        pins("pypdf==7.1.1\n")


def asked_for() -> set[str]:
    """The names of everything that the settings ask for."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())
    asked = project["project"]["dependencies"] + project["dependency-groups"]["dev"]
    asked += [name for extra in project["project"]["optional-dependencies"].values() for name in extra]
    return {re.split(r"[^\w-]", requirement)[0].lower() for requirement in asked}


def test_locks_name_what_the_settings_ask_for():
    assert asked_for() - set(pins(DEV.read_text())) == set(), "run `python3 dev.py lock`"


def test_every_dependency_has_its_reason_in_a_decision():
    said = " ".join(file.read_text().lower() for file in (ROOT / "docs" / "decisions").glob("0*.md"))
    assert {name for name in asked_for() if name.removesuffix("2") not in said} == set()


def test_no_lock_that_records_addresses_is_kept():
    assert {path.name for path in project_files()} & {"uv.lock", "pylock.toml", "poetry.lock", "Pipfile.lock", "package-lock.json"} == set()
