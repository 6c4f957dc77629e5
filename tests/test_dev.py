# SPDX-License-Identifier: MIT
"""dev.py says what it needs before it does anything, and sets up once."""

from __future__ import annotations

import subprocess
import sys

import pytest

import dev
from tests.guards.source import ROOT


@pytest.fixture
def without_pip(monkeypatch):
    monkeypatch.setattr(dev, "SYSTEM_NEEDS", [(lambda: False, "python3-pip")])
    monkeypatch.setattr(dev.shutil, "which", lambda name: "apt-get")


def test_without_root_the_missing_line_is_named_and_nothing_runs(without_pip, monkeypatch, capsys):
    monkeypatch.setattr(dev.os, "geteuid", lambda: 1000)
    monkeypatch.setattr(dev.subprocess, "run", lambda *_, **__: pytest.fail("something was run"))
    with pytest.raises(SystemExit, match="2"):
        dev.ensure_system()
    assert "sudo apt-get install -y --no-install-recommends python3-pip" in capsys.readouterr().err


def test_as_root_the_missing_package_is_installed(without_pip, monkeypatch):
    monkeypatch.setattr(dev.os, "geteuid", lambda: 0)
    commands = []
    monkeypatch.setattr(dev.subprocess, "run", lambda command, **_: commands.append(command) or subprocess.CompletedProcess(command, 0))
    dev.ensure_system()
    assert [command[:2] for command in commands] == [["apt-get", "update"], ["apt-get", "install"]]
    assert "python3-pip" in commands[1]


def test_packages_are_installed_again_when_the_lock_or_the_python_changes(monkeypatch, tmp_path):
    monkeypatch.setattr(dev, "ROOT", tmp_path)
    monkeypatch.setattr(dev, "VENV", tmp_path)
    monkeypatch.setattr(dev, "PYTHON", tmp_path / dev.RUNTIME_LOCK)
    (tmp_path / dev.RUNTIME_LOCK).write_text("one")
    assert not dev.is_installed(dev.RUNTIME_LOCK)
    (tmp_path / "made-for").write_text(dev.MADE_FOR)
    (tmp_path / f"{dev.RUNTIME_LOCK}.stamp").write_text(dev.lock_hash(dev.RUNTIME_LOCK))
    assert dev.is_installed(dev.RUNTIME_LOCK)
    (tmp_path / dev.RUNTIME_LOCK).write_text("two")
    assert not dev.is_installed(dev.RUNTIME_LOCK)
    (tmp_path / dev.RUNTIME_LOCK).write_text("one")
    monkeypatch.setattr(dev, "MADE_FOR", "another Python")
    assert not dev.is_installed(dev.RUNTIME_LOCK)


def test_unknown_command_shows_the_commands_and_fails():
    run = subprocess.run([sys.executable, ROOT / "dev.py", "tset"], capture_output=True, text=True)
    assert run.returncode == 2
    assert all(f"dev.py {name}" in run.stdout for name in dev.COMMANDS)
