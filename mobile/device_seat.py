"""A seat on a real device session: what the screen asks of it, and what wakes it."""

from __future__ import annotations

import asyncio
from functools import partial
from typing import TYPE_CHECKING

from mobile.presenters.seat_view import Link
from tablesync.core.acts import Seat, SeatGiven
from tablesync.tasks import call_off

if TYPE_CHECKING:
    from collections.abc import Awaitable, Callable
    from random import Random

    from tablesync.client import DeviceSession
    from tablesync.core.acts import Act
    from tablesync.core.entries import Entry
    from tablesync.core.game import Game
    from tablesync.errors import CorruptJournalError

__all__ = ["SHOWN_FIRST_S", "DeviceSeat"]

SHOWN_FIRST_S = 0.02
"""A frame or two: what has come is on the screen before the check runs."""


class DeviceSeat:
    """The session of a device at a seat, as `SeatShell` needs it."""

    def __init__(self, session: DeviceSession) -> None:
        assert session.seat is not None
        self._session = session
        self._seat = session.seat

    @property
    def game(self) -> Game:
        """The game as this device holds it."""
        return self._session.game

    @property
    def seat(self) -> Seat:
        """Where the device sits."""
        return self._seat

    def table_ms(self) -> int:
        """The table time now."""
        return self._session.table_ms()

    def link(self) -> Link:
        """How the device stands with the relay and with the partner's device."""
        partner = Seat.BOOK if self._seat is Seat.CLOCK else Seat.CLOCK
        heard_ms = [
            presence.heard_ms
            for presence in self._session.presences()
            if presence.seat is partner and presence.heard_ms
        ]
        return Link(
            connected=self._session.is_linked,
            heard_ms=max(heard_ms, default=None),
            to_send=self._session.unacknowledged,
        )

    def damage(self) -> CorruptJournalError | None:
        """What of the device's journal could not be read; None where all could."""
        return self._session.damage

    def asking(self) -> tuple[SeatGiven, ...]:
        """What would let in each device that has asked for a seat."""
        asking = self._session.asking.items()
        return tuple(SeatGiven(seat, device) for device, seat in asking)

    def enter(self, act: Act) -> Awaitable[Entry]:
        """Puts an act on record at once; what it gives waits for this device's disk.

        Raises:
            EntryError: the act is not this seat's.
            StorageError: the journal can't be written.
        """
        entry = self._session.write(act)
        return asyncio.ensure_future(self._session.kept(entry))

    async def keep_up(
        self, relay: str, random: Random, changed: Callable[[], None]
    ) -> None:
        """Keeps the device connected and tells of every change, until cancelled.

        Args:
            relay: the relay's address, or empty to go without one.
            random: spreads the attempts to connect.
            changed: called when something has come in, or the link has changed.
        """
        tasks = [asyncio.create_task(self._watch(changed))]
        if relay:
            connecting = self._session.keep_connected(relay, random)
            tasks.append(asyncio.create_task(connecting))
        try:
            await asyncio.gather(*tasks)
        finally:
            await call_off(*tasks)

    async def _watch(self, changed: Callable[[], None]) -> None:
        while True:
            is_other = partial(_differs, self._state, self._state())
            await self._session.wait_for(is_other)
            changed()

    def _state(self) -> tuple[int, int, bool, int]:
        session = self._session
        return (
            len(session.game.history),
            session.game.horizon_ms,
            session.is_linked,
            len(session.asking),
        )


def _differs(state: Callable[[], object], before: object) -> bool:
    return state() != before
