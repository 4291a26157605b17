"""What journal and store promise alike: one suite, run on both."""

from __future__ import annotations

import asyncio
import sqlite3
from typing import TYPE_CHECKING, Protocol

import pytest

from tablesync.core.acts import Note, Seat
from tablesync.core.entries import digest_of
from tablesync.core.vector_clock import VectorClock
from tablesync.errors import CorruptJournalError, SchemaVersionError, StorageError
from tablesync.journal import Journal
from tablesync.seal import Pen
from tablesync.store import Store
from tablesync.sync.claim import Standing
from tablesync.sync.intake import Archive
from tests.sync.table import GAME, KEYS, SHEET, claim_of

if TYPE_CHECKING:
    from collections.abc import AsyncIterator, Iterable
    from pathlib import Path

    from tablesync.core.entries import Entry
    from tablesync.sync.intake import Holder


class Kept(Protocol):
    """Either kind of storage, as this suite sees it."""

    async def open(self) -> None: ...
    async def close(self) -> None: ...
    async def read_into(self, holder: Holder) -> None: ...
    def append(self, entries: Iterable[Entry]) -> asyncio.Future[None]: ...


class KeptJournal:
    def __init__(self, path: Path) -> None:
        self.path = path
        self.journals: list[Journal] = []

    async def open(self) -> None:
        if await asyncio.to_thread(self.path.exists):
            journal = await Journal.open(self.path)
        else:
            claim = claim_of(KEYS[0], Seat.BOOK)
            journal = await Journal.create(self.path, claim)
        self.journals.append(journal)

    async def close(self) -> None:
        for journal in self.journals:
            await journal.close()

    async def read_into(self, holder: Holder) -> None:
        await self.journals[-1].read_into(holder)

    def append(self, entries: Iterable[Entry]) -> asyncio.Future[None]:
        return self.journals[-1].append(entries, Standing())


class KeptStore:
    def __init__(self, path: Path) -> None:
        self.path = path
        self.stores: list[Store] = []

    async def open(self) -> None:
        store = await Store.open(self.path)
        await store.keep_sheet(GAME, SHEET)
        self.stores.append(store)

    async def close(self) -> None:
        for store in self.stores:
            await store.close()

    async def read_into(self, holder: Holder) -> None:
        await self.stores[-1].read_into(GAME, holder)

    def append(self, entries: Iterable[Entry]) -> asyncio.Future[None]:
        return self.stores[-1].append(GAME, entries)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "kept.db"


@pytest.fixture(params=[KeptJournal, KeptStore], ids=["journal", "store"])
async def kept(request: pytest.FixtureRequest, path: Path) -> AsyncIterator[Kept]:
    made: Kept = request.param(path)
    yield made
    await made.close()


def notes(count: int) -> list[Entry]:
    pen = Pen(KEYS[0], Seat.BOOK, GAME)
    return [pen.write(Note(str(n)), VectorClock(), 1_000 + n) for n in range(count)]


async def entries_of(kept: Kept) -> list[Entry]:
    holder = Archive(GAME)
    await kept.read_into(holder)
    return list(holder.history)


def meddle(path: Path, sql: str, *values: object) -> None:
    """Changes the file behind the program's back."""
    connection = sqlite3.connect(path)
    connection.execute(sql, values)
    connection.commit()
    connection.close()


async def test_entries_come_back_after_closing(kept: Kept) -> None:
    entries = notes(5)
    await kept.open()
    await kept.append(entries)
    await kept.close()
    await kept.open()
    assert await entries_of(kept) == entries


async def test_new_storage_is_empty(kept: Kept) -> None:
    await kept.open()
    assert await entries_of(kept) == []


async def test_entry_that_comes_twice_is_kept_once(kept: Kept) -> None:
    entries = notes(3)
    await kept.open()
    await kept.append(entries)
    await kept.append([*entries, *entries])
    assert await entries_of(kept) == entries


async def test_what_was_queued_is_written_before_closing(kept: Kept) -> None:
    entries = notes(50)
    await kept.open()
    waiting = [kept.append([entry]) for entry in entries]
    await kept.close()
    assert all(done.done() and done.exception() is None for done in waiting)
    await kept.open()
    assert await entries_of(kept) == entries


async def test_commits_finish_in_the_order_of_the_calls(kept: Kept) -> None:
    await kept.open()
    finished: list[int] = []
    waiting = []
    for n, entry in enumerate(notes(20)):
        done = kept.append([entry])
        done.add_done_callback(lambda _, n=n: finished.append(n))  # type: ignore[misc]
        waiting.append(done)
    await asyncio.gather(*waiting)
    await kept.close()
    assert finished == list(range(20))


async def test_waiter_that_is_cancelled_does_not_undo_the_write(kept: Kept) -> None:
    entries = notes(2)
    await kept.open()
    kept.append(entries[:1]).cancel()
    await kept.append(entries[1:])
    assert await entries_of(kept) == entries


async def test_closed_storage_takes_nothing_more(kept: Kept) -> None:
    await kept.open()
    await kept.close()
    with pytest.raises(StorageError, match="it is closed"):
        await kept.append(notes(1))


async def test_changed_byte_is_found_and_named(kept: Kept, path: Path) -> None:
    entries = notes(5)
    await kept.open()
    await kept.append(entries)
    await kept.close()
    damaged = bytearray(entries[2].payload)
    damaged[-1] ^= 1
    sql = "UPDATE entry SET payload = ? WHERE digest = ?"
    await asyncio.to_thread(meddle, path, sql, bytes(damaged), entries[2].digest)
    await kept.open()
    holder = Archive(GAME)
    with pytest.raises(CorruptJournalError, match="stored entry 3 has been changed"):
        await kept.read_into(holder)
    assert list(holder.history) == entries[:2]


async def test_value_of_another_type_is_found_and_named(kept: Kept, path: Path) -> None:
    entries = notes(2)
    await kept.open()
    await kept.append(entries)
    await kept.close()
    sql = "UPDATE entry SET signature = 7 WHERE digest = ?"
    await asyncio.to_thread(meddle, path, sql, entries[1].digest)
    await kept.open()
    with pytest.raises(CorruptJournalError, match="stored entry 2 has been changed"):
        await entries_of(kept)


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE entry SET payload = x'00' WHERE digest = ?",
        "DELETE FROM entry WHERE digest = ?",
    ],
    ids=["changed", "missing"],
)
async def test_damaged_storage_is_refilled_by_whoever_holds_the_entry(
    kept: Kept, path: Path, sql: str
) -> None:
    entries = notes(5)
    await kept.open()
    await kept.append(entries)
    await kept.close()
    await asyncio.to_thread(meddle, path, sql, entries[2].digest)
    await kept.open()
    holder = Archive(GAME)
    with pytest.raises(CorruptJournalError, match="others can't be read; whoever else"):
        await kept.read_into(holder)
    assert [head.number for (head,) in holder.history.heads().values()] == [2]
    taken = holder.receive(entries[2])
    assert taken == tuple(entries[2:])
    await kept.append(taken)
    await kept.close()
    await kept.open()
    assert await entries_of(kept) == entries


async def test_missing_entry_is_found_and_named(kept: Kept, path: Path) -> None:
    entries = notes(5)
    await kept.open()
    await kept.append(entries)
    await kept.close()
    sql = "DELETE FROM entry WHERE digest = ?"
    await asyncio.to_thread(meddle, path, sql, entries[1].digest)
    await kept.open()
    with pytest.raises(CorruptJournalError, match="stored entry 2 is not preceded by"):
        await entries_of(kept)


async def test_row_that_is_no_entry_is_found_and_named(kept: Kept, path: Path) -> None:
    await kept.open()
    await kept.append(notes(1))
    await kept.close()
    # The digest fits, as it would for somebody who knows how it is made.
    payload, signature = b"no entry", bytes(64)
    sql = "UPDATE entry SET digest = ?, payload = ?, signature = ?"
    digest = digest_of(payload, signature)
    await asyncio.to_thread(meddle, path, sql, digest, payload, signature)
    await kept.open()
    with pytest.raises(CorruptJournalError, match="stored entry 1 is not acceptable"):
        await entries_of(kept)


async def test_later_version_is_not_touched(kept: Kept, path: Path) -> None:
    await kept.open()
    await kept.close()
    await asyncio.to_thread(meddle, path, "PRAGMA user_version = 99")
    with pytest.raises(SchemaVersionError, match="of version 99; this program reads"):
        await kept.open()


async def test_database_of_another_kind_is_not_touched(kept: Kept, path: Path) -> None:
    await asyncio.to_thread(meddle, path, "CREATE TABLE recipe (title TEXT)")
    with pytest.raises(StorageError, match="is a database, but not a"):
        await kept.open()


async def test_file_that_is_no_database_is_refused(kept: Kept, path: Path) -> None:
    await asyncio.to_thread(path.write_bytes, b"no database at all" * 100)
    with pytest.raises(StorageError, match="file is not a database"):
        await kept.open()


async def test_damage_that_sqlite_can_not_even_quote_is_refused(
    kept: Kept, path: Path
) -> None:
    await kept.open()
    await kept.close()
    data = await asyncio.to_thread(path.read_bytes)
    assert b"CREATE TABLE entry" in data
    broken = data.replace(b"CREATE TABLE entry", b"CREATE TABL\xcb entry")
    await asyncio.to_thread(path.write_bytes, broken)
    with pytest.raises(StorageError):
        await kept.open()


async def test_folder_that_does_not_exist_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "nowhere" / "kept.db"
    with pytest.raises(StorageError, match="No such file or directory"):
        await Store.open(path)
    with pytest.raises(StorageError, match="No such file or directory"):
        await Journal.create(path, claim_of(KEYS[0], Seat.BOOK))


async def test_nothing_is_written_after_a_write_has_failed(
    kept: Kept, path: Path
) -> None:
    entries = notes(3)
    await kept.open()
    await kept.append(entries[:1])
    await kept.close()
    full = """
        CREATE TRIGGER full BEFORE INSERT ON entry
        BEGIN SELECT RAISE(FAIL, 'database or disk is full'); END
    """
    await asyncio.to_thread(meddle, path, full)
    await kept.open()
    with pytest.raises(StorageError, match="database or disk is full"):
        await kept.append(entries[1:2])
    await kept.close()
    await asyncio.to_thread(meddle, path, "DROP TRIGGER full")
    await kept.open()
    assert await entries_of(kept) == entries[:1]
    await kept.close()
