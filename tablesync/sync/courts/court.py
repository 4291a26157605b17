"""One court as it is worked out: the game with its check, and who is linked."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.acts import EntryId
from tablesync.core.entries import Entry
from tablesync.core.game import Game
from tablesync.core.summary import PAIR, Linked, summary_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from tablesync.core.acts import Seat
    from tablesync.core.rules import RuleSet
    from tablesync.core.sheet import GameSheet
    from tablesync.core.summary import Summary
    from tablesync.core.vector_clock import DeviceId
    from tablesync.sync.messages import Presence

__all__ = ["Court"]


PIECE_MS = 500
"""Of table time: the check of a court that is busy beyond measure can take long."""


class Court:
    """One game, followed entry by entry."""

    def __init__(self, sheet: GameSheet, rules: RuleSet, game: bytes) -> None:
        self._game = Game(sheet, rules, game)
        self._presences: dict[DeviceId, Presence] = {}
        self._last: Entry | None = None

    @property
    def is_signed(self) -> bool:
        """Whether the referee's signature closes the book."""
        return self._game.book.record.closed_by is not None

    def __contains__(self, digest: object) -> bool:
        """Whether the entry has been taken in."""
        return digest in self._game.history

    def take(self, arrived: Iterable[Entry | Presence]) -> None:
        """Takes in what the relay has taken or heard, in its order.

        Entries that are held already pass by. Call `check` next.
        """
        for one in arrived:
            if isinstance(one, Entry):
                if one.digest not in self:
                    self._game.receive(one)
                    self._last = one
            else:
                self._hear(one)

    def check(self) -> bool:
        """Compares a piece of the records; whether there is more to compare."""
        self._game.advance(PIECE_MS)
        return self._game.is_behind

    def _hear(self, presence: Presence) -> None:
        last = EntryId(presence.device, presence.number)
        self._game.hear(presence.seat, last, presence.heard_ms)
        self._presences[presence.device] = presence

    def summary(self) -> Summary:
        """The court as it stands."""
        links = {seat: self._linked(seat) for seat in PAIR}
        return summary_of(self._game, links, self._last)

    def _linked(self, seat: Seat) -> Linked:
        there = [one for one in self._presences.values() if one.seat is seat]
        devices = sum(one.is_linked for one in there)
        heard_ms = 0 if devices else max((one.heard_ms for one in there), default=0)
        return Linked(seat, devices, heard_ms)
