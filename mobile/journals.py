"""The journals of this device: the games that it has begun, newest first."""

from __future__ import annotations

import asyncio
import os
from typing import TYPE_CHECKING

from tablesync.core.game import Game
from tablesync.errors import TableSyncError
from tablesync.frozen import dataclass
from tablesync.journal import Journal
from tablesync.seal import DeviceKey
from tablesync.sheet_bytes import game_id, read_sheet, write_sheet
from tablesync.sheet_rules import rules_of
from tablesync.sync.claim import Claim

if TYPE_CHECKING:
    from pathlib import Path

    from tablesync.core.acts import Seat
    from tablesync.core.sheet import GameSheet

__all__ = ["Begun", "begin", "begun_games"]

MOST_LOOKED_AT = 8
"""Older games are found by their file, not on the cover."""


@dataclass(frozen=True, slots=True)
class Begun:
    """A game that this device has begun, and where it sits in it."""

    path: Path
    seat: Seat
    sheet: GameSheet
    game: Game
    is_closed: bool
    """The referee has signed."""


async def begun_games(folder: Path) -> tuple[Begun, ...]:
    """The games in a folder of journals, the one last written first.

    A journal that is in use by another program, or is damaged, is passed over.
    """
    found = []
    paths = await asyncio.to_thread(_newest_first, folder)
    for path in paths[:MOST_LOOKED_AT]:
        try:
            found.append(await _look_at(path))
        except TableSyncError:
            continue
    return tuple(one for one in found if one is not None)


def _newest_first(folder: Path) -> list[Path]:
    return sorted(
        folder.glob("*.journal"), key=lambda path: path.stat().st_mtime, reverse=True
    )


async def _look_at(path: Path) -> Begun | None:
    async with await Journal.open(path) as journal:
        claim = journal.claim
        if claim.seat is None or claim.sheet is None:
            return None
        sheet = read_sheet(claim.sheet)
        game = Game(sheet, rules_of(sheet), claim.game)
        await journal.read_into(game)
    signatures = (game.book.record.closed_by, game.board.record.closed_by)
    is_closed = any(signature is not None for signature in signatures)
    return Begun(path, claim.seat, sheet, game, is_closed)


async def begin(folder: Path, seat: Seat, sheet: GameSheet) -> Journal:
    """Opens this device's journal of a game at a seat; begins it where there is none.

    Raises:
        StorageError: it can't be opened or made.
    """
    sealed = write_sheet(sheet)
    game = game_id(sealed)
    path = folder / f"{game.hex()[:16]}-{seat}.journal"
    if path in await asyncio.to_thread(_newest_first, folder):
        return await Journal.open(path)
    claim = Claim(DeviceKey(os.urandom(32)), game, seat, sealed)
    return await Journal.create(path, claim)
