"""What the readers of frames demand of single values, alike in all protocols here."""

from __future__ import annotations

from tablesync.errors import FieldError

__all__ = ["bounded_text", "time_ms", "whole"]

LATEST_MS = 2**53
"""Beyond any time that every reader can hold exactly."""


def bounded_text(value: object, most: int) -> str:
    """A text of at most so many characters.

    Raises:
        FieldError: it is none.
    """
    if not isinstance(value, str) or len(value) > most:
        raise FieldError("a text is not right", f"at most {most} characters")
    return value


def whole(value: object, highest: int) -> int:
    """A whole number from 0 to the highest.

    Raises:
        FieldError: it is none.
    """
    # A bool is an int to Python, and True is no number of entries.
    if not isinstance(value, int) or isinstance(value, bool):
        raise FieldError("a number is not right", "a whole number")
    if not 0 <= value <= highest:
        raise FieldError("a number is out of range", f"from 0 to {highest}")
    return value


def time_ms(value: object) -> int:
    """A table or relay time in milliseconds.

    Raises:
        FieldError: it is none.
    """
    return whole(value, LATEST_MS)
