"""A director's signed word that a device may take a seat which has another one.

The relay puts it into the grant of that device (`admission.grants`), and the device
puts that on record. So whoever reads the record can see who confirmed it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.seal import has_signed
from tablesync.sync.courts.messages import Confirmation

if TYPE_CHECKING:
    from tablesync.core.acts import Seat
    from tablesync.core.vector_clock import DeviceId
    from tablesync.seal import DeviceKey
    from tablesync.sync.messages import Asking

__all__ = ["confirm", "has_confirmed"]

_DOMAIN = b"tablesync confirmation\x00"


def confirm(key: DeviceKey, game: bytes, asking: Asking) -> Confirmation:
    """The word of the director who has this key for a device that asks for a seat."""
    place = _place(game, asking.device, asking.seat)
    return Confirmation(game, asking, key.sign_as(_DOMAIN, place))


def has_confirmed(director: DeviceId, confirmation: Confirmation) -> bool:
    """Whether it is that director's word."""
    asking = confirmation.asking
    place = _place(confirmation.game, asking.device, asking.seat)
    return has_signed(director, _DOMAIN, place, confirmation.signature)


def _place(game: bytes, device: DeviceId, seat: Seat) -> bytes:
    # All of fixed length but the last, so that no two places have the same bytes.
    return game + device + seat.encode()
