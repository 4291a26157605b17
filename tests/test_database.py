"""What is particular to the database beneath journal and store."""

from __future__ import annotations

import asyncio
import shutil
import sqlite3
from contextlib import closing
from typing import TYPE_CHECKING

import pytest

from tablesync.database import ROWS_A_STEP, Database, Statement, create_file
from tablesync.errors import StorageError
from tablesync.schema import STORE

if TYPE_CHECKING:
    from pathlib import Path

INSERT = "INSERT INTO sheet VALUES (?, ?)"
LOG = "-wal"


def sheets_in(path: Path) -> int:
    """How many sheets the file itself holds, without its log."""
    with closing(sqlite3.connect(f"{path.as_uri()}?immutable=1", uri=True)) as opened:
        count: int = opened.execute("SELECT count(*) FROM sheet").fetchone()[0]
        return count


async def test_what_a_killed_process_left_is_synced_before_it_counts_as_stored(
    tmp_path: Path,
) -> None:
    path, left = tmp_path / "store.db", tmp_path / "left.db"
    await create_file(path)
    database = await Database.open(path, STORE)
    await database.write(Statement(INSERT, [(b"game", b"sheet")]))
    for end in ("", LOG):
        # As a kill leaves it: the entry is in the log, and may never have been synced.
        await asyncio.to_thread(shutil.copy, f"{path}{end}", f"{left}{end}")
    await database.close()
    assert await asyncio.to_thread(sheets_in, left) == 0
    again = await Database.open(left, STORE)
    try:
        # SQLite syncs the log before it moves it into the file, and the file after.
        assert await asyncio.to_thread(sheets_in, left) == 1
    finally:
        await again.close()


async def test_write_is_carried_out_though_whoever_waits_for_it_is_cancelled(
    tmp_path: Path,
) -> None:
    """In aiosqlite the statement would run on, and leave its transaction open."""
    path = tmp_path / "store.db"
    await create_file(path)
    database = await Database.open(path, STORE)

    async def wait_for(game: bytes) -> None:
        await database.write(Statement(INSERT, [(game, b"sheet")]))

    # Cancelled while it is queued, and while it is carried out.
    for turns in range(6):
        waiting = asyncio.create_task(wait_for(bytes([turns])))
        for _ in range(turns + 1):
            await asyncio.sleep(0)
        waiting.cancel()
        await asyncio.gather(waiting, return_exceptions=True)
    await wait_for(b"last")
    await database.close()
    assert await asyncio.to_thread(sheets_in, path) == 7


async def test_many_rows_are_all_written_in_their_order_or_none(
    tmp_path: Path,
) -> None:
    path = tmp_path / "store.db"
    await create_file(path)
    insert = "INSERT INTO entry (game, digest, payload, signature) VALUES (?, ?, ?, ?)"
    rows = [(b"game", b"%d" % n, b"", b"") for n in range(2 * sum(ROWS_A_STEP) + 3)]
    database = await Database.open(path, STORE)
    try:
        await database.write(Statement(insert, rows))
        stored = await database.read("SELECT digest FROM entry ORDER BY taken")
        assert stored == [(digest,) for _, digest, _, _ in rows]
        new = [(b"other", *row[1:]) for row in rows]
        with pytest.raises(StorageError, match="UNIQUE"):
            await database.write(Statement(insert, [*new, new[0]]))
        assert await database.read("SELECT count(*) FROM entry") == [(len(rows),)]
    finally:
        await database.close()
