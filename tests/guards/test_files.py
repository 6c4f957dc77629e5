# SPDX-License-Identifier: MIT
"""Every file says its licence, and none names the machine it was written on."""

from __future__ import annotations

import re

import pytest

from tests.guards.source import ROOT, project_files, text_of

SPDX = "# SPDX-License-Identifier: MIT"
# Paths of one machine, and the hosts that packages come from: both belong to whoever runs this.
MACHINE = re.compile(
    r"(?<![\w.:/~-])/(?:work|root|home|opt|Users|tmp|var/lib)/[\w.]+|\b(?:pypi|pythonhosted|npmjs|deb\.debian|snapshot\.debian)\.(?:org|com)\b"
)


def has_licence_line(text: str) -> bool:
    first = text.splitlines()[:2]
    return not text.strip() or SPDX in first[: 2 if first[0].startswith("#!") else 1]


def machine_words(text: str) -> list[str]:
    return MACHINE.findall(text)


def test_python_files_say_their_licence():
    assert [str(path.relative_to(ROOT)) for path in project_files() if path.suffix == ".py" and not has_licence_line(path.read_text())] == []


def test_missing_licence_is_caught():
    assert not has_licence_line('"""Module."""\n# SPDX-License-Identifier: MIT\n')
    assert has_licence_line(f"#!/usr/bin/env python3\n{SPDX}\n")


def test_no_file_names_a_machine():
    ours = (path for path in project_files() if "vendor" not in path.parts)  # vendored bytes are held by their hashes
    found = {str(path.relative_to(ROOT)): machine_words(text) for path in ours if (text := text_of(path)) is not None}
    assert {name: words for name, words in found.items() if words} == {}


@pytest.mark.parametrize("planted", ["see /" + "work/notes.md", "'/" + "home/someone/x'", "https://" + "pypi" + ".org/simple", "(/" + "tmp/out.pdf)"])
def test_machine_names_are_caught(planted):
    assert machine_words(planted)


@pytest.mark.parametrize("text", ["src/brackish/work/x", "https://example.invalid/home/page", "~/work/pell", "docs/home/x.md"])
def test_relative_paths_are_left_alone(text):
    assert machine_words(text) == []
