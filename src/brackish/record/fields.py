# SPDX-License-Identifier: MIT
"""How one table of a document becomes one frozen type, with every fault noted and its place.

Each field of a type in `record/job.py` says how it is read: `name: str = text()`. `read_table` walks
the fields once. Faults are collected, never raised, so that a person sees all of them at once.
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Callable, Mapping
from datetime import date, datetime, timedelta
from functools import cache
from typing import Any, TypeVar

from brackish.errors import BrackishError, InputError
from brackish.quantities import DIMENSIONS, Quantity, parse

T = TypeVar("T")
Faults = list[BrackishError]
# (value, place, faults, the table it stands in) -> value; raises the first fault of its own value
Reader = Callable[[Any, str, Faults, Mapping[str, Any]], Any]
_REQUIRED: Any = object()


def _field(read: Reader, default: Any, says: str = "", kind: type | None = None, dimensions: tuple[str, ...] = (), allowed: tuple[str, ...] = ()) -> Any:
    """A field with its reader; the rest (`kind` is a table's own type) is for the reference pages and for forms."""
    metadata = {"read": read, "says": says, "kind": kind, "dimensions": dimensions, "allowed": allowed}
    return dataclasses.field(metadata=metadata) if default is _REQUIRED else dataclasses.field(default=default, metadata=metadata)


def read_table(kind: type[T], raw: object, place: str, faults: Faults, *, partial: bool = False) -> T | None:
    """One table as its type, or None when it has a fault; keys that begin with x- are left alone.

    With `partial` what could be read stands in the type all the same, so that more can be looked at.
    """
    before = len(faults)
    if not isinstance(raw, Mapping):
        faults.append(InputError("input.wrong_type", place=place, given=kind_of(raw), wanted="a table"))
        return None
    known = fields_of(kind)  # type: ignore[arg-type]
    for key in raw:
        if key not in known and not str(key).startswith("x-"):
            faults.append(InputError("input.unknown_key", place=place, given=repr(key), allowed=tuple(known)))
    values = {}
    for name, field in known.items():
        if name in raw:
            values[name] = _read_field(field.metadata["read"], raw, name, place, faults)
        elif field.default is dataclasses.MISSING:
            faults.append(InputError("input.missing_key", place=place, wanted=name))
        else:
            continue
        if partial and values.get(name) is None:
            values[name] = None if field.default is dataclasses.MISSING else field.default
    return kind(**values) if partial or len(faults) == before else None


@cache
def fields_of(kind: type) -> dict[str, dataclasses.Field]:
    """The fields of a type in `job.py` that are read from a document, by name."""
    return {field.name: field for field in dataclasses.fields(kind) if "read" in field.metadata}


def _read_field(read: Reader, raw: Mapping[str, Any], name: str, place: str, faults: Faults) -> Any:
    inner = f"{place}.{name}" if place else name
    try:
        return read(raw[name], inner, faults, raw)
    except BrackishError as error:
        faults.append(type(error)(error.code, place=error.place or inner, **error.params))
    return None


def kind_of(value: object) -> str:
    """What a raw value is, in a person's words."""
    if isinstance(value, str):
        return f"the text {value[:60]!r}"
    if isinstance(value, bool | int | float):
        return str(value)
    kinds = {dict: "a table", list: "a list", type(None): "nothing", date: "a date without quotes", datetime: "a time without quotes"}
    return kinds.get(type(value), f"a {type(value).__name__}")


def as_text(value: Any, place: str = "", faults: Faults | None = None, table: Mapping | None = None) -> str:
    if not isinstance(value, str):
        raise InputError("input.wrong_type", given=kind_of(value), wanted="a text in quotes")
    return value


def text(default: Any = _REQUIRED) -> Any:
    """A text; required when no default is given."""
    return _field(as_text, default, "text")


def as_id(value: Any, *_: Any) -> str:
    name = as_text(value)
    if not re.fullmatch(r"[\w.:-]{1,80}", name, re.ASCII):
        raise InputError("input.wrong_type", given=kind_of(value), wanted="an id of up to 80 letters, digits and . : _ -")
    return name


def ident() -> Any:
    """An id, unique among its kind (checked in `record/references.py`)."""
    return _field(as_id, _REQUIRED, "id of its own")


def reference(default: Any = _REQUIRED) -> Any:
    """The id of something else in the document (checked in `record/references.py`)."""
    return _field(as_id, default, "id of another entry")


def choice(*allowed: str, default: Any = _REQUIRED) -> Any:
    """One of a fixed set of texts."""

    def read(value: Any, *_: Any) -> str:
        if not isinstance(value, str) or value not in allowed:
            raise InputError("input.not_one_of", given=kind_of(value), allowed=allowed)
        return value

    return _field(read, default, f"one of: {', '.join(allowed)}", allowed=allowed)


def as_quantity(value: Any, dimension: str | tuple[str, ...], *, bounds: bool = False, positive: bool = False, signed: bool = False) -> Quantity:
    quantity = parse(value, dimension=dimension, bounds=bounds)
    if positive and quantity.value <= 0:
        raise InputError("input.not_positive", given=repr(value))
    if not signed and quantity.dimension not in ("temperature", "temperature_difference") and quantity.value < 0:
        raise InputError("input.negative", given=repr(value))
    return quantity


def quantity(dimension: str | tuple[str, ...], *, default: Any = _REQUIRED, positive: bool = False) -> Any:
    """A text with a number and unit of this dimension."""
    names = (dimension,) if isinstance(dimension, str) else dimension
    says = " or ".join(f"{DIMENSIONS[name].name}, such as {DIMENSIONS[name].example}" for name in names)
    return _field(lambda value, *_: as_quantity(value, dimension, positive=positive), default, says, dimensions=names)


def count(default: Any = _REQUIRED, *, least: int = 0) -> Any:
    """A whole number without a unit."""
    return _field(lambda value, *_: as_count(value, least=least), default, "whole number")


def as_count(value: Any, *, least: int = 0) -> int:
    if isinstance(value, bool) or not isinstance(value, int):
        raise InputError("input.wrong_type", given=kind_of(value), wanted="a whole number")
    if not least <= value < 2**53:
        raise InputError("input.out_of_range", given=value, lowest=least, highest="2^53")
    return value


def as_flag(value: Any) -> bool:
    if not isinstance(value, bool):
        raise InputError("input.wrong_type", given=kind_of(value), wanted="true or false")
    return value


def flag(default: Any = _REQUIRED) -> Any:
    """true or false."""
    return _field(lambda value, *_: as_flag(value), default, "true or false")


def as_moment(value: Any, *_: Any) -> datetime:
    try:
        moment = datetime.fromisoformat(as_text(value))
    except ValueError:
        moment = None
    if moment is None or moment.tzinfo is None:
        raise InputError("input.not_a_time", given=kind_of(value))
    return moment


def moment(default: Any = None) -> Any:
    """A time with its offset from UTC."""
    return _field(as_moment, default, "time with its offset, such as 2026-03-04T09:05:00+00:00")


def as_last_day(value: Any, *_: Any) -> date:
    name = as_text(value)
    try:
        if re.fullmatch(r"\d{4}-\d{2}", name):
            first = date.fromisoformat(f"{name}-01")
            return (first + timedelta(days=31)).replace(day=1) - timedelta(days=1)
        return datetime.fromisoformat(name).date()
    except (ValueError, OverflowError):
        raise InputError("input.wrong_type", given=kind_of(value), wanted="a date such as 2027-01-31, or a month such as 2027-01") from None


def last_day(default: Any = None) -> Any:
    """The last day something may be used: a date, or the end of a month."""
    return _field(as_last_day, default, "date such as 2027-01-31, or month such as 2027-01")


def many(read: Reader, *, default: Any = (), says: str = "list") -> Any:
    """A list, each entry read in the same way."""

    def read_all(value: Any, place: str, faults: Faults, table: Mapping) -> tuple:
        if not isinstance(value, list | tuple):
            raise InputError("input.wrong_type", given=kind_of(value), wanted="a list in brackets")
        before = len(faults)
        entries = tuple(_read_entry(read, entry, f"{place}[{index}]", faults, table) for index, entry in enumerate(value, start=1))
        return entries if len(faults) == before else ()

    return _field(read_all, default, says)


def _read_entry(read: Reader, entry: Any, place: str, faults: Faults, table: Mapping) -> Any:
    try:
        return read(entry, place, faults, table)
    except BrackishError as error:
        faults.append(type(error)(error.code, place=error.place or place, **error.params))
    return None


def texts() -> Any:
    """A list of texts."""
    return many(as_text, says="list of texts")


def references() -> Any:
    """A list of ids of something else."""
    return many(as_id, says="list of ids of other entries")


def table(kind: type, default: Any = None) -> Any:
    """A table of its own type."""
    return _field(lambda value, place, faults, _: read_table(kind, value, place, faults), default, "table", kind)


def tables(kind: type) -> Any:
    """A list of tables of one type; each is named by its id where it has one."""

    def read(value: Any, place: str, faults: Faults, _: Mapping) -> tuple:
        if not isinstance(value, list | tuple):
            raise InputError("input.wrong_type", given=kind_of(value), wanted=f"a list of tables, [[{place.rsplit('.', 1)[-1]}]]")
        rows = (read_table(kind, entry, place_of(place, index, entry), faults) for index, entry in enumerate(value, start=1))
        return tuple(row for row in rows if row is not None)

    return _field(read, (), "list of tables", kind)


def place_of(place: str, index: int, entry: object) -> str:
    """`test[T1]` where the entry has an id, else `test[3]`, the third one."""
    name = entry.get("id") if isinstance(entry, Mapping) else None
    return f"{place}[{name if isinstance(name, str) and name else index}]"


def custom(read: Reader, default: Any = None, *, says: str = "", kind: type | None = None) -> Any:
    """A value read by a function of its own; `kind` where it is of tables."""
    return _field(read, default, says, kind)
