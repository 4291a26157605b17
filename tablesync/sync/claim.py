"""Who a device says that it is, and what it knows besides the entries."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.frozen import dataclass

if TYPE_CHECKING:
    from tablesync.core.acts import Seat
    from tablesync.seal import DeviceKey

__all__ = ["Claim", "Standing"]


@dataclass(frozen=True, slots=True)
class Claim:
    """One device in one game."""

    key: DeviceKey
    game: bytes
    """The game's id."""
    seat: Seat | None
    """None for a device that only watches."""
    sheet: bytes | None
    """The game's sheet, where the device has it; it asks the relay otherwise."""


@dataclass(frozen=True, slots=True)
class Standing:
    """What a device keeps for its next start."""

    acknowledged: int = 0
    """Its own entries up to this number were on a relay's disk."""
    offset_ms: int = 0
    """Table time less its own clock, as last estimated."""
    heard_ms: int = 0
    """It has said that whatever it writes next has this table time or a later one."""
    written: int = 0
    """Its own entries up to this number were written, held at the start or not."""
