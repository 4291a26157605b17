"""Watches the courts of a relay: a device without a seat in each of the games.

A device without a seat can enter nothing, so a director changes nothing by being there.
"""

from __future__ import annotations

import asyncio
import os
from contextlib import suppress
from typing import TYPE_CHECKING

from mobile.presenters.courts import Court
from tablesync.client import DeviceSession
from tablesync.clock import MonotonicClock
from tablesync.journal import Journal
from tablesync.seal import DeviceKey
from tablesync.sheet_bytes import game_id, write_sheet
from tablesync.sync.claim import Claim
from tablesync.sync.timing import Timing

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable
    from pathlib import Path
    from random import Random
    from types import TracebackType
    from typing import Self

    from tablesync.clock import Clock
    from tablesync.core.acts import Seat
    from tablesync.core.sheet import GameSheet

__all__ = ["CourtWatch"]


class CourtWatch:
    """The games that a director looks at; an asynchronous context."""

    def __init__(self, relay: str, folder: Path, random: Random) -> None:
        """Takes the relay's address, a folder of its own, and what spreads attempts."""
        self._relay = relay
        self._folder = folder
        self._random = random
        self._clock: Clock = MonotonicClock()
        self._sessions: dict[str, DeviceSession] = {}
        self._connecting: list[asyncio.Task[None]] = []

    async def __aenter__(self) -> Self:
        return self

    async def __aexit__(
        self,
        _kind: type[BaseException] | None,
        _error: BaseException | None,
        _trace: TracebackType | None,
    ) -> None:
        for task in self._connecting:
            task.cancel()
            with suppress(asyncio.CancelledError):
                await task
        for session in self._sessions.values():
            await session.close()

    async def look_at(self, sheets: Iterable[GameSheet]) -> None:
        """Begins to watch these games, whether or not they have begun.

        Raises:
            StorageError: what comes in can't be kept while it is watched.
        """
        for sheet in sheets:
            sealed = write_sheet(sheet)
            game = game_id(sealed)
            if game.hex() in self._sessions:
                continue
            claim = Claim(DeviceKey(os.urandom(32)), game, None, sealed)
            path = self._folder / f"{game.hex()[:16]}.journal"
            journal = await Journal.create(path, claim)
            session = await DeviceSession.open(journal, self._clock, Timing())
            self._sessions[game.hex()] = session
            connecting = session.keep_connected(self._relay, self._random)
            self._connecting.append(asyncio.create_task(connecting))

    def courts(self) -> list[Court]:
        """Every game as it has come in so far."""
        return [Court(id_, s.game, _heard(s)) for id_, s in self._sessions.items()]

    async def wait_for(self, holds: Callable[[], bool]) -> None:
        """Waits until something is so that only what comes in can bring."""
        waiting = [
            asyncio.create_task(session.wait_for(holds))
            for session in self._sessions.values()
        ]
        try:
            await asyncio.wait(waiting, return_when=asyncio.FIRST_COMPLETED)
        finally:
            for task in waiting:
                task.cancel()
                with suppress(asyncio.CancelledError):
                    await task

    def table_ms(self) -> int:
        """The table time of the relay, as far as one is connected."""
        times_ms = (session.table_ms() for session in self._sessions.values())
        return max(times_ms, default=self._clock.now_ms())


def _heard(session: DeviceSession) -> dict[Seat, int]:
    heard: dict[Seat, int] = {}
    for presence in session.presences():
        if presence.seat is not None:
            known_ms = heard.get(presence.seat, presence.heard_ms)
            heard[presence.seat] = max(presence.heard_ms, known_ms)
    return heard
