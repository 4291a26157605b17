"""Both seats through their screens, with a real relay between them."""

from __future__ import annotations

import asyncio
from contextlib import AsyncExitStack, suppress
from functools import partial
from typing import TYPE_CHECKING

import pytest

from mobile.device_seat import DeviceSeat
from mobile.presenters.strip import Agreement
from tablesync.client import DeviceSession
from tablesync.clock import VirtualClock
from tablesync.core.acts import (
    Basket,
    Charged,
    ClockStart,
    ClockStop,
    Foul,
    FreeThrow,
    Points,
    Seat,
    Side,
    Substitution,
    TeamFoul,
)
from tablesync.core.tally import Item
from tablesync.journal import Journal
from tablesync.seal import DeviceKey
from tablesync.server import serve
from tablesync.sheet_bytes import game_id, write_sheet
from tablesync.store import Store
from tablesync.sync.claim import Claim
from tablesync.sync.timing import Timing
from tests.mobile import scenes
from tests.mobile.finger import Finger
from tests.mobile.seat_on_screen import SeatOnScreen

if TYPE_CHECKING:
    from collections.abc import Callable, Coroutine
    from pathlib import Path

    from mobile.presenters.strip import Cell
    from tablesync.core.acts import Act
    from tests.mobile.window import TestWindow

pytestmark = pytest.mark.screens

HOME, AWAY = Side.HOME, Side.AWAY
NEVER_MS = 2**40
TIMING = Timing(heartbeat_ms=1, silence_ms=NEVER_MS, hello_ms=NEVER_MS)
SEATS = (Seat.BOOK, Seat.CLOCK)


class RealTable:
    """A relay, two devices and their screens, on a clock that the test moves."""

    def __init__(self, window: TestWindow, folder: Path, stack: AsyncExitStack) -> None:
        self.window = window
        self._folder = folder
        self._stack = stack
        self.clock = VirtualClock(1_000)
        self.sessions: dict[Seat, DeviceSession] = {}
        self.seats: dict[Seat, SeatOnScreen] = {}
        self._works: list[asyncio.Task[None]] = []

    async def open(self) -> None:
        """Starts the relay and seats both devices."""
        store = await Store.open(self._folder / "relay.db")
        await self._stack.enter_async_context(store)
        relay = await serve(store, self.clock, TIMING, "127.0.0.1", 0)
        await self._stack.enter_async_context(relay)
        self.address = relay.address
        self._stack.push_async_callback(self._rest)
        for seat in SEATS:
            await self.sit_down(seat)

    async def sit_down(self, seat: Seat) -> None:
        """Opens the seat's journal, new or not, and its screen."""
        sheet = write_sheet(scenes.SHEET)
        path = self._folder / f"{seat}.journal"
        if seat in self.sessions or path in self._journals():
            journal = await Journal.open(path)
        else:
            key = DeviceKey(str(seat).ljust(32).encode())
            claim = Claim(key, game_id(sheet), seat, sheet)
            journal = await Journal.create(path, claim)
        session = await DeviceSession.open(journal, self.clock, TIMING)
        self.sessions[seat] = session
        await session.connect(self.address)
        self.seats[seat] = SeatOnScreen(self.window, DeviceSeat(session))
        shell = self.seats[seat].shell
        self._works.append(asyncio.create_task(shell.work(lambda: None)))
        await self.settle()

    def _journals(self) -> list[Path]:
        return list(self._folder.glob("*.journal"))

    async def stand_up(self, seat: Seat) -> None:
        """The device is gone from one moment to the next."""
        await self.sessions[seat].disconnect()
        await self.sessions[seat].close()

    async def _rest(self) -> None:
        for work in self._works:
            work.cancel()
            with suppress(asyncio.CancelledError):
                await work
        for session in self.sessions.values():
            await session.close()

    async def settle(self, by_ms: int = 1_000) -> None:
        """Lets time pass, and whatever is said be answered and shown."""
        now_ms = self.clock.now_ms() + by_ms
        self.clock.advance_to(now_ms)
        for session in self.sessions.values():
            await session.wait_for(partial(_has_heard_all, session, now_ms))
            await session.wait_for(partial(_is_quiet, session))
        for seat in self.seats.values():
            await seat.show()

    async def enter(self, seat: Seat, *acts: Act) -> None:
        """Enters acts through the seat's screen."""
        on_screen = self.seats[seat]
        on_screen.look_at()
        for act in acts:
            await Finger(on_screen).enter(act)
            await self.settle()

    async def tap(self, seat: Seat, label: str) -> None:
        """Touches the key that says this."""
        on_screen = self.seats[seat]
        on_screen.look_at()
        await on_screen.tap(on_screen.labelled(label))
        await self.settle()

    def cell(self, seat: Seat, item: Item, side: Side | None = None) -> Cell:
        """A cell of the strip that the seat is shown."""
        cells = self.seats[seat].stage.frame.model.strip.cells
        found: Cell = next(c for c in cells if (c.item, c.side) == (item, side))
        return found

    def cards(self, seat: Seat) -> list[str]:
        """The heads of the cards that the seat is shown."""
        return [card.head for card in self.seats[seat].stage.frame.model.cards]


def _has_heard_all(session: DeviceSession, at_ms: int) -> bool:
    return all(presence.heard_ms >= at_ms for presence in session.presences())


def _is_quiet(session: DeviceSession) -> bool:
    return session.is_quiet


def _run(
    window: TestWindow,
    folder: Path,
    play: Callable[[RealTable], Coroutine[object, object, None]],
) -> None:
    async def run() -> None:
        async with AsyncExitStack() as stack:
            table = RealTable(window, folder, stack)
            await table.open()
            await play(table)

    window.loop.run_until_complete(run())


def test_a_quarter_with_a_slip_from_opening_to_signatures(
    window: TestWindow, tmp_path: Path
) -> None:
    async def play(table: RealTable) -> None:
        for seat in (Seat.CLOCK, Seat.BOOK):
            await table.tap(seat, "open 1st quarter")
        await table.enter(Seat.CLOCK, ClockStart(), Points(HOME, 2))
        await table.enter(Seat.BOOK, Basket(HOME, "4", 2))
        assert table.cell(Seat.BOOK, Item.SCORE, HOME).state is Agreement.AGREED
        # The timer misses this one.
        await table.enter(Seat.BOOK, Basket(AWAY, "8", 3))
        assert table.cell(Seat.BOOK, Item.SCORE, AWAY).state is Agreement.SETTLING
        assert table.cell(Seat.CLOCK, Item.SCORE, AWAY).words.startswith(
            "yours to come"
        )
        await table.enter(Seat.CLOCK, ClockStop(), TeamFoul(HOME))
        personal = Foul(HOME, "11", Charged.PLAYER, "personal")
        await table.enter(Seat.BOOK, personal)
        await table.settle(60_000)
        for seat in SEATS:
            assert table.cell(seat, Item.SCORE, AWAY).state is Agreement.MISMATCH
            assert table.cards(seat)[0].startswith("Green, score: ")
        await table.tap(Seat.CLOCK, "add +3 Kestrel Park")
        for seat in SEATS:
            assert table.cell(seat, Item.SCORE, AWAY).state is Agreement.AGREED
            assert table.cards(seat) == []
        await table.enter(Seat.CLOCK, Points(AWAY, 1))
        await table.enter(Seat.BOOK, FreeThrow(AWAY, "3", made=True))
        await table.enter(Seat.BOOK, Substitution(AWAY, ("5",), ("8",)))
        for seat in (Seat.CLOCK, Seat.BOOK):
            await table.tap(seat, "end 1st quarter")
            assert (
                "Everything adds up" in table.seats[seat].stage.frame.model.leaf.verdict
            )
            await table.tap(seat, "close the 1st quarter")
        for seat in (Seat.BOOK, Seat.CLOCK):
            await table.tap(seat, "more")
            await table.tap(seat, "sign off")
        await table.tap(Seat.BOOK, "sign: I. Wetherby")
        await table.tap(Seat.CLOCK, "sign: R. Salter")
        await table.tap(Seat.BOOK, "more")
        await table.tap(Seat.BOOK, "sign off")
        await table.tap(Seat.BOOK, "sign: V. Lind")
        record = table.sessions[Seat.CLOCK].game.book.record
        assert record.closed_by is not None

    _run(window, tmp_path, play)


def test_a_device_that_is_killed_goes_on_where_it_was(
    window: TestWindow, tmp_path: Path
) -> None:
    async def play(table: RealTable) -> None:
        await table.tap(Seat.BOOK, "open 1st quarter")
        await table.enter(Seat.BOOK, Basket(HOME, "4", 2), Basket(AWAY, "3", 3))
        before = table.seats[Seat.BOOK].stage.frame.model
        await table.stand_up(Seat.BOOK)
        await table.sit_down(Seat.BOOK)
        after = table.seats[Seat.BOOK].stage.frame.model
        assert after.sheets == before.sheets
        assert after.entries == before.entries
        await table.enter(Seat.BOOK, Basket(HOME, "4", 2))
        assert table.sessions[Seat.CLOCK].game.book.tally.score.home == 4

    _run(window, tmp_path, play)


def test_a_lost_link_is_shown_and_entering_goes_on(
    window: TestWindow, tmp_path: Path
) -> None:
    async def play(table: RealTable) -> None:
        for seat in (Seat.CLOCK, Seat.BOOK):
            await table.tap(seat, "open 1st quarter")
        book = table.seats[Seat.BOOK]
        await table.sessions[Seat.BOOK].disconnect()
        table.clock.advance_to(table.clock.now_ms() + 1_990)
        book.look_at()
        await book.show()
        strip = book.stage.frame.model.strip
        assert {cell.state for cell in strip.cells} == {Agreement.UNHEARD}
        assert strip.partner.words == "link lost, heard 1 s ago"
        await Finger(book).enter(Basket(HOME, "4", 2))
        assert book.stage.frame.model.strip.partner.words.endswith("1 to send")
        assert table.sessions[Seat.CLOCK].game.book.tally.score.home == 0
        await table.sessions[Seat.BOOK].connect(table.address)
        await table.settle()
        assert table.sessions[Seat.CLOCK].game.book.tally.score.home == 2
        assert book.stage.frame.model.strip.partner.words == "in touch"

    _run(window, tmp_path, play)
