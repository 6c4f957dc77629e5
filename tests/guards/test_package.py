# SPDX-License-Identifier: MIT
"""What `pip install` would put on a machine: the package with all its data, and nothing else."""

from __future__ import annotations

import subprocess
import sys
import zipfile

import pytest

from tests.guards.source import ROOT, project_files


@pytest.mark.slow
def test_wheel_holds_the_package_with_its_data(tmp_path):
    subprocess.run([sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", tmp_path], cwd=ROOT, check=True, capture_output=True)
    names = set(zipfile.ZipFile(next(tmp_path.glob("*.whl"))).namelist())
    source = {str(path.relative_to(ROOT / "src")) for path in project_files() if path.is_relative_to(ROOT / "src")}
    assert source - names == set()
    assert {name.split("/")[0].split("-")[0] for name in names} == {"brackish"}
