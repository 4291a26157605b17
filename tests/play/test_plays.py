"""Plays through a real relay and real devices, as the command line shows them.

The lines of `--json` are those of the contract, version 1. Real games: the league's own
box scores (see `tests/realgames.py`).
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from tablesync.cli import COMMANDS, main
from tablesync.commands.demo import command as demo
from tablesync.commands.play import command as play
from tests.realgames import GAMES, made_scenario, needs_real_games, score_findings

SCENARIOS = sorted(Path("scenarios").glob("*.jsonl"))
FINDING = {
    "id",
    "item",
    "side",
    "cause",
    "book_entry",
    "board_entry",
    "book",
    "board",
    "raised_at",
    "text",
}
FINAL = {
    "score",
    "by_period",
    "players",
    "team_fouls",
    "time_outs",
    "board",
    "open_findings",
    "entries",
}


def played(path: Path, *options: str) -> Result:
    return CliRunner().invoke(play, [str(path), *options])


def lines_of(result: Result) -> list[dict[str, Any]]:
    return [json.loads(line) for line in result.stdout.splitlines()]


def write(path: Path, lines: list[dict[str, Any]]) -> Path:
    path.write_text("".join(f"{json.dumps(line)}\n" for line in lines))
    return path


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_every_scenario_goes_as_it_says(path: Path) -> None:
    result = played(path, "--json")
    assert result.stderr == ""
    assert result.exit_code == 0


def test_the_lines_have_the_contracts_keys() -> None:
    *told, last = lines_of(
        played(Path("scenarios/basket-missed-on-the-board.jsonl"), "--json")
    )
    finding = next(line["finding"] for line in told if "finding" in line)
    cleared = next(line["cleared"] for line in told if "cleared" in line)
    assert finding.keys() == FINDING
    assert (finding["item"], finding["side"]) == ("score", "away")
    assert (finding["book_entry"], finding["board_entry"]) == ("missed", None)
    assert finding["book"] == finding["board"] + 2
    assert cleared.keys() == {"id", "at", "how"}
    assert (cleared["id"], cleared["how"]) == (finding["id"], "agreed")
    assert finding["raised_at"] < cleared["at"]
    assert last["final"].keys() == FINAL
    assert last["final"]["board"].keys() == {
        "score",
        "team_fouls",
        "time_outs",
        "period",
    }


def test_a_play_can_be_repeated_to_the_byte() -> None:
    path = Path("scenarios/device-replaced.jsonl")
    assert played(path, "--json").stdout == played(path, "--json").stdout


def test_nothing_is_raised_against_a_seat_that_is_cut_off() -> None:
    lines = lines_of(played(Path("scenarios/seat-cut-off.jsonl"), "--json"))
    assert not any("finding" in line for line in lines)


def test_what_does_not_hold_is_said_and_ends_with_1(tmp_path: Path) -> None:
    header, *steps = Path("scenarios/clean-quarter.jsonl").read_text().splitlines()
    wrong = '{"t": 400, "expect": {"seat": "book", "score": {"home": 99, "away": 0}}}'
    path = tmp_path / "wrong.jsonl"
    path.write_text("\n".join([header, *steps, wrong]) + "\n")
    result = played(path, "--json")
    assert result.exit_code == 1
    assert result.stderr.startswith(f"{path}:{len(steps) + 2}: the score of the book")
    assert "99:0" in result.stderr


def test_an_account_sets_findings_off_and_ends_in_the_box_score() -> None:
    account = played(Path("scenarios/basket-to-the-wrong-team.jsonl")).stdout
    assert "┃ ≠ One act, two teams" in account
    assert "strikes out: +2 white" in account
    assert "┃ = the records agree again (score)" in account
    assert account.index("Score by period") > account.index("agree again")
    assert account.rstrip().endswith("The referees' and the league's rulings prevail.")


def test_the_demo_shows_a_slip_and_its_correction() -> None:
    result = CliRunner().invoke(demo, ["--fast"])
    assert result.exit_code == 0
    assert "the book has 2 points by 13, the board does not" in result.stdout
    assert "the records agree again" in result.stdout


def test_bad_input_ends_with_2_and_one_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "bad.jsonl"
    path.write_text('{"scenario": 9}\n')
    with pytest.raises(SystemExit) as ended:
        main(["play", str(path), "--json"])
    assert ended.value.code == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err == f"tablesync: {path}:1: scenario is 9; expected 1, the version\n"


def test_the_help_opens_with_examples_and_lists_every_command(
    capsys: pytest.CaptureFixture[str],
) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["--help"])
    assert ended.value.code == 0
    said = capsys.readouterr().out
    assert said.index("Examples:") < said.index("Usage:")
    assert all(f"  {name} " in said for name in COMMANDS)


@needs_real_games
@pytest.mark.parametrize("game", GAMES[::4])
def test_a_real_game_ends_in_the_official_box_score(game: str, tmp_path: Path) -> None:
    lines, truth = made_scenario(game, "usual")
    told = lines_of(played(write(tmp_path / "game.jsonl", lines), "--json"))
    final = told[-1]["final"]
    assert score_findings().differences(truth["official"], final) == []
    assert final["open_findings"] == []


@needs_real_games
@pytest.mark.parametrize("game", GAMES[1::4])
def test_every_slip_in_a_real_game_is_found(game: str, tmp_path: Path) -> None:
    lines, truth = made_scenario(game, "usual", slips=8)
    told = lines_of(played(write(tmp_path / "game.jsonl", lines), "--json"))
    score = score_findings().score(truth, told)
    assert (score["found"], score["missed"]) == (len(truth["slips"]), [])
