"""Where in a TOML file a member stands, which its parser does not tell."""

from __future__ import annotations

import tomllib
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tablesync.strict_object import Keys

__all__ = ["line_of"]


def line_of(content: str, keys: Keys) -> int:
    """The line, from 1, on which the statement begins that brings a member.

    It is the one after which the beginning of the file first has the member; what the
    file has none of, or has only as a whole, is said to stand at the nearest member
    around it.

    Args:
        content: a file that is TOML from end to end.
        keys: the way to the member.
    """
    lines = content.splitlines()
    sound = 0
    wanted = _present(tomllib.loads(content), keys)
    for count in range(1, len(lines) + 1):
        try:
            values = tomllib.loads("\n".join(lines[:count]))
        except tomllib.TOMLDecodeError:
            # The statement goes on in the next line.
            continue
        if len(_present(values, wanted)) == len(wanted):
            return sound + 1
        sound = count
    raise AssertionError(f"the file has no {wanted}")


def _present(values: object, keys: Keys) -> Keys:
    """As much of the way as there is."""
    for depth, key in enumerate(keys):
        match values, key:
            case dict(), str() if key in values:
                values = values[key]
            case list(), int() if key < len(values):
                values = values[key]
            case _:
                return keys[:depth]
    return keys
