"""What one game's record holds: the sheet, the entries, and what stands by them."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tablesync.checkpoint import Checkpoint, Countersignature
    from tablesync.core.acts import Seat
    from tablesync.core.vector_clock import DeviceId
    from tablesync.sync.messages import Sealed
    from tablesync.sync.table_time import Sample

__all__ = [
    "Admission",
    "Admitted",
    "ClockSample",
    "Countersigned",
    "Record",
    "Software",
]


class Admission(StrEnum):
    """How a device came to write for a seat."""

    RELAY_LIST = "relay_list"
    """The relay's list of devices named it; who held it is not shown."""


@dataclass(frozen=True, slots=True)
class Admitted:
    """A device that may write for a seat."""

    device: DeviceId
    seat: Seat
    how: Admission = Admission.RELAY_LIST
    evidence: bytes = b""
    """What shows how it was admitted; empty for `Admission.RELAY_LIST`."""
    software: str = ""
    """What the device says that it runs; empty where that is not known."""


@dataclass(frozen=True, slots=True)
class Countersigned:
    """A checkpoint, and the devices that saw the same."""

    checkpoint: Checkpoint
    countersignatures: tuple[Countersignature, ...]


@dataclass(frozen=True, slots=True)
class ClockSample:
    """What a device learnt of the relay's clock in one exchange."""

    device: DeviceId
    sample: Sample


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
    clock_samples: tuple[ClockSample, ...] = ()
