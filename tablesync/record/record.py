"""What one game's record holds: the sheet, the entries, and what stands by them."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from tablesync.checkpoint import Checkpoint, Countersignature
    from tablesync.core.acts import Seat
    from tablesync.core.vector_clock import DeviceId
    from tablesync.sync.messages import Sealed

__all__ = [
    "Admission",
    "Admitted",
    "Countersigned",
    "Record",
    "Software",
]


class Admission(StrEnum):
    """How a device came to write for a seat."""

    RELAY_LIST = "relay_list"
    """The relay took its entries; who held it is not shown."""
    GRANTED = "granted"
    """The relay signed that it let the device in, and the device put that on record."""


@dataclass(frozen=True, slots=True)
class Admitted:
    """A device that may write for a seat."""

    device: DeviceId
    seat: Seat
    how: Admission = Admission.RELAY_LIST
    relay: DeviceId | None = None
    """Who signed the grant; None for `Admission.RELAY_LIST`."""


@dataclass(frozen=True, slots=True)
class Countersigned:
    """A checkpoint, and the devices that saw the same."""

    checkpoint: Checkpoint
    countersignatures: tuple[Countersignature, ...]


@dataclass(frozen=True, slots=True)
class Software:
    """A program that had a hand in the file."""

    program: str
    version: str


@dataclass(frozen=True, slots=True)
class Record:
    """One game as evidence, with nothing in it that is derived."""

    software: tuple[Software, ...]
    sheet: bytes
    admitted: tuple[Admitted, ...]
    entries: tuple[Sealed, ...]
    """In the order in which they were stored, each after whatever it knew of."""
    checkpoints: tuple[Countersigned, ...] = ()
    """Each over the first so many entries, smallest first."""

    @property
    def relays(self) -> tuple[DeviceId, ...]:
        """Who signed the checkpoints."""
        signers = (one.checkpoint.signer for one in self.checkpoints)
        return tuple(dict.fromkeys(signers))
