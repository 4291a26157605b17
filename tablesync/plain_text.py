"""Text that others wrote, made safe to print."""

from __future__ import annotations

__all__ = ["printable"]


def printable(text: str) -> str:
    """The text on one line, without what would steer a terminal or turn its words.

    Control and formatting characters become U+FFFD, so that nothing is hidden by them.
    """
    return "".join(
        c if c.isprintable() else " " if c.isspace() else "\ufffd" for c in text
    )
