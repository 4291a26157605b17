"""What a device proves when it greets: its key, and a secret where it has one.

Both are proved over the relay's number for this connection and the hash of the
certificate that the device was shown. So neither can be used again, nor be passed on by
somebody between the two who shows a certificate of their own.
"""

from __future__ import annotations

import hashlib
import hmac
from typing import TYPE_CHECKING

from tablesync.admission.frames import Greeting
from tablesync.seal import has_signed

if TYPE_CHECKING:
    from tablesync.core.acts import Seat
    from tablesync.core.vector_clock import DeviceId
    from tablesync.seal import DeviceKey

__all__ = ["greet", "has_greeted", "knows"]

_PROOF = b"tablesync secret\x00"
_GREETING = b"tablesync greeting\x00"


def _proof(secret: bytes, place: bytes) -> bytes:
    return hmac.digest(secret, _PROOF + place, hashlib.sha256)


def _place(channel: bytes, game: bytes, device: DeviceId, seat: Seat | None) -> bytes:
    # All of fixed length but the last, so that no two places have the same bytes.
    return channel + game + device + (b"" if seat is None else seat.encode())


def greet(
    key: DeviceKey, game: bytes, seat: Seat | None, channel: bytes, secret: bytes
) -> Greeting:
    """A device's greeting.

    Args:
        key: the device's key.
        game: the game that it wants into.
        seat: where it wants to sit; None to look on.
        channel: the certificate's hash and the relay's number for this connection.
        secret: an invitation's; empty where the relay knows the device.
    """
    place = _place(channel, game, key.device, seat)
    proof = _proof(secret, place) if secret else b""
    signature = key.sign_as(_GREETING, place + proof)
    return Greeting(game, key.device, seat, proof, signature)


def has_greeted(greeting: Greeting, channel: bytes) -> bool:
    """Whether the greeting is its device's, for this connection."""
    place = _place(channel, greeting.game, greeting.device, greeting.seat)
    signed = place + greeting.proof
    return has_signed(greeting.device, _GREETING, signed, greeting.signature)


def knows(greeting: Greeting, channel: bytes, secret: bytes) -> bool:
    """Whether the greeting proves this secret."""
    place = _place(channel, greeting.game, greeting.device, greeting.seat)
    return hmac.compare_digest(greeting.proof, _proof(secret, place))
