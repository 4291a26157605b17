"""One court as the relay follows it: the game with its check, and who is linked."""

from __future__ import annotations

from functools import cached_property
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


class Court:
    """One game, followed entry by entry."""

    def __init__(self, sheet: GameSheet, rules: RuleSet, game: bytes) -> None:
        self.id = game
        self.left_ms = 0
        """When its last device left; of no meaning while one is linked."""
        self._sheet = sheet
        self._rules = rules
        self._presences: dict[DeviceId, Presence] = {}
        self._last: Entry | None = None
        self._summary: Summary | None = None

    @cached_property
    def _game(self) -> Game:
        """Made when it is first looked at: most courts are never followed."""
        return Game(self._sheet, self._rules, self.id)

    @property
    def is_signed(self) -> bool:
        """Whether the referee's signature closes the book."""
        is_looked_at = self._last is not None
        return is_looked_at and self._game.book.record.closed_by is not None

    @property
    def is_linked(self) -> bool:
        """Whether any device at a seat is linked."""
        return any(one.is_linked for one in self._presences.values())

    def link(self, presence: Presence) -> None:
        """Learns who is linked, which is known though nothing is worked out."""
        self._presences[presence.device] = presence

    def take(self, arrived: Iterable[Entry | Presence]) -> None:
        """Takes in what the relay has taken or heard, in its order.

        Entries that are held already pass by.
        """
        self._summary = None
        for one in arrived:
            if isinstance(one, Entry):
                if one.digest not in self._game.history:
                    self._game.receive(one)
                    self._last = one
            else:
                self._hear(one)
        self._game.advance()

    def _hear(self, presence: Presence) -> None:
        last = EntryId(presence.device, presence.number)
        self._game.hear(presence.seat, last, presence.heard_ms)
        self.link(presence)

    def summary(self) -> Summary:
        """The court as it stands."""
        if self._summary is None:
            links = {seat: self._linked(seat) for seat in PAIR}
            self._summary = summary_of(self._game, links, self._last)
        return self._summary

    def _linked(self, seat: Seat) -> Linked:
        there = [one for one in self._presences.values() if one.seat is seat]
        devices = sum(one.is_linked for one in there)
        heard_ms = 0 if devices else max((one.heard_ms for one in there), default=0)
        return Linked(seat, devices, heard_ms)
