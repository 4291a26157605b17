"""What goes wrong at a fault point, and that nothing happens where none is armed."""

from __future__ import annotations

import sqlite3
from typing import TYPE_CHECKING

import pytest

from tablesync.core.acts import Seat
from tablesync.errors import StorageError
from tablesync.fault_points import FaultPoint, armed, reach
from tablesync.journal import Journal
from tablesync.sync.claim import Standing
from tablesync.sync.intake import Archive
from tests.sync.table import GAME, KEYS, claim_of
from tests.test_storage_contract import notes

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path


def test_nothing_happens_at_a_point_that_is_not_armed() -> None:
    seen: list[FaultPoint] = []
    with armed(seen.append):
        reach(FaultPoint.BEFORE_COMMIT)
    reach(FaultPoint.AFTER_COMMIT)
    assert seen == [FaultPoint.BEFORE_COMMIT]


def failing_at(point: FaultPoint) -> Callable[[FaultPoint], None]:
    def happen(reached: FaultPoint) -> None:
        if reached is point:
            raise sqlite3.OperationalError("disk I/O error")

    return happen


@pytest.mark.parametrize(
    ("point", "kept"),
    [
        (FaultPoint.BEFORE_WRITE, 1),
        (FaultPoint.BEFORE_COMMIT, 1),
        (FaultPoint.AFTER_COMMIT, 2),
    ],
)
async def test_disk_error_is_told_and_ends_writing(
    tmp_path: Path, point: FaultPoint, kept: int
) -> None:
    """Whatever the disk holds then, nothing of it was said to be stored."""
    path = tmp_path / "a.journal"
    entries = notes(3)
    async with await Journal.create(path, claim_of(KEYS[0], Seat.BOOK)) as journal:
        await journal.append(entries[:1], Standing())
        with (
            armed(failing_at(point)),
            pytest.raises(StorageError, match="disk I/O error"),
        ):
            await journal.append(entries[1:2], Standing())
        with pytest.raises(StorageError, match="disk I/O error"):
            await journal.append(entries[2:], Standing())
    async with await Journal.open(path) as journal:
        holder = Archive(GAME)
        await journal.read_into(holder)
        assert list(holder.history) == entries[:kept]
