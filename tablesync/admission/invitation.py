"""Where a relay is and by what it is known, and what gives out a seat there.

Both are one line of text, so that a QR code, a file and an option of the command line
all hold the same::

    TABLESYNC:/1/HOST:PORT/CERTIFICATE                      where a relay is
    TABLESYNC:/1/HOST:PORT/CERTIFICATE/GAME/SEAT/SECRET     an invitation

The certificate is the SHA-256 of its DER bytes; it, the game and the secret are in
base 32 without padding. All letters are capitals, since a QR code holds those in less
space. Small ones are read too.
"""

from __future__ import annotations

import re
from base64 import b32decode, b32encode

from tablesync.core.acts import Seat
from tablesync.errors import BadInputError
from tablesync.frozen import dataclass

__all__ = [
    "CERTIFICATE_BYTES",
    "EVERY_GAME",
    "SCHEME",
    "SECRET_BYTES",
    "Invitation",
    "RelayAddress",
    "read_invitation",
    "read_relay_address",
    "secret_in",
]

SCHEME = "tablesync:"
FORM = "1"
CERTIFICATE_BYTES = 32
GAME_BYTES = 32
SECRET_BYTES = 16
"""128 bits can't be guessed."""
EVERY_GAME = bytes(GAME_BYTES)
"""Stands for all games of a relay, where somebody may look on at each."""
WATCHING = "WATCH"
_HOST = re.compile(r"(\[[0-9A-Fa-f:.%]+\]|[0-9A-Za-z._-]+):([0-9]{1,5})")


@dataclass(frozen=True, slots=True)
class RelayAddress:
    """Where a relay is, and the hash by which its certificate is known."""

    host: str
    """A name or an address; one of IPv6 is in brackets."""
    port: int
    certificate: bytes

    @property
    def url(self) -> str:
        """Where to connect to."""
        return f"wss://{self.host}:{self.port}"

    def __str__(self) -> str:
        place = f"{self.host}:{self.port}".upper()
        return f"{SCHEME}/{FORM}/{place}/{_encoded(self.certificate)}".upper()


@dataclass(frozen=True, slots=True)
class Invitation:
    """What gives out a seat of a game, once."""

    relay: RelayAddress
    game: bytes
    """The game's id, or `EVERY_GAME` for who looks on at all."""
    seat: Seat | None
    """None for who only looks on."""
    secret: bytes

    def __str__(self) -> str:
        seat = WATCHING if self.seat is None else self.seat.upper()
        return f"{self.relay}/{_encoded(self.game)}/{seat}/{_encoded(self.secret)}"


def _encoded(data: bytes) -> str:
    return b32encode(data).decode().rstrip("=")


def read_relay_address(text: str) -> RelayAddress:
    """Where the relay of an address or an invitation is.

    Raises:
        BadInputError: it is neither.
    """
    parts = _parts(text)
    if len(parts) not in (3, 6):
        raise _wrong("it does not have the parts of an address")
    form, place, certificate, *_ = parts
    match = _HOST.fullmatch(place)
    if form != FORM or match is None or not 0 < int(match[2]) < 2**16:
        raise _wrong("its host or port is not right")
    return RelayAddress(
        match[1].lower(), int(match[2]), _decoded(certificate, CERTIFICATE_BYTES)
    )


def read_invitation(text: str) -> Invitation:
    """The invitation that a QR code or a line of text holds.

    Raises:
        BadInputError: it holds none.
    """
    parts = _parts(text)
    if len(parts) != 6:
        raise _wrong("it is no invitation")
    game, seat, secret = parts[3:]
    try:
        at = None if seat == WATCHING else Seat(seat.lower())
    except ValueError as error:
        raise _wrong("it is for no seat") from error
    return Invitation(
        read_relay_address(text),
        _decoded(game, GAME_BYTES),
        at,
        _decoded(secret, SECRET_BYTES),
    )


def secret_in(address: str) -> bytes:
    """The secret of an invitation; empty for an address without one."""
    try:
        return read_invitation(address).secret
    except BadInputError:
        return b""


def _parts(text: str) -> list[str]:
    line = text.strip().upper()
    if not line.startswith(f"{SCHEME.upper()}/"):
        raise _wrong("it does not begin as one")
    return line.removeprefix(f"{SCHEME.upper()}/").split("/")


def _decoded(text: str, size: int) -> bytes:
    try:
        data = b32decode(text + "=" * (-len(text) % 8))
    except ValueError as error:
        raise _wrong("a part of it is no base 32") from error
    # Several spellings of one value would make two of what is one.
    if len(data) != size or _encoded(data) != text:
        raise _wrong("a part of it has another length")
    return data


def _wrong(what: str) -> BadInputError:
    # Never the text itself: it may hold a secret, and this goes into logs.
    return BadInputError("the relay's address", what, "the text of its QR code")
