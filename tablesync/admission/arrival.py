"""A device's end of a connection until it is let in, without sockets."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.admission.frames import (
    Answer,
    Challenge,
    Confirm,
    Granted,
    Guess,
    Handed,
    decode_frame,
    encode_frame,
)
from tablesync.admission.invitation import Invitation, RelayAddress
from tablesync.admission.proofs import greet
from tablesync.admission.short_code import DeviceExchange
from tablesync.errors import MalformedFrameError, RefusedError, UnexpectedMessageError
from tablesync.sync.codec import decode
from tablesync.sync.messages import Refusal

if TYPE_CHECKING:
    from collections.abc import Callable

    from tablesync.admission.frames import Frame
    from tablesync.admission.short_code import ShortKey
    from tablesync.sync.claim import Claim

__all__ = ["Arrival", "Redemption"]


class Arrival:
    """A device that greets a relay, with a secret or as one that is known there."""

    def __init__(self, claim: Claim, certificate: bytes, secret: bytes) -> None:
        """Takes who arrives, whose certificate was shown, and the secret or nothing."""
        self.granted: Granted | None = None
        """The relay's word that the device is in."""
        self._claim = claim
        self._certificate = certificate
        self._secret = secret

    def receive_frame(self, data: bytes | str) -> bytes | None:
        """Takes a frame of the relay, and gives the one to answer with.

        Raises:
            ProtocolError: it is wrong.
            RefusedError: the relay refuses the device.
        """
        match _read(data):
            case Challenge(nonce):
                claim, channel = self._claim, self._certificate + nonce
                greeting = greet(
                    claim.key, claim.game, claim.seat, channel, self._secret
                )
                return encode_frame(greeting)
            case Granted() as granted:
                self.granted = granted
                return None
            case other:
                raise _unexpected(other)


class Redemption:
    """A device that has no more than a short code, and wants the invitation for it."""

    def __init__(
        self,
        code: tuple[int, str],
        relay: RelayAddress,
        entropy: Callable[[int], bytes],
    ) -> None:
        """Takes the code's two parts, the relay as it was shown, and chance."""
        self.invitation: Invitation | None = None
        self._number, digits = code
        self._relay = relay
        self._exchange = DeviceExchange(digits, relay.certificate, entropy)
        self._nonce = b""
        self._key: ShortKey | None = None

    def receive_frame(self, data: bytes | str) -> bytes | None:
        """Takes a frame of the relay, and gives the one to answer with.

        Raises:
            ProtocolError: it is wrong, or is not from whoever gave the code out.
            RefusedError: the relay refuses the code.
        """
        match _read(data):
            case Challenge(nonce):
                self._nonce = nonce
                return encode_frame(Guess(self._number, self._exchange.first))
            case Answer(exchange):
                self._key = self._exchange.key(exchange, self._nonce)
                return encode_frame(Confirm(self._key.confirm()))
            case Handed(game, seat, secret, mac) if self._key is not None:
                self._key.require(mac, self._key.hand(game, seat, secret))
                self.invitation = Invitation(self._relay, game, seat, secret)
                return None
            case other:
                raise _unexpected(other)


def _read(data: bytes | str) -> Frame:
    try:
        return decode_frame(data)
    except MalformedFrameError:
        message = decode(data)
        if isinstance(message, Refusal):
            raise RefusedError(message.code, message.sentence) from None
        raise


def _unexpected(frame: Frame) -> UnexpectedMessageError:
    return UnexpectedMessageError(f"a relay sends no {type(frame).__name__} here")
