"""A device of a simulated game: what `client` is around the real state machine."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from tablesync.simulation.disk import Point, Work
from tablesync.simulation.machine import Machine
from tablesync.simulation.network import Connection
from tablesync.sync.codec import decode, encode
from tablesync.sync.effects import Acknowledged, Heard, Record, Taken
from tablesync.sync.messages import PROTOCOL, Hello, Version
from tablesync.sync.timing import Timing

if TYPE_CHECKING:
    from tablesync.core.acts import Act
    from tablesync.core.entries import Entry
    from tablesync.core.findings import CheckEvent
    from tablesync.core.game import Game
    from tablesync.simulation.machine import Outfit
    from tablesync.simulation.network import Route
    from tablesync.simulation.simulated_relay import SimulatedRelay
    from tablesync.sync.claim import Claim
    from tablesync.sync.device import DeviceSide
    from tablesync.sync.roll import Roll

__all__ = ["TIMING", "SimulatedDevice"]

TIMING = Timing()
LATER = Version(PROTOCOL.major, PROTOCOL.minor + 7)
FIRST_DELAY_MS = 100
LONGEST_DELAY_MS = 2_000


class SimulatedDevice:
    """One device, which keeps itself connected."""

    game: Game
    side: DeviceSide

    def __init__(
        self, relay: SimulatedRelay, claim: Claim, outfit: Outfit, route: Route
    ) -> None:
        self.claim = claim
        self.relay = relay
        self.machine = Machine(relay.world, outfit, self)
        self.connection: Connection | None = None
        self.route = route
        """Its way to the relay."""
        self.speaks_later = False
        """Whether its protocol is of a later minor version."""
        self.frames_sent = 0
        self.sieve = relay.world.parts.sieve()
        """What holds back reports of a finger that was reported already."""
        self.events: list[CheckEvent] = []
        """What the check has said since the program was last started."""
        self._world = relay.world
        self._delay_ms = FIRST_DELAY_MS

    def __str__(self) -> str:
        return f"device {self.claim.key.device.hex()[:8]}"

    @property
    def roll(self) -> Roll:
        """Who is at the seats, as the device has heard."""
        return self.side.roll

    def start(self) -> None:
        """Starts with what is on the disk, and looks for the relay."""
        setting, disk = self._world.setting, self.machine.disk
        self.game = self._world.parts.holder(setting.sheet, setting.rules, setting.game)
        disk.read_into(self.game, str(self))
        self._world.witness.saw_kept(self.game.history)
        self._world.witness.saw_held(self.claim.key.device, self.game.history)
        self._world.witness.saw_kept(self.game.history.waiting())
        standing = disk.written.standing
        self.side = self._world.parts.device(self.claim, self.game, TIMING, standing)
        self.events = []
        self._delay_ms = FIRST_DELAY_MS
        self.tick()
        self._connect_later()

    def stop(self) -> None:
        """Leaves the connection to fall."""
        if self.connection is not None:
            self.connection.cut()
            self.connection = None

    def call_off(self) -> None:
        """Loses the link amid what it does."""
        if self.connection is not None:
            self.connection.cut()

    def tick(self) -> None:
        """Does what is due."""
        self.side.tick(self.machine.now_ms)
        self.settle()

    def enter(self, act: Act) -> Entry:
        """The official taps."""
        entry = self.side.enter(act, self.machine.now_ms)
        self._world.witness.saw_written(entry)
        self.settle()
        return entry

    def _connect_later(self) -> None:
        delay_ms = self._world.random.randint(self._delay_ms // 2, self._delay_ms)
        self._delay_ms = min(self._delay_ms * 2, LONGEST_DELAY_MS)
        self.machine.life.after(delay_ms, self._connect)

    def _connect(self) -> None:
        if self.connection is not None:
            return
        if not (self.route.is_open and self.relay.is_listening):
            self._connect_later()
            return
        self.connection = Connection(self._world, self.route, self, self.relay)
        self.relay.accept(self.connection)
        self.side.connected(self.machine.now_ms)
        self.settle()

    def receive(self, connection: Connection, frame: bytes) -> None:
        """A frame of the relay has arrived."""
        self.machine.life.do(partial(self._take, connection, frame))

    def _take(self, connection: Connection, frame: bytes) -> None:
        if connection is self.connection:
            self.side.receive_frame(frame, self.machine.now_ms)
            self.settle()

    def lost(self, connection: Connection) -> None:
        """The connection is gone: looks for another."""
        self.machine.life.do(partial(self._notice_loss, connection))

    def _notice_loss(self, connection: Connection) -> None:
        if connection is self.connection:
            self._part()

    def _part(self) -> None:
        self.connection = None
        self.side.disconnected()
        self.settle()
        self._connect_later()

    def settle(self) -> None:
        """Carries out what the side asks for, and sends what it says."""
        for effect in self.side.effects():
            match effect:
                case Record(entries):
                    self._record(entries)
                case Taken(entries):
                    self._world.witness.saw_taken(self, entries)
                    self._world.witness.saw_held(self.claim.key.device, entries)
                    self.events += self.game.advance()
                case Heard():
                    self.events += self.game.advance()
                case Acknowledged(number):
                    self._world.witness.saw_acknowledged(self, number)
                case _:
                    pass
        if self.side.is_linked:
            self._delay_ms = FIRST_DELAY_MS
        self._send()
        if self.machine.is_up:
            self.machine.wake_at(self.side.next_deadline_ms())

    def _send(self) -> None:
        connection = self.connection
        if connection is None:
            return
        frames = self.side.frames_to_send()
        if self.speaks_later:
            frames = [_of_later_version(frame) for frame in frames]
        self.frames_sent += len(frames)
        connection.send_up(frames)
        if self.side.is_closing:
            connection.close_from_device()
            self._part()
        elif frames and self.machine.reach(Point.AMID_SENDING):
            return

    def _record(self, entries: tuple[Entry, ...]) -> None:
        done = partial(self._recorded, entries)
        self.machine.disk.write(Work(done, entries, self.side.standing))

    def _recorded(self, entries: tuple[Entry, ...]) -> None:
        self._world.witness.saw_kept(entries)
        self.side.committed(entries)
        if not self.machine.reach(Point.BEFORE_ANSWER):
            self.settle()


def _of_later_version(frame: bytes) -> bytes:
    message = decode(frame)
    if isinstance(message, Hello):
        return encode(replace(message, version=LATER))
    return frame
