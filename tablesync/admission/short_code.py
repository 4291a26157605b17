"""A short code, typed where there is no camera, stands for an invitation.

The code is `NUMBER-DIGITS`: which invitation, and six digits that prove it. They never
go over the network: both ends run SPAKE2 (Abdalla and Pointcheval; the idea of RFC
9382) with them, which lets whoever is in between try one code in a run and no more. The
certificate's hash is part of what both sides say that they are, so a run through
somebody who shows a certificate of their own comes to nothing.
"""

from __future__ import annotations

import hashlib
import hmac
import re
from typing import TYPE_CHECKING

from tablesync.errors import BadInputError, ForgedError, WrongCodeError

if TYPE_CHECKING:
    from collections.abc import Callable

    from spake2 import SPAKE2_A, SPAKE2_B

    from tablesync.core.acts import Seat

__all__ = [
    "CODE_DIGITS",
    "DeviceExchange",
    "RelayExchange",
    "ShortKey",
    "code_text",
    "read_code",
]

CODE_DIGITS = 6
_CODE = re.compile(r"([1-9][0-9]{0,5})-([0-9]{3})[ -]?([0-9]{3})")
_DEVICE = b"tablesync device"
_RELAY = b"tablesync relay\x00"
_CONFIRM = b"tablesync code confirmed\x00"
_HAND = b"tablesync code handed\x00"


def code_text(number: int, digits: str) -> str:
    """A code as it is shown, in groups that are easily read out."""
    return f"{number}-{digits[:3]}-{digits[3:]}"


def read_code(text: str) -> tuple[int, str]:
    """The number of the invitation and the digits that prove it.

    Raises:
        BadInputError: it is no code.
    """
    match = _CODE.fullmatch(text.strip())
    if match is None:
        raise BadInputError("the code", "it has another form", "one such as 3-481-926")
    return int(match[1]), match[2] + match[3]


class ShortKey:
    """The key that both ends have come to, if both used the same code."""

    def __init__(self, key: bytes, nonce: bytes) -> None:
        self._key = key
        self._nonce = nonce

    def confirm(self) -> bytes:
        """Shows the relay that the device has it."""
        return hmac.digest(self._key, _CONFIRM + self._nonce, hashlib.sha256)

    def hand(self, game: bytes, seat: Seat | None, secret: bytes) -> bytes:
        """Shows the device that the relay has it, and that this is from the relay."""
        place = game + secret + (b"" if seat is None else seat.encode())
        return hmac.digest(self._key, _HAND + self._nonce + place, hashlib.sha256)

    def require(self, given: bytes, expected: bytes) -> None:
        """Compares what the other end has shown.

        Raises:
            WrongCodeError: it has another key, so it used another code.
        """
        if not hmac.compare_digest(given, expected):
            raise WrongCodeError("the code is not the one that was given out")


class DeviceExchange:
    """The device's side of one run."""

    def __init__(
        self, digits: str, certificate: bytes, entropy: Callable[[int], bytes]
    ) -> None:
        # It takes 20 ms to import, and most devices come with a whole invitation.
        from spake2 import SPAKE2_A

        self._side = SPAKE2_A(
            digits.encode(), _DEVICE, _RELAY + certificate, entropy_f=entropy
        )
        self.first: bytes = self._side.start()
        """What goes to the relay."""

    def key(self, answer: bytes, nonce: bytes) -> ShortKey:
        """The key, once the relay has answered.

        Raises:
            ForgedError: the answer is no half of an exchange.
        """
        return ShortKey(_finished(self._side, answer), nonce)


class RelayExchange:
    """The relay's side of one run."""

    def __init__(
        self, digits: str, certificate: bytes, entropy: Callable[[int], bytes]
    ) -> None:
        # As for the device: a relay that starts need not wait for it.
        from spake2 import SPAKE2_B

        self._side = SPAKE2_B(
            digits.encode(), _DEVICE, _RELAY + certificate, entropy_f=entropy
        )
        self.answer: bytes = self._side.start()
        """What goes back to the device."""

    def key(self, first: bytes, nonce: bytes) -> ShortKey:
        """The key.

        Raises:
            ForgedError: what came is no half of an exchange.
        """
        return ShortKey(_finished(self._side, first), nonce)


def _finished(side: SPAKE2_A | SPAKE2_B, message: bytes) -> bytes:
    from spake2 import SPAKEError
    from spake2.ed25519_basic import NotOnCurve

    try:
        key: bytes = side.finish(message)
    # The library says ValueError of a point that is on the curve and not in its group.
    except (SPAKEError, NotOnCurve, ValueError) as error:
        raise ForgedError("the key exchange is not right") from error
    return key
