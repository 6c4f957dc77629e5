# SPDX-License-Identifier: MIT
"""Every command that a tutorial page shows says what the page says it does."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from brackish.cli.main import main

ROOT = Path(__file__).parents[2]
SHOWN = re.compile(r"```console\n\$ brackish (.+)\n((?:.*\n)*?)```", re.MULTILINE)
COMMANDS = [(page.name, *found) for page in sorted((ROOT / "docs" / "tutorial").glob("*.md")) for found in SHOWN.findall(page.read_text("utf-8"))]


def test_the_first_page_shows_commands():
    assert len([name for name, *_ in COMMANDS if name.startswith("01")]) >= 4


@pytest.mark.parametrize(("page", "command", "said"), COMMANDS, ids=[f"{page[:2]} {command[:40]}" for page, command, _ in COMMANDS])
def test_command_says_what_the_page_shows(page, command, said, capsys, monkeypatch):
    monkeypatch.chdir(ROOT)
    main(shlex.split(command))
    now = capsys.readouterr().out.rstrip("\n")
    head, dots, _ = said.rstrip("\n").partition("\n…")
    assert now.startswith(head) if dots else now == head
