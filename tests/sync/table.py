"""A table without sockets or disks: devices and a relay, joined by made-up links.

What a shell does is done here in the plainest way: what is to be recorded is appended
to a list, which is the disk, and frames go through `tests.fakes.Link`. Devices and
relay can crash, and start again with what is on their disk.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.acts import Note
from tablesync.errors import EntryError, ProtocolError
from tablesync.seal import DeviceKey
from tablesync.sheet_bytes import game_id, write_sheet
from tablesync.sync.claim import Claim, Standing
from tablesync.sync.codec import encode
from tablesync.sync.device import DeviceSide
from tablesync.sync.effects import DeviceEffect, Fetch, Record, RecordSheet, RelayEffect
from tablesync.sync.intake import Archive
from tablesync.sync.messages import Sealed, refusal_of
from tablesync.sync.relay import RelayGame, read_hello
from tablesync.sync.timing import Timing
from tests.fakes import FAIR, Link, Weather
from tests.scribe import SHEET as SCRIBES_SHEET

if TYPE_CHECKING:
    from collections.abc import Iterable

    from tablesync.core.acts import Act, Seat
    from tablesync.core.entries import Entry
    from tablesync.sync.relay import RelaySide

__all__ = [
    "GAME",
    "KEYS",
    "SHEET",
    "TIMING",
    "Device",
    "Relay",
    "Table",
    "carry_out",
    "claim_of",
]

TIMING = Timing(heartbeat_ms=1_000, silence_ms=2_000, hello_ms=5_000)
KEYS = tuple(DeviceKey(bytes([n]) * 32) for n in range(1, 6))


SHEET = write_sheet(SCRIBES_SHEET)
GAME = game_id(SHEET)


def claim_of(key: DeviceKey, seat: Seat | None, sheet: bytes | None = SHEET) -> Claim:
    """What a device with this key says that it is."""
    return Claim(key, GAME, seat, sheet)


class Device:
    """A device: its side of the protocol, its disk, and its link if it has one."""

    def __init__(self, claim: Claim, clock_ahead_ms: int = 0) -> None:
        self.claim = claim
        self.clock_ahead_ms = clock_ahead_ms
        self.disk: list[Entry] = []
        self.standing = Standing()
        self.disk_is_slow = False
        self.effects: list[DeviceEffect] = []
        self.up: Link[bytes] = Link(FAIR, 0)
        self.down: Link[bytes] = Link(FAIR, 0)
        self.relay_side: RelaySide | None = None
        self.start()

    def start(self) -> None:
        """Starts with what is on the disk."""
        self.holder = Archive(GAME)
        for entry in self.disk:
            self.holder.receive(entry)
        self.side = DeviceSide(self.claim, self.holder, TIMING, self.standing)
        self.unwritten: list[Entry] = []

    def now_ms(self, table_ms: int) -> int:
        """What the device's clock shows."""
        return table_ms + self.clock_ahead_ms

    def enter(self, act: Act, table_ms: int) -> Entry:
        """The official taps."""
        entry = self.side.enter(act, self.now_ms(table_ms))
        self.settle()
        return entry

    def settle(self) -> None:
        """Carries the side's effects out."""
        while effects := self.side.effects():
            self.effects += effects
            for effect in effects:
                if isinstance(effect, Record):
                    self.unwritten += effect.entries
            if not self.disk_is_slow:
                self.write_disk()
        self.standing = self.side.standing

    def write_disk(self) -> None:
        """What waits for the disk is now on it."""
        written, self.unwritten = self.unwritten, []
        known = {entry.digest for entry in self.disk}
        self.disk += [entry for entry in written if entry.digest not in known]
        self.side.committed(written)
        self.effects += self.side.effects()

    def seen(self, kind: type[DeviceEffect]) -> list[DeviceEffect]:
        """The effects of one kind so far."""
        return [effect for effect in self.effects if isinstance(effect, kind)]


class Relay:
    """A relay with one game, and its disk."""

    def __init__(self) -> None:
        self.disk: list[Entry] = []
        self.sheet: bytes | None = None
        self.disk_is_slow = False
        self.start()

    def start(self) -> None:
        """Starts with what is on the disk."""
        holder = Archive(GAME)
        for entry in self.disk:
            holder.receive(entry)
        self.game = RelayGame(holder, self.sheet, TIMING)
        self.unwritten: list[Entry] = []
        self.effects: list[RelayEffect] = []

    def settle(self) -> None:
        """Carries the game's effects out."""
        for effect in self.game.effects():
            self.effects.append(effect)
            match effect:
                case Record(entries):
                    self.unwritten += entries
                case Fetch():
                    carry_out(effect, self.disk)
                case RecordSheet(sheet):
                    self.sheet = sheet
                case _:
                    pass
        if not self.disk_is_slow:
            self.write_disk()

    def write_disk(self) -> None:
        """What waits for the disk is now on it."""
        written, self.unwritten = self.unwritten, []
        self.disk += written
        self.game.committed(written)

    @property
    def digests(self) -> set[bytes]:
        """What the relay holds, as digests."""
        return {place.digest for place in self.game.holder.history.places()}


class Table:
    """One relay and its devices, in table time."""

    def __init__(self, *devices: Device) -> None:
        self.relay = Relay()
        self.devices = list(devices)
        self.now_ms = 100_000

    def connect(self, device: Device, weather: Weather = FAIR, seed: int = 0) -> None:
        """Gives the device a link, which is as good as the weather."""
        self.cut(device)
        device.up, device.down = Link(weather, seed), Link(weather, seed + 1)
        device.side.connected(device.now_ms(self.now_ms))

    def connect_all(self) -> None:
        """Gives every device a good link, and lets them say what they have to."""
        for device in self.devices:
            self.connect(device)
        self.run()

    def cut(self, device: Device) -> None:
        """The device's link is gone, with whatever is under way."""
        device.up.cut()
        device.down.cut()
        device.side.disconnected()
        device.settle()
        if device.relay_side is not None:
            side, device.relay_side = device.relay_side, None
            side.disconnected()
            self.relay.settle()

    def crash_relay(self) -> None:
        """The relay is killed, and started again."""
        for device in self.devices:
            device.relay_side = None
            self.cut(device)
        self.relay.start()

    def crash(self, device: Device) -> None:
        """The device is killed, and started again without a link."""
        self.cut(device)
        device.start()

    def enter(self, device: Device, text: str) -> Entry:
        """The device's official enters a note."""
        return device.enter(Note(text), self.now_ms)

    def run(self, ms: int = 0) -> None:
        """Lets time pass, in small steps, with all that happens meanwhile."""
        end_ms = self.now_ms + ms
        while True:
            self.relay.game.tick(self.now_ms)
            for device in self.devices:
                device.side.tick(device.now_ms(self.now_ms))
            while self._carry():
                pass
            if self.now_ms >= end_ms:
                return
            self.now_ms += min(50, end_ms - self.now_ms)

    def _carry(self) -> bool:
        """One round of frames; whether there were any."""
        moved = False
        for device in self.devices:
            device.settle()
            for frame in device.side.frames_to_send():
                device.up.send(frame, self.now_ms)
            for frame in device.up.arrived(self.now_ms):
                self._deliver(device, frame)
                moved = True
            self.relay.settle()
        for device in self.devices:
            side = device.relay_side
            if side is not None:
                for frame in side.frames_to_send():
                    device.down.send(frame, self.now_ms)
            for frame in device.down.arrived(self.now_ms):
                device.side.receive_frame(frame, device.now_ms(self.now_ms))
                moved = True
            device.settle()
            if device.side.is_closing or (side is not None and side.is_closing):
                self.cut(device)
        return moved

    def _deliver(self, device: Device, frame: bytes) -> None:
        if device.relay_side is not None:
            device.relay_side.receive_frame(frame, self.now_ms)
            return
        try:
            hello = read_hello(frame)
            device.relay_side = self.relay.game.admit(hello, self.now_ms)
        except (EntryError, ProtocolError) as error:
            device.down.send(encode(refusal_of(error)), self.now_ms)

    def holdings(self) -> list[set[bytes]]:
        """What each device and the relay hold, as digests."""
        return [digests(d.holder.history) for d in self.devices] + [self.relay.digests]


def carry_out(fetch: Fetch, disk: Iterable[Entry]) -> None:
    """Gives a side what is on the disk."""
    stored = {entry.digest: Sealed(entry.payload, entry.signature) for entry in disk}
    fetch.side.send_missing(fetch, stored)


def digests(entries: Iterable[Entry]) -> set[bytes]:
    """The identities of entries."""
    return {entry.digest for entry in entries}
