"""What a relay keeps of every game: its sheet, and its entries in the order taken.

Beside them it keeps evidence: the blocks of a record file that say what can't be told
from the entries, such as how devices were admitted, and checkpoints.
"""

from __future__ import annotations

import asyncio
import logging
from contextlib import suppress
from typing import TYPE_CHECKING, Self

from tablesync.database import (
    Database,
    Row,
    Statement,
    connect,
    create_file,
    translated,
)
from tablesync.errors import StorageError
from tablesync.fault_points import FaultPoint, reach
from tablesync.record.blocks import Block
from tablesync.schema import STORE
from tablesync.stored_entries import entry_row, restore

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    import aiosqlite

    from tablesync.core.entries import Entry
    from tablesync.sync.intake import Holder

__all__ = ["Store"]

log = logging.getLogger(__name__)

COMMITS_TO_CHECKPOINT = 500

INSERT_SHEET = "INSERT INTO sheet VALUES (?, ?) ON CONFLICT (game) DO NOTHING"
INSERT_ENTRY = """
    INSERT INTO entry (game, digest, payload, signature) VALUES (?, ?, ?, ?)
    ON CONFLICT (game, digest) DO UPDATE
    SET payload = excluded.payload, signature = excluded.signature
"""
INSERT_EVIDENCE = """
    INSERT INTO evidence (game, kind, content) VALUES (?, ?, ?)
    ON CONFLICT (game, kind, content) DO NOTHING
"""
SELECT_EVIDENCE = "SELECT kind, content FROM evidence WHERE game = ? ORDER BY taken"
SELECT_DIGESTS = "SELECT digest FROM entry WHERE game = ? ORDER BY taken"
TABLES = ("sheet", "entry", "evidence")
SELECT_ENTRIES = """
    SELECT digest, payload, signature FROM entry WHERE game = ? ORDER BY taken
"""


class Store:
    """An open store; made by `Store.open`, ended by `close`.

    Reading has a connection of its own, so that loading a game holds no commit up.
    """

    def __init__(self, database: Database, reader: aiosqlite.Connection) -> None:
        self.where = database.where
        """The file's path, as errors name it."""
        self._database = database
        self._reader = reader
        self._commits = 0
        self._checkpoint: asyncio.Task[None] | None = None

    @classmethod
    async def open(cls, path: Path) -> Store:
        """Opens the store at a path, a new one where there is none.

        Raises:
            SchemaVersionError: a later version of the program has written it.
            StorageError: it can't be opened, or is no store.
        """
        with translated(str(path)):
            with suppress(FileExistsError):
                await create_file(path)
            database = await Database.open(path, STORE)
            try:
                reader = await connect(path)
            except BaseException:
                await database.close()
                raise
        return cls(database, reader)

    async def games(self) -> list[bytes]:
        """The ids of the games that the store has."""
        return [row[0] for row in await self._read("SELECT game FROM sheet", ())]

    async def sheet(self, game: bytes) -> bytes | None:
        """The exact bytes of a game's sheet, or None where the store lacks the game."""
        rows = await self._read("SELECT bytes FROM sheet WHERE game = ?", (game,))
        return rows[0][0] if rows else None

    async def read_into(self, game: bytes, holder: Holder) -> None:
        """Gives a game's entries to a holder, in the order in which they were taken.

        Raises:
            CorruptJournalError: some can't be given; see `stored_entries.restore`.
            StorageError: they can't be read.
        """
        rows = await self._read(SELECT_ENTRIES, (game,))
        restore(rows, holder, f"{self.where}, game {game.hex()[:8]}")

    async def digests(self, game: bytes) -> list[bytes]:
        """The entries of a game by their digests, in the order they were stored."""
        return [row[0] for row in await self._read(SELECT_DIGESTS, (game,))]

    def keep_sheet(self, game: bytes, sheet: bytes) -> asyncio.Future[None]:
        """Queues a game's sheet; done when it is on the disk, as for entries."""
        return self._database.write(Statement(INSERT_SHEET, [(game, sheet)]))

    def append(self, game: bytes, entries: Iterable[Entry]) -> asyncio.Future[None]:
        """Queues entries; one that is stored already is not stored again.

        Returns:
            What is done once they are on the disk, in the order of the calls, or fails
            with a StorageError.
        """
        rows = [(game, *entry_row(entry)) for entry in entries]
        done = self._database.write(Statement(INSERT_ENTRY, rows))
        done.add_done_callback(self._count_commit)
        return done

    async def evidence(self, game: bytes) -> tuple[Block, ...]:
        """A game's evidence, in the order in which it was kept."""
        rows = await self._read(SELECT_EVIDENCE, (game,))
        return tuple(Block(kind, content) for kind, content in rows)

    def keep_evidence(
        self, game: bytes, blocks: Iterable[Block]
    ) -> asyncio.Future[None]:
        """Queues evidence; what is kept already is not kept again."""
        rows = [(game, block.kind, block.content) for block in blocks]
        return self._database.write(Statement(INSERT_EVIDENCE, rows))

    def forget(self, game: bytes) -> asyncio.Future[None]:
        """Deletes a game with all that is kept of it; done when it is gone for good."""
        return self._database.write(
            *(Statement(f"DELETE FROM {t} WHERE game = ?", [(game,)]) for t in TABLES)
        )

    def settled(self) -> asyncio.Future[None]:
        """What is done when all that was queued before is on the disk."""
        return self._database.write()

    async def __aenter__(self) -> Self:
        return self

    async def __aexit__(self, *error: object) -> None:
        await self.close()

    async def close(self) -> None:
        """Writes what waits, and closes the store."""
        try:
            if self._checkpoint is not None:
                await self._checkpoint
            with translated(self.where):
                await self._reader.close()
        finally:
            await self._database.close()

    async def _read(self, sql: str, arguments: Row) -> list[Row]:
        with translated(self.where):
            rows = await self._reader.execute_fetchall(sql, arguments)
            return [tuple(row) for row in rows]

    def _count_commit(self, done: asyncio.Future[None]) -> None:
        self._commits += 1
        if self._commits >= COMMITS_TO_CHECKPOINT and not done.cancelled():
            self._commits = 0
            self._checkpoint = asyncio.create_task(self._move_into_file())

    async def _move_into_file(self) -> None:
        """Empties SQLite's log into the file, beside the writer and not before it.

        What can't be moved stays where it is, on the disk, and is moved another time.
        """
        try:
            with translated(self.where):
                reach(FaultPoint.BEFORE_CHECKPOINT)
                await self._reader.execute_fetchall("PRAGMA wal_checkpoint(PASSIVE)")
                reach(FaultPoint.AFTER_CHECKPOINT)
        except StorageError as error:
            log.warning("the log can't be moved into the store, and grows: %s", error)
