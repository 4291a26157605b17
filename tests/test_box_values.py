from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import Any

import pytest

from tablesync.box_values import box_csv, box_values
from tablesync.core.acts import Basket, Charged, Foul, OpenPeriod, Seat, Side
from tablesync.from_scenario import concluded
from tablesync.game_file import game_at
from tests.realgames import game_file, needs_real_games
from tests.recording import real_scenario
from tests.telling import told_game

LATE = Path("scenarios/dispute-seat-cut-off-for-a-quarter.jsonl")


def teams(values: dict[str, object]) -> dict[str, Any]:
    """The teams, as a reader of the JSON has them."""
    read: dict[str, Any] = json.loads(json.dumps(values))["teams"]
    return read


def test_the_players_stand_in_order_of_number_with_their_names() -> None:
    home = teams(box_values(game_at(LATE).game))["home"]
    assert home["name"] == "Harbour Mills"
    assert [player["number"] for player in home["players"]] == [
        *("4", "5", "7", "8", "9", "11", "12", "15")
    ]
    assert home["players"][0]["name"] == "A. Marlowe"
    assert sum(player["points"] for player in home["players"]) == home["score"]
    assert sum(home["by_period"]) == home["score"]


def test_every_line_of_the_csv_is_a_player_of_the_json() -> None:
    game = game_at(LATE).game
    rows = list(csv.DictReader(box_csv(game).splitlines()))
    for side, team in teams(box_values(game)).items():
        mine = [row for row in rows if row["side"] == side]
        assert len(mine) == len(team["players"])
        for row, player in zip(mine, team["players"], strict=True):
            assert row["team"] == team["name"]
            assert row["starter"] == ("yes" if player["starter"] else "no")
            for column in ("number", "name", "points", "ft_made", "fouls", "seconds"):
                assert row[column] == str(player[column])
            marks = [row[f"period_{n + 1}"] for n in range(len(player["periods"]))]
            assert marks == player["periods"]


def test_without_a_clock_seat_nobodys_time_is_known() -> None:
    game = told_game(
        (1_000, Seat.BOOK, OpenPeriod(1)),
        (2_000, Seat.BOOK, Basket(Side.HOME, "99", 3)),
        (3_000, Seat.BOOK, Foul(Side.HOME, None, Charged.COACH, "technical")),
    )
    home = teams(box_values(game))["home"]
    stranger = home["players"][-1]
    assert (stranger["number"], stranger["name"], stranger["points"]) == ("99", "", 3)
    assert stranger["seconds"] is None
    assert home["coach_fouls"] == [{"kind": "technical", "period": 1}]
    last = next(row for row in csv.DictReader(box_csv(game).splitlines()) if row)
    assert last["seconds"] == ""


@needs_real_games
@pytest.mark.parametrize("name", ["g001", "g036"])
def test_a_real_games_box_is_the_leagues_own(name: str, tmp_path: Path) -> None:
    game = concluded(real_scenario(name, tmp_path, 0))
    official = game_file(name)["official"]["teams"]
    for side, letter in (("home", "A"), ("away", "B")):
        team = teams(box_values(game))[side]
        by_number = {player["number"]: player for player in team["players"]}
        for number, line in official[letter]["players"].items():
            player = by_number[number]
            # Their seconds are compared in `core/test_court_time.py`: this scenario's
            # clock stands after a substitution until something else is entered.
            for column in ("points", "goals2", "goals3", "ft_made", "fouls"):
                assert player[column] == line[column], (number, column)
