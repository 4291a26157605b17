"""A director of a simulated game: what `court_client` is around the real desk."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from tablesync.simulation.network import Connection
from tablesync.simulation.timeline import Life
from tablesync.sync.courts.desk import CourtDesk

if TYPE_CHECKING:
    from tablesync.core.summary import Summary
    from tablesync.simulation.clocks import WrongClock
    from tablesync.simulation.network import Route
    from tablesync.simulation.simulated_relay import SimulatedRelay
    from tablesync.simulation.world import World

__all__ = ["SimulatedDirector"]

RETRY_MS = 1_000


class SimulatedDirector:
    """One director, who follows the courts and keeps nothing."""

    def __init__(
        self, world: World, relay: SimulatedRelay, clock: WrongClock, route: Route
    ) -> None:
        self.route = route
        """The way to the relay, which the tables do not share."""
        self.desk = CourtDesk()
        self.connection: Connection | None = None
        self._world = world
        self._relay = relay
        self._clock = clock
        self._life = Life(world.timeline)
        self._life.after(RETRY_MS, self._connect)

    def __str__(self) -> str:
        return "the director"

    @property
    def court(self) -> Summary | None:
        """The game as it has been told; None before."""
        if self.connection is None:
            return None
        return self.desk.courts.get(self._world.setting.game)

    def start_anew(self) -> None:
        """The program is ended and started again."""
        self._life.is_over = True
        if self.connection is not None:
            self.connection.cut()
        self.connection = None
        self.desk = CourtDesk()
        self._life = Life(self._world.timeline)
        self._life.after(RETRY_MS, self._connect)

    def read_nothing_for(self, ms: int) -> None:
        """The program is stopped, while the relay goes on telling."""
        self._life.stop_for(ms, lambda: None)

    def go_on(self) -> None:
        """The program runs from now on."""
        self._life.go_on()

    def _connect(self) -> None:
        if self.connection is not None:
            return
        if not (self.route.is_open and self._relay.is_listening):
            self._life.after(RETRY_MS, self._connect)
            return
        self.connection = Connection(self._world, self.route, self, self._relay)
        self._relay.accept(self.connection)
        self.desk.connected()
        self._send()

    def receive(self, connection: Connection, frame: bytes) -> None:
        """A frame of the relay has arrived."""
        self._life.do(partial(self._take, connection, frame))

    def _take(self, connection: Connection, frame: bytes) -> None:
        if connection is self.connection:
            now_ms = self._clock.at(self._world.timeline.now_ms)
            self.desk.receive_frame(frame, now_ms)
            self._send()

    def lost(self, connection: Connection) -> None:
        """The connection is gone: looks for another."""
        self._life.do(partial(self._notice_loss, connection))

    def _notice_loss(self, connection: Connection) -> None:
        if connection is self.connection:
            self.connection = None
            self._life.after(RETRY_MS, self._connect)

    def _send(self) -> None:
        connection = self.connection
        assert connection is not None
        connection.send_up(self.desk.frames_to_send())
        if self.desk.is_closing:
            connection.close_from_device()
            self._notice_loss(connection)
