"""A seat's screen in the window, with a table behind it that loses nothing."""

from __future__ import annotations

import asyncio
from functools import partial
from typing import TYPE_CHECKING, Any

from mobile.presenters.seat_view import Link
from mobile.seat_shell import SeatShell
from mobile.settings import Settings
from tablesync.core.acts import Answered, Shown

if TYPE_CHECKING:
    from collections.abc import Awaitable, Callable, Generator, Iterator

    from mobile.presenters.cues import Cue
    from mobile.presenters.desk import Desk
    from mobile.presenters.intents import Intent
    from mobile.seat_shell import SeatSession
    from tablesync.core.acts import Act, Seat, SeatGiven
    from tablesync.core.entries import Entry
    from tablesync.core.game import Game
    from tablesync.errors import CorruptJournalError
    from tests.mobile.table import FakeTable
    from tests.mobile.window import TestWindow

__all__ = ["FakeSession", "FakeSurroundings", "SeatAtFakeTable", "SeatOnScreen"]


class FakeSession:
    """A seat of a fake table: what is entered is held at once."""

    def __init__(self, table: FakeTable, seat: Seat) -> None:
        self._table = table
        self._seat = seat
        self.silent_ms = 0
        """For how long the partner has not been heard."""
        self.entered: list[Act] = []
        self.asked: tuple[SeatGiven, ...] = ()
        self.damaged: CorruptJournalError | None = None

    @property
    def game(self) -> Game:
        return self._table.game

    @property
    def seat(self) -> Seat:
        return self._seat

    def table_ms(self) -> int:
        return self._table.now_ms

    def link(self) -> Link:
        return Link(
            connected=True, heard_ms=self._table.now_ms - self.silent_ms, to_send=0
        )

    def damage(self) -> CorruptJournalError | None:
        return self.damaged

    def asking(self) -> tuple[SeatGiven, ...]:
        return self.asked

    def enter(self, act: Act) -> Awaitable[Entry]:
        self.entered.append(act)
        return Kept(partial(self._table.enter, self._seat, act))


class Kept:
    """An act that is held by the table when somebody waits for it, as by a disk."""

    def __init__(self, enter: Callable[[], Entry]) -> None:
        self._enter = enter

    def __await__(self) -> Generator[None, None, Entry]:
        yield from ()
        return self._enter()


class FakeSurroundings:
    """Remembers what a device would have sounded and kept."""

    def __init__(self) -> None:
        self.cues: list[Cue] = []
        self.settings: list[Settings] = []
        self.desks: list[tuple[Desk, int]] = []

    def sound(self, cue: Cue) -> None:
        self.cues.append(cue)

    def keep_settings(self, settings: Settings) -> None:
        self.settings.append(settings)

    def keep_desk(self, desk: Desk, entries: int) -> None:
        self.desks.append((desk, entries))


class SeatOnScreen:
    """Finds the keys of a seat's screen and touches them."""

    def __init__(
        self,
        window: TestWindow,
        session: SeatSession,
        size: tuple[int, int] = (1280, 800),
        settings: Settings | None = None,
        around: FakeSurroundings | None = None,
    ) -> None:
        from mobile.stage import Stage

        self.window = window
        self.shell = SeatShell(session, settings or Settings())
        self.around = around or FakeSurroundings()
        self.touches = 0
        """How often the screen has been touched."""
        self.stage = Stage(self.shell, self.around)
        self.stage.refresh()
        self.look_at(size)

    def look_at(self, size: tuple[int, int] = (1280, 800)) -> None:
        """Puts this seat's screen into the window."""
        self.window.show(self.stage.frame, size)

    def every_key(self) -> Iterator[Any]:
        """Every key that is on the screen."""
        from mobile.widgets.key import Key

        return (w for w in self.stage.frame.walk() if isinstance(w, Key))

    def find(self, intent: Intent) -> Any | None:
        """The key that means this, or None."""
        return next((key for key in self.every_key() if key.intent == intent), None)

    def key(self, intent: Intent) -> Any:
        """The key that means this."""
        key = self.find(intent)
        assert key is not None, f"no key means {intent}"
        return key

    def labelled(self, label: str) -> Any:
        """The key that says this."""
        for key in self.every_key():
            if key.label == label:
                return key
        raise AssertionError(f"no key says {label!r}")

    async def tap(self, key: Any) -> None:
        """Touches a key; `SeatShell.work` has to be running."""
        self.touches += 1
        self.window.touch(key.center)
        await self.show()

    async def press_long(self, key: Any) -> None:
        """Holds a key until it asks for more."""
        self.touches += 1
        before = self.shell.desk
        finger = self.window.down(key.center)
        self.window.until(lambda: self.shell.desk != before)
        self.window.up(finger)
        self.window.frames(1)
        await self.show()

    async def slide(self, key: Any, intent: Intent) -> None:
        """Comes down on a key, and lifts the finger on the one that means this."""
        self.touches += 1
        finger = self.window.down(key.center)
        self.window.frames(4)
        self.window.move(finger, self.key(intent).center)
        self.window.frames(1)
        self.window.up(finger)
        self.window.frames(1)
        await self.show()

    async def show(self) -> None:
        """Shows what has been entered."""
        await self.shell.settled()
        self.stage.refresh()
        self.window.frames(3)


class SeatAtFakeTable(SeatOnScreen):
    """A seat whose partner and relay are a fake table: nothing has to be awaited."""

    def __init__(
        self,
        window: TestWindow,
        table: FakeTable,
        seat: Seat,
        size: tuple[int, int] = (1280, 800),
        settings: Settings | None = None,
    ) -> None:
        self.session = FakeSession(table, seat)
        super().__init__(window, self.session, size, settings)

    def touch(self, key: Any) -> None:
        """Touches a key in its middle, and lets what it enters be entered."""
        self.window.touch(key.center)
        self.settle()

    def press(self, name: str) -> None:
        """Presses a key of the keyboard."""
        code = self.window.code_of(name)
        self.stage.key_down(None, code)
        self.stage.key_up(None, code)
        self.settle()

    def settle(self) -> None:
        """Enters what waits, and shows it."""
        self.window.loop.run_until_complete(self._work())
        self.stage.refresh()
        self.window.frames(3)

    async def _work(self) -> None:
        work = asyncio.create_task(self.shell.work(self.stage.refresh))
        await self.shell.settled()
        work.cancel()

    def acts(self) -> list[Act]:
        """What the official has entered at this seat through the screen."""
        return [a for a in self.session.entered if not isinstance(a, Shown | Answered)]

    def shown(self) -> list[str]:
        """The subjects that the official has been shown, as the record has it."""
        return [a.subject for a in self.session.entered if isinstance(a, Shown)]
