"""A relay's signed word that it has let a device in, and how that came.

The payload is the msgpack array

    [1, game, device, seat, way, time, device replaced or null, who confirmed or null]

The device puts it on record with its first entry under it, so it is part of the game.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import msgpack

from tablesync.admission.frames import Granted
from tablesync.core.acts import Seat
from tablesync.core.vector_clock import DeviceId
from tablesync.errors import FieldError
from tablesync.seal import DeviceKey, has_signed
from tablesync.strict_msgpack import unpack

__all__ = ["Grant", "Way", "is_granted_by", "read_grant", "sign_grant"]

_DOMAIN = b"tablesync admission\x00"
GRANT_VERSION = 1
LATEST_MS = 2**53


class Way(StrEnum):
    """How a device showed that it was meant."""

    INVITATION = "invitation"
    """It had the secret of a QR code."""
    SHORT_CODE = "short_code"
    """Somebody typed the short code."""


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
    """The device of the other seat whose official confirmed it."""


def sign_grant(key: DeviceKey, grant: Grant) -> Granted:
    """The relay's signature of a grant."""
    fields = [
        GRANT_VERSION,
        grant.game,
        grant.device,
        grant.seat,
        grant.way,
        grant.at_ms,
        grant.replaces,
        grant.confirmed_by,
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
    values = unpack(payload, levels=1)
    if not isinstance(values, list) or len(values) != 8 or values[0] != GRANT_VERSION:
        raise FieldError("it is no grant", f"8 fields of version {GRANT_VERSION}")
    _, game, device, seat, way, at_ms, replaces, confirmed_by = values
    if type(at_ms) is not int or not 0 <= at_ms <= LATEST_MS:
        raise FieldError("its time is not right", "milliseconds from 0")
    try:
        at, how = None if seat is None else Seat(seat), Way(way)
    except ValueError as error:
        raise FieldError("its seat or way is not known", "a seat and a way") from error
    return Grant(
        _sized(game),
        DeviceId(_sized(device)),
        at,
        how,
        at_ms,
        None if replaces is None else DeviceId(_sized(replaces)),
        None if confirmed_by is None else DeviceId(_sized(confirmed_by)),
    )


def _sized(value: object) -> bytes:
    if not isinstance(value, bytes) or len(value) != 32:
        raise FieldError("a field of it has another length", "32 bytes")
    return value
