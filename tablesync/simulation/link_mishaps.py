"""What befalls the links of a simulated table."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from tablesync.simulation.faults import Fault
from tablesync.simulation.network import Flow

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from tablesync.simulation.network import Connection, Route
    from tablesync.simulation.table import Table

__all__ = ["LINK_MISHAPS"]

SHORT_MS = (200, 8_000)
QUARTER_MS = (15_000, 40_000)
REST_OF_GAME_MS = 10_000_000
BETWEEN_MS = 700


def _some_connection(table: Table) -> Connection | None:
    devices = (device.connection for device in table.living())
    connections = [one for one in devices if one is not None]
    return table.world.random.choice(connections) if connections else None


def cut_link(table: Table) -> bool:
    """One connection falls, and both ends soon know."""
    connection = _some_connection(table)
    if connection is not None:
        connection.cut()
    return connection is not None


def leave_half_open(table: Table) -> bool:
    """One connection falls, and nobody is told."""
    connection = _some_connection(table)
    if connection is not None:
        connection.leave_half_open()
    return connection is not None


def _stop_one_way(flow: Flow, table: Table) -> bool:
    """Nothing gets through one way for a while, while the other way works."""
    random = table.world.random
    route = random.choice(table.living()).route
    way = random.choice((route.up, route.down))
    way.flow = flow
    table.world.timeline.after(random.randint(*SHORT_MS), way.open)
    return True


def part(table: Table) -> bool:
    """Some or all devices are cut off for a quarter, or for the rest of the game."""
    random = table.world.random
    living = table.living()
    cut_off = random.sample(living, random.randint(1, len(living)))
    lasts_ms = REST_OF_GAME_MS if random.random() < 0.2 else random.randint(*QUARTER_MS)
    for device in cut_off:
        _stop(device.route)
        table.world.timeline.after(lasts_ms, device.route.open)
    return True


def swizzle(table: Table) -> bool:
    """Links stop one after the other, and come back in another order."""
    random, timeline = table.world.random, table.world.timeline
    routes = [device.route for device in table.living()]
    random.shuffle(routes)
    for place, route in enumerate(routes):
        timeline.after(place * BETWEEN_MS, partial(_stop, route))
    random.shuffle(routes)
    begins_ms = len(routes) * BETWEEN_MS + random.randint(*SHORT_MS)
    for place, route in enumerate(routes):
        timeline.after(begins_ms + place * BETWEEN_MS, route.open)
    return True


def _stop(route: Route) -> None:
    if not route.is_mended:
        route.up.flow = route.down.flow = Flow.LOSING


LINK_MISHAPS: Mapping[Fault, Callable[[Table], bool]] = {
    Fault.LINK_CUT: cut_link,
    Fault.LINK_HALF_OPEN: leave_half_open,
    Fault.ONE_WAY: partial(_stop_one_way, Flow.LOSING),
    Fault.CLOGGED: partial(_stop_one_way, Flow.HOLDING),
    Fault.PARTED: part,
    Fault.SWIZZLED: swizzle,
}
"""Each returns whether there was anything to befall."""
