"""What the two sides of the protocol ask of the shell around them."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

from tablesync.core.entries import Entry
from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from tablesync.checkpoint import Checkpoint, Countersignature
    from tablesync.core.history import Place
    from tablesync.errors import (
        CheckpointError,
        EntryError,
        ProtocolError,
        RefusedError,
    )
    from tablesync.sync.messages import Asking, Presence
    from tablesync.sync.relay import RelaySide

__all__ = [
    "Acknowledged",
    "Asked",
    "DeviceEffect",
    "Doubted",
    "Fetch",
    "Heard",
    "LinkChanged",
    "Record",
    "RecordSheet",
    "Rejected",
    "RelayEffect",
    "SheetArrived",
    "Taken",
    "Troubled",
    "Vouched",
]


@dataclass(frozen=True, slots=True)
class Record:
    """Put these on the disk, in this order; then call `committed` with them."""

    entries: tuple[Entry, ...]


@dataclass(frozen=True, slots=True)
class Fetch:
    """Read what was released of these from the disk; then call `send_missing`."""

    side: RelaySide
    missing: tuple[Entry | Place, ...]
    """In the order in which they are to be sent; of those released the places."""

    @property
    def digests(self) -> list[bytes]:
        """What is to be read."""
        return [one.digest for one in self.missing if not isinstance(one, Entry)]


@dataclass(frozen=True, slots=True)
class RecordSheet:
    """Put the game's sheet on the disk, before any of its entries."""

    sheet: bytes


@dataclass(frozen=True, slots=True)
class Taken:
    """These are now part of what is held, each after what it knew of."""

    entries: tuple[Entry, ...]


@dataclass(frozen=True, slots=True)
class Heard:
    """A device at a seat is linked or not, or has been heard up to a later time."""

    presence: Presence


@dataclass(frozen=True, slots=True)
class Rejected:
    """The relay has refused what somebody sent: for its log."""

    error: EntryError | ProtocolError


@dataclass(frozen=True, slots=True)
class Vouched:
    """Keep this as evidence: a checkpoint, and who has countersigned it so far."""

    checkpoint: Checkpoint
    by: tuple[Countersignature, ...]


@dataclass(frozen=True, slots=True)
class Doubted:
    """The device does not countersign what the relay says that it holds."""

    error: CheckpointError


@dataclass(frozen=True, slots=True)
class LinkChanged:
    """The device is now linked with the relay, or no longer."""

    is_linked: bool


@dataclass(frozen=True, slots=True)
class Acknowledged:
    """The device's entries up to this number are on the relay's disk."""

    number: int


@dataclass(frozen=True, slots=True)
class SheetArrived:
    """The relay has sent the game's sheet, for which the device had asked."""

    sheet: bytes


@dataclass(frozen=True, slots=True)
class Asked:
    """A device waits until an official of another seat than its own confirms it."""

    asking: Asking


@dataclass(frozen=True, slots=True)
class Troubled:
    """The link is given up because one end refused the other, or fell silent."""

    error: EntryError | ProtocolError | RefusedError


RelayEffect: TypeAlias = Record | Fetch | RecordSheet | Heard | Rejected | Vouched
DeviceEffect: TypeAlias = (
    Record
    | Taken
    | Heard
    | LinkChanged
    | Acknowledged
    | SheetArrived
    | Asked
    | Doubted
    | Troubled
)
