from __future__ import annotations

from pathlib import Path

import pytest

from tablesync.errors import RecordFileError, ScenarioError, SheetError
from tablesync.final import final_of
from tablesync.game_file import game_at, sheet_at
from tablesync.record.file import write_record
from tablesync.record.path import record_at
from tablesync.scenario import read_scenario
from tests.recording import recorded

QUARTER = Path("scenarios/clean-quarter.jsonl")
SHEET = Path("scenarios/game-sheet.toml")


@pytest.fixture
def record(tmp_path: Path) -> Path:
    path = tmp_path / "game.record"
    path.write_bytes(write_record(recorded(read_scenario(QUARTER))))
    return path


def test_a_record_and_the_scenario_it_was_made_of_are_one_game(record: Path) -> None:
    filed, played = game_at(record), game_at(QUARTER)
    assert final_of(filed.game) == final_of(played.game)
    assert filed.game.book.tally.score == played.game.book.tally.score
    assert filed.game.book.tally.score.home == 10
    assert filed.origin == f"record {record_at(record).fingerprint[:16]}"
    assert played.origin == "a scenario, no signed record"


def test_a_game_sheet_is_a_game_in_which_nothing_is_entered() -> None:
    filed = game_at(SHEET)
    assert len(filed.game.history) == 0
    assert filed.game.rules.name == "saltmarsh-under-12"
    assert filed.game.seated_board is None


def test_who_plays_is_read_from_a_game_sheet_or_a_scenario() -> None:
    assert sheet_at(SHEET).title == "Round 3"
    assert sheet_at(QUARTER) == read_scenario(QUARTER).sheet


@pytest.mark.parametrize(
    ("name", "error"),
    [("x.record", RecordFileError), ("x.jsonl", ScenarioError), ("x.toml", SheetError)],
)
def test_what_can_not_be_read_is_said_in_the_words_of_its_kind(
    tmp_path: Path, name: str, error: type[Exception]
) -> None:
    with pytest.raises(error, match="No such file"):
        game_at(tmp_path / name)
