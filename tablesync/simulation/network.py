"""The made-up network between the devices and the relay."""

from __future__ import annotations

from enum import Enum, auto
from typing import TYPE_CHECKING, Protocol

from tablesync.frozen import dataclass
from tablesync.simulation.faults import Fault

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from tablesync.simulation.world import World

__all__ = ["FAIR", "Connection", "End", "Flow", "Route", "Way", "Weather"]

LATE_MS = 200
MOST_HELD = 16
"""Frames that a link keeps for somebody who does not read them."""
NEWS_MS = 300
"""An end that is told of a cut at all is told within this."""
PING_MS = 20_000
"""A link that does not even carry pings is given up after this."""


@dataclass(frozen=True, slots=True)
class Weather:
    """What happens to frames on their way."""

    drop: float
    """Share of the frames that never arrive, from 0 to 1."""
    repeat: float
    """Share of the frames that arrive twice, from 0 to 1."""
    cut: float
    """Share of the frames of which only the beginning arrives, from 0 to 1."""
    least_delay_ms: int
    most_delay_ms: int
    is_orderly: bool
    """Whether frames arrive in the order in which they were sent."""


FAIR = Weather(0.0, 0.0, 0.0, 2, 8, is_orderly=True)


class Flow(Enum):
    """Whether anything gets through one way."""

    OPEN = auto()
    LOSING = auto()
    HOLDING = auto()
    """Nothing for now; it all arrives when the way is open again."""


class Way:
    """One direction between a device and the relay, whatever connection uses it."""

    def __init__(self, weather: Weather) -> None:
        self.weather = weather
        self.flow = Flow.OPEN
        self.held: list[Callable[[], None]] = []

    def open(self) -> None:
        """Lets everything through, and sends off what was held."""
        self.flow = Flow.OPEN
        held, self.held = self.held, []
        for send in held:
            send()


class Route:
    """Both directions between a device and the relay."""

    def __init__(self, weather: Weather) -> None:
        self.up = Way(weather)
        self.down = Way(weather)
        self.is_mended = False
        """Whether it is good for the rest of the game."""

    @property
    def is_open(self) -> bool:
        """Whether a connection can be made."""
        return self.up.flow is Flow.OPEN and self.down.flow is Flow.OPEN

    def open(self) -> None:
        """Lets everything through both ways."""
        self.up.open()
        self.down.open()

    def mend(self) -> None:
        """Makes it good for the rest of the game."""
        self.is_mended = True
        self.up.weather = self.down.weather = FAIR
        self.open()


class End(Protocol):
    """Whoever is at one end of a connection."""

    def receive(self, connection: Connection, frame: bytes) -> None:
        """A frame has arrived."""

    def lost(self, connection: Connection) -> None:
        """The connection is gone."""


class Wire:
    """One direction of one connection."""

    def __init__(self, world: World, way: Way, arrive: Callable[[bytes], None]) -> None:
        self._world = world
        self._way = way
        self._arrive = arrive
        self._latest_ms = 0
        self.is_cut = False

    def send(self, frame: bytes) -> bool:
        """Lets a frame set out. Returns whether there was room for it."""
        toll, way = self._world.toll, self._way
        match way.flow:
            case Flow.LOSING:
                toll[Fault.FRAME_DROPPED] += 1
            case Flow.HOLDING if len(way.held) >= MOST_HELD:
                return False
            case Flow.HOLDING:
                way.held.append(lambda: self._set_out(frame))
            case Flow.OPEN:
                self._set_out(frame)
        return True

    def _set_out(self, frame: bytes) -> None:
        random, toll = self._world.random, self._world.toll
        weather = self._way.weather
        fate = random.random()
        if fate < weather.drop:
            toll[Fault.FRAME_DROPPED] += 1
            return
        if random.random() < weather.cut:
            # A frame of which a part is missing is never handed on by the socket.
            toll[Fault.FRAME_CUT] += 1
            return
        self._carry(frame)
        if random.random() < weather.repeat:
            toll[Fault.FRAME_REPEATED] += 1
            self._carry(frame)

    def _carry(self, frame: bytes) -> None:
        world, weather = self._world, self._way.weather
        delay_ms = world.random.randint(weather.least_delay_ms, weather.most_delay_ms)
        at_ms = world.timeline.now_ms + delay_ms
        if weather.is_orderly:
            at_ms = max(at_ms, self._latest_ms)
        elif at_ms < self._latest_ms:
            world.toll[Fault.FRAME_OVERTAKEN] += 1
        if delay_ms > LATE_MS:
            world.toll[Fault.FRAME_LATE] += 1
        self._latest_ms = max(at_ms, self._latest_ms)
        world.timeline.at(at_ms, lambda: self._deliver(frame))

    def _deliver(self, frame: bytes) -> None:
        if not self.is_cut:
            self._arrive(frame)

    def after_all(self, happen: Callable[[], None]) -> None:
        """Lets something happen once all that is under way has arrived."""
        self._world.timeline.at(self._latest_ms + 1, happen)


class Connection:
    """One connection between a device and the relay."""

    def __init__(self, world: World, route: Route, device: End, relay: End) -> None:
        self._world = world
        self._device = device
        self._relay = relay
        self._up = Wire(world, route.up, lambda frame: relay.receive(self, frame))
        self._down = Wire(world, route.down, lambda frame: device.receive(self, frame))

    @property
    def is_dead(self) -> bool:
        """Whether nothing goes through it any more, noticed or not."""
        return self._up.is_cut or self._down.is_cut

    def send_up(self, frames: Iterable[bytes]) -> None:
        """Sends from the device to the relay."""
        self._send(self._up, frames)

    def send_down(self, frames: Iterable[bytes]) -> None:
        """Sends from the relay to the device."""
        self._send(self._down, frames)

    def _send(self, wire: Wire, frames: Iterable[bytes]) -> None:
        for frame in frames:
            if not wire.is_cut and not wire.send(frame):
                self._world.toll[Fault.LINK_OVERFULL] += 1
                self.cut()

    def cut(self) -> None:
        """Loses what is under way. Each end is told after a while of its own."""
        self._lose()
        for end in (self._device, self._relay):
            self._tell(end, self._world.random.randint(0, NEWS_MS))

    def leave_half_open(self) -> None:
        """Loses what is under way, and neither end is told before it must notice."""
        self._lose()
        for end in (self._device, self._relay):
            self._tell(end, PING_MS)

    def close_from_device(self) -> None:
        """The device has closed it: the relay is told after the last frame."""
        self._down.is_cut = True
        self._up.after_all(lambda: self._relay.lost(self))

    def close_from_relay(self) -> None:
        """The relay has closed it: the device is told after the last frame."""
        self._up.is_cut = True
        self._down.after_all(lambda: self._device.lost(self))

    def _lose(self) -> None:
        self._up.is_cut = self._down.is_cut = True

    def _tell(self, end: End, delay_ms: int) -> None:
        self._world.timeline.after(delay_ms, lambda: end.lost(self))
