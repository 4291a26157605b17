from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

from tablesync.box_values import box_csv, box_values
from tablesync.game_file import game_at
from tablesync.record.file import write_record
from tablesync.scenario import read_scenario
from tests.commands.running import run
from tests.recording import recorded

if TYPE_CHECKING:
    import pytest

QUARTER = Path("scenarios/clean-quarter.jsonl")


def test_the_box_score_is_printed_as_tables(
    capsys: pytest.CaptureFixture[str],
) -> None:
    ran = run(capsys, "box", QUARTER)
    assert (ran.status, ran.err) == (0, "")
    assert "Harbour Mills (white)" in ran.out
    assert "Kestrel Park (green)" in ran.out
    assert "differ" not in ran.out
    assert ran.out.endswith("The referees' and the league's rulings prevail.\n")


def test_a_record_gives_the_same_box_as_json_and_as_csv(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "game.record"
    file.write_bytes(write_record(recorded(read_scenario(QUARTER))))
    game = game_at(QUARTER).game
    assert json.loads(run(capsys, "box", file, "--json").out) == box_values(game)
    assert run(capsys, "box", file, "--csv").out == box_csv(game)


def test_what_the_seats_still_differ_in_is_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    lines = QUARTER.read_text(encoding="utf-8").splitlines()
    points = next(i for i, line in enumerate(lines) if '"points"' in line[:60])
    file = tmp_path / "missed.jsonl"
    file.write_text("\n".join(lines[:points] + lines[points + 1 :]), encoding="utf-8")
    ran = run(capsys, "box", file)
    assert "Book and board differ: " in ran.out
    [text] = json.loads(run(capsys, "box", file, "--json").out)["open_findings"]
    assert "the board does not" in text


def test_one_form_at_a_time_can_be_had(capsys: pytest.CaptureFixture[str]) -> None:
    ran = run(capsys, "box", QUARTER, "--json", "--csv")
    assert (ran.status, ran.out) == (2, "")
    assert ran.err == (
        "tablesync: box: --json and --csv were both given; expected one of them\n"
    )


def test_a_name_can_not_steer_the_terminal(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = QUARTER.read_text(encoding="utf-8")
    file = tmp_path / "named.jsonl"
    file.write_text(text.replace("A. Marlowe", "[red]\\u001b[2J"), encoding="utf-8")
    ran = run(capsys, "box", file)
    assert "[red]\ufffd[2J" in ran.out
