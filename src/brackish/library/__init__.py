# SPDX-License-Identifier: MIT
"""What the trade prescribes, as data: methods, requirements, count rules, sources, assumptions.

A method is a file in `methods/`, a requirement a file in `requirements/`; `sources.toml` says where
each number was found and how sure we are. This module reads them once and gives frozen types.
What the files may hold is said in `types.py`; that they hold together is checked by
`tests/library/`.
"""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

from brackish.errors import InputError, UnknownMethod
from brackish.library.types import Assumption, Caution, CountRule, Fact, Method, MethodUncertainty, Requirement, Rule, Source, Standard, Step

__all__ = ["assumption", "assumptions", "count_rules", "method", "method_ids", "requirement", "requirement_ids", "sources"]

FOLDER = Path(__file__).parent


def _table(*path: str) -> dict:
    return tomllib.loads(FOLDER.joinpath(*path).read_text("utf-8"))


def _names(folder: str) -> tuple[str, ...]:
    return tuple(sorted(entry.name.removesuffix(".toml") for entry in FOLDER.joinpath(folder).iterdir() if entry.name.endswith(".toml")))


@cache
def method_ids() -> tuple[str, ...]:
    """The ids of all methods, sorted."""
    return _names("methods")


@cache
def method(id: str, /) -> Method:
    """One method, as its file says it.

    Raises
    ------
    UnknownMethod
        With the ids that are known.

    """
    if id not in method_ids():
        raise UnknownMethod("method.unknown", given=repr(id), allowed=method_ids())
    raw = _table("methods", f"{id}.toml")
    parts: dict[str, Any] = {"standard": Standard, "fact": Fact, "step": Step, "rule": Rule, "caution": Caution}
    lists: dict[str, Any] = {f"{name}s": tuple(kind(**_frozen(row)) for row in raw.pop(name, [])) for name, kind in parts.items()}
    published = raw.pop("published_uncertainty", None)
    return Method(**{"agreement": {}, **_frozen(raw)}, **lists, published_uncertainty=MethodUncertainty(**_frozen(published)) if published else None)


@cache
def requirement_ids() -> tuple[str, ...]:
    """The ids of all requirements, sorted."""
    return _names("requirements")


@cache
def requirement(id: str, /) -> Requirement:
    """One published or recalled requirement, with the criterion fields it supplies."""
    if id not in requirement_ids():
        raise InputError("requirement.unknown", given=repr(id), allowed=requirement_ids())
    return Requirement(**_frozen(_table("requirements", f"{id}.toml")))


@cache
def count_rules() -> dict[str, CountRule]:
    """Named rules of how many tests, by id."""
    return {id: CountRule(id=id, **_frozen(row)) for id, row in _table("counts.toml").items()}


@cache
def sources() -> dict[str, Source]:
    """Where numbers come from, by the key that the other files use."""
    return {key: Source(key=key, **row) for key, row in _table("sources.toml").items()}


@cache
def assumptions() -> dict[str, Assumption]:
    """What is assumed when the record gives nothing; each use is a finding."""
    return {key: Assumption(key=key, **row) for key, row in _table("assumptions.toml").items()}


def assumption(key: str, /) -> Assumption:
    """One row of the table of assumptions."""
    return assumptions()[key]


def _frozen(row: dict) -> dict:
    return {key: tuple(value) if isinstance(value, list) else value for key, value in row.items()}
