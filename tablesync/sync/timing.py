"""How often the two ends of a link speak, and when silence means that it is lost."""

from __future__ import annotations

from tablesync.frozen import dataclass

__all__ = ["Timing"]


@dataclass(frozen=True, slots=True)
class Timing:
    """The protocol's times. Both ends count them on their own clocks."""

    heartbeat_ms: int = 1_000
    """A device says that it is there this often."""
    silence_ms: int = 2_000
    """Who says nothing for so long is shown as cut off."""
    hello_ms: int = 5_000
    """Who has not introduced itself by then is turned away."""
