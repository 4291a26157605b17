"""What a device and the relay say to each other.

A conversation goes::

    device                                relay
    Hello: who I am, what I have    ->
                                    <-    SheetRequest, if it has never had this game
    SheetFrame                      ->
                                    <-    Welcome: what I have, what of yours is safe
                                    <-    Entries that the device lacks, Presences
    Entries that the relay lacks    ->
    Entries, as they are written    <->   passed on to everybody at once
                                    <-    Durable, when they are on its disk
    Beat, every second              ->
                                    <-    BeatBack; to the others a Presence
                                    <-    Asking: a device waits to be confirmed
                                    <-    Signed: a checkpoint over what is on its disk
    Countersign: I hold the same    ->
    Have: what I have, send the rest      (either, when something has gone missing)
    Refusal: what is wrong; then the link is closed
    Bye: I am leaving

All times are whole milliseconds.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, NamedTuple, TypeAlias

from tablesync.core.history import Head
from tablesync.core.vector_clock import DeviceId
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from tablesync.core.acts import Seat
    from tablesync.errors import EntryError, ProtocolError, StorageError

__all__ = [
    "FIRST_WITH_STATEMENTS",
    "MOST_SENTENCE",
    "PROTOCOL",
    "Asking",
    "Beat",
    "BeatBack",
    "Bye",
    "Countersign",
    "Durable",
    "Entries",
    "Have",
    "Heads",
    "Hello",
    "Message",
    "Presence",
    "Refusal",
    "Sealed",
    "SheetFrame",
    "SheetRequest",
    "Signed",
    "Version",
    "Welcome",
    "refusal_of",
]

Heads: TypeAlias = Mapping[DeviceId, tuple[Head, ...]]
"""Device to its newest entries, as `History.heads` tells them: at least one each."""

MOST_SENTENCE = 400


@dataclass(frozen=True, slots=True)
class Version:
    """A version of the protocol. Ends of one major version understand each other."""

    major: int
    minor: int

    def __str__(self) -> str:
        return f"{self.major}.{self.minor}"


PROTOCOL = Version(1, 4)
"""What this program speaks. Since 1.1 directors follow the courts. Since 1.2 devices
countersign checkpoints with a statement of their program and clock. Since 1.3 directors
are told who waits for a seat, and can confirm it. Since 1.4 they are told what the
texts about a court mean."""

FIRST_WITH_STATEMENTS = 2
"""The first minor version whose ends speak of checkpoints in this way."""


class Sealed(NamedTuple):
    """An entry's exact bytes, as they were signed; goes on the wire as a pair."""

    payload: bytes
    signature: bytes


@dataclass(frozen=True, slots=True)
class Hello:
    """A device introduces itself: its first frame."""

    version: Version
    game: bytes
    device: DeviceId
    seat: Seat | None
    """None for a device that only watches."""
    heads: Heads


@dataclass(frozen=True, slots=True)
class Welcome:
    """The relay takes the device in."""

    version: Version
    heads: Heads
    """What the relay holds."""
    durable: tuple[Head, ...]
    """What of the device's own entries is on the relay's disk."""
    relay_ms: int
    """The relay's clock, which is the table's."""


@dataclass(frozen=True, slots=True)
class SheetRequest:
    """The sender lacks the game's sheet."""


@dataclass(frozen=True, slots=True)
class SheetFrame:
    """The game's sheet, as the exact bytes whose hash is the game's id."""

    sheet: bytes


@dataclass(frozen=True, slots=True)
class Entries:
    """Entries, each after whatever it knew of."""

    entries: tuple[Sealed, ...]


@dataclass(frozen=True, slots=True)
class Have:
    """What the sender has; the receiver sends what is missing from it."""

    heads: Heads


@dataclass(frozen=True, slots=True)
class Durable:
    """These entries, and all that they link to, are on the relay's disk."""

    heads: Heads


@dataclass(frozen=True, slots=True)
class Beat:
    """A device is there, and has written nothing that it has not sent."""

    heard_ms: int
    """Whatever it writes after `number` has this table time or a later one."""
    number: int
    """Its last entry; 0 before the first."""
    t1_ms: int
    """The device's own clock when it sent this."""


@dataclass(frozen=True, slots=True)
class BeatBack:
    """The relay's answer to a beat, which makes a clock sample of it (RFC 5905)."""

    t1_ms: int
    """From the beat."""
    t2_ms: int
    """The relay's clock when the beat came."""
    t3_ms: int
    """The relay's clock when this went out."""
    held: int
    """How many entries of the game the relay holds."""


@dataclass(frozen=True, slots=True)
class Presence:
    """How a device at a seat stands, as far as the relay has heard.

    Two devices that are linked at one seat are both told, to everybody.
    """

    device: DeviceId
    seat: Seat
    is_linked: bool
    number: int
    """The device's entries up to this one have been sent before this message."""
    heard_ms: int
    """Whatever the device writes after `number` has this table time or a later one."""


@dataclass(frozen=True, slots=True)
class Asking:
    """A device was invited to a seat that has one, and waits to be confirmed.

    An official of another seat does so by an entry (`SeatGiven`).
    """

    device: DeviceId
    seat: Seat


@dataclass(frozen=True, slots=True)
class Signed:
    """A checkpoint of the relay, and what a device needs to see that it is right."""

    payload: bytes
    signature: bytes
    """As `checkpoint.read_checkpoint` reads them."""
    since: int
    """After how many entries of the relay's list `digests` goes on."""
    digests: tuple[bytes, ...]
    """The rest of the list, up to the size of the checkpoint."""


@dataclass(frozen=True, slots=True)
class Countersign:
    """The device holds the entries of the checkpoint over so many, in that order."""

    size: int
    signature: bytes
    statement: bytes
    """Of its program and clock, as `statement.read_statement` reads it; signed too."""


@dataclass(frozen=True, slots=True)
class Refusal:
    """What the sender does not accept. It closes the link after it."""

    code: str
    """For programs; one of a list that may grow."""
    sentence: str
    """For people."""


@dataclass(frozen=True, slots=True)
class Bye:
    """The sender leaves as it was meant to."""


Message: TypeAlias = (
    Hello
    | Welcome
    | SheetRequest
    | SheetFrame
    | Entries
    | Have
    | Durable
    | Beat
    | BeatBack
    | Presence
    | Asking
    | Signed
    | Countersign
    | Refusal
    | Bye
)


def refusal_of(error: EntryError | ProtocolError | StorageError) -> Refusal:
    """The refusal that tells the other end of an error."""
    return Refusal(error.code, str(error)[:MOST_SENTENCE])
