"""Takes JSON apart strictly: each member by name and type, none left over."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from tablesync.errors import FieldError, ScenarioError

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from enum import StrEnum
    from typing import NoReturn

__all__ = ["StrictObject", "read_object", "shown"]


def read_object(text: str, where: str) -> StrictObject:
    """Reads one JSON object with each key once and numbers that JSON knows.

    Args:
        text: the JSON text.
        where: the file and line, for messages.

    Raises:
        ScenarioError: it is no such object.
    """
    try:
        value = json.loads(
            text, object_pairs_hook=_members, parse_constant=_no_constant
        )
    except FieldError as error:
        raise ScenarioError(where, error.what, error.expected) from error
    except (ValueError, RecursionError) as error:
        what = "the line is no JSON" if text.strip() else "the line is empty"
        raise ScenarioError(where, what, "one JSON object") from error
    return StrictObject(where, value)


def _members(pairs: list[tuple[str, object]]) -> dict[str, object]:
    members: dict[str, object] = {}
    for key, value in pairs:
        if key in members:
            raise FieldError(f"the key {key!r} is there twice", "each key once")
        members[key] = value
    return members


def _no_constant(name: str) -> NoReturn:
    raise FieldError(f"{name} is no JSON number", "a number")


def shown(value: object) -> str:
    """A value as JSON, cut where it is long."""
    text = json.dumps(value, ensure_ascii=False, default=repr)
    return text if len(text) <= 40 else f"{text[:37]}..."


class StrictObject:
    """A JSON object whose members are taken one by one, and none may be left."""

    def __init__(self, where: str, value: object, name: str = "") -> None:
        self._where = where
        self._prefix = f"{name}." if name else ""
        if not isinstance(value, dict):
            what = f"{name} is" if name else "the line is"
            raise self.refusal(f"{what} {shown(value)}", "an object")
        self._members: dict[str, object] = dict(value)

    def __contains__(self, key: str) -> bool:
        return key in self._members

    def refusal(self, what: str, expected: str) -> ScenarioError:
        """The error that says what is wrong at this line."""
        return ScenarioError(self._where, what, expected)

    def take(self, key: str, expected: str) -> object:
        """Takes a member that must be there."""
        if key not in self._members:
            raise self.refusal(f"{self._prefix}{key} is missing", expected)
        return self._members.pop(key)

    def take_as(
        self, key: str, expected: str, fits: Callable[[object], bool]
    ) -> object:
        """Takes a member that must be there and fit."""
        value = self.take(key, expected)
        if not fits(value):
            raise self.refusal(f"{self._prefix}{key} is {shown(value)}", expected)
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
        return StrictObject(self._where, value, f"{self._prefix}{key}")

    def flag(self, key: str) -> bool:
        """Takes true or false."""
        return self.take_as(key, "true or false", lambda v: type(v) is bool) is True

    def items(self, key: str) -> list[StrictObject]:
        """Takes a list of objects."""
        values = self.take_as(key, "a list", lambda v: isinstance(v, list))
        assert isinstance(values, list)
        name = f"{self._prefix}{key}"
        return [
            StrictObject(self._where, value, f"{name}[{index}]")
            for index, value in enumerate(values)
        ]

    def rest(self) -> Mapping[str, object]:
        """Takes whatever is left."""
        left, self._members = self._members, {}
        return left

    def end(self, known: str) -> None:
        """Refuses what is left."""
        for key in self._members:
            raise self.refusal(f"{self._prefix}{key} is not known here", known)
