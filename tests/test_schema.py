"""Steps from version to version, each in full or not at all."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from tablesync.database import Database, create_file
from tablesync.errors import StorageError
from tablesync.schema import JOURNAL, STORE

if TYPE_CHECKING:
    from pathlib import Path

SECOND_STEP = "ALTER TABLE sheet ADD COLUMN court TEXT NOT NULL DEFAULT 'centre';"


async def test_database_is_led_from_version_to_version(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    await create_file(path)
    database = await Database.open(path, STORE)
    await database.close()
    later = replace(STORE, steps=(*STORE.steps, SECOND_STEP))
    database = await Database.open(path, later)
    assert await database.read("PRAGMA user_version") == [(2,)]
    assert await database.read("SELECT court FROM sheet") == []
    await database.close()


async def test_step_that_fails_leaves_the_version_before(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    await create_file(path)
    broken = replace(STORE, steps=(*STORE.steps, f"{SECOND_STEP} SELECT nonsense;"))
    with pytest.raises(StorageError, match="no such column: nonsense"):
        await Database.open(path, broken)
    database = await Database.open(path, STORE)
    assert await database.read("PRAGMA user_version") == [(1,)]
    with pytest.raises(StorageError, match="no such column: court"):
        await database.read("SELECT court FROM sheet")
    await database.close()


async def test_commits_are_synced_and_logged(tmp_path: Path) -> None:
    for schema in (STORE, JOURNAL):
        path = tmp_path / f"{schema.application_id}.db"
        await create_file(path)
        database = await Database.open(path, schema)
        assert await database.read("PRAGMA journal_mode") == [("wal",)]
        assert await database.read("PRAGMA synchronous") == [(2,)]
        assert await database.read("PRAGMA application_id") == [
            (schema.application_id,)
        ]
        await database.close()


def test_stored_formats_have_their_version() -> None:
    # A change to a step that is in use would go unnoticed by its databases.
    assert len(STORE.steps) == 1
    assert len(JOURNAL.steps) == 2
