"""`@dataclass(frozen=True, slots=True)`, made in a third of the time.

The standard one compiles six functions for every class, one after the other, and a
window's start makes 250 classes. Here the three whose code depends on the fields are
compiled at once, and those that only refuse, tell or copy need no code of their own.
What is made is a dataclass like any other: to `dataclasses`, `match`, `copy` and
`pickle`, and to a type checker, which is shown the standard one.

There is no `InitVar` and no `kw_only`.
"""

from __future__ import annotations

import dataclasses
from dataclasses import MISSING, Field, FrozenInstanceError, fields
from reprlib import recursive_repr
from typing import TYPE_CHECKING, Any, TypeAlias, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable
    from dataclasses import dataclass

T = TypeVar("T")
Parts: TypeAlias = "tuple[Field[Any], ...]"
Methods: TypeAlias = "dict[str, Callable[..., Any]]"

__all__ = ["dataclass"]

if not TYPE_CHECKING:

    def dataclass(**how):
        """The decorator; any other kind of dataclass is left to the standard one."""
        if how == {"frozen": True, "slots": True}:
            return _made
        return dataclasses.dataclass(**how)


def _made(cls: type[T]) -> type[T]:
    own = {name for name, value in vars(cls).items() if value is not None}
    # With nothing to compile, the standard one only finds the fields and makes slots.
    made = dataclasses.dataclass(slots=True, init=False, repr=False, eq=False)(cls)
    parts = fields(made)  # type: ignore[arg-type]
    methods = {**_COPYING, **_refusing(made, parts), **_compiled(made, parts)}
    for name, method in methods.items():
        if name not in own:
            setattr(made, name, method)
    return made


def _compiled(made: type, parts: Parts) -> Methods:
    """What runs often and is to run fast."""
    known: dict[str, Any] = {"MISSING": MISSING}
    for part in parts:
        known[f"_set_{part.name}"] = getattr(made, part.name).__set__
        known[f"_default_{part.name}"] = part.default
        known[f"_make_{part.name}"] = part.default_factory
    taken = ", ".join(["self", *(_parameter(part) for part in parts if part.init)])
    compared = [part.name for part in parts if part.compare]
    hashed = [p.name for p in parts if (p.compare if p.hash is None else p.hash)]
    lines = [
        f"def __init__({taken}):",
        *(f" _set_{part.name}(self, {_value(part)})" for part in parts if _value(part)),
        " self.__post_init__()" if hasattr(made, "__post_init__") else " return",
        "def __eq__(self, other):",
        " if other.__class__ is not self.__class__: return NotImplemented",
        f" return {_tuple('self', compared)} == {_tuple('other', compared)}",
        "def __hash__(self):",
        f" return hash({_tuple('self', hashed)})",
    ]
    methods: Methods = {}
    exec("\n".join(lines), known, methods)
    types = {part.name: part.type for part in parts if part.init}
    methods["__init__"].__annotations__ = {**types, "return": None}
    for name, method in methods.items():
        method.__qualname__ = f"{made.__qualname__}.{name}"
    return methods


def _parameter(part: Field[Any]) -> str:
    # What is made anew each time has MISSING for its default, and so for its argument.
    is_needed = part.default is MISSING and part.default_factory is MISSING
    return part.name if is_needed else f"{part.name}=_default_{part.name}"


def _value(part: Field[Any]) -> str:
    """What a field begins as; empty where `__post_init__` has to say."""
    name = part.name
    is_made = part.default_factory is not MISSING
    if part.init:
        return f"_make_{name}() if {name} is MISSING else {name}" if is_made else name
    if is_made:
        return f"_make_{name}()"
    return "" if part.default is MISSING else f"_default_{name}"


def _tuple(of: str, names: list[str]) -> str:
    return f"({''.join(f'{of}.{name},' for name in names)})"


def _refusing(made: type, parts: Parts) -> Methods:
    """What keeps the fields as they are."""
    names = {part.name for part in parts}

    def refuse_to_set(self: object, name: str, value: object) -> None:
        if type(self) is made or name in names:
            raise FrozenInstanceError(f"cannot assign to field {name!r}")
        object.__setattr__(self, name, value)

    def refuse_to_delete(self: object, name: str) -> None:
        if type(self) is made or name in names:
            raise FrozenInstanceError(f"cannot delete field {name!r}")
        object.__delattr__(self, name)

    return {"__setattr__": refuse_to_set, "__delattr__": refuse_to_delete}


@recursive_repr()
def _told(self: Any) -> str:
    parts = (part for part in fields(self) if part.repr)
    values = ", ".join(f"{part.name}={getattr(self, part.name)!r}" for part in parts)
    return f"{type(self).__qualname__}({values})"


def _state(self: Any) -> list[object]:
    return [getattr(self, part.name) for part in fields(self)]


def _restore(self: Any, state: list[object]) -> None:
    for part, value in zip(fields(self), state, strict=True):
        object.__setattr__(self, part.name, value)


_COPYING: Methods = {
    "__repr__": _told,
    "__getstate__": _state,
    "__setstate__": _restore,
}
