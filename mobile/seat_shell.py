"""One seat at work: what it holds and what has been begun, apart from any drawing.

A touch changes the desk and begins its entries at once, before anything is drawn. Until
they are on this device's disk they wait in order; the network is never waited for.
"""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING, Protocol, get_args

from mobile.presenters.book_screen import BookScreen, book_screen
from mobile.presenters.clock_screen import ClockScreen, clock_screen
from mobile.presenters.cues import Cue, CueWatch
from mobile.presenters.desk import Desk, touched
from mobile.presenters.intents import Back, Leave, SettingIntent
from mobile.presenters.seat_view import Link, SeatView
from mobile.settings import Settings, changed
from tablesync.core.acts import Seat, SeatTaken, Shown, Side
from tablesync.errors import TableSyncError

if TYPE_CHECKING:
    from collections.abc import Awaitable, Callable

    from mobile.presenters.intents import Intent
    from tablesync.core.acts import Act, SeatGiven
    from tablesync.core.entries import Entry
    from tablesync.core.game import Game
    from tablesync.errors import CorruptJournalError

__all__ = ["SeatSession", "SeatShell"]


class SeatSession(Protocol):
    """What a seat needs of the device that it sits at."""

    @property
    def game(self) -> Game:
        """The game as this device holds it."""

    @property
    def seat(self) -> Seat:
        """Where the device sits."""

    def table_ms(self) -> int:
        """The table time now."""

    def link(self) -> Link:
        """How the device stands with the others."""

    def damage(self) -> CorruptJournalError | None:
        """What of the device's journal could not be read; None where all could."""

    def asking(self) -> tuple[SeatGiven, ...]:
        """What would let in each device that has asked for a seat."""

    def enter(self, act: Act) -> Awaitable[Entry]:
        """Puts an act on record at once; what it gives waits for this device's disk.

        Raises:
            TableSyncError: it could not be put on record.
        """


class SeatShell:
    """A seat's screen as values, and what becomes of the touches on it."""

    def __init__(self, session: SeatSession, settings: Settings) -> None:
        self.settings = settings
        self.desk = Desk(team=session.game.sheet.left)
        """What has been begun; may be put in place before the first touch."""
        self.left = asyncio.Event()
        """Set when the official leaves the seat for another game or relay."""
        self._session = session
        self._trouble: TableSyncError | None = None
        self._damage = session.damage()
        self._begun: asyncio.Queue[tuple[Act, Awaitable[Entry]]] = asyncio.Queue()
        """What has still to reach the disk."""
        self._under_way = 0
        """How much of it the official has made."""
        self._cues = CueWatch()
        self._shown: set[str] = {
            entry.act.subject
            for entry in session.game.history
            if entry.seat is session.seat and isinstance(entry.act, Shown)
        }

    @property
    def seat(self) -> Seat:
        """The seat."""
        return self._session.seat

    def report(self, why: TableSyncError) -> None:
        """Says on the screen that the device can't do what it is for."""
        self._trouble = why

    async def settled(self) -> None:
        """Returns once everything that was touched has been entered."""
        await self._begun.join()

    @property
    def entries(self) -> int:
        """How many entries the seat's official has made, those under way included."""
        record = self._session.game.record(self.seat).record
        return sum(_is_made(entry.act) for entry in record) + self._under_way

    def view(self) -> SeatView:
        """The game and the moment."""
        session = self._session
        return SeatView(
            session.game,
            session.seat,
            session.table_ms(),
            session.link(),
            self._left(),
            self.settings.language.texts,
            self._trouble,
            self._damage,
            session.asking(),
        )

    def _left(self) -> Side:
        left = self._session.game.sheet.left
        return left.other if self.settings.is_swapped else left

    def screen(self) -> BookScreen | ClockScreen:
        """What is to be drawn now."""
        view = self.view()
        if self.seat is Seat.CLOCK:
            return clock_screen(view, self.desk)
        return book_screen(view, self.desk)

    def touch(self, intent: Intent) -> None:
        """Does what a touch means; `work` waits for what it enters."""
        if isinstance(intent, get_args(SettingIntent)):
            self.settings = changed(self.settings, intent)
            return
        if isinstance(intent, Leave):
            self.desk = self.desk.at_rest()
            self.left.set()
            return
        step = touched(self.desk, intent, self._session.game.book.pages)
        self.desk = step.desk
        self._trouble = None
        if isinstance(intent, Back):
            self._damage = None
        for act in step.acts:
            self._enter(act)

    def attend(self, screen: BookScreen | ClockScreen) -> tuple[Cue, ...]:
        """Notes for the record what the official is shown, and tells what to sound."""
        if screen.cards and screen.cards[0].is_recorded:
            first = screen.cards[0]
            if first.subject not in self._shown:
                self._shown.add(first.subject)
                self._enter(Shown(first.subject, first.text))
        timer = screen.board.timer if isinstance(screen, ClockScreen) else None
        return self._cues.after(screen.cards, timer)

    async def work(self, entered: Callable[[], None]) -> None:
        """Waits for what is touched to be on the disk, until it is cancelled.

        Args:
            entered: called after each act, when the screen can show it.
        """
        while True:
            act, kept = await self._begun.get()
            try:
                await kept
            except TableSyncError as error:
                self._trouble = error
            self._under_way -= _is_made(act)
            self._begun.task_done()
            entered()

    def _enter(self, act: Act) -> None:
        try:
            self._begun.put_nowait((act, self._session.enter(act)))
            self._under_way += _is_made(act)
        except TableSyncError as error:
            self._trouble = error


def _is_made(act: Act) -> bool:
    """Whether an act is the official's own; a screen enters some by itself."""
    return not isinstance(act, Shown | SeatTaken)
