"""A relay, two devices and their screens, on a clock that the test moves."""

from __future__ import annotations

import asyncio
from contextlib import AsyncExitStack
from functools import partial
from typing import TYPE_CHECKING

from mobile.desk_memory import keep_desk, recall_desk
from mobile.device_seat import DeviceSeat
from tablesync.client import DeviceSession
from tablesync.clock import VirtualClock
from tablesync.core.acts import Seat, Side
from tablesync.journal import Journal
from tablesync.seal import DeviceKey
from tablesync.server import serve
from tablesync.sheet_bytes import game_id, write_sheet
from tablesync.store import Store
from tablesync.sync.claim import Claim
from tablesync.sync.timing import Timing
from tablesync.tasks import call_off
from tests.mobile import scenes
from tests.mobile.finger import Finger
from tests.mobile.seat_on_screen import FakeSurroundings, SeatOnScreen

if TYPE_CHECKING:
    from collections.abc import Callable, Coroutine
    from pathlib import Path

    from mobile.presenters.desk import Desk
    from mobile.presenters.strip import Cell
    from tablesync.core.acts import Act
    from tablesync.core.sheet import GameSheet
    from tablesync.core.tally import Item
    from tests.mobile.window import TestWindow

__all__ = ["SEATS", "RealTable", "run_at_table"]

NEVER_MS = 2**40
TIMING = Timing(heartbeat_ms=1, silence_ms=NEVER_MS, hello_ms=NEVER_MS)
SEATS = (Seat.BOOK, Seat.CLOCK)


class _DeskOnFile(FakeSurroundings):
    """Keeps what has been begun as a device does."""

    def __init__(self, path: Path) -> None:
        super().__init__()
        self._path = path

    def keep_desk(self, desk: Desk, entries: int) -> None:
        keep_desk(desk, entries, self._path)


class RealTable:
    """A relay, two devices and their screens, on a clock that the test moves."""

    def __init__(self, window: TestWindow, folder: Path, stack: AsyncExitStack) -> None:
        self.window = window
        self.sheet: GameSheet = scenes.SHEET
        """May be another one before the table is opened."""
        self._folder = folder
        self._stack = stack
        self.clock = VirtualClock(1_000)
        self.sessions: dict[Seat, DeviceSession] = {}
        self.seats: dict[Seat, SeatOnScreen] = {}
        self._shown: Seat | None = None
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
        sheet = write_sheet(self.sheet)
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
        desk_file = self._folder / f"{seat}.desk"
        around = _DeskOnFile(desk_file)
        on_screen = SeatOnScreen(self.window, DeviceSeat(session), around=around)
        self.seats[seat], self._shown = on_screen, seat
        shell = on_screen.shell
        shell.desk = recall_desk(shell.entries, desk_file)
        self._works.append(asyncio.create_task(shell.work(lambda: None)))
        await self.settle()

    def _journals(self) -> list[Path]:
        return list(self._folder.glob("*.journal"))

    async def stand_up(self, seat: Seat) -> None:
        """The device is gone from one moment to the next."""
        await self.sessions[seat].disconnect()
        await self.sessions[seat].close()

    async def _rest(self) -> None:
        await call_off(*self._works)
        for session in self.sessions.values():
            await session.close()

    async def settle(self, by_ms: int = 1_000) -> None:
        """Lets time pass, and whatever is said be answered and shown."""
        await self.settle_at(self.clock.now_ms() + by_ms)

    async def settle_at(self, now_ms: int) -> None:
        """The same up to a moment, which may be now."""
        now_ms = max(now_ms, self.clock.now_ms())
        # What a screen has entered by being shown is answered before time passes: a
        # beat under way would measure the jump, and one that waits for the disk would
        # say too little, and until time passes again there is no other.
        for seat, on_screen in self.seats.items():
            await on_screen.shell.settled()
            await self.sessions[seat].wait_for(partial(_is_quiet, self.sessions[seat]))
        self.clock.advance_to(now_ms)
        for session in self.sessions.values():
            await session.wait_for(partial(_has_heard_all, session, now_ms))
            await session.wait_for(partial(_is_quiet, session))
        for on_screen in self.seats.values():
            await on_screen.show()

    def look_at(self, seat: Seat) -> SeatOnScreen:
        """Puts the seat's screen into the window, where it is not there already."""
        if self._shown is not seat:
            self._shown = seat
            self.seats[seat].look_at()
        return self.seats[seat]

    async def enter(self, seat: Seat, *acts: Act) -> None:
        """Enters acts through the seat's screen."""
        on_screen = self.look_at(seat)
        for act in acts:
            await Finger(on_screen).enter(act)
            await self.settle()

    async def tap(self, seat: Seat, label: str) -> None:
        """Touches the key that says this."""
        on_screen = self.look_at(seat)
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


def run_at_table(
    window: TestWindow,
    folder: Path,
    play: Callable[[RealTable], Coroutine[object, object, None]],
) -> None:
    async def run() -> None:
        async with AsyncExitStack() as stack:
            table = RealTable(window, folder, stack)
            await play(table)

    window.loop.run_until_complete(run())
