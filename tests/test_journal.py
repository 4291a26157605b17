"""What is particular to a device's journal."""

from __future__ import annotations

import asyncio
import os
from typing import TYPE_CHECKING

import pytest

from tablesync.core.acts import Note, Seat
from tablesync.core.vector_clock import VectorClock
from tablesync.errors import CorruptJournalError, StorageError, UnbegunJournalError
from tablesync.journal import Journal
from tablesync.seal import Pen
from tablesync.sync.claim import Standing
from tests.sync.table import GAME, KEYS, SHEET, claim_of
from tests.test_storage_contract import meddle, notes

if TYPE_CHECKING:
    from pathlib import Path


@pytest.mark.parametrize("seat", [Seat.BOOK, Seat.CLOCK, None])
async def test_journal_knows_its_device_again(
    tmp_path: Path, seat: Seat | None
) -> None:
    path = tmp_path / "journal.db"
    async with await Journal.create(path, claim_of(KEYS[0], seat)):
        pass
    async with await Journal.open(path) as journal:
        claim = journal.claim
    assert claim.key.secret == KEYS[0].secret
    assert (claim.game, claim.seat, claim.sheet) == (GAME, seat, SHEET)
    assert journal.standing == Standing()


async def test_standing_is_kept_with_the_entries(tmp_path: Path) -> None:
    path = tmp_path / "journal.db"
    entry = Pen(KEYS[0], Seat.BOOK, GAME).write(Note("1"), VectorClock(), 1)
    async with await Journal.create(path, claim_of(KEYS[0], Seat.BOOK)) as journal:
        await journal.append([entry], Standing(0, -40, 900, 1))
    async with await Journal.open(path) as journal:
        assert journal.standing == Standing(0, -40, 900, 1)
        await journal.keep(Standing(1, 5, 2_000, 1))
    async with await Journal.open(path) as journal:
        assert journal.standing == Standing(1, 5, 2_000, 1)


async def test_no_second_program_can_write_with_the_same_key(tmp_path: Path) -> None:
    path = tmp_path / "journal.db"
    async with await Journal.create(path, claim_of(KEYS[0], Seat.BOOK)):
        with pytest.raises(StorageError, match="another program has it open"):
            await Journal.open(path)


async def test_journal_is_not_made_over_another(tmp_path: Path) -> None:
    path = tmp_path / "journal.db"
    async with await Journal.create(path, claim_of(KEYS[0], Seat.BOOK)):
        pass
    with pytest.raises(StorageError, match="File exists"):
        await Journal.create(path, claim_of(KEYS[1], Seat.CLOCK))


async def test_journal_that_is_not_there_is_not_made_by_opening(tmp_path: Path) -> None:
    with pytest.raises(StorageError, match="unable to open database file"):
        await Journal.open(tmp_path / "journal.db")
    assert await asyncio.to_thread(os.listdir, tmp_path) == []


async def test_key_is_readable_by_its_owner_only(tmp_path: Path) -> None:
    path = tmp_path / "journal.db"
    async with await Journal.create(path, claim_of(KEYS[0], Seat.BOOK)):
        pass
    status = await asyncio.to_thread(path.stat)
    assert status.st_mode & 0o777 == 0o600


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE device SET secret = x'00'",
        "UPDATE device SET seat = 'umpire'",
    ],
)
async def test_journal_without_its_device_is_refused(tmp_path: Path, sql: str) -> None:
    path = tmp_path / "journal.db"
    async with await Journal.create(path, claim_of(KEYS[0], Seat.BOOK)):
        pass
    await asyncio.to_thread(meddle, path, sql)
    with pytest.raises(CorruptJournalError, match="it names no device"):
        await Journal.open(path)


async def test_journal_that_lost_its_device_is_not_begun_anew(tmp_path: Path) -> None:
    path = tmp_path / "journal.db"
    claim = claim_of(KEYS[0], Seat.BOOK)
    async with await Journal.create(path, claim) as journal:
        await journal.append(notes(1), Standing())
    await asyncio.to_thread(meddle, path, "DELETE FROM device")
    with pytest.raises(CorruptJournalError, match="it names no device"):
        await Journal.open(path)
    with pytest.raises(StorageError, match="File exists"):
        await Journal.create(path, claim)


async def test_journal_whose_making_was_cut_short_is_begun_anew(tmp_path: Path) -> None:
    path = tmp_path / "journal.db"
    await asyncio.to_thread(path.touch)
    with pytest.raises(UnbegunJournalError):
        await Journal.open(path)
    claim = claim_of(KEYS[0], Seat.BOOK)
    async with await Journal.create(path, claim):
        pass
    async with await Journal.open(path) as journal:
        assert journal.claim.key.device == claim.key.device
