"""A relay's address as somebody types it."""

from __future__ import annotations

from urllib.parse import urlsplit

from tablesync.admission.invitation import (
    SCHEME,
    read_invitation,
    read_relay_address,
)
from tablesync.errors import BadInputError

__all__ = ["EXAMPLE", "checked_address", "is_code", "place_of", "relay_address"]

SCHEMES = ("ws", "wss")
PARTS_OF_ADDRESS = 3
"""After the scheme: form, place and certificate."""
PORT = 8642
"""Where a relay listens unless it is told otherwise."""
EXAMPLE = "ws://192.168.1.20:8642"
WHOLE_TEXT = "the whole text of the QR code"


def relay_address(typed: str) -> str | None:
    """The address that is meant, or None where none can be.

    What is left out is added: `192.168.1.20` is enough. The text of a QR code, be it
    an invitation or not, is one as it is.
    """
    text = typed.strip()
    if is_code(text):
        return text if _is_of_relay(text) else None
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


def is_code(typed: str) -> bool:
    """Whether it is meant as the text of a QR code, whole or damaged."""
    return typed.strip().lower().startswith(SCHEME)


def _is_of_relay(text: str) -> bool:
    try:
        read_invitation(text)
    except BadInputError:
        try:
            read_relay_address(text)
        except BadInputError:
            return False
        return text.count("/") == PARTS_OF_ADDRESS
    return True


def place_of(address: str) -> str:
    """The address as it can be shown: an invitation's without its secret."""
    if is_code(address):
        return read_relay_address(address).url
    return address


def checked_address(typed: str) -> str:
    """The address that is meant.

    Raises:
        BadInputError: it can be none.
    """
    address = relay_address(typed)
    if address is None:
        if is_code(typed):
            # What is left of an invitation may hold its secret, and this is logged.
            raise BadInputError("the relay", "its text is damaged", WHOLE_TEXT)
        raise BadInputError("the relay", f"{typed!r} is no address", EXAMPLE)
    return address
