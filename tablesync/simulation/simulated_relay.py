"""The relay of a simulated game: what `server` is around the real state machine."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from tablesync.errors import EntryError, ProtocolError
from tablesync.simulation.disk import Point, Work
from tablesync.simulation.machine import Machine
from tablesync.simulation.simulated_device import TIMING
from tablesync.simulation.simulated_feed import SimulatedFeed
from tablesync.sync.codec import encode
from tablesync.sync.courts.codec import is_watch
from tablesync.sync.effects import Heard, Record, RecordSheet, Rejected, Vouched
from tablesync.sync.messages import refusal_of
from tablesync.sync.relay import read_hello

if TYPE_CHECKING:
    from tablesync.core.entries import Entry
    from tablesync.core.game import Game
    from tablesync.simulation.machine import Outfit
    from tablesync.simulation.network import Connection
    from tablesync.simulation.world import World
    from tablesync.sync.relay import RelayGame, RelaySide
    from tablesync.sync.roll import Roll

__all__ = ["SimulatedRelay"]


class SimulatedRelay:
    """The relay with one game, to which devices connect."""

    game: Game
    """As at a real relay nothing is worked out of it while it is played."""
    protocol: RelayGame

    def __init__(self, world: World, outfit: Outfit) -> None:
        self.world = world
        self.machine = Machine(world, outfit, self)
        self.frames_sent = 0
        self._is_directed = False
        self._serving: Connection | None = None
        self._greeting: dict[Connection, int] = {}
        self._sides: dict[Connection, RelaySide] = {}

    def __str__(self) -> str:
        return "the relay"

    @property
    def roll(self) -> Roll:
        """Who is at the seats, as the relay has heard."""
        return self.protocol.roll

    @property
    def connections(self) -> int:
        """How many there are, introduced or not."""
        return len(self._greeting) + len(self._sides) + len(self.feed.followers)

    @property
    def is_listening(self) -> bool:
        """Whether a connection can be made."""
        return self.machine.is_up and not self.machine.life.is_stopped

    def start(self) -> None:
        """Starts with what is on the disk."""
        world, disk = self.world, self.machine.disk
        setting = world.setting
        world.witness.require_durable("when the relay starts")
        self.game = world.parts.holder(setting.sheet, setting.rules, setting.game)
        disk.read_into(self.game, str(self))
        self.protocol = world.parts.relay(self.game, disk.written.sheet, TIMING)
        if setting.has_checkpoints:
            stored = list(disk.written.rows)
            key, now_ms = setting.relay_key, self.machine.now_ms
            self.protocol.notary = world.parts.notary(key, setting.game, stored, now_ms)
        self.feed = SimulatedFeed(world)
        if self._is_directed:
            self.feed.open(self.protocol)

    def direct(self) -> None:
        """Somebody is going to follow the court; otherwise it is not worked out."""
        self._is_directed = True
        self.feed.open(self.protocol)

    def stop(self) -> None:
        """Leaves the connections to fall."""
        for connection in [*self._greeting, *self._sides, *self.feed.followers]:
            connection.cut()
        self.feed.followers.clear()
        self._greeting.clear()
        self._sides.clear()

    def call_off(self) -> None:
        """Loses the link that it is serving."""
        if self._serving is not None:
            self._serving.cut()

    def tick(self) -> None:
        """Notices who has been silent for too long."""
        now_ms = self.machine.now_ms
        for connection, limit_ms in list(self._greeting.items()):
            if now_ms >= limit_ms:
                self._close(connection)
        self.protocol.tick(now_ms)
        if self._is_directed:
            self.feed.tick(now_ms)
        self.settle()

    def accept(self, connection: Connection) -> None:
        """A device has connected, and will introduce itself."""
        self._greeting[connection] = self.machine.now_ms + TIMING.hello_ms
        self._set_alarm()

    def receive(self, connection: Connection, frame: bytes) -> None:
        """A frame of a device has arrived."""
        self.machine.life.do(partial(self._take, connection, frame))

    def _take(self, connection: Connection, frame: bytes) -> None:
        if connection in self._greeting:
            self._introduce(connection, frame)
        elif connection in self._sides:
            self._serving = connection
            self._sides[connection].receive_frame(frame, self.machine.now_ms)
            self.settle()
            self._serving = None
        elif connection in self.feed.followers:
            self.feed.receive(connection, frame, self.machine.now_ms)
            self.settle()

    def _introduce(self, connection: Connection, frame: bytes) -> None:
        if is_watch(frame):
            del self._greeting[connection]
            self.feed.accept(connection, frame, self.machine.now_ms)
            self.settle()
            return
        try:
            hello = read_hello(frame)
            side = self.protocol.admit(hello, self.machine.now_ms)
        except (EntryError, ProtocolError) as error:
            self.world.witness.saw_refused(error)
            connection.send_down([encode(refusal_of(error))])
            self._close(connection)
        else:
            del self._greeting[connection]
            self._sides[connection] = side
        self.settle()

    def lost(self, connection: Connection) -> None:
        """A connection is gone."""
        self.machine.life.do(partial(self._notice_loss, connection))

    def _notice_loss(self, connection: Connection) -> None:
        self._greeting.pop(connection, None)
        self.feed.lost(connection)
        side = self._sides.pop(connection, None)
        if side is not None:
            side.disconnected()
            self.settle()

    def settle(self) -> None:
        """Carries out what the game asks for, and sends what it says."""
        for effect in self.protocol.effects():
            match effect:
                case Record(entries):
                    self.world.witness.saw_taken(self, entries)
                    self.feed.taken(entries)
                    done = partial(self._recorded, entries)
                    self.machine.disk.write(Work(done, entries))
                case RecordSheet(sheet):
                    self.machine.disk.write(Work(_nobody_waits, sheet=sheet))
                    if self._is_directed:
                        self.feed.open(self.protocol)
                case Rejected(error):
                    self.world.witness.saw_refused(error)
                case Heard(presence):
                    self.feed.heard(presence)
                case Vouched(checkpoint, by):
                    self.world.witness.saw_vouched(checkpoint, by)
                    evidence = (checkpoint, by)
                    self.machine.disk.write(Work(_nobody_waits, evidence=evidence))
        for connection, side in list(self._sides.items()):
            frames = side.frames_to_send()
            self.frames_sent += len(frames)
            connection.send_down(frames)
            if side.is_closing:
                self._close(connection)
            if frames and self.machine.reach(Point.AMID_SENDING):
                return
        self.feed.send()
        self._set_alarm()

    def _close(self, connection: Connection) -> None:
        self._greeting.pop(connection, None)
        self._sides.pop(connection, None)
        connection.close_from_relay()

    def _set_alarm(self) -> None:
        deadlines_ms = list(self._greeting.values())
        next_ms = self.protocol.next_deadline_ms()
        if next_ms is not None:
            deadlines_ms.append(next_ms)
        if self.feed.followers:
            deadlines_ms.append(self.feed.courts.next_deadline_ms())
        if deadlines_ms:
            self.machine.wake_at(min(deadlines_ms))

    def _recorded(self, entries: tuple[Entry, ...]) -> None:
        self.protocol.committed(entries)
        if not self.machine.reach(Point.BEFORE_ANSWER):
            self.settle()


def _nobody_waits() -> None:
    pass
