"""Stores notes, or writes a game out, until it is killed at a fault point.

    python -m tests.disk_process store STORE POINT COUNT
    python -m tests.disk_process export STORE OUT POINT COUNT

Prints `stored DIGEST` for each entry once it is on the disk. The log is moved into the
file after every third commit, and not after 500 as it usually is.
"""

from __future__ import annotations

import asyncio
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from tablesync import store as store_module
from tablesync.fault_points import armed
from tablesync.record.path import write_new
from tablesync.store import Store
from tablesync.stored_games import export_game
from tests.killing import killing_at
from tests.sync.table import GAME, SHEET
from tests.test_storage_contract import notes

if TYPE_CHECKING:
    from collections.abc import Callable, Coroutine

__all__: list[str] = []


async def store(path: Path) -> None:
    async with await Store.open(path) as opened:
        await opened.keep_sheet(GAME, SHEET)
        for entry in notes(40):
            await opened.append(GAME, [entry])
            sys.stdout.write(f"stored {entry.digest.hex()}\n")
            sys.stdout.flush()


async def export(path: Path, out: Path) -> None:
    async with await Store.open(path) as opened:
        write_new(out, await export_game(opened, GAME))


if __name__ == "__main__":
    store_module.COMMITS_TO_CHECKPOINT = 3
    what, *paths, point, count = sys.argv[1:]
    does: dict[str, Callable[..., Coroutine[None, None, None]]]
    does = {"store": store, "export": export}
    with armed(killing_at(point, int(count))):
        asyncio.run(does[what](*map(Path, paths)))
