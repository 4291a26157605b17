"""What a simulated game has beside its table: a director, and links called off.

All that is left to chance here comes from a random of its own, so that the table goes
its way as it would without, up to what really touches it.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from tablesync.simulation.director_mishaps import DIRECTOR_MISHAPS
from tablesync.simulation.disk import Point
from tablesync.simulation.network import Weather

if TYPE_CHECKING:
    from random import Random

    from tablesync.simulation.faults import Fault
    from tablesync.simulation.simulated_director import SimulatedDirector
    from tablesync.simulation.table import Table

__all__ = ["plan_beside", "set_up_director"]

DIRECTED = 0.4
"""The share of the games that a director follows."""
CALLED_OFF = 0.3
"""The share of the games in which links are called off amid a write."""
MOST_MISHAPS = 3
SLOWEST_MS = 500


def set_up_director(table: Table, random: Random) -> None:
    """Lets a director follow some of the games.

    The link loses nothing while it holds, as TCP does: who tells and who reads of
    courts don't ask for what is missing.
    """
    if random.random() < DIRECTED:
        slowest_ms = random.randint(5, SLOWEST_MS)
        weather = Weather(0.0, 0.0, 0.0, 1, slowest_ms, is_orderly=True)
        table.let_direct(replace(table.world, random=random), weather)


def plan_beside(table: Table, random: Random, length_ms: int) -> None:
    """Plans what befalls the director, and where links are called off."""
    timeline = table.world.timeline
    if table.director is not None:
        for _ in range(random.randint(0, MOST_MISHAPS)):
            fault = random.choice(list(DIRECTOR_MISHAPS))
            befall = partial(_befall, table, table.director, fault, random)
            timeline.after(random.randint(0, length_ms), befall)
    if random.random() < CALLED_OFF:
        for _ in range(random.randint(1, MOST_MISHAPS)):
            call_off = partial(_set_trap, table, random)
            timeline.after(random.randint(0, length_ms), call_off)


def _befall(
    table: Table, director: SimulatedDirector, fault: Fault, random: Random
) -> None:
    DIRECTOR_MISHAPS[fault](director, table.world.timeline, random)
    table.world.toll[fault] += 1


def _set_trap(table: Table, random: Random) -> None:
    """The link that a write is queued for next is lost while it waits."""
    machine = random.choice(table.machines)
    if machine.trap is None:
        machine.trap = Point.QUEUED
