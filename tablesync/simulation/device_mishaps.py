"""What befalls the devices of a simulated table: replaced, copied, gone, back again."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.core.acts import Seat
from tablesync.simulation.disk import Contents
from tablesync.simulation.faults import Fault
from tablesync.sync.claim import Standing

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from tablesync.simulation.simulated_device import SimulatedDevice
    from tablesync.simulation.table import Table

__all__ = ["DEVICE_MISHAPS"]


def _some_seated(table: Table) -> SimulatedDevice:
    """A device on which an official enters; book and clock have one at all times."""
    seat = table.world.random.choice((Seat.BOOK, Seat.CLOCK))
    return table.world.random.choice(table.seated[seat])


def replace(table: Table) -> bool:
    """A new device takes a seat; the old one is put away with what it had."""
    old = _some_seated(table)
    table.unseat(old)
    old.machine.retire()
    table.put_away.append(old)
    table.new_device(old.claim.seat)
    return True


def bring_back(table: Table) -> bool:
    """A device that was put away is switched on again, and sends what it had."""
    if not table.put_away:
        return False
    old = table.put_away.pop()
    old.machine.is_retired = False
    old.machine.start()
    return True


def lose_device(table: Table) -> bool:
    """A device falls into the water; its official goes on with a new one."""
    old = _some_seated(table)
    table.unseat(old)
    old.machine.retire()
    table.new_device(old.claim.seat)
    return True


def seat_second(table: Table) -> bool:
    """Two devices are at one seat, and both are used."""
    table.new_device(_some_seated(table).claim.seat)
    return True


def clone(table: Table) -> bool:
    """A copy of a device, key and all, is used beside it."""
    device = _some_seated(table)
    if device in table.twins:
        return False
    table.twin_of(device)
    return True


def restore_older(table: Table) -> bool:
    """A device is set back to what it had some entries ago."""
    device = _some_seated(table)
    contents = device.machine.disk.synced
    kept = table.world.random.randint(0, len(contents.rows))
    device.machine.kill()
    older = Contents(dict(list(contents.rows.items())[:kept]), Standing())
    device.machine.disk.replace(older)
    return True


def speak_later_version(table: Table) -> bool:
    """A device speaks a later minor version, which this relay does not know."""
    device = table.world.random.choice(table.living())
    device.speaks_later = True
    device.machine.kill()
    return True


DEVICE_MISHAPS: Mapping[Fault, Callable[[Table], bool]] = {
    Fault.DEVICE_REPLACED: replace,
    Fault.OLD_DEVICE_BACK: bring_back,
    Fault.DEVICE_GONE: lose_device,
    Fault.TWO_AT_ONE_SEAT: seat_second,
    Fault.DEVICE_CLONED: clone,
    Fault.OLD_COPY: restore_older,
    Fault.LATER_VERSION: speak_later_version,
}
"""Each returns whether there was anything to befall."""
