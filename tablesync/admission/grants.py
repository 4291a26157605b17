"""A relay's signed word that it has let a device in, and how that came.

The payload is the msgpack array

    [2, game, device, seat, way, time, device replaced or null, who confirmed or null,
     [what it signed, its own grant, the relay's signature of that] or null]

The last is there where a director confirmed it: an official of another seat does so by
an entry, which is on record as it is. The device puts the grant on record with its
first entry under it, so it is part of the game. Version 1 lacks the last field.
"""

from __future__ import annotations

from dataclasses import astuple
from enum import StrEnum

import msgpack

from tablesync.admission.frames import Granted
from tablesync.admission.invitation import EVERY_GAME
from tablesync.core.acts import Seat
from tablesync.core.vector_clock import DeviceId
from tablesync.errors import FieldError
from tablesync.frozen import dataclass
from tablesync.seal import DeviceKey, has_signed
from tablesync.strict_msgpack import sized, unpack
from tablesync.sync.courts.confirmation import has_confirmed
from tablesync.sync.courts.messages import Confirmation
from tablesync.sync.messages import Asking

__all__ = [
    "DirectorsWord",
    "Grant",
    "Way",
    "is_confirmed_in",
    "is_granted_by",
    "read_grant",
    "sign_grant",
]

_DOMAIN = b"tablesync admission\x00"
GRANT_VERSION = 2
FIELDS = {1: 8, GRANT_VERSION: 9}
"""How many each version has."""
LATEST_MS = 2**53


class Way(StrEnum):
    """How a device showed that it was meant."""

    INVITATION = "invitation"
    """It had the secret of a QR code."""
    SHORT_CODE = "short_code"
    """Somebody typed the short code."""


@dataclass(frozen=True, slots=True)
class DirectorsWord:
    """What shows in a grant that a director confirmed it."""

    signature: bytes
    """The director's, as `confirmation.confirm` makes it."""
    granted: Granted
    """The relay's word that this is a director."""


@dataclass(frozen=True, slots=True)
class Grant:
    """That a device is let in."""

    game: bytes
    device: DeviceId
    seat: Seat | None
    way: Way
    at_ms: int
    """By the relay's clock."""
    replaces: DeviceId | None = None
    """The device that had the seat before."""
    confirmed_by: DeviceId | None = None
    """The device of the official or the director who confirmed it."""
    word: DirectorsWord | None = None
    """Where it was a director."""


def sign_grant(key: DeviceKey, grant: Grant) -> Granted:
    """The relay's signature of a grant."""
    word = grant.word
    fields = [
        GRANT_VERSION,
        grant.game,
        grant.device,
        grant.seat,
        grant.way,
        grant.at_ms,
        grant.replaces,
        grant.confirmed_by,
        None if word is None else (word.signature, *astuple(word.granted)),
    ]
    payload: bytes = msgpack.packb(fields)
    return Granted(payload, key.sign_as(_DOMAIN, payload))


def is_granted_by(relay: DeviceId, granted: Granted) -> bool:
    """Whether it is that relay's signature."""
    return has_signed(relay, _DOMAIN, granted.payload, granted.signature)


def read_grant(payload: bytes) -> Grant:
    """What a grant says; `is_granted_by` checks who says it.

    Raises:
        FieldError: it is none.
    """
    values = unpack(payload, levels=2)
    if not isinstance(values, list) or not _is_of_a_version(values):
        raise FieldError("it is no grant", f"the fields of version {GRANT_VERSION}")
    _, game, device, seat, way, at_ms, replaces, confirmed_by, *word = values
    if type(at_ms) is not int or not 0 <= at_ms <= LATEST_MS:
        raise FieldError("its time is not right", "milliseconds from 0")
    try:
        at, how = None if seat is None else Seat(seat), Way(way)
    except ValueError as error:
        raise FieldError("its seat or way is not known", "a seat and a way") from error
    return Grant(
        sized(game, 32, "game"),
        _device(device),
        at,
        how,
        at_ms,
        None if replaces is None else _device(replaces),
        None if confirmed_by is None else _device(confirmed_by),
        _word(word[0]) if word else None,
    )


def is_confirmed_in(grant: Grant, relay: DeviceId) -> bool:
    """Whether the director's word in a grant is that of a director of this relay."""
    word, director = grant.word, grant.confirmed_by
    if word is None or director is None or grant.seat is None:
        return False
    asking = Asking(grant.device, grant.seat)
    if not (
        has_confirmed(director, Confirmation(grant.game, asking, word.signature))
        and is_granted_by(relay, word.granted)
    ):
        return False
    try:
        own = read_grant(word.granted.payload)
    except FieldError:
        return False
    return (own.device, own.game, own.seat) == (director, EVERY_GAME, None)


def _is_of_a_version(values: list[object]) -> bool:
    return type(values[0]) is int and len(values) == FIELDS.get(values[0])


def _word(value: object) -> DirectorsWord | None:
    match value:
        case None:
            return None
        case [bytes() as signature, bytes() as payload, bytes() as signed]:
            return DirectorsWord(signature, Granted(payload, signed))
        case _:
            raise FieldError("its director's word is not right", "three byte strings")


def _device(value: object) -> DeviceId:
    return DeviceId(sized(value, 32, "device"))
