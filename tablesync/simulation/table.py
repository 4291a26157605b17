"""The table of a simulated game: the relay, the devices, and the officials at them."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from tablesync.core.acts import LetStand, Note, Seat, Signer, SignOff, Strike
from tablesync.errors import EntryError
from tablesync.seal import DeviceKey
from tablesync.simulation.clocks import WrongClock
from tablesync.simulation.disk import Contents, Health
from tablesync.simulation.machine import Outfit
from tablesync.simulation.network import Route
from tablesync.simulation.script import Gesture
from tablesync.simulation.simulated_device import SimulatedDevice
from tablesync.simulation.simulated_director import SimulatedDirector
from tablesync.simulation.simulated_relay import SimulatedRelay
from tablesync.sync.claim import Claim

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from tablesync.core.acts import Act
    from tablesync.core.vector_clock import DeviceId
    from tablesync.simulation.fingers import Fingers
    from tablesync.simulation.machine import Machine
    from tablesync.simulation.network import Weather
    from tablesync.simulation.script import Tap
    from tablesync.simulation.world import World

__all__ = ["DAY_MS", "Table"]

DAY_MS = 24 * 60 * 60 * 1000
HEALING_MS = 100
"""Links are mended one after the other."""
AGAIN_MS = 700
"""An official whose device does not answer tries again after this."""
MOST_DRIFT_PPM = 200


class Table:
    """One game with all who take part in it."""

    def __init__(self, world: World, weather: Weather, fingers: Fingers) -> None:
        self.world = world
        self.director: SimulatedDirector | None = None
        """Whoever follows the court, in some of the games."""
        self._fingers = fingers
        self.devices: list[SimulatedDevice] = []
        """Every device that was ever there."""
        self.seated: dict[Seat, list[SimulatedDevice]] = {seat: [] for seat in Seat}
        """Where the officials enter; more than one device only by a fault."""
        self.put_away: list[SimulatedDevice] = []
        """Devices that were replaced, and may come back with what they had."""
        self.twins: list[SimulatedDevice] = []
        """Copies of devices that are there themselves."""
        self.weather = weather
        self._is_over = False
        self.relay = SimulatedRelay(world, self._outfit(Contents()))
        world.witness.relay_disk = self.relay.machine.disk
        self.relay.machine.start()

    @property
    def machines(self) -> list[Machine]:
        """All that can fail."""
        return [self.relay.machine, *(device.machine for device in self.devices)]

    def holders(self) -> list[SimulatedDevice | SimulatedRelay]:
        """All who run and have the game."""
        return [self.relay, *self.present()]

    def living(self) -> list[SimulatedDevice]:
        """The devices that are not gone for good."""
        return [one for one in self.devices if not one.machine.is_retired]

    def _outfit(self, contents: Contents) -> Outfit:
        world, random = self.world, self.world.random
        spread_ms = random.choice((0, 2_000, 60_000, DAY_MS))
        clock = WrongClock(
            world.timeline.now_ms,
            random.randint(-spread_ms, spread_ms),
            random.randint(-MOST_DRIFT_PPM, MOST_DRIFT_PPM),
        )
        return Outfit(world.parts.disk(random, contents), clock)

    def new_device(self, seat: Seat | None) -> SimulatedDevice:
        """A device with a key of its own comes to the table."""
        key = DeviceKey(self.world.random.randbytes(32))
        setting = self.world.setting
        claim = Claim(key, setting.game, seat, setting.sheet_bytes)
        return self._set_up(claim, self._outfit(Contents()))

    def let_direct(self, world: World, weather: Weather) -> None:
        """A director follows the court, in a world with a random of its own."""
        clock = WrongClock(
            world.timeline.now_ms, world.random.randint(-DAY_MS, DAY_MS), drift_ppm=0
        )
        route = Route(weather)
        self.director = SimulatedDirector(world, self.relay, clock, route)
        self.relay.direct()

    def twin_of(self, device: SimulatedDevice) -> None:
        """A second device with the same key comes up from a copy of its disk."""
        outfit = self._outfit(device.machine.disk.synced.copy())
        outfit.disk.lost |= device.machine.disk.lost
        self.twins.append(self._set_up(device.claim, outfit))

    def _set_up(self, claim: Claim, outfit: Outfit) -> SimulatedDevice:
        route = Route(self.weather)
        device = SimulatedDevice(self.relay, claim, outfit, route)
        self.devices.append(device)
        if claim.seat is not None:
            self.seated[claim.seat].append(device)
        device.machine.start()
        return device

    def unseat(self, device: SimulatedDevice) -> None:
        """The official no longer enters on this device."""
        seat = device.claim.seat
        assert seat is not None
        self.seated[seat].remove(device)

    def expect(self, taps: Sequence[Tap]) -> None:
        """Plans the officials' taps."""
        timeline = self.world.timeline
        started_ms = timeline.now_ms
        for tap in taps:
            timeline.at(started_ms + tap.at_ms, partial(self._tap, tap))

    def _tap(self, tap: Tap) -> None:
        at_seat = self.seated[tap.seat]
        if self._is_over or not at_seat:
            return
        device = self.world.random.choice(at_seat)
        if device.machine.is_up and not device.machine.life.is_stopped:
            act = _act_of(tap, device)
            if act is None or self._touch(device, act):
                return
        self.world.timeline.after(AGAIN_MS, partial(self._tap, tap))

    def _touch(self, device: SimulatedDevice, act: Act) -> bool:
        """A finger touches a key, once or twice; whether the device could take it."""
        touches, came = self._fingers.touch(device.sieve, device.machine.now_ms)
        self.world.witness.saw_touched(device, touches, came)
        is_taken = _can_enter(device, act)
        if is_taken and came > 1 and device.machine.is_up:
            _can_enter(device, act)
        return is_taken

    def present(self) -> list[SimulatedDevice]:
        """The devices that run."""
        return [device for device in self.devices if device.machine.is_up]

    @property
    def frames_sent(self) -> int:
        """How many frames all together have sent so far."""
        return self.relay.frames_sent + sum(one.frames_sent for one in self.devices)

    def heal(self) -> list[Callable[[], None]]:
        """From now on nothing more goes wrong, and whatever was away comes back.

        Returns:
            What to do in turn, each once all are in sync: copies of one device can't
            be linked at the same time, so they come one after the other, and then all
            again, since one can have what another's entries must wait for.
        """
        self._is_over = True
        for device in self.put_away:
            device.machine.is_retired = False
        for machine in self.machines:
            machine.trap = None
            machine.disk.health = Health.GOOD
            machine.life.go_on()
        self.relay.machine.start()
        living = self.living()
        self.world.random.shuffle(living)
        for place, device in enumerate(living):
            self.world.timeline.after(place * HEALING_MS, device.route.mend)
        if self.director is not None:
            self.director.go_on()
            self.director.route.mend()
        by_key: dict[DeviceId, list[SimulatedDevice]] = {}
        for device in self.living():
            by_key.setdefault(device.claim.key.device, []).append(device)
        copies = max(map(len, by_key.values()))
        turns = [0] if copies == 1 else [*range(copies), *range(copies)]
        return [partial(_take_turns, by_key.values(), turn) for turn in turns]

    def enter_once_more(self) -> None:
        """Everybody at a seat enters something, the scorers that they sign off.

        Raises:
            EntryError: somebody can't.
        """
        for device in self.present():
            match device.claim.seat:
                case Seat.BOOK if self.world.setting.has_checkpoints:
                    device.enter(SignOff(Signer.SCORER, "I. Wetherby"))
                case Seat():
                    device.enter(Note("it goes on"))
                case None:
                    pass


def _take_turns(copies: Iterable[Sequence[SimulatedDevice]], turn: int) -> None:
    """Of each device's copies one runs, the last from its turn on."""
    for devices in copies:
        runs = devices[min(turn, len(devices) - 1)]
        for device in devices:
            if device is not runs:
                device.machine.is_held_back = True
                device.machine.end()
        runs.machine.is_held_back = False
        runs.machine.start()


def _act_of(tap: Tap, device: SimulatedDevice) -> Act | None:
    """The act that a tap amounts to on this device; None where there is nothing."""
    match tap.does:
        case Gesture.STRIKE_LAST:
            own = [entry for entry in device.game.history if entry.seat is tap.seat]
            return Strike(own[-1].id) if own else None
        case Gesture.LET_STAND:
            findings = device.game.open_findings()
            return LetStand(findings[0].id, "both have seen it") if findings else None
        case act:
            return act


def _can_enter(device: SimulatedDevice, act: Act) -> bool:
    try:
        device.enter(act)
    except EntryError:
        return False
    return True
