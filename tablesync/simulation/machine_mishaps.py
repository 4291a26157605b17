"""What befalls the processes, disks and clocks of a simulated table."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from tablesync.simulation.disk import Contents, Health, Point
from tablesync.simulation.faults import Fault
from tablesync.simulation.table import DAY_MS

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from tablesync.simulation.disk import Disk
    from tablesync.simulation.machine import Machine
    from tablesync.simulation.table import Table

__all__ = ["MACHINE_MISHAPS", "TRAPS"]

PAUSE_MS = (500, 20_000)
TROUBLE_MS = (500, 6_000)
JUMP_MS = (11, 288_000)
RELAY_SHARE = 0.4
MOST_LOST = 4


def _some_machine(table: Table) -> Machine | None:
    """One that runs, rather often the relay's."""
    machines = [machine for machine in table.machines if machine.is_up]
    if not machines:
        return None
    relay = table.relay.machine
    if relay.is_up and table.world.random.random() < RELAY_SHARE:
        return relay
    return table.world.random.choice(machines)


def _on_some(befall: Callable[[Table, Machine], None]) -> Callable[[Table], bool]:
    """A mishap of any machine that runs."""

    def mishap(table: Table) -> bool:
        machine = _some_machine(table)
        if machine is not None:
            befall(table, machine)
        return machine is not None

    return mishap


def _set_trap(point: Point, _table: Table, machine: Machine) -> None:
    machine.trap = point


def _kill(_table: Table, machine: Machine) -> None:
    machine.kill()


def _cut_power(_table: Table, machine: Machine) -> None:
    machine.cut_power()


def _pause(table: Table, machine: Machine) -> None:
    machine.stop_for(table.world.random.randint(*PAUSE_MS))


def _suspend(table: Table, machine: Machine) -> None:
    machine.suspend_for(table.world.random.randint(*PAUSE_MS))


def _jump(table: Table, machine: Machine) -> None:
    by_ms = table.world.random.randint(*JUMP_MS)
    machine.clock.jump(table.world.timeline.now_ms, by_ms)


def _set_clock(table: Table, machine: Machine) -> None:
    """The clock is set while the program does not run: then it may go back."""
    machine.kill()
    random = table.world.random
    spread_ms = random.choice((2_000, 60_000, DAY_MS))
    by_ms = random.randint(-spread_ms, spread_ms)
    machine.clock.jump(table.world.timeline.now_ms, by_ms)


def _trouble(health: Health, table: Table, machine: Machine) -> None:
    disk = machine.disk
    disk.health = health
    for_ms = table.world.random.randint(*TROUBLE_MS)
    table.world.timeline.after(for_ms, partial(_mend, disk))


def _mend(disk: Disk) -> None:
    disk.health = Health.GOOD


def lose_relays_disk(table: Table) -> bool:
    """The relay is replaced by one with an empty disk."""
    table.relay.machine.kill()
    table.relay.machine.disk.replace(Contents())
    return True


def damage_row(table: Table) -> bool:
    """A stored entry is damaged, which shows when the program next starts."""
    machine = _some_machine(table)
    if machine is None or not machine.disk.synced.rows:
        return False
    machine.kill()
    machine.disk.damage(table.world.random.choice(list(machine.disk.synced.rows)))
    return True


def lose_rows(table: Table) -> bool:
    """The last stored entries are gone."""
    machine = _some_machine(table)
    if machine is None or not machine.disk.synced.rows:
        return False
    machine.kill()
    machine.disk.cut_short(table.world.random.randint(1, MOST_LOST))
    return True


MACHINE_MISHAPS: Mapping[Fault, Callable[[Table], bool]] = {
    Fault.KILLED: _on_some(_kill),
    Fault.POWER_CUT: _on_some(_cut_power),
    Fault.PAUSED: _on_some(_pause),
    Fault.SUSPENDED: _on_some(_suspend),
    Fault.CLOCK_JUMPED: _on_some(_jump),
    Fault.CLOCK_SET: _on_some(_set_clock),
    Fault.DISK_SLOW: _on_some(partial(_trouble, Health.SLOW)),
    Fault.DISK_FULL: _on_some(partial(_trouble, Health.FULL)),
    Fault.DISK_BROKEN: _on_some(partial(_trouble, Health.BROKEN)),
    Fault.DISK_LOST: lose_relays_disk,
    Fault.ROW_DAMAGED: damage_row,
    Fault.ROWS_LOST: lose_rows,
}
"""Each returns whether there was anything to befall."""

TRAPS: Mapping[Fault, Callable[[Table], bool]] = {
    Fault.KILLED_BEFORE_COMMIT: _on_some(partial(_set_trap, Point.BEFORE_COMMIT)),
    Fault.KILLED_AFTER_COMMIT: _on_some(partial(_set_trap, Point.AFTER_COMMIT)),
    Fault.KILLED_BEFORE_ANSWER: _on_some(partial(_set_trap, Point.BEFORE_ANSWER)),
    Fault.KILLED_AMID_SENDING: _on_some(partial(_set_trap, Point.AMID_SENDING)),
}
"""Each kills a process when it next comes to that point, and is counted then."""
