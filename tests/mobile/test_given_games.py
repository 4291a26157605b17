from __future__ import annotations

from pathlib import Path
from shutil import copy

import pytest

from mobile.folders import DeviceFolder
from mobile.given_games import given_games
from tablesync.errors import StorageError
from tablesync.game_file import sheet_at

DEMO = Path(__file__).resolve().parents[2] / "tablesync" / "demo.jsonl"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    device = DeviceFolder(tmp_path / "device")
    device.make()
    return device.games


def test_the_games_of_a_folder_are_offered_and_other_files_are_not(
    folder: Path,
) -> None:
    copy(DEMO, folder / "friday.jsonl")
    (folder / "players.csv").write_text("number,name,starter\n")
    given = given_games(folder)
    assert given.sheets == (sheet_at(DEMO),)
    assert given.trouble == ""


def test_one_bad_file_is_told_and_keeps_none_of_the_others_away(folder: Path) -> None:
    (folder / "a.toml").write_text("title = 3")
    copy(DEMO, folder / "b.jsonl")
    given = given_games(folder)
    assert len(given.sheets) == 1
    assert given.trouble.startswith(str(folder / "a.toml"))


def test_a_device_is_where_its_variable_says(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("TABLESYNC_HOME", str(tmp_path))
    assert DeviceFolder.of_this_device().journals == tmp_path / "journals"


def test_a_folder_that_cannot_be_made_is_one_sentence(tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("")
    with pytest.raises(StorageError, match="can't be made"):
        DeviceFolder(tmp_path / "taken").make()
