"""Looks for relays on the network, and for the games at one of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mobile.relay_games import games_at
from tablesync import nearby
from tablesync.clock import MonotonicClock
from tablesync.joining import redeem
from tablesync.taking_seat import take_seat

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from mobile.presenters.start_page import CodeAt
    from tablesync.admission.invitation import Invitation
    from tablesync.core.sheet import GameSheet

__all__ = ["NetworkScout"]


class NetworkScout:
    """What `Cover` needs of the network, on a real one."""

    def __init__(self, journals: Path) -> None:
        self._journals = journals

    async def invited(
        self, invitation: Invitation, wait: Callable[[str], None]
    ) -> GameSheet:
        """Takes the seat of an invitation, and begins this device's journal.

        Raises:
            TableSyncError: the relay does not let the device in, or is another one.
        """
        return await take_seat(invitation, self._journals, wait)

    async def redeemed(self, code: CodeAt) -> Invitation:
        """The invitation that a short code stands for.

        Raises:
            TableSyncError: the relay does not take the code, or nobody answers there.
        """
        return await redeem(*code)

    async def look_around(self, found: Callable[[tuple[str, ...]], None]) -> None:
        """Tells of all relays nearby, whenever they change, until it is cancelled."""
        await nearby.look_around(found)

    async def games_at(self, relay: str) -> tuple[GameSheet, ...]:
        """The games at a relay; none where nobody answers there."""
        return await games_at(relay, MonotonicClock())
