"""Entries and game sheets as exact bytes: written once, hashed and signed as they are.

The bytes are msgpack, which has several spellings of one value. So nothing is ever
encoded again to be checked: what was signed is stored, sent and verified as it came.

An entry's payload is the array

    [1, device, number, seat, table time, seen, link, [act name, field, field, …]]

with `seen` as an array of `[device, number]` in order of device, and `link` the digest
of the device's entry before, or the game's id for its first.
"""

from __future__ import annotations

from functools import lru_cache

import msgpack
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from tablesync.core.act_forms import form_of, read_act, seats_of, write_act
from tablesync.core.acts import Act, EntryId, Seat
from tablesync.core.entries import Entry, digest_of
from tablesync.core.vector_clock import DeviceId, VectorClock
from tablesync.ed25519 import is_signature
from tablesync.errors import (
    BadSignatureError,
    FieldError,
    MalformedEntryError,
    WrongSeatError,
)
from tablesync.strict_msgpack import sized, unpack_unseen

__all__ = [
    "ENTRY_VERSION",
    "LATEST_MS",
    "MOST_BYTES",
    "DeviceKey",
    "Pen",
    "has_signed",
    "is_sealed",
    "unseal",
    "verify",
]

ENTRY_VERSION = 1
MOST_BYTES = 16 * 1024
"""No payload is larger: the longest note fits several times over."""
LATEST_MS = 2**53
"""Beyond any time that every reader can hold exactly."""
_DOMAIN = b"tablesync entry\x00"


class DeviceKey:
    """A device's signing key. It never leaves the device, and is never copied."""

    def __init__(self, secret: bytes) -> None:
        """Takes the 32 secret bytes of an Ed25519 key (RFC 8032)."""
        self.secret = secret
        self._key = Ed25519PrivateKey.from_private_bytes(secret)
        self.device = DeviceId(self._key.public_key().public_bytes_raw())

    def sign(self, payload: bytes) -> bytes:
        """The signature of an entry's payload, 64 bytes."""
        return self.sign_as(_DOMAIN, payload)

    def sign_as(self, domain: bytes, data: bytes) -> bytes:
        """The signature of `data` as one kind of statement, 64 bytes.

        Args:
            domain: begins what is signed, and is the start of no other domain, so that
                a signature of one kind never passes for one of another.
            data: the exact bytes to sign.
        """
        return self._key.sign(domain + data)


class Pen:
    """Writes the entries of one device at one seat of a game, in an unbroken chain."""

    def __init__(self, key: DeviceKey, seat: Seat, game: bytes) -> None:
        self.device = key.device
        self.seat = seat
        self._key = key
        self._number = 0
        self._link = game

    def resume(self, last: Entry) -> None:
        """Goes on after the last entry that this device has written."""
        self._number = last.id.number
        self._link = last.digest

    def write(self, act: Act, seen: VectorClock, table_time_ms: int) -> Entry:
        """Puts an act on record.

        Args:
            act: what the official did.
            seen: what the device holds of the other devices' entries.
            table_time_ms: when the finger came down.

        Raises:
            WrongSeatError: the act is not this seat's.
            MalformedEntryError: the act or the time is not acceptable.
        """
        id_ = EntryId(self.device, self._number + 1)
        fields = [
            ENTRY_VERSION,
            id_.device,
            id_.number,
            str(self.seat),
            table_time_ms,
            [[device, n] for device, n in seen.without(self.device).items()],
            self._link,
            write_act(act),
        ]
        try:
            payload: bytes = msgpack.packb(fields)
        except (ValueError, OverflowError) as error:
            what = "its act or time can't be put as bytes"
            raise MalformedEntryError(str(id_), what) from error
        # Read back, so that nothing is put on record that another holder would refuse.
        entry = unseal(payload, self._key.sign(payload))
        self._number = id_.number
        self._link = entry.digest
        return entry


def has_signed(device: DeviceId, domain: bytes, data: bytes, signature: bytes) -> bool:
    """Whether it is the device's signature of `data` as that kind of statement."""
    return is_signature(device, signature, domain + data)


def is_sealed(entry: Entry) -> bool:
    """Whether the entry's device has signed the entry's exact bytes."""
    return has_signed(entry.id.device, _DOMAIN, entry.payload, entry.signature)


def verify(entry: Entry) -> None:
    """Checks the signature of the entry's device over the entry's exact bytes.

    Raises:
        BadSignatureError: it is not that device's signature.
    """
    if not is_sealed(entry):
        raise BadSignatureError(str(entry.id), "its signature is not valid")


def unseal(payload: bytes, signature: bytes) -> Entry:
    """Reads an entry from its bytes, strictly; `verify` checks the signature.

    Raises:
        MalformedEntryError: the bytes are no entry of this version.
        WrongSeatError: its act is not one of its seat's.
    """
    id_ = None
    try:
        named, number, seat, time_ms, seen, before, act = _fields(payload)
        device = _device(sized(named, 32, "device"))
        id_ = EntryId(device, _count(number, 1, 2**31, "number"))
        table_time_ms = _count(time_ms, 0, LATEST_MS, "table time")
        entry_seat = _seat(seat)
        clock = _seen(seen, device)
        link = _digest(sized(before, 32, "link"))
        sized(signature, 64, "signature")
        done = read_act(act)
    except FieldError as error:
        raise MalformedEntryError(str(id_ or "?"), str(error)) from error
    if entry_seat not in seats_of(done):
        raise WrongSeatError(
            str(id_), f"{form_of(done).name} is no act of the {entry_seat} seat"
        )
    digest = _digest(digest_of(payload, signature))
    return Entry(
        id_, entry_seat, clock, table_time_ms, done, link, payload, signature, digest
    )


def _fields(payload: bytes) -> list[object]:
    """The payload's fields after the version, of whatever kinds they are."""
    if len(payload) > MOST_BYTES:
        raise FieldError("it is too long", f"at most {MOST_BYTES} bytes")
    values = unpack_unseen(payload)
    if type(values) is not list or len(values) != 8:
        raise FieldError("it is no array of 8", "the entry's fields")
    version = values[0]
    if type(version) is not int or version != ENTRY_VERSION:
        raise FieldError("its version is not known", f"version {ENTRY_VERSION}")
    return values[1:]


def _count(value: object, low: int, high: int, name: str) -> int:
    # To Python a bool is an int too.
    if type(value) is not int:
        raise FieldError(f"its {name} is no number", f"a whole number from {low}")
    if not low <= value <= high:
        raise FieldError(f"its {name} is {value}", f"from {low} to {high}")
    return value


def _seat(value: object) -> Seat:
    # Only a text can name a seat, and only a text is sure to be comparable to one.
    if type(value) is not str or value not in _SEATS:
        raise FieldError("its seat is not known", ", ".join(Seat))
    return _SEATS[value]


def _seen(value: object, device: DeviceId) -> VectorClock:
    if type(value) is not list:
        raise FieldError("what it knew is no array", "pairs of device and number")
    pairs = []
    before = b""
    for pair in value:
        if type(pair) is not list or len(pair) != 2:
            raise FieldError("what it knew is not right", "pairs of device and number")
        other = _device(sized(pair[0], 32, "known device"))
        pairs.append((other, _count(pair[1], 1, 2**31, "known number")))
        if other <= before or other == device:
            raise FieldError(
                "what it knew is not right", "other devices, each once, in order"
            )
        before = other
    return _clock(tuple(pairs))


@lru_cache(maxsize=4096)
def _clock(pairs: tuple[tuple[DeviceId, int], ...]) -> VectorClock:
    """One object for all entries that knew the same, as most neighbours do."""
    return VectorClock(dict(pairs))


@lru_cache(maxsize=4096)
def _device(device: bytes) -> DeviceId:
    """One object for all that a device has written."""
    return DeviceId(device)


@lru_cache(maxsize=4096)
def _digest(digest: bytes) -> bytes:
    """One object for an entry's digest and for the link to it."""
    return digest


_SEATS = {str(seat): seat for seat in Seat}
