"""What a stranger, or a device gone wrong, tries on the relay of a simulated table.

Each is said at once and on a link of its own, so that its refusal can be seen.
"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, TypeAlias

import msgpack

from tablesync.core.acts import Note, Seat
from tablesync.core.vector_clock import VectorClock
from tablesync.errors import BrokenInvariantError
from tablesync.seal import DeviceKey, Pen
from tablesync.simulation.faults import Fault
from tablesync.simulation.network import FAIR, Connection, Route
from tablesync.simulation.witness import Invariant
from tablesync.sync.codec import Kind, encode
from tablesync.sync.messages import PROTOCOL, Entries, Hello, Sealed, Version

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from tablesync.core.entries import Entry
    from tablesync.simulation.simulated_device import SimulatedDevice
    from tablesync.simulation.table import Table

__all__ = ["FORGERIES"]


class Stranger:
    """The other end of a connection; what it hears does not matter."""

    def receive(self, connection: Connection, frame: bytes) -> None:
        """A frame of the relay has arrived."""

    def lost(self, connection: Connection) -> None:
        """The relay has closed the connection."""


Tried: TypeAlias = "Callable[[Table], list[bytes] | None]"
"""What is said to the relay; None where there is no occasion."""


def _say(table: Table, *frames: bytes) -> None:
    """Says frames to the relay on a new connection, which is then left to fall."""
    relay = table.relay
    connection = Connection(table.world, Route(FAIR), Stranger(), relay)
    relay.accept(connection)
    for frame in frames:
        relay.receive(connection, frame)
    connection.cut()


def _hello(table: Table, key: DeviceKey, version: Version = PROTOCOL) -> bytes:
    return encode(Hello(version, table.world.setting.game, key.device, None, {}))


def _stranger_key(table: Table) -> DeviceKey:
    return DeviceKey(table.world.random.randbytes(32))


def _refused(fault: Fault, tried: Sequence[Tried], table: Table) -> bool:
    """Says something that must be refused, and looks that it was."""
    relay, refused = table.relay, table.world.witness.refused
    if not relay.is_listening or relay.protocol.sheet is None:
        return False
    said = table.world.random.choice(tried)(table)
    if said is None:
        return False
    life, before = relay.machine.life, refused.total()
    _say(table, *said)
    if refused.total() == before and not life.is_over:
        raise BrokenInvariantError(Invariant.NOT_SILENT, f"one of the {fault}")
    return True


def _entries(table: Table, *entries: Sealed) -> list[bytes]:
    """What a stranger says to get entries in."""
    return [_hello(table, _stranger_key(table)), encode(Entries(entries))]


def _some_entry(table: Table) -> Entry | None:
    held = list(table.relay.game.history)
    return table.world.random.choice(held) if held else None


def _some_writer(table: Table) -> tuple[SimulatedDevice, Entry] | None:
    """A device whose key the forger has, and its last entry that the relay holds."""
    last = {entry.id.device: entry for entry in table.relay.game.history}
    writers = [
        (device, last[device.claim.key.device])
        for device in table.devices
        if device.claim.key.device in last
    ]
    return table.world.random.choice(writers) if writers else None


def _wrong_signature(table: Table) -> list[bytes] | None:
    entry = _some_entry(table)
    if entry is None:
        return None
    at = table.world.random.randrange(len(entry.signature))
    forged = bytearray(entry.signature)
    forged[at] ^= 1 << table.world.random.randrange(8)
    return _entries(table, Sealed(entry.payload, bytes(forged)))


def _changed_time(table: Table) -> list[bytes] | None:
    """An entry that says something else, under the signature of the true one."""
    entry = _some_entry(table)
    if entry is None:
        return None
    fields = msgpack.unpackb(entry.payload)
    fields[4] += 1
    return _entries(table, Sealed(msgpack.packb(fields), entry.signature))


def _other_name(table: Table) -> list[bytes] | None:
    """The stranger's own entry in the name of a device that is there."""
    found = _some_writer(table)
    if found is None:
        return None
    device, last = found
    pen = Pen(_stranger_key(table), last.seat, table.world.setting.game)
    pen.resume(last)
    fields = msgpack.unpackb(pen.write(Note("?"), VectorClock(), 1).payload)
    fields[1] = device.claim.key.device
    payload = msgpack.packb(fields)
    return _entries(table, Sealed(payload, _stranger_key(table).sign(payload)))


def _of_other_game(table: Table) -> list[bytes] | None:
    """Genuine entries of one of the table's own devices, from another game."""
    found = _some_writer(table)
    if found is None:
        return None
    device, last = found
    pen = Pen(device.claim.key, last.seat, table.world.random.randbytes(32))
    entries = [pen.write(Note("then"), VectorClock(), n) for n in range(1, 4)]
    return _entries(table, *(Sealed(one.payload, one.signature) for one in entries))


def _from_other_seat(table: Table) -> list[bytes] | None:
    found = _some_writer(table)
    if found is None:
        return None
    device, last = found
    seat = Seat.BOOK if last.seat is Seat.CLOCK else Seat.CLOCK
    return _next_entry(table, device, seat, last)


def _next_entry(
    table: Table, device: SimulatedDevice, seat: Seat, after: Entry
) -> list[bytes]:
    pen = Pen(device.claim.key, seat, table.world.setting.game)
    pen.resume(after)
    entry = pen.write(Note("?"), after.seen, after.table_time_ms + 1)
    return _entries(table, Sealed(entry.payload, entry.signature))


def _wrong_link(table: Table) -> list[bytes] | None:
    """A genuine key's next entry, linked to another device's."""
    found, other = _some_writer(table), _some_entry(table)
    if found is None or other is None or other.id.device == found[1].id.device:
        return None
    return _next_entry(table, found[0], found[1].seat, other)


def _knew_less(table: Table) -> list[bytes] | None:
    """A genuine key's next entry, which has forgotten what the one before knew."""
    found = _some_writer(table)
    if found is None or not len(found[1].seen):
        return None
    device, last = found
    pen = Pen(device.claim.key, last.seat, table.world.setting.game)
    pen.resume(last)
    entry = pen.write(Note("?"), VectorClock(), last.table_time_ms + 1)
    return _entries(table, Sealed(entry.payload, entry.signature))


def _wrong_seat_hello(table: Table) -> list[bytes] | None:
    """A device that is there introduces itself at no seat."""
    found = _some_writer(table)
    return None if found is None else [_hello(table, found[0].claim.key)]


def _noise(table: Table) -> list[bytes]:
    random = table.world.random
    return [
        _hello(table, _stranger_key(table)),
        random.randbytes(random.randint(0, 99)),
    ]


def _cut_off(table: Table) -> list[bytes] | None:
    """The beginning of a frame that would be right as a whole."""
    entry = _some_entry(table)
    if entry is None:
        return None
    hello, frame = _entries(table, Sealed(entry.payload, entry.signature))
    return [hello, frame[: table.world.random.randrange(len(frame))]]


def _too_deep(table: Table) -> list[bytes]:
    return [_hello(table, _stranger_key(table)), b"\x91" * 2_000 + b"\x90"]


def _too_large(table: Table) -> list[bytes]:
    return [_hello(table, _stranger_key(table)), bytes(70_000)]


def _strange_kind(table: Table) -> list[bytes]:
    return [_hello(table, _stranger_key(table)), msgpack.packb([max(Kind) + 1])]


def _other_major(table: Table) -> list[bytes]:
    return [_hello(table, _stranger_key(table), Version(PROTOCOL.major + 1, 0))]


def _replay(table: Table) -> bool:
    """Says again what the relay has long had: nothing changes, nothing is refused."""
    relay = table.relay
    entry = _some_entry(table) if relay.is_listening else None
    if entry is None or relay.protocol.sheet is None:
        return False
    life = relay.machine.life
    before = len(relay.game.history), table.world.witness.refused.total()
    _say(table, *_entries(table, Sealed(entry.payload, entry.signature)))
    after = len(relay.game.history), table.world.witness.refused.total()
    if after != before and not life.is_over:
        raise BrokenInvariantError(
            Invariant.NOT_SILENT, "an entry that is held already"
        )
    return True


FORGED = (
    _wrong_signature,
    _changed_time,
    _other_name,
    _of_other_game,
    _from_other_seat,
    _wrong_link,
    _knew_less,
    _wrong_seat_hello,
)
MALFORMED = (_noise, _cut_off, _too_deep, _too_large, _strange_kind, _other_major)


FORGERIES: Mapping[Fault, Callable[[Table], bool]] = {
    Fault.FORGED: partial(_refused, Fault.FORGED, FORGED),
    Fault.MALFORMED: partial(_refused, Fault.MALFORMED, MALFORMED),
    Fault.REPLAYED: _replay,
}
"""Each returns whether there was an occasion."""
