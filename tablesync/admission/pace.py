"""How fast a device may send entries: far beyond any hand, and not without end.

A device that comes back after a whole game brings all of it at once, so it has a large
allowance, which fills up again slowly. Who goes beyond it is disconnected before what
it has sent is looked at. It still has that, and sends it again later.
"""

from __future__ import annotations

from tablesync.errors import TooFastError
from tablesync.frozen import dataclass

__all__ = ["Allowance", "Pace"]


@dataclass(frozen=True, slots=True)
class Allowance:
    """How many entries a device may send."""

    at_once: int = 10_000
    """More than two officials enter in a whole game."""
    a_second: int = 100


class Pace:
    """What is left of one device's allowance."""

    def __init__(self, allowance: Allowance, now_ms: int) -> None:
        self._allowance = allowance
        self._left = float(allowance.at_once)
        self._at_ms = now_ms

    def spend(self, entries: int, now_ms: int) -> None:
        """Counts entries that have come in.

        Raises:
            TooFastError: they are more than is left. None of them counts.
        """
        allowance = self._allowance
        earned = (now_ms - self._at_ms) * allowance.a_second / 1_000
        self._left = min(self._left + earned, float(allowance.at_once))
        self._at_ms = now_ms
        if entries > self._left:
            raise TooFastError(
                f"{entries} entries are more than the {int(self._left)} that the "
                "device may send now"
            )
        self._left -= entries
