# SPDX-License-Identifier: MIT
"""The facts of a test, read as its method's file says they are."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from brackish import library
from brackish.errors import BrackishError, InputError, UnknownMethod
from brackish.library.types import Fact, Method
from brackish.record import fields as f
from brackish.record.job import Override, Test

# Dimension of an input of the models, where it is not that of the fact of the same name.
_OVERRIDES: dict[str, str | tuple[str, ...]] = {
    "meter_gain": "ratio",
    "electrolyte_model": "ratio",
    "temperature": "temperature_difference",
    "blank_temperature": "temperature_difference",
    "air_temperature": "temperature_difference",
    "surface_temperature": "temperature_difference",
    "blank_volume": "volume",
    "blank": ("conductivity", "concentration"),
}


def read_facts(test: Test, place: str, faults: f.Faults) -> Test:
    """The test with its facts, determinations and uncertainties read by its method; faults are noted."""
    try:
        method = library.method(test.method)
    except UnknownMethod as error:
        faults.append(error.at(f"{place}.method"))
        return test
    facts = _table({} if test.facts is None else test.facts, method, f"{place}.facts", faults)
    portions = _portions(test.determination, method, f"{place}.determination", faults)
    determinations = tuple(_table(portion, method, f"{place}.determination[{index}]", faults) for index, portion in enumerate(portions, start=1))
    for index, portion in enumerate(determinations, start=1):
        for name in portion.keys() & facts.keys():
            faults.append(InputError("input.fact_twice", place=f"{place}.determination[{index}]", given=name))
    overrides = _overrides({} if test.uncertainty is None else test.uncertainty, method, f"{place}.uncertainty", faults)
    return Test(**vars(test) | {"facts": facts, "determination": determinations, "uncertainty": overrides})


def _portions(raw: Any, method: Method, place: str, faults: f.Faults) -> tuple[Any, ...]:
    """The separate portions as written, where the method has any."""
    if not isinstance(raw, list | tuple):
        faults.append(InputError("input.wrong_type", place=place, given=f.kind_of(raw), wanted="a list of tables, [[test.determination]]"))
        return ()
    if raw and not any(fact.per == "determination" for fact in method.facts):
        faults.append(InputError("input.no_portions", place=place, method=method.id))
        return ()
    return tuple(raw)


def _table(raw: Any, method: Method, place: str, faults: f.Faults) -> dict[str, Any]:
    if not isinstance(raw, Mapping):
        faults.append(InputError("input.wrong_type", place=place, given=f.kind_of(raw), wanted="a table of facts"))
        return {}
    facts = {}
    for name, value in raw.items():
        fact = method.fact(name)
        if fact:
            try:
                facts[name] = _value(fact, value)
            except BrackishError as error:
                faults.append(error.at(f"{place}.{name}"))
        elif not str(name).startswith("x-"):
            names = tuple(known.name for known in method.facts)
            faults.append(InputError("input.unknown_fact", place=place, method=method.id, given=repr(name), allowed=names))
    return facts


def _value(fact: Fact, value: Any) -> Any:
    if fact.kind == "quantity":
        entries = value if fact.repeats and isinstance(value, list | tuple) else [value]
        if not entries:
            raise InputError("input.wrong_type", given="an empty list", wanted="at least one reading")
        read = tuple(f.as_quantity(entry, fact.dimension, bounds=fact.bounds, positive=fact.positive) for entry in entries)
        return read if fact.repeats else read[0]
    if fact.kind == "count":
        return f.as_count(value)
    if fact.kind == "flag":
        return f.as_flag(value)
    text = f.as_text(value)
    if fact.kind == "choice" and text not in fact.choices:
        raise InputError("input.not_one_of", given=f.kind_of(value), allowed=fact.choices)
    if fact.kind == "ph":
        return _ph(text)
    return text


def _ph(text: str) -> float:
    quantity = f.as_quantity(f"{text} 1", "ratio")
    if quantity.inside > 14:
        raise InputError("input.out_of_range", given=repr(text), lowest=0, highest=14)
    return quantity.inside


def _overrides(raw: Any, method: Method, place: str, faults: f.Faults) -> dict[str, Override]:
    if not isinstance(raw, Mapping):
        faults.append(InputError("input.wrong_type", place=place, given=f.kind_of(raw), wanted="a table of model inputs"))
        return {}
    allowed: dict[str, str | tuple[str, ...]] = {fact.name: fact.dimension for fact in method.facts if fact.kind == "quantity"} | _OVERRIDES
    overrides = {}
    for name, figures in raw.items():
        inner = f"{place}.{name}"
        if name not in allowed:
            faults.append(InputError("input.unknown_key", place=place, given=repr(name), allowed=tuple(allowed)))
        elif not isinstance(figures, Mapping) or "standard_uncertainty" not in figures:
            faults.append(InputError("input.missing_key", place=inner, wanted="standard_uncertainty"))
        else:
            try:
                overrides[name] = _override(figures, allowed[name])
            except BrackishError as error:
                faults.append(error.at(inner))
    return overrides


def _override(figures: Mapping, dimension: str | tuple[str, ...]) -> Override:
    for key in figures:
        if key not in ("standard_uncertainty", "degrees_of_freedom") and not key.startswith("x-"):
            raise InputError("input.unknown_key", given=repr(key), allowed=("standard_uncertainty", "degrees_of_freedom"))
    freedom = figures.get("degrees_of_freedom")
    return Override(
        standard_uncertainty=f.as_quantity(figures["standard_uncertainty"], dimension),
        degrees_of_freedom=None if freedom is None else float(f.as_count(freedom, least=1)),
    )
