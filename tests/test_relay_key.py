"""A relay's key stays the same, and is its owner's alone."""

from __future__ import annotations

import stat
from typing import TYPE_CHECKING

import pytest

from tablesync.errors import StorageError
from tablesync.relay_key import relay_key_at

if TYPE_CHECKING:
    from pathlib import Path


def test_key_is_made_once_and_readable_for_its_owner_only(tmp_path: Path) -> None:
    store = tmp_path / "games.db"
    key = relay_key_at(store)
    assert relay_key_at(store).device == key.device
    assert relay_key_at(tmp_path / "other.db").device != key.device
    mode = (tmp_path / "games.db.key").stat().st_mode
    assert stat.S_IMODE(mode) == 0o600


def test_file_that_is_no_key_is_said_so(tmp_path: Path) -> None:
    (tmp_path / "games.db.key").write_bytes(b"short")
    with pytest.raises(StorageError, match="is no relay's key"):
        relay_key_at(tmp_path / "games.db")
    with pytest.raises(StorageError):
        relay_key_at(tmp_path / "nowhere" / "games.db")
