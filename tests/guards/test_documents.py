# SPDX-License-Identifier: MIT
"""What the documents promise is there: commands, files, links."""

from __future__ import annotations

import re
from pathlib import Path

import dev
from tests.guards.source import ROOT, project_files

COMMAND = re.compile(r"python3 dev\.py (\w+)")
LINK = re.compile(r"\[[^\]]*\]\(([^)\s#]+)[^)]*\)")
FILE_OF_MAP = re.compile(r"^\d+\. `([^`]+)`", re.MULTILINE)


def unknown_commands(text: str) -> list[str]:
    return [name for name in COMMAND.findall(text) if name not in dev.COMMANDS]


def broken_links(text: str, folder: Path) -> list[str]:
    return [target for target in LINK.findall(text) if "://" not in target and not (folder / target).exists()]


def documents() -> list[Path]:
    return [path for path in project_files() if path.suffix == ".md"]


def test_commands_in_documents_exist():
    assert {str(path.relative_to(ROOT)): unknown_commands(path.read_text()) for path in documents() if unknown_commands(path.read_text())} == {}


def test_readme_names_the_two_commands():
    assert {"demo", "test"} <= set(COMMAND.findall((ROOT / "README.md").read_text()))


def test_unknown_command_is_caught():
    assert unknown_commands("Run `python3 dev.py tset`.") == ["tset"]


def test_links_between_documents_lead_somewhere():
    found = {str(path.relative_to(ROOT)): broken_links(path.read_text(), path.parent) for path in documents()}
    assert {name: links for name, links in found.items() if links} == {}


def test_broken_link_is_caught():
    assert broken_links("[map](docs/mpa.md) and [site](https://example.invalid/x)", ROOT) == ["docs/mpa.md"]


def test_map_names_eight_files_that_exist():
    files = FILE_OF_MAP.findall((ROOT / "docs" / "map.md").read_text())
    assert len(files) == 8
    assert [name for name in files if not (ROOT / name).is_file()] == []
