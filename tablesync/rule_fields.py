"""How the values of a rule file are read: seconds, rows, allowances.

A reader raises ValueError where the value is not acceptable, or FieldError where it can
say which part of it is not.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

from tablesync.core.act_fields import list_of, one_of, text
from tablesync.core.foul_rules import CoachCharge
from tablesync.core.sources import league
from tablesync.errors import FieldError

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    Reader: TypeAlias = Callable[[object], object]

__all__ = [
    "charges",
    "even",
    "falling_seconds",
    "foul_kinds",
    "row",
    "rows_of_league",
    "seconds",
    "seconds_or_none",
]


def seconds(value: object) -> int:
    """Seconds as milliseconds, from a tenth of one to an hour."""
    if not isinstance(value, int | float) or isinstance(value, bool):
        raise ValueError  # noqa: TRY004 - readers speak ValueError
    if not 0.1 <= value <= 3600:
        raise ValueError
    return round(value * 1000)


def seconds_or_none(value: object) -> int:
    """Seconds as milliseconds, or 0."""
    is_nought = isinstance(value, int) and not isinstance(value, bool) and value == 0
    return 0 if is_nought else seconds(value)


def falling_seconds(value: object) -> tuple[int, ...]:
    """A list of seconds, each less than the one before, as milliseconds."""
    if not isinstance(value, list):
        raise ValueError  # noqa: TRY004 - readers speak ValueError
    times_ms = tuple(seconds_or_none(item) for item in value)
    if list(times_ms) != sorted(set(times_ms), reverse=True):
        raise ValueError
    return times_ms


def even(read: Callable[[object], int]) -> Reader:
    """An even whole number, within another reader's bounds."""

    def read_even(value: object) -> object:
        number = read(value)
        if number % 2:
            raise ValueError
        return number

    return read_even


def foul_kinds(value: object) -> frozenset[object]:
    """Kinds of foul, each once."""
    return _frozen(list_of(text(24))(value))


def charges(value: object) -> frozenset[object]:
    """Charges on a coach's record, each once."""
    return _frozen(list_of(one_of(CoachCharge))(value))


def _frozen(value: object) -> frozenset[object]:
    assert isinstance(value, tuple)
    return frozenset(value)


def row(build: Callable[..., object], fields: Mapping[str, Reader]) -> Reader:
    """A table with exactly these keys, each read by its reader."""

    def read(value: object) -> object:
        if not isinstance(value, dict):
            raise ValueError  # noqa: TRY004 - readers speak ValueError
        if value.keys() != fields.keys():
            keys = ", ".join(value) or "no keys"
            raise FieldError(f"a row has {keys}", ", ".join(fields))
        accepted: dict[str, object] = {}
        for key, reader in fields.items():
            try:
                accepted[key] = reader(value[key])
            except ValueError:
                raise FieldError(
                    f"{key} of a row is {value[key]!r}", "a value that has sense there"
                ) from None
        return build(**accepted)

    return read


def rows_of_league(
    build: Callable[..., object], fields: Mapping[str, Reader]
) -> Reader:
    """A list of rows, each of which is the league's own."""

    def build_row(**accepted: object) -> object:
        return build(**accepted, source=league())

    read_row = row(build_row, fields)

    def read(value: object) -> object:
        if not isinstance(value, list):
            raise ValueError  # noqa: TRY004 - readers speak ValueError
        return tuple(read_row(item) for item in value)

    return read
