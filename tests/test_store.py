"""What is particular to a relay's store."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING

import pytest

from tablesync.core.acts import Note, Seat
from tablesync.core.vector_clock import VectorClock
from tablesync.errors import StorageError
from tablesync.seal import Pen
from tablesync.store import COMMITS_TO_CHECKPOINT, MOST_ASKED, Store
from tablesync.sync.intake import Archive
from tests.sync.table import GAME, KEYS, SHEET

if TYPE_CHECKING:
    from pathlib import Path

    from tablesync.core.entries import Entry

OTHER_GAME = b"other game".ljust(32)


def notes(game: bytes, count: int) -> list[Entry]:
    pen = Pen(KEYS[0], Seat.BOOK, game)
    return [pen.write(Note(str(n)), VectorClock(), 1_000 + n) for n in range(count)]


async def test_games_are_kept_apart(tmp_path: Path) -> None:
    async with await Store.open(tmp_path / "store.db") as store:
        one, other = notes(GAME, 3), notes(OTHER_GAME, 2)
        store.append(GAME, one)
        await store.append(OTHER_GAME, other)
        for game, entries in ((GAME, one), (OTHER_GAME, other)):
            holder = Archive(game)
            await store.read_into(game, holder)
            assert list(holder.history) == entries


async def test_sheet_is_kept_as_its_exact_bytes(tmp_path: Path) -> None:
    async with await Store.open(tmp_path / "store.db") as store:
        assert await store.sheet(GAME) is None
        await store.keep_sheet(GAME, SHEET)
        assert await store.sheet(GAME) == SHEET
        assert await store.games() == [GAME]


async def test_first_sheet_of_a_game_stays(tmp_path: Path) -> None:
    async with await Store.open(tmp_path / "store.db") as store:
        await store.keep_sheet(GAME, SHEET)
        await store.keep_sheet(GAME, b"another")
        assert await store.sheet(GAME) == SHEET


async def test_entries_are_found_by_their_digests_however_many(
    tmp_path: Path,
) -> None:
    async with await Store.open(tmp_path / "store.db") as store:
        entries = notes(GAME, MOST_ASKED + 1)
        store.append(OTHER_GAME, notes(OTHER_GAME, 1))
        await store.append(GAME, entries)
        for asked in (entries[7:9], entries):
            found = await store.sealed(GAME, [entry.digest for entry in asked])
            for entry in asked:
                assert found[entry.digest] == (entry.payload, entry.signature)
        listed = await store.all_sealed(GAME)
        assert listed == [(entry.payload, entry.signature) for entry in entries]


async def test_entry_that_is_not_there_is_no_empty_answer(tmp_path: Path) -> None:
    async with await Store.open(tmp_path / "store.db") as store:
        entry, other = notes(GAME, 2)
        await store.append(GAME, [entry])
        with pytest.raises(StorageError, match="as it was stored"):
            await store.sealed(GAME, [entry.digest, other.digest])


async def test_log_is_emptied_into_the_file_beside_the_writer(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    async with await Store.open(path) as store:
        entries = notes(GAME, COMMITS_TO_CHECKPOINT + 1)
        before = (await asyncio.to_thread(path.stat)).st_size
        for entry in entries[:-1]:
            store.append(GAME, [entry])
        await store.append(GAME, entries[-1:])
        # The checkpoint begins during the first question, and the second waits for it.
        assert await store.sheet(GAME) is None
        assert await store.sheet(GAME) is None
        assert (await asyncio.to_thread(path.stat)).st_size > before


async def test_relay_may_have_its_store_open_twice(tmp_path: Path) -> None:
    # As when a new relay is started before the old one has quite ended.
    path = tmp_path / "store.db"
    entries = notes(GAME, 2)
    async with await Store.open(path) as old, await Store.open(path) as new:
        await old.append(GAME, entries)
        await new.append(GAME, entries)
        holder = Archive(GAME)
        await new.read_into(GAME, holder)
    assert list(holder.history) == entries
