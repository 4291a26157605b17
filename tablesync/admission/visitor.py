"""The relay's end of a connection until its device is let in, without sockets.

The shell sends `frames_to_send`, feeds `receive_frame`, and keeps the register's
changes before it sends anything more. It goes on with `sync.relay` once there is a
`member`, and closes the connection if the visitor `is_closing`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.admission.frames import (
    Answer,
    Challenge,
    Confirm,
    Greeting,
    Guess,
    Handed,
    decode_frame,
    encode_frame,
)
from tablesync.admission.short_code import RelayExchange
from tablesync.errors import ForgedError, UnexpectedMessageError

if TYPE_CHECKING:
    from collections.abc import Callable

    from tablesync.admission.frames import Frame
    from tablesync.admission.register import Member, Offer, Register
    from tablesync.admission.short_code import ShortKey

__all__ = ["Visitor"]


class Visitor:
    """Somebody at the door."""

    def __init__(
        self, register: Register, nonce: bytes, entropy: Callable[[int], bytes]
    ) -> None:
        """Takes the register, a number used once, and where chance comes from."""
        self.greeting: Greeting | None = None
        """What the device said, once it is let in."""
        self.member: Member | None = None
        """The device, once it is let in."""
        self.is_closing = False
        self._register = register
        self._nonce = nonce
        self._entropy = entropy
        self._key: ShortKey | None = None
        self._offer: Offer | None = None
        self._frames = [encode_frame(Challenge(nonce))]

    def frames_to_send(self) -> list[bytes]:
        """The frames for the device since the last call."""
        frames, self._frames = self._frames, []
        return frames

    def receive_frame(self, data: bytes | str, now_ms: int) -> None:
        """Takes a frame of the device.

        Raises:
            ProtocolError: it is wrong, or the device is not let in. The connection is
                over.
        """
        match decode_frame(data):
            case Greeting() as greeting if self._key is None:
                self._greet(greeting, now_ms)
            case Guess() as guess if self._key is None:
                self._answer(guess, now_ms)
            case Confirm(mac) if self._key is not None:
                self._hand(mac, self._key)
            case other:
                kind = type(other).__name__
                raise UnexpectedMessageError(f"{kind} has no place here")

    def _greet(self, greeting: Greeting, now_ms: int) -> None:
        member = self._register.greet(greeting, self._nonce, now_ms)
        assert member.granted is not None
        self.greeting, self.member = greeting, member
        self._send(member.granted)

    def _answer(self, guess: Guess, now_ms: int) -> None:
        offer = self._register.offer(guess.number, now_ms)
        self._register.count_guess(offer)
        certificate = self._register.certificate
        exchange = RelayExchange(offer.digits, certificate, self._entropy)
        self._key = exchange.key(guess.exchange, self._nonce)
        self._offer = offer
        self._send(Answer(exchange.answer))

    def _hand(self, mac: bytes, key: ShortKey) -> None:
        offer = self._offer
        if offer is None:
            raise ForgedError("there is nothing to hand out")
        key.require(mac, key.confirm())
        self._register.redeem(offer)
        proof = key.hand(offer.game, offer.seat, offer.secret)
        self._send(Handed(offer.game, offer.seat, offer.secret, proof))
        self.is_closing = True

    def _send(self, frame: Frame) -> None:
        self._frames.append(encode_frame(frame))
