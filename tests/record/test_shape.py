# SPDX-License-Identifier: MIT
"""What of a document has the shape of the format: all of one that can be read, and nothing that a reader would stumble over."""

from __future__ import annotations

from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brackish.errors import BrackishError, faults_of
from brackish.record.document import load, read_job
from brackish.record.shape import shaped

EXAMPLES = [file for file in sorted((Path(__file__).parents[2] / "examples").glob("*.toml")) if file.stem != "mistakes"]
FOOTBRIDGE = load(EXAMPLES[0].with_name("footbridge.toml"))
OF_SHAPE = ("a table", "a list in brackets", "a list of tables")
JSON = st.recursive(
    st.none() | st.booleans() | st.integers(-3, 3) | st.text("ab", max_size=2),
    lambda inner: st.lists(inner, max_size=2) | st.dictionaries(st.sampled_from(["id", "a"]), inner, max_size=2),
)


@pytest.mark.parametrize("file", EXAMPLES, ids=lambda file: file.stem)
def test_document_that_can_be_read_is_whole(file):
    assert shaped(load(file)) == load(file)


def paths(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [path, *(each for key, part in inner for each in paths(part, (*path, key)))]


@given(path=st.sampled_from(paths(FOOTBRIDGE)[1:]), value=JSON)
def test_what_is_left_has_no_fault_of_shape(path, value):
    document = deepcopy(FOOTBRIDGE)
    place = document
    for key in path[:-1]:
        place = place[key]
    place[path[-1]] = value
    left = shaped(document)
    assert shaped(left) == left
    assert [fault.message for fault in faults(left) if str(fault.params.get("wanted", "")).startswith(OF_SHAPE)] == []


def faults(document: dict[str, Any]) -> tuple[BrackishError, ...]:
    try:
        read_job(document)
    except BrackishError as error:
        return faults_of(error)
    return ()
