"""Both seats at one table, with nothing between them that could delay or lose."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mobile.presenters.desk import Desk, touched
from mobile.presenters.seat_view import Link, SeatView
from mobile.texts.english import ENGLISH
from tablesync.core.acts import EntryId, Seat, Side
from tablesync.core.game import Game
from tablesync.core.rulesets import rule_set
from tests.scribe import SHEET, Scribe

if TYPE_CHECKING:
    from mobile.presenters.intents import Intent
    from mobile.texts.shape import Texts
    from tablesync.core.acts import Act
    from tablesync.core.entries import Entry
    from tablesync.core.sheet import GameSheet

__all__ = ["FakeTable"]


class FakeTable:
    """One game that both seats see alike, at a time that only the test moves."""

    def __init__(self, sheet: GameSheet = SHEET) -> None:
        self.game = Game(sheet, rule_set(sheet.rules), bytes(32))
        self.now_ms = 0
        self._scribes = {seat: Scribe(seat) for seat in (Seat.BOOK, Seat.CLOCK)}
        self._last: dict[Seat, EntryId] = {}

    def enter(self, seat: Seat, *acts: Act) -> Entry:
        """Puts acts on record, a second apart, and gives the last entry back."""
        for act in acts:
            self.now_ms += 1_000
            self._hear_all(self.now_ms)
            entry = self._scribes[seat].enter(act, self.now_ms)
            self._last[seat] = entry.id
            self.game.receive(entry)
        self.wait(0)
        return self.game.history[self._last[seat]]

    def both(self, book: Act, clock: Act) -> None:
        """The same thing, entered at both seats."""
        self.enter(Seat.CLOCK, clock)
        self.enter(Seat.BOOK, book)

    def wait(self, by_ms: int) -> None:
        """Lets time pass; both seats are heard all the while."""
        self.now_ms += by_ms
        self._hear_all(self.now_ms + 1)

    def _hear_all(self, until_ms: int) -> None:
        for seat, last in self._last.items():
            self.game.hear(seat, last, until_ms)
        self.game.advance()

    def view(
        self,
        seat: Seat,
        *,
        silent_ms: int | None = 0,
        left: Side = Side.HOME,
        texts: Texts = ENGLISH,
    ) -> SeatView:
        """The game as that seat's screen is given it."""
        heard_ms = None if silent_ms is None else self.now_ms - silent_ms
        link = Link(connected=True, heard_ms=heard_ms, to_send=0)
        return SeatView(self.game, seat, self.now_ms, link, left, texts)

    def touch(self, seat: Seat, desk: Desk, *intents: Intent) -> Desk:
        """Touches keys at a seat, one after the other, and enters what they enter."""
        for intent in intents:
            step = touched(desk, intent, self.game.book.pages)
            desk = step.desk
            if step.acts:
                self.enter(seat, *step.acts)
        return desk
