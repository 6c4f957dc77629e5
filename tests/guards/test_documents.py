# SPDX-License-Identifier: MIT
"""What the documents promise is there: commands, files, links."""

from __future__ import annotations

import re
from pathlib import Path

import dev
from brackish.cli.main import COMMANDS
from tests.guards.source import ROOT, project_files

COMMAND = re.compile(r"dev\.py ([a-z]+)")
OF_BRACKISH = re.compile(r"(?:dev\.py run|`brackish|\$ brackish) ([a-z]+)")
FILE = re.compile(r"`((?:benchmarks|docs|examples|src|tests|tools)/[\w./-]+\.\w+)`")
LINK = re.compile(r"\[[^\]]*\]\(([^)\s#]+)[^)]*\)")
FILE_OF_MAP = re.compile(r"^\d+\. `([^`]+)`", re.MULTILINE)


def unknown_commands(text: str) -> list[str]:
    unknown = [name for name in COMMAND.findall(text) if name not in dev.COMMANDS]
    return unknown + [f"run {name}" for name in OF_BRACKISH.findall(text) if name not in COMMANDS]


def lost_files(text: str) -> list[str]:
    return [name for name in FILE.findall(text) if not (ROOT / name).exists()]


def broken_links(text: str, folder: Path) -> list[str]:
    return [target for target in LINK.findall(text) if "://" not in target and not (folder / target).exists()]


def documents() -> list[Path]:
    return [path for path in project_files() if path.suffix == ".md"]


def test_commands_in_documents_exist():
    assert {str(path.relative_to(ROOT)): unknown_commands(path.read_text()) for path in documents() if unknown_commands(path.read_text())} == {}


def test_readme_names_the_two_commands():
    assert {"demo", "test"} <= set(COMMAND.findall((ROOT / "README.md").read_text()))


def test_each_question_of_the_readme_is_answered_by_a_command():
    answers = re.findall(r"^\| .+\? \| `([a-z]+)", (ROOT / "README.md").read_text(), re.MULTILINE)
    assert answers and set(answers) <= set(COMMANDS)


def test_unknown_command_is_caught():
    assert unknown_commands("Run `python3 dev.py tset`, then `dev.py run jugde x.toml`.") == ["tset", "run jugde"]


def test_files_in_documents_exist():
    assert {str(path.relative_to(ROOT)): lost_files(path.read_text()) for path in documents() if lost_files(path.read_text())} == {}


def test_lost_file_is_caught():
    assert lost_files("`tools/golden.py` and `tools/glden.py`") == ["tools/glden.py"]


def test_links_between_documents_lead_somewhere():
    found = {str(path.relative_to(ROOT)): broken_links(path.read_text(), path.parent) for path in documents()}
    assert {name: links for name, links in found.items() if links} == {}


def test_broken_link_is_caught():
    assert broken_links("[map](docs/mpa.md) and [site](https://example.invalid/x)", ROOT) == ["docs/mpa.md"]


def test_map_names_eight_files_that_exist():
    files = FILE_OF_MAP.findall((ROOT / "docs" / "map.md").read_text())
    assert len(files) == 8
    assert [name for name in files if not (ROOT / name).is_file()] == []
