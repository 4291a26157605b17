"""A device's session: a socket and a journal around `sync.device`.

What is entered goes into the journal, then counts, and is sent when there is somebody
to send it to. Without a network the session goes on all the same, and `keep_connected`
tries again with short, jittered delays.
"""

from __future__ import annotations

import asyncio
import logging
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Self

from tablesync.core.acts import SeatTaken
from tablesync.core.game import Game
from tablesync.errors import (
    CorruptJournalError,
    ProtocolError,
    RefusedError,
    StorageError,
    UnreachableError,
    WrongCertificateError,
)
from tablesync.sheet_bytes import read_sheet
from tablesync.sheet_rules import rules_of
from tablesync.sync.device import DeviceSide
from tablesync.sync.effects import (
    Asked,
    Doubted,
    Heard,
    Record,
    Taken,
    Troubled,
)

if TYPE_CHECKING:
    from collections.abc import Callable
    from random import Random

    from websockets.asyncio.client import ClientConnection

    from tablesync.admission.frames import Granted
    from tablesync.clock import Clock
    from tablesync.core.acts import Act, Seat
    from tablesync.core.entries import Entry
    from tablesync.core.findings import CheckEvent
    from tablesync.core.vector_clock import DeviceId
    from tablesync.errors import EntryError
    from tablesync.journal import Journal
    from tablesync.sync.effects import DeviceEffect
    from tablesync.sync.messages import Presence
    from tablesync.sync.timing import Timing

__all__ = ["DeviceSession"]

log = logging.getLogger(__name__)

FIRST_DELAY_MS = 100
LONGEST_DELAY_MS = 2_000


@dataclass(slots=True, eq=False)
class _Waiter:
    """Somebody who waits for the session to change in some way."""

    holds: Callable[[], bool]
    held: asyncio.Future[None]


class DeviceSession:
    """One device in one game; made by `DeviceSession.open`, ended by `close`."""

    def __init__(
        self,
        journal: Journal,
        game: Game,
        side: DeviceSide,
        clock: Clock,
        judge_after_s: float,
    ) -> None:
        self.game = game
        """The game as this device sees it, its own entries included."""
        self.damage: CorruptJournalError | None = None
        """What of the journal could not be read; whoever holds it sends it again."""
        self.trouble: (
            EntryError | ProtocolError | RefusedError | WrongCertificateError | None
        ) = None
        """Why the last link was given up, where one end refused the other."""
        self.asking: dict[DeviceId, Seat] = {}
        """Devices that wait for a seat; another seat lets them in by `SeatGiven`."""
        self._journal = journal
        self._side = side
        self._clock = clock
        self._socket: ClientConnection | None = None
        self._granted: Granted | None = None
        self._reading: asyncio.Task[None] | None = None
        self._closing: set[asyncio.Task[None]] = set()
        self._waiters: list[_Waiter] = []
        self._events: list[CheckEvent] = []
        self._judge_after_s = judge_after_s
        self._has_news = False
        self._judging: asyncio.TimerHandle | None = None
        self._failure: StorageError | None = None
        self._timekeeper = asyncio.create_task(self._keep_time())

    @classmethod
    async def open(
        cls,
        journal: Journal,
        clock: Clock,
        timing: Timing,
        judge_after_s: float = 0.0,
    ) -> Self:
        """Goes on from a journal, which the session closes at its end.

        Args:
            journal: what this device has.
            clock: the device's clock.
            timing: how often the device says that it is there.
            judge_after_s: for how long what has come is left as it is before the check
                runs, so that a screen can show it first; by the loop's own clock.

        Raises:
            SheetError: the journal lacks the game's sheet (see `sheet_fetch`), or it
                can't be read.
            RuleFileError: the sheet's rules are wrong.
            StorageError: the journal can't be read.
        """
        claim = journal.claim
        damage: CorruptJournalError | None = None
        try:
            sheet = read_sheet(claim.sheet or b"")
            game = Game(sheet, rules_of(sheet), claim.game)
            try:
                await journal.read_into(game)
            except CorruptJournalError as error:
                log.warning("%s", error)
                damage = error
        except BaseException:
            await journal.close()
            raise
        side = DeviceSide(claim, game, timing, journal.standing)
        session = cls(journal, game, side, clock, judge_after_s)
        session.damage = damage
        return session

    async def __aenter__(self) -> Self:
        return self

    async def __aexit__(self, *error: object) -> None:
        await self.close()

    @property
    def seat(self) -> Seat | None:
        """Where the device sits; None where it only watches."""
        return self._side.claim.seat

    @property
    def is_linked(self) -> bool:
        """Whether the relay has welcomed the device and is still heard."""
        return self._side.is_linked

    @property
    def is_connected(self) -> bool:
        """Whether there is a connection, welcomed or not."""
        return self._socket is not None

    @property
    def is_quiet(self) -> bool:
        """Whether the device is linked and all that it has said has been answered."""
        return self._side.is_quiet

    @property
    def unacknowledged(self) -> int:
        """How many entries are on this device and not known on the relay's disk."""
        return self._side.unacknowledged

    @property
    def relay_heard_ms(self) -> int:
        """When the relay was last heard, by the device's clock; 0 if never."""
        return self._side.relay_heard_ms

    def presences(self) -> tuple[Presence, ...]:
        """How the devices at the seats stand, this one included."""
        return tuple(self._side.roll)

    def table_ms(self) -> int:
        """The table time now."""
        return self._side.table_ms(self._clock.now_ms())

    def take_events(self) -> list[CheckEvent]:
        """What the check has said since the last call, in order."""
        events, self._events = self._events, []
        return events

    async def enter(self, act: Act) -> Entry:
        """Puts an act on record. It is on the disk, and counts, when this returns.

        Raises:
            EntryError: the act is not this seat's.
            StorageError: the journal can't be written.
        """
        return await self.kept(self.write(act))

    def write(self, act: Act) -> Entry:
        """Begins to put an act on record; `kept` says when it is on the disk.

        Raises:
            EntryError: the act is not this seat's.
            StorageError: the journal can't be written.
        """
        if self._failure is not None:
            raise self._failure
        entry = self._side.enter(act, self._clock.now_ms())
        self._settle()
        return entry

    async def kept(self, entry: Entry) -> Entry:
        """Waits until an entry that was written is on the disk, and counts.

        Raises:
            StorageError: the journal can't be written.
        """
        await self.wait_for(lambda: entry.digest in self.game.history)
        return entry

    async def wait_for(self, holds: Callable[[], bool]) -> None:
        """Waits until something is so that only a change of this session can bring.

        Raises:
            StorageError: the journal can't be written.
        """
        if self._failure is not None:
            raise self._failure
        if not holds():
            held: asyncio.Future[None] = asyncio.get_running_loop().create_future()
            waiter = _Waiter(holds, held)
            self._waiters.append(waiter)
            try:
                await held
            finally:
                if waiter in self._waiters:
                    self._waiters.remove(waiter)

    async def connect(self, address: str) -> None:
        """Connects to a relay; whether it welcomes the device shows in `is_linked`.

        A connection that there is already is dropped once the new one is there.

        Args:
            address: an invitation's or a relay's text, or ws://HOST:PORT of this
                machine itself; see `joining.arrived`.

        Raises:
            UnreachableError: nobody answers there, or not the relay it should be; or
                it is no such text.
        """
        # What proves who is at the other end is long to import; a screen comes first.
        from tablesync.joining import arrived

        try:
            socket, self._granted = await arrived(address, self._side.claim)
        except (ProtocolError, RefusedError, WrongCertificateError) as error:
            self.trouble = error
            self._tell_waiters()
            if isinstance(error, WrongCertificateError):
                raise
            log.warning("%s", error)
            return
        await self.disconnect()
        self._socket = socket
        self.trouble = None
        self._side.connected(self._clock.now_ms())
        self._reading = asyncio.create_task(self._read(socket))
        self._settle()

    async def keep_connected(self, address: str, random: Random) -> None:
        """Connects, and again whenever the connection is lost, until cancelled."""
        delay_ms = FIRST_DELAY_MS
        while True:
            try:
                await self.connect(address)
            except UnreachableError as error:
                log.info("%s", error)
            else:
                await self.wait_for(lambda: self.is_linked or not self.is_connected)
                if self.is_linked:
                    delay_ms = FIRST_DELAY_MS
                await self.wait_for(lambda: not self.is_connected)
            wait_ms = random.randint(delay_ms // 2, delay_ms)
            await self._clock.sleep_until(self._clock.now_ms() + wait_ms)
            delay_ms = min(delay_ms * 2, LONGEST_DELAY_MS)

    async def disconnect(self) -> None:
        """Drops the connection, as a cut cable would."""
        if self._socket is not None and self._reading is not None:
            self._socket.transport.abort()
            await asyncio.wait([self._reading])

    async def close(self) -> None:
        """Says bye, and closes the connection and the journal."""
        self._timekeeper.cancel()
        await asyncio.gather(self._timekeeper, return_exceptions=True)
        self._side.say_bye()
        self._settle()
        if self._socket is not None:
            await self._socket.close()
        if self._reading is not None:
            await asyncio.wait([self._reading])
        await asyncio.gather(*self._closing)
        if self._judging is not None:
            self._judging.cancel()
        if self._failure is None:
            self._journal.keep(self._side.standing)
        await self._journal.close()

    async def _read(self, socket: ClientConnection) -> None:
        from websockets.exceptions import ConnectionClosed

        try:
            async for frame in socket:
                self._side.receive_frame(frame, self._clock.now_ms())
                self._settle()
        except ConnectionClosed as closed:
            log.info("connection lost: %s", closed)
        finally:
            self._socket = None
            self._side.disconnected()
            self._settle()

    def _settle(self) -> None:
        """Carries out what the side asks for, sends what it says, tells who waits.

        The check comes last: nobody who is sent an entry waits for what it takes here.
        """
        while effects := self._side.effects():
            self._carry_out(effects)
        if self._granted and self._side.is_quiet and not self._side.is_short:
            self._put_grant_on_record(self._granted)
            self._carry_out(self._side.effects())
        if self._socket is not None:
            # The sockets take 50 ms to import, and a screen comes before any link.
            from tablesync.sockets import push

            push(self._socket, self._side.frames_to_send())
            if self._side.is_closing:
                self._close(self._socket)
        if self._has_news and self._judging is None:
            self._judge_soon()
        self._tell_waiters()

    def _judge_soon(self) -> None:
        if self._judge_after_s:
            loop = asyncio.get_running_loop()
            self._judging = loop.call_later(self._judge_after_s, self._judge_late)
        else:
            self._judge()

    def _judge_late(self) -> None:
        self._judging = None
        self._judge()
        self._tell_waiters()

    def _judge(self) -> None:
        self._has_news = False
        self._events += self.game.advance()

    def _carry_out(self, effects: list[DeviceEffect]) -> None:
        for effect in effects:
            match effect:
                case Record(entries):
                    done = self._journal.append(entries, self._side.standing)
                    done.add_done_callback(partial(self._committed, entries))
                case Taken() | Heard():
                    self._has_news = True
                case Troubled(error):
                    self.trouble = error
                    log.warning("%s", error)
                case Asked(asking):
                    self.asking[asking.device] = asking.seat
                case Doubted(doubt):
                    log.warning("not countersigned: %s", doubt)
                case _:
                    pass

    def _put_grant_on_record(self, granted: Granted) -> None:
        """The relay's word that the device is in becomes part of the game, once.

        By then the device holds what the relay had: what a device before it has that
        this entry did not know of came late.
        """
        self._granted = None
        act = SeatTaken(granted.payload, granted.signature)
        if self.seat is not None and all(e.act != act for e in self.game.history):
            self._side.enter(act, self._clock.now_ms())

    def _tell_waiters(self) -> None:
        for waiter in list(self._waiters):
            if waiter.held.done():
                continue
            if self._failure is not None:
                waiter.held.set_exception(self._failure)
            elif waiter.holds():
                waiter.held.set_result(None)

    def _committed(
        self, entries: tuple[Entry, ...], done: asyncio.Future[None]
    ) -> None:
        error = done.exception()
        if isinstance(error, StorageError):
            self._failure = error
            log.error("nothing more can be entered on this device: %s", error)
        else:
            self._side.committed(entries)
        self._settle()

    def _close(self, socket: ClientConnection) -> None:
        closing = asyncio.create_task(socket.close())
        self._closing.add(closing)
        closing.add_done_callback(self._closing.discard)

    async def _keep_time(self) -> None:
        while True:
            self._side.tick(self._clock.now_ms())
            self._settle()
            await self._clock.sleep_until(self._side.next_deadline_ms())
