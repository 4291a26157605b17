"""How one field of an act is read from a plain value, and written to one.

A reader raises ValueError where the value is not acceptable; the form that the field
stands in says what was expected.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from tablesync.core.acts import EntryId
from tablesync.core.vector_clock import DeviceId
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from collections.abc import Callable
    from enum import StrEnum

__all__ = [
    "Field",
    "data",
    "entry_id",
    "flag",
    "list_of",
    "matching",
    "one_of",
    "or_none",
    "same",
    "text",
    "whole",
    "write_entry_id",
    "write_list",
]


@dataclass(frozen=True, slots=True)
class Field:
    """How one field of an act is read from a plain value and written to one."""

    name: str
    expected: str
    """What a reader may expect: the end of an error message."""
    read: Callable[[object], object]
    """Raises ValueError where the plain value is not acceptable."""
    write: Callable[[object], object]


def same(value: object) -> object:
    """Any value, as it is."""
    return value


def one_of(kind: type[StrEnum]) -> Callable[[object], object]:
    """One of an enum's values."""
    members = {str(member): member for member in kind}

    def read(value: object) -> object:
        # Only a text can name one, and only a text is sure to be comparable to one.
        if not isinstance(value, str) or value not in members:
            raise ValueError
        return members[value]

    return read


def matching(pattern: str) -> Callable[[object], object]:
    """Text that matches a pattern from end to end."""
    compiled = re.compile(pattern)

    def read(value: object) -> object:
        if not isinstance(value, str) or not compiled.fullmatch(value):
            raise ValueError
        return value

    return read


def or_none(read: Callable[[object], object]) -> Callable[[object], object]:
    """None, or what another reader takes."""
    return lambda value: None if value is None else read(value)


def list_of(read: Callable[[object], object]) -> Callable[[object], object]:
    """A list of different items."""

    def read_list(value: object) -> object:
        if not isinstance(value, list | tuple):
            raise ValueError  # noqa: TRY004 - the table speaks ValueError
        items = tuple(read(item) for item in value)
        if len(set(items)) != len(items):
            raise ValueError
        return items

    return read_list


def whole(low: int, high: int) -> Callable[[object], int]:
    """A whole number within bounds."""

    def read(value: object) -> int:
        # A bool is an int to Python, and True is no number of points.
        if not isinstance(value, int) or isinstance(value, bool):
            raise ValueError  # noqa: TRY004 - the table speaks ValueError
        if not low <= value <= high:
            raise ValueError
        return value

    return read


def flag(value: object) -> object:
    """True or false."""
    if not isinstance(value, bool):
        raise ValueError  # noqa: TRY004 - the table speaks ValueError
    return value


def text(limit: int) -> Callable[[object], object]:
    """Text, not empty, of at most so many characters."""

    def read(value: object) -> object:
        if not isinstance(value, str) or not 0 < len(value) <= limit:
            raise ValueError
        # JSON can spell half a character, which no bytes can hold.
        value.encode()
        return value

    return read


def data(least: int, most: int) -> Callable[[object], object]:
    """Bytes of a length within bounds."""

    def read(value: object) -> object:
        if not isinstance(value, bytes) or not least <= len(value) <= most:
            raise ValueError
        return value

    return read


_entry_number = whole(1, 2**31)


def entry_id(value: object) -> object:
    """An entry's device and number."""
    match value:
        case [bytes() as device, number] if len(device) == 32:
            return EntryId(DeviceId(device), _entry_number(number))
        case _:
            raise ValueError


def write_list(value: object) -> object:
    """A tuple as a list."""
    return list(value) if isinstance(value, tuple) else value


def write_entry_id(value: object) -> object:
    """An entry's id as a list of device and number."""
    return [value.device, value.number] if isinstance(value, EntryId) else value
