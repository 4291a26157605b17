"""What befalls the director of a simulated game."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tablesync.simulation.faults import Fault
from tablesync.simulation.network import Flow

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from random import Random

    from tablesync.simulation.simulated_director import SimulatedDirector
    from tablesync.simulation.timeline import Timeline

__all__ = ["DIRECTOR_MISHAPS"]

AWHILE_MS = (500, 40_000)


def cut_off(director: SimulatedDirector, timeline: Timeline, random: Random) -> None:
    """The link between relay and director is gone, perhaps for the rest of the game."""
    route = director.route
    if route.is_mended:
        return
    route.up.flow = route.down.flow = Flow.LOSING
    connection = director.connection
    if connection is not None:
        random.choice((connection.cut, connection.leave_half_open))()
    if random.random() < 0.7:
        timeline.after(random.randint(*AWHILE_MS), route.open)


def start_anew(
    director: SimulatedDirector, _timeline: Timeline, _random: Random
) -> None:
    """The director's program is started again, and has forgotten everything."""
    director.start_anew()


def read_nothing(
    director: SimulatedDirector, _timeline: Timeline, random: Random
) -> None:
    """The director's program is stopped for a while."""
    director.read_nothing_for(random.randint(*AWHILE_MS))


DIRECTOR_MISHAPS: Mapping[
    Fault, Callable[[SimulatedDirector, Timeline, Random], None]
] = {
    Fault.DIRECTOR_CUT_OFF: cut_off,
    Fault.DIRECTOR_STARTED_ANEW: start_anew,
    Fault.DIRECTOR_READS_NOTHING: read_nothing,
}
