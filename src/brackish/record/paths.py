# SPDX-License-Identifier: MIT
"""A job document as paths with plain values, and back.

    ["test", "T1", "facts", "reading"]            -> ["9.1 uS/cm"]
    ["equipment", "meter", "verification", "#1", "at"] -> "2026-03-04T07:40:00+00:00"

An element of a list of tables is named by its `id`, or by `#` and a mark where it has none; the
order of a list is the order in which its elements first appear. What is neither a plain value nor
a table (an empty table, a figure with a decimal point under an `x-` key) stands under `=json` as
its canonical text, so that every JSON document has its paths and comes back equal.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Sequence

from brackish.record.canonical import canonical_bytes

Path = tuple[str, ...]
Value = object  # texts, truth values, whole numbers and lists of these

JSON = "=json"
NAMED_LISTS = frozenset(
    [
        "specification",
        "person",
        "equipment",
        "item",
        "location",
        "blank",
        "test",
        "conditions",
        "certificate",
        "nonconformance",
        "reclean",
        "history",
        "question",
        "signature",
    ]
)
DEEPEST_PATH = 16
LONGEST_SEGMENT = 200
DEEPEST_VALUE = 4
DEEPEST_JSON = 64  # a job is read to a depth of 12
LARGEST_INTEGER = 2**53 - 1  # what every JSON reader holds exactly

_UNFIT_CHARACTER = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff]")
_UNFIT_FOR_A_NAME = re.compile("[\x00-\x1f\ud800-\udfff]")


def is_plain_text(text: object) -> bool:
    """A text without control characters other than tab and line ends, and without half characters."""
    return isinstance(text, str) and _UNFIT_CHARACTER.search(text) is None


def is_plain_value(value: object, *, depth: int = 0) -> bool:
    """A text, truth value, whole number below 2^53 in size, or list of such values."""
    if isinstance(value, bool):
        return True
    if isinstance(value, int):
        return -LARGEST_INTEGER <= value <= LARGEST_INTEGER
    if isinstance(value, list):
        return depth < DEEPEST_VALUE and all(is_plain_value(part, depth=depth + 1) for part in value)
    return is_plain_text(value)


def is_name(text: object) -> bool:
    """A plain text on one line, of which paths are made."""
    return isinstance(text, str) and 0 < len(text) <= LONGEST_SEGMENT and _UNFIT_FOR_A_NAME.search(text) is None


def is_path(path: object) -> bool:
    """A list of names of which at most the last says that canonical text stands there."""
    return isinstance(path, list) and 0 < len(path) <= DEEPEST_PATH and all(map(is_name, path)) and JSON not in path[:-1]


def is_packed(text: object) -> bool:
    """Is this what `paths_of` writes under `=json`: the canonical text of something that is no plain value?"""
    try:
        value = json.loads(text) if isinstance(text, str) else None
        return not is_plain_value(value) and _is_shallow(value) and _as_text(value) == text
    except (ValueError, RecursionError):  # no JSON, half a character, no number, or brackets without end
        return False


def is_named_list(path: Sequence[str]) -> bool:
    """Is this the path of a list whose elements are named by their id?"""
    return (len(path) == 1 and path[0] in NAMED_LISTS) or (len(path) == 3 and path[0] == "specification" and path[2] == "criterion")


def names_an_element(path: Sequence[str]) -> bool:
    """Is this the path of an element that is named by its id?"""
    return is_named_list(path[:-1]) and not path[-1].startswith("#")


def paths_of(document: dict[str, object]) -> list[tuple[Path, object]]:
    """The paths and plain values of a document, in its own order."""
    return list(_table((), document))


def document_of(leaves: Iterable[tuple[Path, object]]) -> dict[str, object]:
    """The document of paths and plain values; lists stand in the order given.

    Where one path runs through another's value, the longer one counts.
    """
    tree: dict[str, object] = {}
    for path, value in leaves:
        _plant(tree, path, value)
    document = _grown((), tree)
    return document if isinstance(document, dict) else {}


def _table(path: Path, table: dict[str, object]) -> Iterator[tuple[Path, object]]:
    if (not table and path) or len(path) >= DEEPEST_PATH - 1 or not all(_is_plain_key(key) for key in table):
        yield (*path, JSON), _as_text(table)
        return
    for key, value in table.items():
        yield from _branch((*path, key), value)


def _branch(path: Path, value: object) -> Iterator[tuple[Path, object]]:
    if isinstance(value, dict) and not is_named_list(path):
        yield from _table(path, value)
    elif isinstance(value, list) and value and all(isinstance(part, dict) for part in value) and len(path) < DEEPEST_PATH - 2:
        yield from _elements(path, value)
    elif is_plain_value(value):
        yield path, value
    else:
        yield (*path, JSON), _as_text(value)


def _elements(path: Path, elements: list[dict[str, object]]) -> Iterator[tuple[Path, object]]:
    seen: set[object] = set()
    for number, element in enumerate(elements, 1):
        name = element.get("id") if is_named_list(path) else None
        if isinstance(name, str) and _is_plain_key(name) and name not in seen and all(_is_plain_key(key) for key in element):
            seen.add(name)
            yield (*path, name, "id"), name
            rest = {key: value for key, value in element.items() if key != "id"}
            if rest:
                yield from _table((*path, name), rest)
        else:
            yield from _table((*path, f"#{number}"), element)


def _is_plain_key(key: object) -> bool:
    return is_name(key) and str(key)[0] not in "#="


def _is_shallow(value: object, room: int = DEEPEST_JSON) -> bool:
    parts = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    return room > 0 and all(_is_shallow(part, room - 1) for part in parts)


def _as_text(value: object) -> str:
    return canonical_bytes(value).decode("utf-8")


def _plant(tree: dict[str, object], path: Path, value: object) -> None:
    for name in path[:-1]:
        below = tree.setdefault(name, {})
        if not isinstance(below, dict):
            below = tree[name] = {}
        tree = below
    if not isinstance(tree.get(path[-1]), dict):
        tree[path[-1]] = _Leaf(value)


class _Leaf:
    """A value at the end of a path (a plain value may itself be a list)."""

    def __init__(self, value: object) -> None:
        self.value = value


def _grown(path: Path, tree: dict[str, object]) -> object:
    branches = {name: branch for name, branch in tree.items() if name != JSON}
    if not branches and JSON in tree:
        text = tree[JSON]
        return json.loads(text.value) if isinstance(text, _Leaf) and isinstance(text.value, str) else {}
    grown = {name: branch.value if isinstance(branch, _Leaf) else _grown((*path, name), branch) for name, branch in branches.items()}  # type: ignore[arg-type]
    if is_named_list(path):
        return [_element(name, element) for name, element in grown.items()]
    if any(name.startswith("#") for name in grown):
        return list(grown.values())
    return grown


def _element(name: str, element: object) -> object:
    named = not name.startswith("#") and isinstance(element, dict)
    return {"id": name, **element} if named else element  # type: ignore[dict-item]
