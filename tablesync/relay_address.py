"""A relay's address as somebody types it."""

from __future__ import annotations

from urllib.parse import urlsplit

from tablesync.errors import BadInputError

__all__ = ["checked_address", "relay_address"]

SCHEMES = ("ws", "wss")
PORT = 8642
"""Where a relay listens unless it is told otherwise."""
EXAMPLE = "ws://192.168.1.20:8642"


def relay_address(typed: str) -> str | None:
    """The address that is meant, or None where none can be.

    What is left out is added: `192.168.1.20` is enough.
    """
    text = typed.strip()
    if not text or any(letter.isspace() for letter in text):
        return None
    try:
        parts = urlsplit(text if "://" in text else f"ws://{text}")
        host, port = parts.hostname, parts.port
    except ValueError:
        return None
    if parts.scheme not in SCHEMES or not host or parts.username is not None:
        return None
    named = f"[{host}]" if ":" in host else host
    return f"{parts.scheme}://{named}:{PORT if port is None else port}{parts.path}"


def checked_address(typed: str) -> str:
    """The address that is meant.

    Raises:
        BadInputError: it can be none.
    """
    address = relay_address(typed)
    if address is None:
        raise BadInputError("the relay", f"{typed!r} is no address", EXAMPLE)
    return address
