"""A disk that is full, or a process that is killed, amid what is not an entry's way.

That is moving a store's log into its file, and writing a game out as a record file.
"""

from __future__ import annotations

import asyncio
import errno
import logging
import os
import signal
import sqlite3
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest

from tablesync.core.acts import Seat
from tablesync.errors import RecordFileError, StorageError
from tablesync.fault_points import FaultPoint, armed
from tablesync.journal import Journal
from tablesync.record.path import write_new
from tablesync.record.verification import open_record
from tablesync.store import Store
from tablesync.stored_games import export_game
from tablesync.sync.claim import Standing
from tablesync.sync.intake import Archive
from tests.sync.table import GAME, KEYS, SHEET, claim_of
from tests.test_storage_contract import notes

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

ROOM = "400k"
FULL = "database or disk is full"


def full_at(point: FaultPoint) -> Callable[[FaultPoint], None]:
    """The disk is full whenever that point is reached."""

    def happen(reached: FaultPoint) -> None:
        if reached is point:
            if point is FaultPoint.AMID_FILE:
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            raise sqlite3.OperationalError(FULL)

    return happen


async def held(path: Path) -> set[bytes]:
    """The entries that a store gives when it is opened anew."""
    kept = Archive(GAME)
    async with await Store.open(path) as store:
        await store.read_into(GAME, kept)
    return {entry.digest for entry in kept.history}


@pytest.mark.parametrize("point", [FaultPoint.BEFORE_WRITE, FaultPoint.BEFORE_COMMIT])
async def test_full_disk_amid_a_write_is_told_and_loses_nothing_that_was_stored(
    tmp_path: Path, point: FaultPoint
) -> None:
    path, entries = tmp_path / "relay.db", notes(4)
    async with await Store.open(path) as store:
        await store.keep_sheet(GAME, SHEET)
        await store.append(GAME, entries[:2])
        with armed(full_at(point)), pytest.raises(StorageError, match=FULL):
            await store.append(GAME, entries[2:3])
        with pytest.raises(StorageError, match=FULL):
            await store.append(GAME, entries[3:])
    assert await held(path) == {entry.digest for entry in entries[:2]}


@pytest.mark.parametrize("point", [FaultPoint.BEFORE_WRITE, FaultPoint.BEFORE_COMMIT])
async def test_full_disk_of_a_device_is_told_and_what_was_kept_is_there(
    tmp_path: Path, point: FaultPoint
) -> None:
    path, entries = tmp_path / "a.journal", notes(3)
    async with await Journal.create(path, claim_of(KEYS[0], Seat.BOOK)) as journal:
        await journal.append(entries[:2], Standing())
        with armed(full_at(point)), pytest.raises(StorageError, match=FULL):
            await journal.append(entries[2:], Standing())
    async with await Journal.open(path) as journal:
        kept = Archive(GAME)
        await journal.read_into(kept)
        assert list(kept.history) == entries[:2]


async def test_full_disk_at_a_checkpoint_is_told_and_entries_are_stored_still(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    monkeypatch.setattr("tablesync.store.COMMITS_TO_CHECKPOINT", 2)
    path, entries = tmp_path / "relay.db", notes(6)
    async with await Store.open(path) as store:
        await store.keep_sheet(GAME, SHEET)
        with armed(full_at(FaultPoint.BEFORE_CHECKPOINT)):
            for entry in entries[:4]:
                await store.append(GAME, [entry])
            assert store._checkpoint is not None
            await store._checkpoint
        assert "the log can't be moved into the store" in caplog.text
        assert FULL in caplog.text
        caplog.clear()
        seen: list[FaultPoint] = []
        with armed(seen.append):
            for entry in entries[4:]:
                await store.append(GAME, [entry])
            await store._checkpoint
        assert FaultPoint.AFTER_CHECKPOINT in seen
        assert caplog.text == ""
    assert await held(path) == {entry.digest for entry in entries}


async def exported(path: Path) -> bytes:
    """A game of three notes as a record file; its store is at the path."""
    async with await Store.open(path) as store:
        await store.keep_sheet(GAME, SHEET)
        await store.append(GAME, notes(3))
        return await export_game(store, GAME)


def test_full_disk_amid_a_record_file_leaves_no_half_of_it(tmp_path: Path) -> None:
    out = tmp_path / "game.record"
    data = asyncio.run(exported(tmp_path / "relay.db"))
    with (
        armed(full_at(FaultPoint.AMID_FILE)),
        pytest.raises(RecordFileError, match=r"can't be written \(No space left"),
    ):
        write_new(out, data)
    assert [one.name for one in tmp_path.glob("game*")] == []
    write_new(out, data)
    assert len(open_record(out.read_bytes()).entries) == 3


def killed(*arguments: object) -> list[str]:
    """What a process has said that kills itself."""
    ran = subprocess.run(
        [sys.executable, "-m", "tests.disk_process", *map(str, arguments)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.returncode == -signal.SIGKILL, ran.stderr
    return ran.stdout.splitlines()


@pytest.mark.processes
@pytest.mark.parametrize(
    "point", [FaultPoint.BEFORE_CHECKPOINT, FaultPoint.AFTER_CHECKPOINT]
)
@pytest.mark.parametrize("count", [1, 4])
async def test_store_killed_at_a_checkpoint_has_all_that_it_stored(
    tmp_path: Path, point: FaultPoint, count: int
) -> None:
    path = tmp_path / "relay.db"
    said = await asyncio.to_thread(killed, "store", path, point, count)
    stored = {bytes.fromhex(line.split()[1]) for line in said}
    assert stored
    assert stored <= await held(path)


@pytest.mark.processes
def test_writer_killed_amid_a_record_file_is_in_nobodys_way(tmp_path: Path) -> None:
    path, out = tmp_path / "relay.db", tmp_path / "game.record"
    data = asyncio.run(exported(path))
    killed("export", path, out, FaultPoint.AMID_FILE, 1)
    assert not out.exists()
    write_new(out, data)
    assert open_record(out.read_bytes()).faults == ()
    assert [one.name for one in tmp_path.glob("game*")] == [out.name]


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of its own with little room."""
    place = tmp_path / "small"
    place.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", f"size={ROOM}", "tmpfs", str(place)]
    try:
        subprocess.run(mount, check=True, capture_output=True)
    except (OSError, subprocess.CalledProcessError):
        pytest.skip("this user can't mount a file system")
    yield place
    subprocess.run(["umount", str(place)], check=True)


@pytest.mark.processes
async def test_small_file_system_that_fills_up_keeps_what_was_stored(
    small_disk: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    """The log grows until there is no room left, for checkpoints neither."""
    caplog.set_level(logging.WARNING)
    monkeypatch.setattr("tablesync.store.COMMITS_TO_CHECKPOINT", 20)
    path = small_disk / "relay.db"
    entries = notes(4_000)
    stored: set[bytes] = set()

    async def fill(store: Store) -> None:
        for start in range(0, len(entries), 10):
            page = entries[start : start + 10]
            await store.append(GAME, page)
            stored.update(entry.digest for entry in page)

    async with await Store.open(path) as store:
        await store.keep_sheet(GAME, SHEET)
        with pytest.raises(StorageError, match=FULL):
            await fill(store)
        out = small_disk / "game.record"
        with pytest.raises(RecordFileError, match="No space left on device"):
            await asyncio.to_thread(write_new, out, bytes(1_000_000))
    assert stored
    assert stored <= await held(path)
