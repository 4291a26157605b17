"""Looks for relays on the network, and for the games at one of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mobile.relay_games import games_at
from tablesync import nearby
from tablesync.clock import MonotonicClock

if TYPE_CHECKING:
    from collections.abc import Callable

    from tablesync.core.sheet import GameSheet

__all__ = ["NetworkScout"]


class NetworkScout:
    """What `Cover` needs of the network, on a real one."""

    async def look_around(self, found: Callable[[tuple[str, ...]], None]) -> None:
        """Tells of all relays nearby, whenever they change, until it is cancelled."""
        await nearby.look_around(found)

    async def games_at(self, relay: str) -> tuple[GameSheet, ...]:
        """The games at a relay; none where nobody answers there."""
        return await games_at(relay, MonotonicClock())
