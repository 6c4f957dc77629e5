# SPDX-License-Identifier: MIT
"""The base of the tables: filled once, by name, and never changed after.

`dataclass` by itself writes and compiles the same three functions for each of some fifty types, which every
command would wait for; here they stand once. `dataclasses.fields`, `replace` and `asdict` work as ever.
"""

from __future__ import annotations

from dataclasses import Field, FrozenInstanceError, dataclass
from typing import Any, ClassVar, dataclass_transform


@dataclass_transform(kw_only_default=True, frozen_default=True)
class Frozen:
    """A table by the fields of its class; two are equal only when they are one."""

    __dataclass_fields__: ClassVar[dict[str, Field[Any]]]

    def __init_subclass__(cls) -> None:
        dataclass(init=False, repr=False, eq=False)(cls)

    def __init__(self, **values: Any) -> None:
        if not values.keys() <= self.__dataclass_fields__.keys():
            raise TypeError(f"{type(self).__name__} has no {', '.join(values.keys() - self.__dataclass_fields__.keys())}")
        self.__dict__.update(values)  # a default is an attribute of the class

    def __setattr__(self, name: str, value: object) -> None:
        raise FrozenInstanceError(f"cannot assign to field {name!r}")

    def __delattr__(self, name: str) -> None:
        raise FrozenInstanceError(f"cannot delete field {name!r}")
