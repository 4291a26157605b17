"""Takes a parsed file apart strictly: each member by name and type, none left over."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Protocol, TypeAlias

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from enum import StrEnum

    from tablesync.errors import BadInputError

__all__ = ["Keys", "Origin", "StrictObject", "keys_in_words", "shown"]

Keys: TypeAlias = tuple[str | int, ...]
"""The way from the outermost object to a member: "home", "players", 2."""


class Origin(Protocol):
    """Where an object was read, which knows how to say what is wrong with it."""

    def refusal(self, keys: Keys, what: str, expected: str) -> BadInputError:
        """The error that says what is wrong, at the member with these keys."""
        ...


def shown(value: object) -> str:
    """A value as JSON, cut where it is long."""
    text = json.dumps(value, ensure_ascii=False, default=str)
    return text if len(text) <= 40 else f"{text[:37]}..."


def keys_in_words(keys: Keys) -> str:
    """The way to a member as it is written: "home.players[2]"."""
    words = "".join(f"[{k}]" if isinstance(k, int) else f".{k}" for k in keys)
    return words.removeprefix(".")


class StrictObject:
    """An object whose members are taken one by one, and none may be left."""

    def __init__(self, origin: Origin, value: object, keys: Keys = ()) -> None:
        self._origin = origin
        self._keys = keys
        if not isinstance(value, dict):
            name = keys_in_words(keys) or "the line"
            raise self.refusal(f"{name} is {shown(value)}", "an object")
        self._members: dict[str, object] = dict(value)

    def __contains__(self, key: str) -> bool:
        return key in self._members

    def refusal(
        self, what: str, expected: str, key: str | None = None
    ) -> BadInputError:
        """The error that says what is wrong with this object, or with one member."""
        keys = self._keys if key is None else (*self._keys, key)
        return self._origin.refusal(keys, what, expected)

    def name_of(self, key: str) -> str:
        """A member's name with the way to it."""
        return keys_in_words((*self._keys, key))

    def take(self, key: str, expected: str) -> object:
        """Takes a member that must be there."""
        if key not in self._members:
            raise self.refusal(f"{self.name_of(key)} is missing", expected)
        return self._members.pop(key)

    def take_as(
        self, key: str, expected: str, fits: Callable[[object], bool]
    ) -> object:
        """Takes a member that must be there and fit."""
        value = self.take(key, expected)
        if not fits(value):
            raise self.refusal(f"{self.name_of(key)} is {shown(value)}", expected, key)
        return value

    def text(self, key: str) -> str:
        """Takes a text that is not empty."""
        value = self.take_as(
            key, "a text", lambda v: isinstance(v, str) and v.strip() != ""
        )
        return str(value)

    def optional_text(self, key: str) -> str:
        """Takes a text that may be absent: then empty."""
        return self.text(key) if key in self else ""

    def whole(self, key: str, low: int, high: int) -> int:
        """Takes a whole number within bounds."""
        value = self.take_as(
            key,
            f"a whole number from {low} to {high}",
            lambda v: type(v) is int and low <= v <= high,
        )
        assert isinstance(value, int)
        return value

    def seconds(self, key: str, latest: int) -> int:
        """Takes a number of seconds, as milliseconds."""
        value = self.take_as(
            key,
            f"seconds from 0 to {latest}",
            lambda v: type(v) in (int, float) and 0 <= v <= latest,  # type: ignore[operator]
        )
        assert isinstance(value, int | float)
        return round(value * 1000)

    def one_of(self, key: str, choices: tuple[StrEnum, ...]) -> str:
        """Takes one of several words."""
        words = [str(choice) for choice in choices]
        value = self.take_as(
            key, " or ".join(f'"{word}"' for word in words), lambda v: v in words
        )
        return str(value)

    def inner(self, key: str) -> StrictObject:
        """Takes an object."""
        value = self.take(key, "an object")
        return StrictObject(self._origin, value, (*self._keys, key))

    def flag(self, key: str) -> bool:
        """Takes true or false."""
        return self.take_as(key, "true or false", lambda v: type(v) is bool) is True

    def items(self, key: str) -> list[StrictObject]:
        """Takes a list of objects."""
        values = self.take_as(key, "a list", lambda v: isinstance(v, list))
        assert isinstance(values, list)
        keys = (*self._keys, key)
        return [
            StrictObject(self._origin, value, (*keys, index))
            for index, value in enumerate(values)
        ]

    def rest(self) -> Mapping[str, object]:
        """Takes whatever is left."""
        left, self._members = self._members, {}
        return left

    def end(self, known: str) -> None:
        """Refuses what is left."""
        for key in self._members:
            raise self.refusal(f"{self.name_of(key)} is not known here", known, key)
