"""What a relay and a device that wants to be let in say to each other.

A conversation goes::

    relay                                   device
    Challenge: a number used once   ->
                                    <-      Greeting: who I am, where I want to sit
    Granted: the relay's signature  ->
                                    <-      Hello, and on as in `sync.messages`

or, where the device has no more than a short code::

    Challenge                       ->
                                    <-      Guess: half of a key exchange
    Answer: the other half          ->
                                    <-      Confirm: I have found the same key
    Handed: the invitation          ->

A refusal of `sync.messages` can take the place of each of the relay's. The frames are
msgpack arrays as in `sync.codec`, and their kinds are apart from those.
"""

from __future__ import annotations

from enum import IntEnum
from typing import TYPE_CHECKING, TypeAlias

import msgpack

from tablesync.admission.invitation import SECRET_BYTES
from tablesync.core.acts import Seat
from tablesync.core.vector_clock import DeviceId
from tablesync.errors import FieldError, MalformedFrameError
from tablesync.frozen import dataclass
from tablesync.strict_msgpack import unpack

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = [
    "MOST_BYTES",
    "NONCE_BYTES",
    "Answer",
    "Challenge",
    "Confirm",
    "Frame",
    "Granted",
    "Greeting",
    "Guess",
    "Handed",
    "decode_frame",
    "encode_frame",
]

MOST_BYTES = 1024
"""No frame of an admission is larger, so a stranger can make the relay hold no more."""
NONCE_BYTES = 32
MAC_BYTES = 32
EXCHANGE_BYTES = 33
"""A side and a point, as the key exchange sends them."""
SIGNATURE_BYTES = 64
MOST_GRANT = 512
DEEPEST = 1


class Kind(IntEnum):
    """The first item of a frame. A number is never used again for something else."""

    CHALLENGE = 32
    GREETING = 33
    GRANTED = 34
    GUESS = 35
    ANSWER = 36
    CONFIRM = 37
    HANDED = 38


@dataclass(frozen=True, slots=True)
class Challenge:
    """The relay's first frame: whatever is proved is proved anew over this number."""

    nonce: bytes


@dataclass(frozen=True, slots=True)
class Greeting:
    """A device says who it is, signs that, and proves a secret if it has one."""

    game: bytes
    device: DeviceId
    seat: Seat | None
    proof: bytes
    """Empty for a device that the relay has let in before."""
    signature: bytes


@dataclass(frozen=True, slots=True)
class Granted:
    """The device is in; the relay signs how that came."""

    payload: bytes
    signature: bytes


@dataclass(frozen=True, slots=True)
class Guess:
    """Half of a key exchange over a short code."""

    number: int
    """Which invitation the code is for: its first part."""
    exchange: bytes


@dataclass(frozen=True, slots=True)
class Answer:
    """The relay's half."""

    exchange: bytes


@dataclass(frozen=True, slots=True)
class Confirm:
    """Shows that the device has found the same key."""

    mac: bytes


@dataclass(frozen=True, slots=True)
class Handed:
    """The invitation that the code stands for."""

    game: bytes
    seat: Seat | None
    secret: bytes
    mac: bytes


Frame: TypeAlias = Challenge | Greeting | Granted | Guess | Answer | Confirm | Handed


def encode_frame(frame: Frame) -> bytes:
    """The bytes that say this."""
    data: bytes = msgpack.packb(_plain(frame))
    assert len(data) <= MOST_BYTES
    return data


def _plain(frame: Frame) -> list[object]:
    match frame:
        case Challenge(nonce):
            return [Kind.CHALLENGE, nonce]
        case Greeting(game, device, seat, proof, signature):
            return [Kind.GREETING, game, device, seat, proof, signature]
        case Granted(payload, signature):
            return [Kind.GRANTED, payload, signature]
        case Guess(number, exchange):
            return [Kind.GUESS, number, exchange]
        case Answer(exchange):
            return [Kind.ANSWER, exchange]
        case Confirm(mac):
            return [Kind.CONFIRM, mac]
        case Handed(game, seat, secret, mac):
            return [Kind.HANDED, game, seat, secret, mac]


def decode_frame(data: bytes | str) -> Frame:
    """What a frame of an admission says.

    Raises:
        MalformedFrameError: it is none.
    """
    if isinstance(data, str):
        raise MalformedFrameError("the frame is text; expected bytes")
    if len(data) > MOST_BYTES:
        raise MalformedFrameError(
            f"the frame has {len(data)} bytes; expected at most {MOST_BYTES} "
            "until the device is let in"
        )
    try:
        return _frame(unpack(data, DEEPEST))
    except FieldError as error:
        raise MalformedFrameError(f"the frame can't be read: {error}") from error


def _frame(value: object) -> Frame:
    if not isinstance(value, list) or not value or type(value[0]) is not int:
        raise FieldError("it is no array with a kind", "a kind and its fields")
    kind, *fields = value
    match kind:
        case Kind.CHALLENGE:
            (nonce,) = _read(fields, _bytes(NONCE_BYTES))
            return Challenge(nonce)
        case Kind.GREETING:
            game, device, seat, proof, signature = _read(
                fields, _game, _device, _seat, _proof, _bytes(SIGNATURE_BYTES)
            )
            return Greeting(game, device, seat, proof, signature)
        case Kind.GRANTED:
            payload, signature = _read(fields, _grant, _bytes(SIGNATURE_BYTES))
            return Granted(payload, signature)
        case Kind.GUESS:
            number, exchange = _read(fields, _number, _bytes(EXCHANGE_BYTES))
            return Guess(number, exchange)
        case Kind.ANSWER:
            (exchange,) = _read(fields, _bytes(EXCHANGE_BYTES))
            return Answer(exchange)
        case Kind.CONFIRM:
            (mac,) = _read(fields, _bytes(MAC_BYTES))
            return Confirm(mac)
        case Kind.HANDED:
            game, seat, secret, mac = _read(
                fields, _game, _seat, _bytes(SECRET_BYTES), _bytes(MAC_BYTES)
            )
            return Handed(game, seat, secret, mac)
        case _:
            raise FieldError("its kind has no place in an admission", "one that has")


# Each reader gives the type that its field has; the tuple of them is plain to us only.
def _read(fields: list[object], *readers: Callable[[object], object]) -> tuple:  # type: ignore[type-arg]
    if len(fields) != len(readers):
        raise FieldError(f"it has {len(fields)} fields", f"{len(readers)} fields")
    return tuple(read(field) for read, field in zip(readers, fields, strict=True))


def _bytes(size: int) -> Callable[[object], bytes]:
    def read(value: object) -> bytes:
        if not isinstance(value, bytes) or len(value) != size:
            raise FieldError("a field has another length", f"{size} bytes")
        return value

    return read


_game = _bytes(32)


def _device(value: object) -> DeviceId:
    return DeviceId(_bytes(32)(value))


def _proof(value: object) -> bytes:
    return b"" if value == b"" else _bytes(MAC_BYTES)(value)


def _grant(value: object) -> bytes:
    if not isinstance(value, bytes) or len(value) > MOST_GRANT:
        raise FieldError("its grant is not right", f"at most {MOST_GRANT} bytes")
    return value


def _number(value: object) -> int:
    if type(value) is not int or not 0 < value < 2**31:
        raise FieldError("its number is not right", "a whole number from 1")
    return value


def _seat(value: object) -> Seat | None:
    if value is None:
        return None
    try:
        return Seat(value)  # type: ignore[arg-type]
    except ValueError as error:
        raise FieldError("its seat is not known", ", ".join(Seat)) from error
