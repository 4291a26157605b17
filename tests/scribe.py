"""Writes the entries of one seat, as an official at the table would."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.sheet import GameSheet, Player, Team
from tablesync.core.tally import PerSide
from tablesync.core.vector_clock import VectorClock
from tablesync.seal import DeviceKey, Pen

if TYPE_CHECKING:
    from tablesync.core.acts import Act, Seat
    from tablesync.core.entries import Entry

__all__ = ["MILLS", "SHEET", "TIDEGATE", "Scribe", "squad"]


def squad(
    name: str, colour: str, numbers: tuple[str, ...], starters: tuple[str, ...] = ()
) -> Team:
    """A team of our own; the first five start unless others are named."""
    first = starters or numbers[:5]
    players = tuple(Player(n, f"{name} {n}", n in first) for n in numbers)
    return Team(name, colour, f"coach of {name}", players)


MILLS = squad("Harbour Mills", "white", ("4", "5", "6", "7", "8", "9", "10", "11"))
TIDEGATE = squad("Tidegate", "blue", ("0", "00", "12", "13", "14", "15", "20", "21"))
SHEET = GameSheet("Harbour Mills v Tidegate", "fiba-2024", "", PerSide(MILLS, TIDEGATE))


class Scribe:
    """One seat's pen. Acts follow each other by a second unless told otherwise."""

    def __init__(self, seat: Seat, game: bytes = bytes(32)) -> None:
        self._pen = Pen(DeviceKey(str(seat).ljust(32).encode()), seat, game)
        self.now_ms = 0

    def enter(self, act: Act, at_ms: int | None = None) -> Entry:
        """Puts an act on record."""
        self.now_ms = self.now_ms + 1_000 if at_ms is None else at_ms
        return self._pen.write(act, VectorClock(), self.now_ms)
