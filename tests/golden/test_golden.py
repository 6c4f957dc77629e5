# SPDX-License-Identifier: MIT
"""The example jobs give the committed outcomes, to the byte, on every Python found here.

To accept a change that is meant: `.venv/bin/python tools/golden.py --accept`.
"""

from __future__ import annotations

import json

import pytest

from tools import golden

PYTHONS = golden.pythons()


def test_every_example_has_a_committed_outcome():
    assert golden.examples()
    assert {f"{path.stem}.json" for path in golden.examples()} == {path.name for path in golden.GOLDEN.glob("*.json")}


@pytest.mark.parametrize("version", golden.VERSIONS)
def test_outcomes_have_the_committed_bytes(version):
    if version not in PYTHONS:
        pytest.skip(f"no Python {version} on this machine")
    made = golden.outcomes(PYTHONS[version], golden.examples())
    assert {name: json.loads(text) for name, text in made.items()} == {name: json.loads((golden.GOLDEN / name).read_bytes()) for name in made}
    assert all(text == (golden.GOLDEN / name).read_bytes() for name, text in made.items())


OUTCOME = {"engine": "0.1.0", "tests": [{"id": "T1", "method": "m", "method_version": "1.0", "results": [{"quantity": "q", "value": 29.4}]}]}


def test_result_that_changes_under_an_unchanged_version_is_held_back():
    old = json.dumps(OUTCOME).encode()
    assert golden.changed_results(old, old) == []
    assert len(golden.changed_results(old, old.replace(b"29.4", b"29.5"))) == 1
    assert golden.changed_results(old, old.replace(b"29.4", b"29.5").replace(b'"1.0"', b'"1.1"')) == []
