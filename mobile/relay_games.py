"""The games of a relay that a device can sit down in."""

from __future__ import annotations

import asyncio
import os
from contextlib import suppress
from typing import TYPE_CHECKING

from tablesync.core.court_state import urgency
from tablesync.court_client import CourtSession
from tablesync.errors import TableSyncError
from tablesync.seal import DeviceKey
from tablesync.sheet_bytes import read_sheet
from tablesync.sheet_fetch import fetch_sheet
from tablesync.sync.claim import Claim
from tablesync.sync.timing import Timing

if TYPE_CHECKING:
    from tablesync.clock import Clock
    from tablesync.core.sheet import GameSheet

__all__ = ["games_at"]

MOST_GAMES = 24
"""More than anybody leafs through; a table knows its court's file or neighbour."""


async def games_at(relay: str, clock: Clock) -> tuple[GameSheet, ...]:
    """The sheets of the games that are not signed; none where the relay is not there.

    Args:
        relay: its address.
        clock: this device's clock.
    """
    try:
        games = await _open_games(CourtSession(relay, clock))
        return tuple([await _sheet(relay, game, clock) for game in games])
    except TableSyncError:
        # Without its list the cover still has the device's own games.
        return ()


async def _open_games(session: CourtSession) -> list[bytes]:
    """The ids of the games that go on, by their courts."""
    following = asyncio.create_task(session.follow())
    try:
        while not session.desk.is_complete and not following.done():
            news = asyncio.create_task(session.wait_for_news())
            await asyncio.wait([news, following], return_when=asyncio.FIRST_COMPLETED)
            news.cancel()
        if following.done():
            following.result()
    finally:
        following.cancel()
        with suppress(asyncio.CancelledError, TableSyncError):
            await following
    found = sorted(session.desk.courts.items(), key=lambda one: urgency(one[1])[2:])
    unsigned = [game for game, court in found if not court.written.is_signed]
    return unsigned[:MOST_GAMES]


async def _sheet(relay: str, game: bytes, clock: Clock) -> GameSheet:
    watcher = Claim(DeviceKey(os.urandom(32)), game, None, None)
    return read_sheet(await fetch_sheet(relay, watcher, clock, Timing()))
