"""What a device keeps: its key, its game, and every entry that it holds."""

from __future__ import annotations

import errno
import os
from contextlib import suppress
from dataclasses import astuple
from typing import TYPE_CHECKING, Self

from tablesync.core.acts import Seat
from tablesync.database import Database, Row, Statement, create_file, translated
from tablesync.errors import CorruptJournalError, StorageError, UnbegunJournalError
from tablesync.schema import JOURNAL
from tablesync.seal import DeviceKey
from tablesync.stored_entries import entry_row, restore
from tablesync.sync.claim import Claim, Standing

if TYPE_CHECKING:
    import asyncio
    from collections.abc import Iterable
    from pathlib import Path

    from tablesync.core.entries import Entry
    from tablesync.sync.intake import Holder

__all__ = ["Journal"]

INSERT_DEVICE = "INSERT INTO device VALUES (1, ?, ?, ?, ?, 0, 0, 0, 0)"
SELECT_DEVICE = """
    SELECT secret, game, seat, sheet, acknowledged, offset_ms, heard_ms, written
    FROM device
"""
SELECT_ANYTHING = """
    SELECT 1 WHERE EXISTS (SELECT * FROM device) OR EXISTS (SELECT * FROM entry)
"""
UPDATE_STANDING = """
    UPDATE device SET acknowledged = ?, offset_ms = ?, heard_ms = ?, written = ?
"""
INSERT_ENTRY = """
    INSERT INTO entry (digest, payload, signature) VALUES (?, ?, ?)
    ON CONFLICT (digest) DO UPDATE
    SET payload = excluded.payload, signature = excluded.signature
"""


class Journal:
    """An open journal; made by `Journal.create` or `Journal.open`, ended by `close`.

    Only one program can have it open: two that write with one key would fork the game.
    """

    def __init__(self, database: Database, claim: Claim, standing: Standing) -> None:
        self.where = database.where
        """The file's path, as errors name it."""
        self.claim = claim
        self.standing = standing
        """How the device stood when the journal was opened."""
        self._database = database

    @classmethod
    async def create(cls, path: Path, claim: Claim) -> Journal:
        """Begins a device's journal of a game.

        A journal of which no more than the file was made, because the program was
        ended, is begun anew.

        Raises:
            StorageError: there is a file of that name, or none can be made.
        """
        with translated(str(path)), suppress(FileExistsError):
            await create_file(path)
        database = await Database.open(path, JOURNAL)
        seat = None if claim.seat is None else str(claim.seat)
        row = (claim.key.secret, claim.game, seat, claim.sheet)
        try:
            await _require_empty(database)
            await database.write(Statement(INSERT_DEVICE, [row]))
        except BaseException:
            await database.close()
            raise
        return cls(database, claim, Standing())

    @classmethod
    async def open(cls, path: Path) -> Journal:
        """Opens a device's journal; `read_into` gives its entries.

        Raises:
            SchemaVersionError: a later version of the program has written it.
            UnbegunJournalError: nothing is in it; `create` may begin it.
            CorruptJournalError: it names no device.
            StorageError: it can't be opened, or is no journal.
        """
        database = await Database.open(path, JOURNAL)
        try:
            claim, standing = await _device_of(database)
        except BaseException:
            await database.close()
            raise
        return cls(database, claim, standing)

    async def read_into(self, holder: Holder) -> None:
        """Gives the entries to a holder, in the order in which they were held.

        Raises:
            CorruptJournalError: some can't be given; see `stored_entries.restore`.
            StorageError: they can't be read.
        """
        sql = "SELECT digest, payload, signature FROM entry ORDER BY taken"
        restore(await self._database.read(sql), holder, self.where)

    def append(
        self, entries: Iterable[Entry], standing: Standing
    ) -> asyncio.Future[None]:
        """Queues entries, and how the device stands with them.

        Returns:
            What is done once they are on the disk, in the order of the calls, or fails
            with a StorageError.
        """
        rows = [entry_row(entry) for entry in entries]
        return self._database.write(
            Statement(INSERT_ENTRY, rows), _standing_statement(standing)
        )

    def keep(self, standing: Standing) -> asyncio.Future[None]:
        """Queues how the device stands; done as for entries."""
        return self._database.write(_standing_statement(standing))

    async def __aenter__(self) -> Self:
        return self

    async def __aexit__(self, *error: object) -> None:
        await self.close()

    async def close(self) -> None:
        """Writes what waits, and closes the journal."""
        await self._database.close()


def _standing_statement(standing: Standing) -> Statement:
    row = astuple(standing)
    return Statement(UPDATE_STANDING, [row])


async def _require_empty(database: Database) -> None:
    if await database.read(SELECT_ANYTHING):
        raise StorageError(database.where, os.strerror(errno.EEXIST))


async def _device_of(database: Database) -> tuple[Claim, Standing]:
    if not await database.read(SELECT_ANYTHING):
        raise UnbegunJournalError(database.where, "it was never begun")
    return _device(await database.read(SELECT_DEVICE), database.where)


def _device(rows: list[Row], where: str) -> tuple[Claim, Standing]:
    try:
        ((secret, game, seat, sheet, *standing),) = rows
        at = None if seat is None else Seat(seat)
        return Claim(DeviceKey(secret), game, at, sheet), Standing(*standing)
    except ValueError as error:
        raise CorruptJournalError(where, "it names no device") from error
