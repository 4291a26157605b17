"""One SQLite file with one writer, whose commits outlive a power cut.

Whatever waits when the writer gets to it goes into one transaction (group commit), so
a burst of entries costs one sync of the disk and not one each. Units of work go in
through a queue and only the writer touches the connection: with aiosqlite, tasks that
share a connection end up inside each other's transactions, and cancelling a task does
not stop the statement that it has queued.

After a write has failed nothing more is written. What the disk holds is then unknown
(Linux may drop what it could not write and report the next sync as good), so the file
must be opened anew and looked at.
"""

from __future__ import annotations

import asyncio
import logging
import os
import re
import sqlite3
from contextlib import contextmanager
from functools import partial
from itertools import chain
from typing import TYPE_CHECKING, Any, TypeAlias

import aiosqlite

from tablesync.errors import StorageError
from tablesync.fault_points import FaultPoint, reach
from tablesync.frozen import dataclass
from tablesync.schema import Schema, bring_up_to_date

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from pathlib import Path

__all__ = ["Database", "Row", "Statement", "connect", "create_file", "translated"]

log = logging.getLogger(__name__)

Row: TypeAlias = tuple[Any, ...]

ROWS_A_FETCH = 64
ROWS_A_STEP = (64, 8)
"""After each step of SQLite the thread waits its turn, so many rows go in by one."""
ONE_ROW = re.compile(r"VALUES (\([?, ]+\))")
BUSY_S = 1.0
"""How long another program may hold the file before we say so."""


@dataclass(frozen=True, slots=True)
class Statement:
    """SQL that is carried out for each of the rows."""

    sql: str
    rows: Sequence[Row]


@dataclass(frozen=True, slots=True)
class _Work:
    """Statements that belong together, and whoever waits for them."""

    statements: tuple[Statement, ...]
    done: asyncio.Future[None]


@contextmanager
def translated(where: str) -> Iterator[None]:
    """Turns what SQLite and the system raise into our own error."""
    try:
        yield
    except sqlite3.Error as error:
        if getattr(error, "sqlite_errorname", "").startswith("SQLITE_BUSY"):
            raise StorageError(where, "another program has it open") from error
        raise StorageError(where, str(error)) from error
    except UnicodeDecodeError as error:
        # SQLite quotes what is broken, and Python can't read the quotation.
        raise StorageError(where, "its contents are damaged") from error
    except OSError as error:
        raise StorageError(where, str(error.strerror)) from error


async def create_file(path: Path) -> None:
    """Makes an empty file that only its owner can read, where there is none.

    Raises:
        FileExistsError: there is one.
    """
    flags = os.O_CREAT | os.O_EXCL | os.O_WRONLY
    os.close(await asyncio.to_thread(os.open, path, flags, 0o600))


class _Connection(aiosqlite.Connection):
    """One whose thread carries out a transaction in one go.

    Each call of the thread takes longer than what a small transaction does in it, since
    thread and loop have to wake each other.
    """

    def __init__(self, path: Path) -> None:
        uri = f"{path.absolute().as_uri()}?mode=rw"
        super().__init__(
            partial(sqlite3.connect, uri, uri=True, timeout=BUSY_S), ROWS_A_FETCH
        )

    async def carry_out(self, statements: Mapping[str, Sequence[Row]]) -> None:
        """Commits the SQL, each for its rows, or leaves the file as it was."""
        await self._execute(self._carry_out, statements)  # type: ignore[no-untyped-call]

    def _carry_out(self, statements: Mapping[str, Sequence[Row]]) -> None:
        connection = self._conn
        try:
            reach(FaultPoint.BEFORE_WRITE)
            for sql, rows in statements.items():
                _execute(connection, sql, rows)
            reach(FaultPoint.BEFORE_COMMIT)
            connection.commit()
            reach(FaultPoint.AFTER_COMMIT)
        except BaseException:
            connection.rollback()
            raise


def _execute(connection: sqlite3.Connection, sql: str, rows: Sequence[Row]) -> None:
    """Carries SQL out for each of the rows, many in one step where it is an INSERT."""
    left = rows
    if len(rows) >= min(ROWS_A_STEP) and (one := ONE_ROW.search(sql)):
        for width in ROWS_A_STEP:
            if len(left) < width:
                continue
            many = ", ".join([one[1]] * width)
            wide = sql[: one.start(1)] + many + sql[one.end(1) :]
            while len(left) >= width:
                step, left = left[:width], left[width:]
                connection.execute(wide, tuple(chain.from_iterable(step)))
    connection.executemany(sql, left)


async def connect(path: Path) -> _Connection:
    """A connection to a file that exists, with a thread of its own."""
    connection = _Connection(path)
    await connection
    return connection


async def _sync_what_was_left(connection: aiosqlite.Connection, where: str) -> None:
    """Has SQLite sync its log, and move it into the file where there is room for that.

    What a killed process has left may never have been synced, and nobody is to hear of
    it as stored before it has been. A full disk is no reason not to read what is there:
    SQLite syncs the log before it moves anything.
    """
    try:
        await connection.execute_fetchall("PRAGMA wal_checkpoint(PASSIVE)")
    except sqlite3.OperationalError as error:
        if error.sqlite_errorname != "SQLITE_FULL":
            raise
        log.warning("%s: there is no room left on the disk to write in", where)


class Database:
    """An open SQLite file; made by `Database.open`, ended by `close`."""

    def __init__(self, where: str, connection: _Connection) -> None:
        self.where = where
        """The file's path, as errors name it."""
        self._connection = connection
        self._queue: asyncio.Queue[_Work | None] = asyncio.Queue()
        self._failure: StorageError | None = None
        self._is_closed = False
        self._writer = asyncio.create_task(self._write_what_waits())

    @classmethod
    async def open(cls, path: Path, schema: Schema) -> Database:
        """Opens a file that exists, new and empty or of this kind.

        Raises:
            SchemaVersionError: a later version of the program has written it.
            StorageError: it can't be opened, or is of another kind.
        """
        where = str(path)
        with translated(where):
            connection = await connect(path)
            try:
                for pragma in (*schema.pragmas, "journal_mode = WAL"):
                    await connection.execute_fetchall(f"PRAGMA {pragma}")
                await connection.execute_fetchall("PRAGMA synchronous = FULL")
                await bring_up_to_date(connection, schema, where)
                await _sync_what_was_left(connection, where)
            except BaseException:
                await connection.close()
                raise
        return cls(where, connection)

    def write(self, *statements: Statement) -> asyncio.Future[None]:
        """Queues statements that are carried out together or not at all, in turn.

        Returns:
            What is done once they are committed and synced, or fails with a
            StorageError. Nobody needs to wait for it.
        """
        done: asyncio.Future[None] = asyncio.get_running_loop().create_future()
        if self._is_closed:
            done.set_exception(StorageError(self.where, "it is closed"))
        else:
            self._queue.put_nowait(_Work(statements, done))
        return done

    async def read(self, sql: str, arguments: Row = ()) -> list[Row]:
        """The rows that a query gives.

        Raises:
            StorageError: they can't be read.
        """
        with translated(self.where):
            rows = await self._connection.execute_fetchall(sql, arguments)
            return [tuple(row) for row in rows]

    async def close(self) -> None:
        """Writes what waits, and closes the file. What failed before is not told."""
        if self._is_closed:
            return
        self._is_closed = True
        self._queue.put_nowait(None)
        await asyncio.shield(self._writer)

    async def _write_what_waits(self) -> None:
        is_open = True
        while is_open:
            waiting = [await self._queue.get()]
            while not self._queue.empty():
                waiting.append(self._queue.get_nowait())
            works = [work for work in waiting if work is not None]
            is_open = len(works) == len(waiting)
            await self._write(works)
        with translated(self.where):
            await self._connection.close()

    async def _write(self, works: list[_Work]) -> None:
        if works and self._failure is None:
            try:
                with translated(self.where):
                    await self._connection.carry_out(_joined(works))
            except StorageError as error:
                self._failure = error
        for work in works:
            # A waiter that was cancelled takes its future with it, not the work.
            if work.done.done():
                continue
            if self._failure is None:
                work.done.set_result(None)
            else:
                work.done.set_exception(self._failure)


def _joined(works: list[_Work]) -> dict[str, list[Row]]:
    """SQL to its rows, in their order: in one transaction it need be said only once."""
    joined: dict[str, list[Row]] = {}
    for work in works:
        for statement in work.statements:
            joined.setdefault(statement.sql, []).extend(statement.rows)
    return joined
