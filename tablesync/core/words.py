"""Numbers in the words of the table."""

from __future__ import annotations

__all__ = ["ordinal"]


def ordinal(number: int) -> str:
    """A number in order: "1st", "2nd", "11th"."""
    if number % 100 in (11, 12, 13):
        return f"{number}th"
    return f"{number}{ {1: 'st', 2: 'nd', 3: 'rd'}.get(number % 10, 'th') }"
