"""Reads one line of JSON that has each key once and only numbers that JSON knows."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from tablesync.errors import FieldError, ScenarioError
from tablesync.frozen import dataclass
from tablesync.strict_object import StrictObject

if TYPE_CHECKING:
    from typing import NoReturn

    from tablesync.strict_object import Keys

__all__ = ["read_object"]


@dataclass(frozen=True, slots=True)
class _Line:
    """One line of a file."""

    where: str

    def refusal(self, _keys: Keys, what: str, expected: str) -> ScenarioError:
        return ScenarioError(self.where, what, expected)


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
    return StrictObject(_Line(where), value)


def _members(pairs: list[tuple[str, object]]) -> dict[str, object]:
    members: dict[str, object] = {}
    for key, value in pairs:
        if key in members:
            raise FieldError(f"the key {key!r} is there twice", "each key once")
        members[key] = value
    return members


def _no_constant(name: str) -> NoReturn:
    raise FieldError(f"{name} is no JSON number", "a number")
